"""Corners of boxes: the ends of walls, their bends and their flanges, for the requested gap."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

from formparts.errors import InputError
from formparts.outline import Outline, disc, polygon
from formparts.outline.edges import Line, Motion, Point, cos_deg, sin_deg
from formparts.quantities import POSITIVE, LengthLike, shown_value
from formparts.quantities import length as as_length
from formparts.short_repr import short_repr
from formparts.tolerances import ANGLE_DEG, SHORTEST_EDGE

CornerKind: TypeAlias = Literal["open", "closed", "overlapping", "mitred"]
ReliefShape: TypeAlias = Literal["round", "square", "bend lines"]
CORNERS: Final[tuple[CornerKind, ...]] = get_args(CornerKind)
RELIEFS: Final[tuple[ReliefShape, ...]] = get_args(ReliefShape)


@short_repr
@dataclass(frozen=True)
class CornerRelief:
    """
    The notch where two bends of a box meet.

    Parameters
    ----------
    shape : "round", "square" or "bend lines"
        Round or square about the crossing of the two tangent lines on the floor, or round about that of the bend lines.
    size : float [mm]
        Diameter of a round one, side of a square one; 0 about the bend lines: as small as frees both bends.
    """

    shape: ReliefShape
    size: float = 0.0


def corner_relief(shape: ReliefShape, size: LengthLike | None = None) -> CornerRelief:
    """
    The notch where two bends of a box meet.

    Parameters
    ----------
    shape : "round", "square" or "bend lines"
        Round or square about the crossing of the two tangent lines on the floor: both bends end at it. Or a hole about
        the crossing of the bend lines (the middles of the bends on the blank), cut before bending.
    size : length or None [mm]
        Diameter of a round one, side of a square one. About the bend lines, when none is given: one thickness more than
        takes the crossing of the tangent lines with it (common practice, no source).

    Returns
    -------
    CornerRelief

    Raises
    ------
    InputError
        The shape is not one of the three, or a round or square relief has no size.

    Examples
    --------
    >>> corner_relief("round", "6 mm")
    CornerRelief(shape='round', size=6.0)
    """
    if shape not in RELIEFS:
        raise InputError(
            "corner_relief", "shape", shown_value(shape), "is not a relief", f"one of {', '.join(RELIEFS)}"
        )
    if size is None and shape == "bend lines":
        return CornerRelief(shape)
    return CornerRelief(shape, as_length(size, "size", "corner_relief", POSITIVE))


@dataclass(frozen=True)
class WallEnd:
    """
    One end of a wall, as distances along its outer edge from the corner of the box.

    The ends of its bend at the floor and at the wall, and of the wall at its bend and at its top; and the
    height above the bend from which the wall extends beyond it.
    """

    floor: float
    bend: float
    foot: float
    top: float
    lift: float = 0.0

    @property
    def reach(self) -> float:
        """Where the bend's own rectangle ends."""
        return min(self.floor, self.bend)


@dataclass(frozen=True)
class BoxCorner:
    """A corner of the outline between two edges, and its options."""

    number: int
    place: Point
    angle: float
    kind: CornerKind
    gap: float | None
    relief: CornerRelief | None
    thickness: float
    radius: float
    has_walls: tuple[bool, bool]

    @property
    def setback(self) -> float:
        """Return the setback of a wall, from its outer face to its tangent line on the floor."""
        return self.radius + self.thickness

    @property
    def both(self) -> bool:
        """True where two walls meet."""
        return all(self.has_walls)

    @property
    def cot_half(self) -> float:
        """Cotangent of half the inside angle: how far the bisector runs along an edge per mm away from it."""
        return (1.0 + cos_deg(self.angle)) / sin_deg(self.angle)

    @property
    def asked(self) -> float:
        """The gap: half the sheet's thickness if none is given."""
        return self.thickness / 2.0 if self.gap is None else self.gap

    @property
    def wide(self) -> float:
        """Return the distance along either edge, from the bisector to the start of the gap."""
        return self.asked / (2.0 * abs(sin_deg(self.angle / 2.0)))

    @property
    def reentrant(self) -> bool:
        """True for a corner that points into the box."""
        return self.angle > 180.0

    def floor(self, later: bool) -> float:
        """Return the distance along the first or the later edge to the crossing of the floor's tangent lines."""
        own, other = (
            self.setback if there else 0.0 for there in (self.has_walls[later], self.has_walls[not later])
        )
        return (other + own * cos_deg(self.angle)) / sin_deg(self.angle)

    @property
    def taken(self) -> float:
        """Return what a relief at the crossing of the tangent lines removes from either."""
        if self.relief is None or not self.both or self.relief.shape == "bend lines":
            return 0.0
        half = self.relief.size / 2.0
        return half if self.relief.shape == "round" else half / abs(sin_deg(self.angle))

    def end(self, later: bool, developed: float, height: float) -> WallEnd:
        """Return where the wall on the first or the later edge ends, for its bend and its flat."""
        crossing = self.floor(later)
        if not self.both:
            return WallEnd(*[max(crossing, 0.0)] * 4)
        if self.reentrant:
            # On the blank the two walls grow towards each other; either ends at the bisector.
            wide = self.wide - self._bulge(developed) * self.cot_half
            at = [crossing + wide - v * self.cot_half for v in (0.0, developed, developed + height)]
            first = max(crossing + self.taken, at[0])
            return WallEnd(first, max(first, at[1]), max(first, at[1]), max(first, at[2]))
        foot = self._foot(later, crossing)
        if self.kind == "mitred":
            return WallEnd(crossing + max(self.taken, self.wide), foot, foot, foot)
        bend = max(foot, crossing + self.taken)
        return WallEnd(bend, bend, foot, foot, self.taken if foot < bend else 0.0)

    def _bulge(self, developed: float) -> float:
        """Return the largest excess of the outer face of a 90 deg bend over its developed middle."""
        share = min(1.0, developed / (math.pi / 2.0) / self.setback)
        turned = math.acos(share)
        return self.setback * (math.sin(turned) - share * turned)

    def _foot(self, later: bool, crossing: float) -> float:
        """Return where a wall begins: its inner edge clear of the other wall by the gap."""
        meeting = self.thickness * self.cot_half
        if self.kind == "open":
            own = crossing + self.taken
            return own if self.gap is None else max(own, self._open_enough(own, meeting))
        if self.kind != "overlapping":
            return meeting + self.wide
        # The wall that comes first round the box covers the end of the next, flush with its outer face.
        cos, sin = cos_deg(self.angle), sin_deg(self.angle)
        if later and cos < 0.0:
            return self.asked + self.thickness * sin  # to the inner corner of the other's end
        return ((self.thickness + self.asked if later else 0.0) + self.thickness * max(0.0, cos)) / sin

    def _open_enough(self, own: float, meeting: float) -> float:
        natural = (own - meeting) * 2.0 * sin_deg(self.angle / 2.0)
        if self.asked < natural - SHORTEST_EDGE:
            what = f"is narrower than an open corner, whose walls end with their bends {natural:.6g} mm apart"
            fix = 'leave it out, or take corner="closed"'
            raise InputError(f"corner {self.number}", "gap", self.asked, what, fix, "mm")
        return meeting + self.wide

    def turned_in(self, depth: float) -> float:
        """Return the distance along either edge to the end of a mitred inward flange at a depth inside."""
        return depth * self.cot_half + self.wide

    def tool(self, crossing: Point, inward: Point, developed: float) -> Outline | None:
        """Return what the relief cuts, at the crossing of the tangent lines, or of the bend lines outward of it."""
        if self.relief is None or not self.both:
            return None
        if self.relief.shape == "round":
            return disc(self.relief.size).moved(Motion.shift(*crossing))
        if self.relief.shape == "square":
            return self._square(crossing, inward)
        away = developed / 2.0 / sin_deg(self.angle / 2.0)
        size = self.relief.size or 2.0 * away + self.thickness
        if size <= 2.0 * away:
            what = "does not reach from the crossing of the bend lines to that of the tangent lines"
            raise InputError(
                "corner_relief", "size", size, what, f"more than {2.0 * away:.6g} mm, or leave it out", "mm"
            )
        return disc(size).moved(Motion.shift(crossing[0] - away * inward[0], crossing[1] - away * inward[1]))

    def _square(self, crossing: Point, inward: Point) -> Outline:
        """Return a square at a crossing, its sides along both edges: a rhombus where they are not at right angles."""
        assert self.relief is not None
        half = self.relief.size / 2.0 / abs(sin_deg(self.angle))
        sides = [Motion.turn(turn)(inward) for turn in (self.angle / 2.0, -self.angle / 2.0)]
        corners = [
            tuple(crossing[axis] + half * (one * sides[0][axis] + two * sides[1][axis]) for axis in (0, 1))
            for one, two in ((1, 1), (-1, 1), (-1, -1), (1, -1))
        ]
        return polygon(corners)


def corner_angle(before: Line, after: Line) -> float:
    """Return the inside angle between two edges of an outline, anticlockwise [deg]."""
    one = (before.end[0] - before.start[0], before.end[1] - before.start[1])
    two = (after.end[0] - after.start[0], after.end[1] - after.start[1])
    turned = math.degrees(math.atan2(one[0] * two[1] - one[1] * two[0], one[0] * two[0] + one[1] * two[1]))
    whole = round(180.0 - turned)
    return float(whole) if abs(180.0 - turned - whole) < ANGLE_DEG else 180.0 - turned
