"""Bends that can be made together, the direction of each line on the blank, and the symmetries of the blank."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

from formparts.layout import BendMark, Blank
from formparts.outline.edges import Motion, Point
from formparts.planning.stand import PartModel, stand, together
from formparts.tolerances import ANGLE_DEG, LENGTH, SYMMETRIC


def groups_of(blank: Blank) -> tuple[tuple[int, ...], ...]:
    """Return bends on one line of the blank, with one direction, angle and radius, by number."""
    left = list(range(len(blank.bends)))
    found = []
    while left:
        first = left[0]
        group = tuple(n for n in left if n == first or _on_one_line(blank.bends[first], blank.bends[n]))
        left = [n for n in left if n not in group]
        found.append(group)
    return tuple(found)


def _on_one_line(one: BendMark, two: BendMark) -> bool:
    """True for bends on one line and formed alike; which of the flats is the parent does not matter."""
    alike = (
        one.side == two.side
        and abs(one.angle - two.angle) <= ANGLE_DEG
        and abs(one.inside_radius - two.inside_radius) <= LENGTH
    )
    return alike and max(abs(_off(one, two.start)), abs(_off(one, two.end))) <= LENGTH


def _off(mark: BendMark, point: Point) -> float:
    (x0, y0), (x1, y1) = mark.start, mark.end
    return ((x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)) / mark.length


def groups_with_closings(model: PartModel) -> tuple[tuple[int, ...], ...]:
    """Return the same, followed by the closings of hems on one line."""
    found = groups_of(model.blank)
    closings = (tuple(model.closing_of[n] for n in group if n in model.closing_of) for group in found)
    return (*found, *filter(None, closings))


def can_begin(model: PartModel, operation: int, made: int) -> bool:
    """True when an operation is not made yet, but everything that must come before it is."""
    bend = model.bend_of[operation]
    return not made >> operation & 1 and (bend == operation or bool(made >> bend & 1))


def can_be_last(model: PartModel, operation: int, bent: int) -> bool:
    """True when an operation is made, and none that depends on it."""
    closing = model.closing_of.get(operation)
    return bool(bent >> operation & 1) and (closing is None or not bent >> closing & 1)


def steps_now(model: PartModel, groups: Sequence[tuple[int, ...]], made: int) -> Iterator[tuple[int, ...]]:
    """Return all possible steps: of each group the bends that are on one line in the part's present state."""
    for group in groups:
        left = [number for number in group if can_begin(model, number, made)]
        while left:
            members = _with_first(model, left, made)
            left = [number for number in left if number not in members]
            yield members


def _with_first(model: PartModel, left: list[int], made: int) -> tuple[int, ...]:
    key = ("with", tuple(left), made if len(left) > 1 else 0)
    if key not in model.memo:
        members: tuple[int, ...] = (left[0],)
        for number in left[1:]:
            wider = (*members, number)
            if together(model, stand(model, wider), made):
                members = wider
        model.memo[key] = members
    found: tuple[int, ...] = model.memo[key]
    return found


def back_of(mark: BendMark, side: int) -> int:
    """Return the direction on the blank to the back of the machine, in thousandths of a degree from its x axis."""
    (x0, y0), (x1, y1) = mark.start, mark.end
    left = math.degrees(math.atan2(x1 - x0, -(y1 - y0)))
    return round((left if side > 0 else left + 180.0) * 1000.0) % 360_000


@dataclass(frozen=True)
class Symmetry:
    """A symmetry of a blank.

    Parameters
    ----------
    bends : tuple of int
        The bend onto which each bend is mapped.
    turn : float [thousandths of a degree]
        Rotation of directions.
    mirrored : bool
        True when they are mirrored in the x axis first.
    """

    bends: tuple[int, ...]
    turn: int
    mirrored: bool

    def made(self, bits: int) -> int:
        """Return the image of a set of bends."""
        return sum(1 << to for number, to in enumerate(self.bends) if bits >> number & 1)

    def back(self, way: int) -> int:
        """Return the image of a direction."""
        return (self.turn + (-way if self.mirrored else way)) % 360_000


def symmetries_of(model: PartModel) -> tuple[Symmetry, ...]:
    """Return the symmetries of the blank, with the closings of its hems."""
    if not model.acute:
        return symmetries(model.blank)
    found = []
    for way in symmetries(model.blank):
        images = [way.bends[bend] for bend in model.acute]
        if all(image in model.closing_of for image in images):
            closings = (model.closing_of[image] for image in images)
            found.append(replace(way, bends=(*way.bends, *closings)))
    return tuple(found)


def symmetries(blank: Blank) -> tuple[Symmetry, ...]:
    """Return all rotations and reflections that map a blank and its bends onto themselves, the identity first."""
    marks = blank.bends
    still = Symmetry(tuple(range(len(marks))), 0, False)
    if len(marks) < 2:
        return (still,)
    centre = _centre(blank)
    first = marks[0]
    found = [still]
    for mark, mirrored, way in product(marks, (False, True), (1, -1)):
        motion = _motion(first, mark, centre, mirrored, way)
        bends = None if motion is None else _onto(blank, motion)
        if motion is not None and bends is not None:
            turn = round(math.degrees(math.atan2(motion.c, motion.a)) * 1000.0) % 360_000
            one = Symmetry(bends, turn, mirrored)
            if one not in found:
                found.append(one)
    return tuple(found)


def _centre(blank: Blank) -> Point:
    x, y = blank.outline.first_moments
    return x / blank.outline.area, y / blank.outline.area


def _motion(one: BendMark, two: BendMark, centre: Point, mirrored: bool, way: int) -> Motion | None:
    """Return the motion about the centre that maps one bend line onto another; None when there is none."""
    angles = [math.atan2(m.end[1] - m.start[1], m.end[0] - m.start[0]) for m in (one, two)]
    turn = angles[1] + (0.0 if way > 0 else math.pi) - (-angles[0] if mirrored else angles[0])
    cos, sin, flip = math.cos(turn), math.sin(turn), -1.0 if mirrored else 1.0
    turned = Motion(cos, -sin * flip, sin, cos * flip)
    shift = turned(centre)
    motion = Motion(turned.a, turned.b, turned.c, turned.d, centre[0] - shift[0], centre[1] - shift[1])
    ends = {two.start, two.end}
    start, end = motion(one.start), motion(one.end)
    return motion if all(min(math.dist(p, q) for q in ends) <= SYMMETRIC for p in (start, end)) else None


def _onto(blank: Blank, motion: Motion) -> tuple[int, ...] | None:
    """Return the bend onto which each bend is mapped, when bends and outline are mapped onto themselves."""
    spots = {_spot(_middle(mark)): number for number, mark in enumerate(blank.bends)}
    found = []
    for mark in blank.bends:
        number = next((spots[key] for key in _near(motion(_middle(mark))) if key in spots), None)
        if number is None or not _like(mark, blank.bends[number]):
            return None
        found.append(number)
    rims = {_spot(edge.middle) for edge in blank.outline.edges}
    whole = all(any(key in rims for key in _near(motion(edge.middle))) for edge in blank.outline.edges)
    return tuple(found) if whole and len(set(found)) == len(found) else None


def _like(one: BendMark, two: BendMark) -> bool:
    return (
        one.side == two.side
        and abs(one.angle - two.angle) <= ANGLE_DEG
        and abs(one.length - two.length) <= SYMMETRIC
    )


def _middle(mark: BendMark) -> Point:
    return (mark.start[0] + mark.end[0]) / 2.0, (mark.start[1] + mark.end[1]) / 2.0


def _spot(point: Point) -> tuple[int, int]:
    return round(point[0] / SYMMETRIC / 4.0), round(point[1] / SYMMETRIC / 4.0)


def _near(point: Point) -> Iterator[tuple[int, int]]:
    x, y = _spot(point)
    yield from ((x + dx, y + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1))
