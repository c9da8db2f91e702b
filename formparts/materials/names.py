"""How people spell a material: names that are told apart neither by signs nor by the words written beside them."""

from __future__ import annotations

import re
from collections.abc import Iterator

_SAID_OR_NOT = re.compile(
    r"\b(?:aluminium|aluminum|alu|al|stainless|steel|inox|titanium|alloy|sheet|plate|strip|grade|type|werkstoff|"
    r"aisi|astm|sae|uns|jis|din|en|bs|mat|wnr|w\.? ?nr)\b\.?(?![\w.])"
)
"""Words that are written before the name of a grade, or left out."""
_STANDARD = re.compile(
    r"^(?:en|din|bs|ns|jis|iso|astm)(?: (?:en|iso|[a-z]))* \d{3,5}(?: \d)?(?: \d{4})? (?=\S)"
)
"""The standard before the grade, as in `EN 10025-2 S235JR`."""
_FINISH = re.compile(r" (?:1d|2b|2d|2r|ba|2g|2j|2k)$")
"""Surface of stainless sheet behind the grade (EN 10088-2, table of finishes)."""


def plain_name(name: str) -> str:
    """Case and spaces do not tell materials apart."""
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
    Give what a name may stand for, in the order in which it is looked for.

    Parameters
    ----------
    name : str
        As it was given: `EN 10025-2 S235JR`, `304 2B`, `AA5052`, `A5052P`, `A95052`, `C260`.

    Yields
    ------
    str
        Loose names.
    """
    loose = loose_name(name)
    yield loose
    yield loose.removeprefix("enaw")
    bare = _FINISH.sub("", _STANDARD.sub("", _spaced(name)))
    yield _unsigned(bare)
    if number := re.fullmatch(r"(?:aa|a9|a)(\d{4})p?([a-z]*\d*)", _unsigned(bare)):
        yield number[1] + number[2]
    if copper := re.fullmatch(r"c\d{3}", loose):
        yield f"{copper[0]}00"


def _spaced(name: str) -> str:
    """Signs as single spaces, but for a comma within a number, which is its point."""
    pointed = re.sub(r"(?<=\d),(?=\d)", ".", name.lower()).replace("s.s.", "ss")
    return " ".join(re.sub(r"[-_/,]", " ", pointed).split()).replace("en aw ", "enaw ")


def _unsigned(spaced: str) -> str:
    """Without the words that may be left out (where a number is left), and without spaces."""
    fewer = re.sub(r"^(?:ss|sus|aisi) ?(?=\d{3})", "", _SAID_OR_NOT.sub(" ", spaced).strip())
    kept = fewer if re.search(r"\d", fewer) else spaced
    return re.sub(r"[^a-z0-9.+]", "", kept)
