"""The position of a part in the tools: bends on one line made together, all else made already or still flat."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from formparts.body import Bend, Body, bends_on
from formparts.body.frame import Frame, bend_frame, frame_across, inverse
from formparts.layout import BendMark, Blank
from formparts.outline.edges import Motion, cos_deg, sin_deg
from formparts.planning.cells import Cell, cells_of, ring_cells
from formparts.short_repr import short_repr
from formparts.tolerances import UPRIGHT

COLLINEAR = 0.05
"""Bend lines farther apart than this are not bent together [mm]: half the accuracy of a stop."""

Interval = tuple[float, float]


@dataclass(frozen=True)
class Link:
    """The connection of a flat to the bend line: the flat and bend before it, its side, and the bends that move it."""

    flat: str
    before: str
    bend: int
    way: Bend
    side: int
    mask: int


@dataclass(frozen=True)
class Stand:
    """
    A part with some bends on one line under the punch.

    The frame is that of the tools: x along the bend line, y to the side of the first bend's parent, z up, the
    hollow side of the bend up; x = 0 at the start of the first bend.

    Parameters
    ----------
    members : tuple of int
        The operations made together: bends by their number in the body, closings of hems after them.
    starts : mapping of str to (int, Frame)
        The two flats at the first bend: side (1 the parent's, -1 the child's) and position relative to its line.
    links : tuple of Link
        All other flats, each after the one it hangs on.
    bends : frozenset of int
        The bends that are made or closed, by their number in the body.
    """

    members: tuple[int, ...]
    starts: Mapping[str, tuple[int, Frame]]
    links: tuple[Link, ...]
    bends: frozenset[int]
    _poses: dict[Any, Frame] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def masks(self) -> dict[str, int]:
        """The bends that move a flat relative to the line."""
        return dict.fromkeys(self.starts, 0) | {link.flat: link.mask for link in self.links}

    @cached_property
    def sides(self) -> dict[str, int]:
        """The side of the line on which a flat is."""
        return {name: side for name, (side, _) in self.starts.items()} | {
            link.flat: link.side for link in self.links
        }


@short_repr
@dataclass(frozen=True)
class PartModel:
    """
    A part in the form of the planner: convex cells of its flats and bends, and each bend made or still flat.

    Parameters
    ----------
    body : Body
        The part.
    blank : Blank
        Its blank.
    allowances : tuple of float [mm]
        Developed length of each bend.
    cells : mapping of str to cells
        By flat.
    acute : mapping of int to (float, float) [deg, mm]
        The bends that are made in two operations: angle and inside radius between the two.
    """

    body: Body
    blank: Blank
    allowances: tuple[float, ...]
    cells: Mapping[str, tuple[Cell, ...]]
    acute: Mapping[int, tuple[float, float]] = field(default_factory=dict)
    memo: dict[Any, Any] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def bend_of(self) -> tuple[int, ...]:
        """The bend of each operation: all bends in order, then those that are closed in a second operation."""
        return (*range(len(self.body.bends)), *self.acute)

    @cached_property
    def closing_of(self) -> dict[int, int]:
        """Return the operation that closes a bend."""
        return {bend: len(self.body.bends) + place for place, bend in enumerate(self.acute)}

    @property
    def everything(self) -> int:
        """All operations, as bits."""
        return (1 << len(self.bend_of)) - 1

    def bend(self, operation: int) -> Bend:
        """Return the bend of an operation."""
        return self.body.bends[self.bend_of[operation]]

    def mark(self, operation: int) -> BendMark:
        """Return the same on the blank."""
        return self.blank.bends[self.bend_of[operation]]

    def bits(self, bend: int) -> int:
        """Return the operations of a bend, as bits."""
        return 1 << bend | (1 << self.closing_of[bend] if bend in self.closing_of else 0)

    def shape(self, bend: int, made: int) -> tuple[float, float] | None:
        """Return angle and inside radius of a bend as it is; None while it is flat."""
        if not made >> bend & 1:
            return None
        closing = self.closing_of.get(bend)
        if closing is not None and not made >> closing & 1:
            return self.acute[bend]
        return self.body.bends[bend].angle, self.body.bends[bend].inside_radius

    @cached_property
    def number(self) -> dict[str, int]:
        """Number of each bend, by its name."""
        return {bend.name: place for place, bend in enumerate(self.body.bends)}


def part_model(body: Body, blank: Blank) -> PartModel:
    """Return the cells of all flats, and the developed length of each bend."""
    cells = {flat.name: cells_of(flat.net) for flat in body.flats}
    return PartModel(body, blank, tuple(mark.allowance for mark in blank.bends), cells)


def stand(model: PartModel, members: tuple[int, ...]) -> Stand:
    """Return the part with these bends on the line; the bends must be on one line (`together`)."""
    key = ("stand", members)
    if key not in model.memo:
        model.memo[key] = _stand(model, members)
    found: Stand = model.memo[key]
    return found


def _stand(model: PartModel, members: tuple[int, ...]) -> Stand:
    bend = model.bend(members[0])
    turn = (
        Frame()
        if bend.side == "up"
        else Frame((0.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, -1.0))
    )
    starts = {
        flat: (side, Frame().moved_in_plane(inverse(bend_frame(*line))).inside(turn))
        for flat, line, side in ((bend.parent, bend.parent_line, 1), (bend.child, bend.child_line, -1))
    }
    bends = frozenset(model.bend_of[member] for member in members)
    return Stand(members, starts, tuple(_links(model, starts, bends)), bends)


def _links(
    model: PartModel, starts: Mapping[str, tuple[int, Frame]], bends: frozenset[int]
) -> Iterator[Link]:
    masks = dict.fromkeys(starts, 0)
    todo = [(name, side) for name, (side, _) in starts.items()]
    while todo:
        name, side = todo.pop(0)
        for way in bends_on(model.body, name):
            if way.child in masks:
                continue
            number = model.number[way.name]
            crossed = number in bends
            masks[way.child] = masks[name] | (0 if crossed else model.bits(number))
            beyond = -side if crossed else side
            yield Link(way.child, name, number, way, beyond, masks[way.child])
            todo.append((way.child, beyond))


def pose(model: PartModel, at: Stand, flat: str, made: int) -> Frame:
    """Return the position of a flat relative to the line, as if its own side of it were level."""
    links = model.memo.setdefault(("links", at.members), {link.flat: link for link in at.links})
    if flat in at.starts:
        return at.starts[flat][1]
    link: Link = links[flat]
    key = (flat, made & link.mask)
    if key not in at._poses:
        step = _across(model, link.way, model.shape(link.bend, made), link.bend in at.bends)
        at._poses[key] = step.inside(pose(model, at, link.before, made))
    return at._poses[key]


def _across(model: PartModel, way: Bend, shape: tuple[float, float] | None, crossed: bool) -> Frame:
    """Return the position of the flat beyond a bend on the flat before it.

    Level and without its strip across the line.
    """
    key = ("across", way.name, way.child, shape, crossed)
    if key not in model.memo:
        half = model.body.sheet.thickness / 2.0
        if shape is not None and not crossed:
            angle, radius = shape
            up = way.side == "up"
            found = frame_across(Frame(), way.parent_line, way.child_line, angle, radius + half, up)
        else:
            strip = 0.0 if crossed else model.allowances[model.number[way.name]]
            across = bend_frame(*way.parent_line).after(Motion.shift(0.0, -strip))
            found = Frame().moved_in_plane(across.after(inverse(bend_frame(*way.child_line))))
        model.memo[key] = found
    known: Frame = model.memo[key]
    return known


def together(model: PartModel, at: Stand, made: int) -> bool:
    """True when all bends of a position lie on one line, hollow side up, with these bends made."""
    return all(_on_line(spot, way, -beyond) for spot, way, beyond in _spots(model, at, made))


def _spots(model: PartModel, at: Stand, made: int) -> Iterator[tuple[Frame, Bend, int]]:
    """Return each further bend: its line on the flat from which it is reached, and the side beyond it."""
    for link in at.links:
        if link.bend in at.bends:
            line = Frame().moved_in_plane(bend_frame(*link.way.parent_line))
            yield line.inside(pose(model, at, link.before, made)), link.way, link.side


def _on_line(spot: Frame, way: Bend, side: int) -> bool:
    """True when the line lies on that of the first bend, its flat on its own side, and the hollow side is up."""
    _, y, z = spot.origin
    hollow = 1.0 if way.side == "up" else -1.0
    level = spot.y[1] * side > 1.0 - UPRIGHT and spot.z[2] * hollow > 1.0 - UPRIGHT
    return level and max(abs(y), abs(z)) <= COLLINEAR


def spans(model: PartModel, at: Stand, made: int) -> list[Interval]:
    """Return the stretches of the line that are bent, in order."""
    first = model.bend(at.members[0])
    sign = 1.0 if first.side == "up" else -1.0
    low, high = _bent(first)
    found = [_sorted(sign * low, sign * high)]
    for spot, way, _ in _spots(model, at, made):
        found.append(_sorted(*(spot.origin[0] + spot.x[0] * end for end in _bent(way))))
    return sorted(found)


def _bent(bend: Bend) -> Interval:
    """Return the extent of material in the middle of a bend's strip: slanted ends leave less than its width."""
    middle = -bend.developed / 2.0
    sides = ((*edge.start, *edge.end) for net in bend.nets for edge in net.edges) if bend.openings else ()
    ends = [
        x0 + (x1 - x0) * (middle - y0) / (y1 - y0)
        for x0, y0, x1, y1 in sides
        if min(y0, y1) < middle < max(y0, y1)
    ]
    return (min(ends), max(ends)) if len(ends) > 1 else (0.0, bend.width)


def _sorted(one: float, two: float) -> Interval:
    return (one, two) if one <= two else (two, one)


@dataclass(frozen=True)
class Swing:
    """
    The positions of the two sides of a line at one angle of the bend.

    Parameters
    ----------
    angle : float [deg]
        Bend angle that is reached.
    tip : float [mm]
        Height of the punch's tip, from the top of the die.
    wings : mapping of int to Frame
        By side: the position of what is level in `pose`.
    """

    angle: float
    tip: float
    wings: Mapping[int, Frame]


def swing(
    angle: float, radius: float, thickness: float, allowance: float, full: float, die: Any, tip_radius: float
) -> Swing:
    """
    Return a bend of `full` deg at an intermediate `angle`: the sheet rests on both shoulders of the die.

    The strip keeps its length; its radius decreases to the bend's own.
    """
    half = thickness / 2.0
    if angle <= 0.0:
        level = {side: Frame((0.0, side * allowance / 2.0, half)) for side in (1, -1)}
        return Swing(0.0, thickness, level)
    turn = angle / 2.0
    sin, cos = sin_deg(turn), cos_deg(turn)
    middle = max(radius + half + allowance * (1.0 / math.radians(angle) - 1.0 / math.radians(full)), half)
    shoulder = die.shoulder_radius
    apex = shoulder / cos - shoulder - die.shoulder * sin / cos
    centre = apex + (middle + half) / cos
    round_ = max(middle - half, tip_radius)
    tip = apex + thickness / cos + round_ * (1.0 / cos - 1.0)
    wings = {
        side: Frame(
            (0.0, side * middle * sin, centre - middle * cos),
            (1.0, 0.0, 0.0),
            (0.0, cos, side * sin),
            (0.0, -side * sin, cos),
        )
        for side in (1, -1)
    }
    return Swing(angle, tip, wings)


def bend_cells(model: PartModel, bend: Bend, shape: tuple[float, float] | None) -> tuple[Cell, ...]:
    """Return the end of a bend, or of its strip, in the plane across its line: y away from the parent, z up."""
    thickness = model.body.sheet.thickness
    if shape is None:
        half, strip = thickness / 2.0, model.allowances[model.number[bend.name]]
        return (((-strip, -half), (0.0, -half), (0.0, half), (-strip, half)),)
    angle, inner = shape
    cells = ring_cells(inner, inner + thickness, math.radians(angle))
    sense = 1.0 if bend.side == "up" else -1.0
    rise = inner + thickness / 2.0
    return tuple(tuple((y, sense * (z + rise)) for y, z in cell) for cell in cells)  # type: ignore[misc]
