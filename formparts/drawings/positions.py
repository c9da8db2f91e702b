"""Tolerances of position: which openings have one, and the frame beside their size."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from formparts.drawings.curves import TABLE, Plain, Words, circle, line, text_width
from formparts.drawings.sketch import Dimension, DimensionList, SketchFlat
from formparts.errors import InputError
from formparts.outline import Point

_FIX = "write NAME WIDTH for each, as position=foot_hole 0.4, head_slot 0.6"
_LOCATING = ("distance", "pitch", "pitch circle", "angle")


def positions_of(text: str) -> dict[str, float]:
    """Return the diameter of the zone in which the centres of openings must lie [mm], by opening name."""
    found: dict[str, float] = {}
    for part in filter(None, (each.strip() for each in text.split(","))):
        name, _, width = part.rpartition(" ")
        try:
            value = float(width)
        except ValueError:
            value = 0.0
        if not name or not 0.0 < value < 1e3:
            raise InputError("drawing", "position", part, "is not a tolerance of position", _FIX)
        found[name.strip()] = value
    return found


def with_positions(found: DimensionList, positions: Mapping[str, float]) -> DimensionList:
    """Return the list with those tolerances at the sizes of their openings, and their locations exact."""
    if not positions:
        return found
    flats = (*found.flats, *found.in_bends)
    names = {name for flat in flats for hole in flat.holes for name in _names(hole.tags)}
    for name in positions:
        if name not in names:
            there = ", ".join(sorted(each for each in names if "[" not in each)) or "none"
            raise InputError(
                "drawing", "position", name, "is not the name of an opening", f"there are: {there}"
            )
    given = {flat.name: _given(flat, positions) for flat in flats}
    of = {flat.name: flat for flat in flats}
    dimensions = tuple(
        _with_position(one, of[one.flat], given[one.flat]) if given.get(one.flat) else one
        for one in found.dimensions
    )
    return replace(found, dimensions=dimensions)


def _names(tags: Sequence[str]) -> Iterator[str]:
    """Return the names that an opening may be called by: the start of its edges' names, with and without an index."""
    for tag in tags:
        for text in (tag, re.sub(r"\[\d+\]", "", tag)):
            parts = text.removesuffix(".wall").split(".")
            yield from (".".join(parts[:n]) for n in range(1, len(parts) + 1))


def _given(flat: SketchFlat, positions: Mapping[str, float]) -> dict[str, float]:
    """Return the tolerance of each opening of a flat that has one; equal openings in one callout must all have it."""
    found = {
        hole.name: positions[name] for hole in flat.holes for name in _names(hole.tags) if name in positions
    }
    for size in {hole.size for hole in flat.holes if hole.name in found}:
        same = [hole for hole in flat.holes if hole.size == size]
        if len({found.get(hole.name, 0.0) for hole in same}) > 1:
            names = ", ".join(hole.tags[0].removesuffix(".wall") for hole in same)
            problem = f"{len(same)} equal openings of {flat.name} are dimensioned together"
            raise InputError("drawing", "position", names, problem, "give all of them the same")
    return found


def _with_position(one: Dimension, flat: SketchFlat, given: Mapping[str, float]) -> Dimension:
    heads = {target.partition("|")[2].partition(".")[0] for target in one.targets}
    sizes = {hole.size: given[hole.name] for hole in flat.holes if hole.name in given}
    rows = {each.name for each in flat.patterns if each.members and set(each.members) <= set(given)}
    if one.what in ("diameter", "length") and heads & set(sizes):
        return replace(one, position=sizes[(heads & set(sizes)).pop()])
    if one.what in _LOCATING and heads and heads <= set(given) | rows:
        return replace(one, exact=True, tolerance="")
    return one


def control_cells(width: str, letters: Sequence[str]) -> tuple[str, ...]:
    """Return the cells of a frame after the symbol: the zone, then the datums."""
    return (f"Ø{width}", *letters)


def control_size(cells: Sequence[str], height: float) -> tuple[float, float]:
    """Return the width and height of a frame [mm]."""
    return (2.0 * height + sum(text_width(each, height) + height for each in cells), 2.0 * height)


def control_frame(cells: Sequence[str], corner: Point, height: float) -> Iterator[Plain]:
    """Draw a frame from its lower left corner: the symbol of position, the zone, the datums (ISO 1101, from memory)."""
    x, y = corner
    wide, tall = control_size(cells, height)
    yield circle((x + height, y + height), 0.5 * height, TABLE)
    yield line((x + 0.3 * height, y + height), (x + 1.7 * height, y + height), TABLE)
    yield line((x + height, y + 0.3 * height), (x + height, y + 1.7 * height), TABLE)
    yield from (line((x, y + up), (x + wide, y + up), TABLE) for up in (0.0, tall))
    yield line((x, y), (x, y + tall), TABLE)
    left = x + 2.0 * height
    for each in cells:
        yield line((left, y), (left, y + tall), TABLE)
        yield Words(each, (left + 0.5 * height, y + 0.6 * height), height)
        left += text_width(each, height) + height
    yield line((left, y), (left, y + tall), TABLE)
