"""Holes for a common bolt: the distance of their axes, and what passes through both."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from formparts.arguments import takes
from formparts.assembly.placing import Assembly, Placed
from formparts.assembly.turned import Turned
from formparts.body import Frame
from formparts.body.frame import Vector, dot
from formparts.errors import InputError
from formparts.quantities import length
from formparts.short_repr import short_repr
from formparts.tolerances import ALIGNED, LENGTH, SAME_AXIS

TOUCHING: Final = 1.0
"""Sheets this close are in contact, or have the play of a lid between them [mm]; common practice, no source.
"""
FITTING: Final = 2.0
"""A hole wider than this many times a pin, or another hole, does not belong to it."""


@dataclass(frozen=True)
class _Round:
    """A hole, or a pin, of a placed part: a stretch of an axis with a diameter."""

    item: str
    name: str
    diameter: float
    pin: bool
    axis: Frame
    depth: float

    @property
    def said(self) -> str:
        return f"{self.item}: {self.name}"


@short_repr
@dataclass(frozen=True)
class Mating:
    """Two coincident holes, or a pin in its hole.

    Parameters
    ----------
    first, second : str
        `ITEM: HOLE`; the second may be a pin, `ITEM: side[1]`.
    offset : float [mm]
        Between the axes, square to them.
    clear : float [mm]
        Diameter of the largest pin that goes through both holes; of a pin in its hole, what is left round it.
    pin : bool
        Whether the second is a pin.
    tolerance : float [mm]
        How far apart the axes may lie.
    place : (x, y, z) [mm]
        On the first axis.
    """

    first: str
    second: str
    offset: float
    clear: float
    pin: bool
    tolerance: float
    place: Vector

    @property
    def ok(self) -> bool:
        """True when the axes are within the tolerance, and a pin has room."""
        return self.offset <= self.tolerance and self.clear >= -LENGTH


@takes(assembly="Assembly")
def matings(assembly: Assembly, tolerance: object = ALIGNED) -> tuple[Mating, ...]:
    """Find coincident round holes of different parts, and pins in holes, and measure their alignment.

    Two holes belong together where their axes are parallel, their sheets touch or are no more than 1 mm apart (or one
    pin goes through both) and they overlap as seen along the axis; each hole goes with the nearest of another part.

    Parameters
    ----------
    assembly : Assembly
        What is looked at.
    tolerance : length [mm]
        How far apart two axes may lie.

    Returns
    -------
    tuple of Mating

    Raises
    ------
    InputError
        The tolerance is not a length of 0 or more.
    """
    within = length(tolerance, "align", assembly.name)
    if within < 0.0:
        raise InputError(assembly.name, "align", within, "is less than nothing", "give 0 mm or more", "mm")
    found = [round_ for item in assembly.items for round_ in _rounds(item)]
    holes, pins = ([each for each in found if each.pin is pin] for pin in (False, True))
    through = {
        (hole, pin): off for hole in holes for pin in pins if (off := _in_line(hole, pin, 0.0)) is not None
    }
    rows = [_with_pin(hole, pin, off, within) for (hole, pin), off in through.items()]
    taken = {hole: {pin for one, pin in through if one is hole} for hole in holes}
    pairs = []
    for one, two in combinations(holes, 2):
        off = _in_line(one, two, math.inf if taken[one] & taken[two] else TOUCHING)
        if off is not None:
            pairs.append((off, one, two))
    return (*_nearest(pairs, within), *rows)


def _nearest(pairs: list[tuple[float, _Round, _Round]], within: float) -> Iterator[Mating]:
    """Each hole with the nearest hole of another part."""
    done: set[tuple[str, str, str]] = set()
    for off, one, two in sorted(pairs, key=lambda pair: (round(pair[0], 6), pair[1].said, pair[2].said)):
        keys = {(one.item, one.name, two.item), (two.item, two.name, one.item)}
        if not done & keys:
            done |= keys
            clear = min(one.diameter, two.diameter, (one.diameter + two.diameter) / 2.0 - off)
            yield Mating(one.said, two.said, off, clear, False, within, one.axis.origin)


def _with_pin(hole: _Round, pin: _Round, off: float, within: float) -> Mating:
    left = hole.diameter - pin.diameter - 2.0 * off
    return Mating(hole.said, pin.said, off, left, True, within, hole.axis.origin)


def _in_line(one: _Round, two: _Round, apart: float) -> float | None:
    """How far two axes lie apart, when the two are of different parts, overlap and are no farther apart along them."""
    small, large = sorted((one.diameter, two.diameter))
    parallel = abs(abs(dot(one.axis.z, two.axis.z)) - 1.0) <= SAME_AXIS**2
    if one.item == two.item or not parallel or large > FITTING * small:
        return None
    z, between = one.axis.z, tuple(b - a for a, b in zip(one.axis.origin, two.axis.origin, strict=True))
    along = math.fsum(a * b for a, b in zip(between, z, strict=True))
    off = math.dist(between, tuple(along * part for part in z))
    ends = (along, along + two.depth * dot(two.axis.z, z))
    gap = max(min(ends) - one.depth, -max(ends))
    # A hole and a pin share a stretch of the axis; two holes follow each other along it.
    near = gap < -LENGTH if two.pin else gap <= apart
    return off if near and off < (one.diameter + two.diameter) / 2.0 else None


def _rounds(item: Placed) -> Iterator[_Round]:
    """The holes and pins of a placed part; z along its axis, from where it begins."""
    if isinstance(item.part, Turned):
        yield from _turned(item, item.part)
        return
    thickness = item.part.sheet.thickness
    for flat in item.part.flats:
        for opening in flat.openings:
            circle = opening.outline.outer.circle
            if circle is not None:
                own = (
                    opening.feature.diameter if opening.feature and opening.feature.kind == "tapped" else 0.0
                )
                axis = item.at(
                    f"{opening.name}.lower"
                )  # z out of the sheet: turned about, it runs through it
                through = Frame(axis.origin, axis.x, _less(axis.y), _less(axis.z))
                yield _Round(item.name, opening.name, max(2.0 * circle[1], own), False, through, thickness)


def _turned(item: Placed, part: Turned) -> Iterator[_Round]:
    if part.bore > 0.0:
        yield _Round(item.name, "bore", part.bore, False, item.frame, part.heights[-1])
    for number, (diameter, long) in enumerate(part.steps):
        foot = item.frame.point((0.0, 0.0), part.heights[number])
        axis = Frame(foot, item.frame.x, item.frame.y, item.frame.z)
        yield _Round(item.name, f"side[{number + 1}]", diameter, True, axis, long)


def _less(vector: Vector) -> Vector:
    return (-vector[0], -vector[1], -vector[2])
