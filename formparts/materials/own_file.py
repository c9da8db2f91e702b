"""Your own materials from a TOML file: data only, and every fault reported in one line with its line number."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from formparts import toml
from formparts.arguments import takes
from formparts.errors import InputError
from formparts.materials.model import GREY, Band, Material
from formparts.materials.names import plain_name
from formparts.quantities import POSITIVE, Limits, density, length, number, quantity, shown_value
from formparts.tolerances import THICKEST_SHEET

DENSITY_LIMITS = Limits(minimum=500.0, maximum=23000.0)
"""Lighter than any sheet that is bent, and heavier than the densest metal (osmium, 22590 kg/m3): what lies
outside was meant in another unit."""

LARGEST_FILE = 1_000_000
"""A larger file [byte] is not a table of materials."""

_FIGURES: Mapping[str, Callable[[object, str, str], float]] = {
    "density": lambda value, name, where: density(value, name, where, DENSITY_LIMITS),
    "modulus": lambda value, name, where: quantity(value, "stress", name, where, POSITIVE),
    "poisson": lambda value, name, where: number(value, name, where, Limits(minimum=0.0, maximum=0.5)),
    "yield_strength": lambda value, name, where: quantity(value, "stress", name, where, POSITIVE),
    "tensile_strength": lambda value, name, where: quantity(value, "stress", name, where, POSITIVE),
    "elongation": lambda value, name, where: number(value, name, where, Limits(minimum=0.0, maximum=100.0)),
}
_SOURCED = (*_FIGURES, "thickness_deviation")
_TEXTS = ("name", "standard_number", "description", "family", "note", "yield_is", "product", "source")
_LISTS = ("aliases", "colour", "tensile_strength", "thickness_deviation", "sources")
_KEYS = (*_TEXTS, *_LISTS, *_FIGURES)
_YIELD_IS = ("least", "most", "typical")


@dataclass(frozen=True)
class _Row:
    """One [[material]] of a file: its keys, and their line numbers."""

    path: str
    values: Mapping[str, Any]
    lines: Mapping[str, int]

    def where(self, key: str) -> str:
        """The file and the line of a key; the head of the table where the key is not there."""
        return f"{self.path} line {self.lines.get(key, self.lines[''])}"


@takes(path=("str", "Path"))
def materials_from(path: str | Path) -> tuple[Material, ...]:
    """
    Read your own materials from a TOML file.

    Each `[[material]]` has a `name` and a `density`, and any of `standard_number`, `description`, `aliases`,
    `family`, `modulus`, `poisson`, `yield_strength`, `yield_is`, `tensile_strength` (one figure, or [least,
    most]), `elongation`, `note`, `colour`, `product` (as `cold-rolled steel`: the standard of which sets the thickness
    deviation) or `thickness_deviation` (one figure, or rows [over, up to, deviation] of thickness), and `source` (for
    all its figures) or a table `sources` (one for each). Bare numbers are in kg/m3, MPa, % and mm; text may have a
    unit, as "210 GPa".

    Parameters
    ----------
    path : str or Path
        The file, in UTF-8.

    Returns
    -------
    tuple of Material
        In the order of the file.

    Raises
    ------
    InputError
        The file cannot be read or is not TOML, or an entry is not what it should be; with the line.
    """
    text = _text(str(path))
    rows = list(_rows(str(path), text))
    if not rows:
        raise _bad(str(path), "material", "none", "the file has no [[material]]", "give at least one")
    table = tuple(map(_material, rows))
    seen: set[str] = set()
    for row, grade in zip(rows, table, strict=True):
        names = {plain_name(name): name for name in (*grade.aliases, grade.name)}
        for twice in seen & names.keys():
            raise _bad(row.where("name"), "name", names[twice], "is there twice", "give each its own name")
        seen |= names.keys()
    return table


def split_own(name: str) -> tuple[str, str]:
    """
    Cut `shop.toml:NAME` into the path of a file and the name of a material in it; the path is empty otherwise.

    Parameters
    ----------
    name : str
        What was given as a material's name.

    Returns
    -------
    (str, str)
    """
    found = re.fullmatch(r"(.+\.toml)\s*:(.+)", name.strip(), re.IGNORECASE | re.DOTALL)
    return (found[1].strip(), found[2].strip()) if found else ("", name)


def own_named(table: tuple[Material, ...], name: str) -> Material | None:
    """The material of that name, or with that other name; None when there is none."""
    return next(
        (grade for grade in table if plain_name(name) in map(plain_name, (grade.name, *grade.aliases))), None
    )


def _text(path: str) -> str:
    try:
        if Path(path).is_file() and Path(path).stat().st_size > LARGEST_FILE:
            raise _bad(path, "size", "too large", "is not a table of materials", "at most 1 MB is read")
        return Path(path).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        cause = (
            (error.strerror or "unknown cause").lower() if isinstance(error, OSError) else "not UTF-8 text"
        )
        fix = "give the path of a TOML file of materials"
        raise _bad("materials", "path", path, f"cannot be read: {cause}", fix) from None


def _bad(where: str, parameter: str, value: object, problem: str, fix: str) -> InputError:
    return InputError(where, parameter, value, problem, fix)


def _rows(path: str, text: str) -> Iterator[_Row]:
    try:
        document = toml.loads(text)
    except (toml.TOMLDecodeError, RecursionError) as error:
        raise _syntax(path, str(error)) from None
    other = [key for key in document if key != "material"]
    entries = document.get("material", [])
    if other or not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        key = other[0] if other else "material"
        opens = re.compile(rf"\s*\[*\s*[\"']?{re.escape(key)}\b")
        line = next((n for n, row in enumerate(text.splitlines(), 1) if opens.match(row)), 1)
        raise _bad(f"{path} line {line}", "key", key, "is not known here", "write [[material]] before each")
    yield from (
        _Row(path, entry, lines) for entry, lines in zip(entries, _lines(text, len(entries)), strict=True)
    )


def _syntax(path: str, said: str) -> InputError:
    """Return the TOML reader's message, with its line number in front."""
    found = re.search(r"\s*\(at (?:line (\d+), column \d+|end of document)\)", said)
    where = f"{path} line {found[1]}" if found and found[1] else f"{path} at its end" if found else path
    problem = said[: found.start()] if found else said
    return _bad(where, "text", "unreadable", f"is not TOML: {problem.lower()}", "see toml.io for its rules")


def _lines(text: str, count: int) -> list[dict[str, int]]:
    """For each entry the line of its head (under "") and of each of its keys."""
    found: list[dict[str, int]] = []
    for line_number, line in enumerate(text.splitlines(), 1):
        if re.match(r"\s*\[\[\s*material\s*\]\]", line):
            found.append({"": line_number})
        elif found and (
            key := re.match(r"""\s*(?:\[\s*material\s*\.\s*)?["']?([\w-]+)["']?\s*[\].=]""", line)
        ):
            found[-1].setdefault(key[1], line_number)
    # Entries that are written in another way (`material = [{...}]`) are reported for the top of the file.
    return found if len(found) == count else [{"": 1}] * count


def _material(row: _Row) -> Material:
    for key in row.values:
        if key not in _KEYS:
            near = get_close_matches(key, _KEYS, n=1)
            hint = f"did you mean {near[0]}?" if near else f"one of {', '.join(dict.fromkeys(_KEYS))}"
            raise _bad(row.where(key), "key", key, "is not known", hint)
    for key in ("name", "density"):
        if key not in row.values:
            raise _bad(row.where(key), key, "none", "is missing", "every material has a name and a density")
    texts = {key: _word(row, key) for key in _TEXTS if key in row.values}
    source = texts.pop("source", f"your own, {Path(row.path).name}")
    figures = {
        key: _figure(row, key, row.values[key])
        for key in _FIGURES
        if key in row.values and key != "tensile_strength"
    }
    least, most = _tensile(row)
    sources = _sources(row, source)
    return Material(
        **{**texts, **figures},  # type: ignore[arg-type]  # every key was checked above
        tensile_strength_min=least,
        tensile_strength_max=most,
        aliases=_aliases(row),
        colour=_colour(row),
        bands=_deviations(row),
        sourced=tuple(sources.items()),
    )


def _word(row: _Row, key: str) -> str:
    value = row.values[key]
    if not isinstance(value, str) or not value.strip() or len(value) > 200 or not value.isprintable():
        raise _bad(
            row.where(key), key, shown_value(value), "is not a short text on one line", "write it in quotes"
        )
    if key == "yield_is" and value not in _YIELD_IS:
        raise _bad(row.where(key), key, value, "is not known", f"one of {', '.join(_YIELD_IS)}")
    if key == "name" and (" at " in value or "/" in value or ":" in value):
        raise _bad(
            row.where(key), key, value, "could be taken for a density or a path", "no /, no : and no ' at '"
        )
    return value.strip()


def _figure(row: _Row, key: str, value: object) -> float:
    return _FIGURES[key](value, key, row.where(key))


def _tensile(row: _Row) -> tuple[float | None, float | None]:
    """One figure is the least; two are the least and the most."""
    given = row.values.get("tensile_strength")
    if given is None:
        return None, None
    both = given if isinstance(given, list) else [given]
    if len(both) not in (1, 2):
        raise _bad(
            row.where("tensile_strength"), "tensile_strength", shown_value(given), "is not one or two figures",
            "write [least, most]",
        )  # fmt: skip
    least, most = (*(_figure(row, "tensile_strength", value) for value in both), None)[:2]
    if least is not None and most is not None and most < least:
        raise _bad(
            row.where("tensile_strength"), "tensile_strength", shown_value(given), "has its least above its most",
            "swap them",
        )  # fmt: skip
    return least, most


def _deviations(row: _Row) -> tuple[Band, ...]:
    """How far the thickness may be off: one figure for every sheet, or rows of thickness."""
    name = "thickness_deviation"
    given = row.values.get(name)
    rows = [] if given is None else given if isinstance(given, list) else [[0.0, THICKEST_SHEET, given]]
    where = row.where(name)
    if not all(isinstance(each, list) and len(each) == 3 for each in rows):
        problem = "is neither a figure nor rows of three"
        raise _bad(where, name, shown_value(given), problem, "write [[over, up to, deviation], ...]")
    found = []
    for over, to, value in rows:
        first, last = length(over, name, where, Limits(minimum=0.0)), length(to, name, where, POSITIVE)
        if last <= first:
            raise _bad(where, name, shown_value(given), "has a row that ends before it begins", "swap them")
        found.append(Band(name, first, last, most=length(value, name, where, Limits(above=0.0, below=last))))
    return tuple(found)


def _aliases(row: _Row) -> tuple[str, ...]:
    given = row.values.get("aliases", [])
    if not isinstance(given, list) or not all(isinstance(name, str) and name.strip() for name in given):
        raise _bad(
            row.where("aliases"), "aliases", shown_value(given), "is not a list of names", 'write ["A", "B"]'
        )
    return tuple(name.strip() for name in given)


def _colour(row: _Row) -> tuple[float, float, float]:
    given = row.values.get("colour", list(GREY))
    if not isinstance(given, list) or len(given) != 3 or not all(_is_part(part) for part in given):
        raise _bad(
            row.where("colour"), "colour", shown_value(given), "is not red, green and blue from 0 to 1",
            "write [0.6, 0.6, 0.7]",
        )  # fmt: skip
    red, green, blue = map(float, given)
    return red, green, blue


def _is_part(part: object) -> bool:
    return isinstance(part, (int, float)) and not isinstance(part, bool) and 0 <= part <= 1


def _sources(row: _Row, source: str) -> dict[str, str]:
    """For each figure that is given its own source, or the one for all."""
    given = row.values.get("sources", {})
    if not isinstance(given, dict) or not all(isinstance(text, str) for text in given.values()):
        raise _bad(
            row.where("sources"),
            "sources",
            shown_value(given),
            "is not a table of texts",
            "one for each figure",
        )
    for key in given:
        if key not in _SOURCED or key not in row.values:
            raise _bad(
                row.where("sources"), "sources", key, "is not a figure of this material", "leave it out"
            )
    return {key: given.get(key, source) for key in _SOURCED if key in row.values}
