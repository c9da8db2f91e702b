"""The table of materials: every figure of a sheet's material with its standard."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any

from formparts import toml
from formparts.arguments import takes
from formparts.errors import InputError
from formparts.materials.model import THICKEST, THINNEST, Band, Material, plain_figures
from formparts.materials.names import loose_name, parts_of, plain_name, spellings
from formparts.materials.own_file import DENSITY_LIMITS, materials_from, own_named, split_own
from formparts.quantities import density, shown_value, with_unit

BY_HAND = "by hand"
_USUAL = ("steel", "S235JR", "DC01", "DX51D+Z", "1.4301", "5754-H22", "6061-T6", "Cu-ETP", "CuZn37")
"""Examples from the table, to show how names are written."""
_SAME_WORD = {
    "aluminum": "aluminium",
    "alu": "aluminium",
    "inox": "stainless",
    "galvanised": "zinc-coated",
    "galvanized": "zinc-coated",
    "galv": "zinc-coated",
}
_TABLE = Path(__file__).parents[1] / "data" / "materials.toml"


def known_materials() -> tuple[Material, ...]:
    """
    The whole table, in its own order.

    Returns
    -------
    tuple of Material

    Examples
    --------
    >>> len(known_materials()) > 50
    True
    """
    return _table()


def material(name: object) -> Material:
    """
    Find a material by its name, its number or another of its names, in any case.

    Parameters
    ----------
    name : str or Material
        `S235JR`, `1.0038`; or `7850 kg/m3` for a bare density, or `1.4301 at 8000 kg/m3` for a grade with a
        density by hand; or `shop.toml:NAME` for your own in a file. A Material is given back as it is.

    Returns
    -------
    Material

    Raises
    ------
    InputError
        There is no such material, or the density by hand is none.

    Examples
    --------
    >>> material("1.0038").name
    'S235JR'
    """
    if isinstance(name, Material):
        return name
    if not isinstance(name, str):
        raise InputError("material", "name", shown_value(name), "not the name of a material", _all_names())
    grade, at, given_density = (part.strip() for part in name.partition(" at "))
    if at:
        return with_density(_named(grade), given_density)
    return material_of_density(grade) if _is_density(grade) else _named(grade)


@takes(grade="Material")
def with_density(grade: Material, given_density: object) -> Material:
    """
    Give the same material with another density, for instance the one that the drawing reckons with.

    Parameters
    ----------
    grade : Material
        The material to start from.
    given_density : object [kg/m3]
        Bare number in kg/m3, text with a unit, or pint quantity.

    Returns
    -------
    Material
        Its name says the density, and finds it again.

    Raises
    ------
    InputError
        It is not a density, or none that a sheet can have.
    """
    if _is_density(grade.name):
        return material_of_density(given_density)
    value = _density(given_density, grade.name)
    others = tuple(pair for pair in grade.sourced if pair[0] != "density")
    name = f"{grade.name.partition(' at ')[0]} at {_exact_density(value)}"
    return replace(grade, name=name, density=value, sourced=(("density", BY_HAND), *others))


def material_of_density(given_density: object) -> Material:
    """
    Make a material of which only the density is known: enough for a mass, and for nothing else.

    Parameters
    ----------
    given_density : object [kg/m3]
        Bare number in kg/m3, text with a unit, or pint quantity.

    Returns
    -------
    Material

    Raises
    ------
    InputError
        It is not a density, or none that a sheet can have.
    """
    value = _density(given_density, "material")
    description = "a material of which only the density was given"
    return Material(_exact_density(value), value, description=description, sourced=(("density", BY_HAND),))


def figure(grade: Material, name: str, where: str = "") -> float:
    """Return a figure that a calculation requires.

    Parameters
    ----------
    grade : Material
        The material.
    name : str
        `density` [kg/m3], `modulus` [MPa], `poisson` [-], `yield_strength` [MPa], `elongation` [%],
        `tensile_strength_min` [MPa] or `tensile_strength_max` [MPa].
    where : str
        What asks for it.

    Returns
    -------
    float [house unit]

    Raises
    ------
    InputError
        The material has no such figure.
    """
    value = getattr(grade, name, None)
    if isinstance(value, float):
        return value
    having = ", ".join(
        other.name for other in known_materials() if isinstance(getattr(other, name, None), float)
    )
    problem = f"it has no {name.replace('_', ' ')}"
    raise InputError(
        where or "material", "material", grade.name, problem, f"these have it: {having or 'none'}"
    )


def _density(given: object, where: str) -> float:
    return density(given, "density", where, DENSITY_LIMITS)


def _exact_density(value: float) -> str:
    """The density as text that reads back as the very same number."""
    short = with_unit(value, "kg/m3")
    return short if float(short.split()[0]) == value else f"{value!r} kg/m3"


def _is_density(text: str) -> bool:
    """A figure with a unit of density, as in `7850 kg/m3`; 1.0038, 18/10 and 5754/H22 are grades."""
    return text[:1].isdigit() and bool(re.search(r"[a-z] ?/ ?[a-z]", text.lower())) and " at " not in text


def _named(name: str) -> Material:
    path, own = split_own(name)
    if path:
        return _own(path, own)
    if grade := _found(name):
        return grade
    together = list(dict.fromkeys(map(_found, parts_of(name))))
    if len(together) == 1 and together[0] is not None:
        return together[0]
    both = [grade.name for grade in together if grade is not None] if None not in together else []
    several = both or [grade.name for grade in _of_a_kind(name)]
    if several:
        problem = f"that is {len(several)} materials and no grade"
        raise InputError("material", "name", shown_value(name), problem, f"name one: {', '.join(several)}")
    near = get_close_matches(plain_name(name), _index(), n=3, cutoff=0.7)
    names = dict.fromkeys(_index()[word].name for word in near)
    hint = f"did you mean {' or '.join(names)}? " if names else ""
    raise InputError("material", "name", shown_value(name), "there is no such material", hint + _all_names())


def _found(name: str) -> Material | None:
    """The grade of the table by any of its spellings."""
    found = (_index().get(plain_name(name)), *map(_loose_index().get, spellings(name)))
    return next(filter(None, found), None)


def _of_a_kind(words: str) -> Iterator[Material]:
    """The materials whose family and description hold all of these words: `stainless`, `galvanised steel`."""
    hyphened = re.sub(r"\b(cold|hot) rolled\b", r"\1-rolled", words.lower())
    asked = {_SAME_WORD.get(word, word) for word in hyphened.split()}
    for grade in _table() if asked else ():
        if asked <= set(re.findall(r"[a-z-]+", f"{grade.family} {grade.description}")):
            yield grade


def _own(path: str, name: str) -> Material:
    """Your own material of a file, by its name or another of its names."""
    table = materials_from(path)
    found = own_named(table, name)
    if found is not None:
        return found
    known = ", ".join(grade.name for grade in table)
    raise InputError("material", "name", shown_value(name), f"is not in {path}", f"there are: {known}")


def _all_names() -> str:
    names = [grade.name for grade in known_materials()]
    usual = [name for name in _USUAL if name in names]
    more = f"{len(names) - len(usual)} more that `formparts materials` lists"
    return f"there are: {', '.join(usual)} and {more}; or a density such as 7850 kg/m3"


@cache
def _index() -> Mapping[str, Material]:
    """Every name, number and other name; the first in the table has a name that two share."""
    index: dict[str, Material] = {}
    for grade in _table():
        for name in filter(None, (grade.name, grade.standard_number, *grade.aliases)):
            index.setdefault(plain_name(name), grade)
    return index


@cache
def _loose_index() -> Mapping[str, Material]:
    """The same without the words and signs that people add or leave out; a name that two would share finds none."""
    index: dict[str, Material | None] = {}
    for grade in _table():
        for loose in {
            loose_name(name) for name in (grade.name, grade.standard_number, *grade.aliases) if name
        }:
            index[loose] = grade if index.setdefault(loose, grade) == grade else None
    return {loose: grade for loose, grade in index.items() if grade is not None}


@cache
def _table() -> tuple[Material, ...]:
    rows = {row["name"]: row for row in toml.loads(_TABLE.read_text(encoding="utf-8"))["material"]}
    return tuple(_of_row({**rows.get(row.get("like", ""), {}), **row}) for row in rows.values())


def _of_row(row: Mapping[str, Any]) -> Material:
    bands = tuple(_bands(row))
    usual = [band for band in bands if band.over < THICKEST and band.to > THINNEST]
    texts = {key: row[key] for key in ("name", "standard_number", "description", "yield_is")}
    return Material(
        **texts,
        density=float(row["density"]),
        modulus=float(row["modulus"]),
        poisson=float(row["poisson"]),
        **plain_figures(usual, row["yield_is"]),  # type: ignore[arg-type]  # names and kinds are those of the fields
        family=row["family"],
        note=row.get("note", ""),
        colour=tuple(row["colour"]),
        aliases=tuple(row["aliases"]),
        sourced=tuple(row["sources"].items()),
        product=row.get("product", ""),
        bands=bands,
    )


def _bands(row: Mapping[str, Any]) -> Iterator[Band]:
    """The rows of a material by thickness; a single figure is the least, or the most where the key says so."""
    only_most = row["yield_is"] == "most"
    for over, to, *ends in row["yield_strength"]:
        least, most = ends if len(ends) == 2 else (None, ends[0]) if only_most else (ends[0], None)
        yield Band("yield_strength", over, to, _float(least), _float(most))
    for over, to, least, *most in row.get("tensile_strength", ()):
        yield Band("tensile_strength", over, to, float(least), _float(*most))
    for over, to, most in row.get("tensile_strength_most", ()):
        yield Band("tensile_strength", over, to, None, float(most))
    for over, to, least, gauge in row["elongation"]:
        yield Band("elongation", over, to, float(least), gauge=gauge)


def _float(value: float | None = None) -> float | None:
    return None if value is None else float(value)
