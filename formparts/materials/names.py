"""Spellings of a material: names that differ only in signs, or in the words written beside them, are the same."""

from __future__ import annotations

import re
from collections.abc import Iterator

_SAID_OR_NOT = re.compile(
    r"\b(?:aluminium|aluminum|alu|al|stainless|steel|inox|alloy|sheet|plate|strip|grade|type|werkstoff|"
    r"aisi|astm|sae|uns|jis|din|en|bs|mat|wnr|w\.? ?nr)\b\.?(?![\w.])"
)
"""Words that are written before the name of a grade, or left out."""
_STANDARD = re.compile(
    r"^(?:(?:en|din|bs|ns|jis|iso|ams)(?: (?:en|iso))* [a-z]?\d{3,5}(?: \d)?(?::\d{4})? (?=\S)"
    r"|(?:astm )?[ab]\d{3}m? (?=(?:type |alloy |grade )?\d))"
)
"""The standard before the grade, as in `EN 10025-2 S235JR`, `ASTM A240 Type 304` or `B209 5052-H32`."""
_FINISH = re.compile(r" (?:1d|2b|2d|2r|ba|2g|2j|2k)$")
"""Surface of stainless sheet behind the grade (EN 10088-2, table of finishes)."""

_MORE_THAN_THE_NAME = (
    (r"enaw(.+)", r"\1"),
    # Aluminum Association, UNS, JIS: AA5052, A95052, A5052P; A1018 is a standard of ASTM.
    (r"(?:aa|aw|al|a9|a(?!10[0-3]))(\d{4})p?([a-z]*\d*)", r"\1\2"),
    (r"(c\d{3})", r"\g<1>00"),  # copper alloys, before UNS
    (r"(.+d)\+?z(?:\d+[a-z]*)?", r"\1+z"),  # mass and surface of the coat: DX51D+Z275MAC
    (r"(dc0\d)\+?(?:lc|[ab][bgmr]?)", r"\1"),  # surface of cold-rolled sheet: DC01-A-m
    (r"(s\d{3}[a-z]+\d?[a-z]?)\+(?:ar|n|m)", r"\1"),  # condition of delivery: S355J2+AR
)
"""What is written in one word with the name of a grade, and the name alone."""


def plain_name(name: str) -> str:
    """Return a name in one spelling of case and spaces."""
    return "".join(name.split()).lower()


def loose_name(name: str) -> str:
    """
    Give a name without the words and signs that people add or leave out.

    Parameters
    ----------
    name : str
        As it was given: `aluminium 5052`, `EN AW 6061 T6`, `AISI-304`, `St52-3`.

    Returns
    -------
    str
    """
    return _unsigned(_spaced(name)) or plain_name(name)


def spellings(name: str) -> Iterator[str]:
    """
    Yield the possible meanings of a name, in the order of the search.

    Parameters
    ----------
    name : str
        As it was given: `EN 10025-2 S235JR`, `304 2B`, `A5052P`, `DX51D+Z275MAC`, `S355J2+AR`, `C260`.

    Yields
    ------
    str
        Loose names.
    """
    yield loose_name(name)
    spaced = _FINISH.sub("", _spaced(name))
    bare = _unsigned(_STANDARD.sub("", spaced))
    if spaced.startswith("en ") and _STANDARD.match(spaced):
        yield f"enaw{bare}"  # EN 485-2 6061-T6 goes by that standard
    yield bare
    for pattern, fewer in _MORE_THAN_THE_NAME:
        if found := re.fullmatch(pattern, bare):
            yield found.expand(fewer)


def parts_of(name: str) -> list[str]:
    """Return the names combined in one, as `1.4301 (X5CrNi18-10)` or `AISI 304 / 1.4301`; none in a single name."""
    parts = [part.strip() for part in re.split(r"[()/;=]", name) if part.strip()]
    return parts if len(parts) > 1 else []


def _spaced(name: str) -> str:
    """Signs as single spaces, but for a comma within a number, which is its point."""
    pointed = re.sub(r"(?<=\d),(?=\d)", ".", re.sub(r"\[.*?\]", " ", name.lower())).replace("s.s.", "ss")
    return " ".join(re.sub(r"[-_/,]", " ", pointed).split()).replace("en aw ", "enaw ")


def _unsigned(spaced: str) -> str:
    """Without the words that may be left out (where a number is left), and without spaces."""
    fewer = re.sub(r"^(?:ss|sus|aisi) ?(?=\d{3})", "", _SAID_OR_NOT.sub(" ", spaced).strip())
    kept = fewer if re.search(r"\d", fewer) else spaced
    return re.sub(r"[^a-z0-9.+]", "", kept)
