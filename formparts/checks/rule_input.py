"""The input of every rule: the blank, its material, the limits, and the body when it is known."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

from formparts.body import Body, Flat, Frame, frames, laid_out
from formparts.body.frame import inverse
from formparts.checks.distance import Narrow, Span, edges_about, is_clear, narrow_places
from formparts.checks.finding import Place
from formparts.checks.limits import GENERAL, LimitProfile, limit_profile
from formparts.checks.rays import Targets
from formparts.clash import Clash, clashes
from formparts.expect import Expected
from formparts.layout import BendMark, Blank
from formparts.materials import Material
from formparts.outline import Loop, Outline, minimal_width, outline_of
from formparts.outline.edge_rows import edge_rows
from formparts.outline.edges import Bounds, Line, Motion, Point, boxes_meet
from formparts.planning import BendPlan
from formparts.tolerances import LENGTH


@dataclass(frozen=True)
class RuleInput:
    """A part in the form that rules use.

    Parameters
    ----------
    blank : Blank
        Its blank.
    material : Material or None
        What it is made of; rules that need a strength say nothing when it is not known.
    profile : LimitProfile
        What it is held against.
    body : Body or None
        The part itself; none when only its blank is known.
    expected : tuple of Expected
        Figures of the drawing, beside our own.
    plan : BendPlan or None
        Its bend plan, when it is at hand.
    """

    blank: Blank
    material: Material | None = None
    profile: LimitProfile = field(default_factory=lambda: limit_profile(GENERAL))
    body: Body | None = None
    expected: tuple[Expected, ...] = ()
    plan: BendPlan | None = None

    @property
    def thickness(self) -> float:
        """Thickness of the sheet [mm]."""
        return self.blank.thickness

    def limit(self, name: str, radius: float = 0.0, diameter: float = 0.0, die_opening: float = 0.0) -> float:
        """A limit of the profile for this sheet; 0 when the profile has none."""
        limit = self.profile.get(name)
        return 0.0 if limit is None else limit.at(self.thickness, radius, diameter, die_opening)

    def source(self, name: str) -> str:
        """Where a limit of the profile is from."""
        limit = self.profile.get(name)
        return "" if limit is None else f"{limit.source} [{self.profile.name}]"

    @cached_property
    def openings(self) -> tuple[Cutout, ...]:
        """The loops of the blank that no bend starts from, but the outer one."""
        loops = self.blank.outline.loops
        return tuple(
            _cutout(number, loop) for number, loop in enumerate(loops) if number and self._is_free(loop)
        )

    @cached_property
    def after_bending(self) -> frozenset[str]:
        """Names of the openings that are drilled or cut in the bent part."""
        flats = self.body.flats if self.body else ()
        return frozenset(one.name for flat in flats for one in flat.openings if one.after_bending)

    @cached_property
    def drilled(self) -> frozenset[str]:
        """Names of the openings that are drilled whatever their size: they are tapped."""
        flats = self.body.flats if self.body else ()
        found = (one for flat in flats for one in flat.openings if one.feature)
        return frozenset(one.name for one in found if one.feature and one.feature.kind == "tapped")

    def _is_free(self, loop: Loop) -> bool:
        """True when no bend line ends on a loop."""
        ends = (end for mark in self.blank.bends for end in (mark.start, mark.end))
        return all(loop.distance(end) > 10.0 * LENGTH for end in ends)

    @cached_property
    def strips(self) -> tuple[Strip, ...]:
        """The bends as they lie on the blank."""
        return tuple(Strip(mark) for mark in self.blank.bends)

    @cached_property
    def edges(self) -> Targets:
        """All edges of the blank, for rays to meet."""
        return Targets(self.blank.outline.edges)

    @cached_property
    def rims(self) -> Targets:
        """The same but those of openings."""
        free = {cutout.number for cutout in self.openings}
        loops = self.blank.outline.loops
        return Targets(edge for number, loop in enumerate(loops) if number not in free for edge in loop.edges)

    @cached_property
    def tangent_lines(self) -> Targets:
        """Where the bends begin and end; a ray from one, away from its bend, meets those of others alone."""
        return Targets(line for strip in self.strips for line, _ in strip.tangent_lines)

    @cached_property
    def narrows(self) -> tuple[Narrow, ...]:
        """All places of the blank that are narrower than any limit."""
        pairs = ("opening_to_opening", "opening_to_edge")
        wanted = [self.limit(pair, diameter=cutout.width) for cutout in self.openings for pair in pairs]
        reach = max(self.limit("web"), self.limit("kerf"), *wanted)
        return tuple(narrow_places(self.blank.outline, reach)) if reach > LENGTH else ()

    @cached_property
    def clashes(self) -> tuple[Clash, ...]:
        """Flats and bends of the folded part that intersect."""
        return clashes(self.body) if self.body else ()

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Names of the flats and bends, the longest first."""
        return tuple(sorted(self.body.names, key=len, reverse=True)) if self.body else ()

    def piece(self, tag: str) -> str:
        """Name of the flat, bend or opening that an edge of the blank belongs to."""
        for name in self.names:
            if tag == name or tag.startswith(f"{name}."):
                return name
        return tag.rpartition(".")[0] or tag or self.blank.name

    def on_part(self, point: Point | None) -> Place | None:
        """Return the position of a point of the blank on the folded part, on its middle surface."""
        if self.body is None or point is None:
            return None
        name = self._flat_at(self.body, point)
        x, y, z = self._frames[name].point(self._back[name](point))
        return (x, y, z)

    def edge_piece(self, tag: str, point: Point) -> str:
        """As `piece`; but where one edge runs on over several flats of the blank, the flat that a point is on."""
        name = self.piece(tag)
        if self.body is None or all(flat.name != name for flat in self.body.flats):
            return name
        return self._flat_at(self.body, point)

    def _flat_at(self, body: Body, point: Point) -> str:
        """The flat that a point of the blank is on, or nearest to."""
        x, y = point
        near = (flat for flat, box in self._boxes if boxes_meet(box, (x, y, x, y)))
        on = (flat.name for flat in near if edge_rows(flat.outline).contains(self._back[flat.name](point)))
        return (
            next(on, "")
            or min(
                body.flats, key=lambda flat: flat.outline.distance_to_edge(self._back[flat.name](point))
            ).name
        )

    @cached_property
    def _boxes(self) -> list[tuple[Flat, Bounds]]:
        """The flats, each with a box on the blank that holds it."""
        assert self.body is not None
        found = []
        for flat in self.body.flats:
            left, low, right, high = flat.outline.bounds
            corners = map(self._laid[flat.name], ((left, low), (right, low), (right, high), (left, high)))
            xs, ys = zip(*corners, strict=True)
            found.append((flat, (min(xs), min(ys), max(xs), max(ys))))
        return found

    @cached_property
    def _back(self) -> dict[str, Motion]:
        """From the blank to each flat."""
        return {name: inverse(motion) for name, motion in self._laid.items()}

    @cached_property
    def _laid(self) -> dict[str, Motion]:
        assert self.body is not None
        return laid_out(self.body)

    @cached_property
    def _frames(self) -> dict[str, Frame]:
        assert self.body is not None
        return frames(self.body)

    def reaches(self, span: Span) -> bool:
        """True when the way from one place of the blank to another runs in the sheet, over no cut."""
        if span.length <= LENGTH:
            return True
        rows = edge_rows(self.blank.outline)
        return rows.contains(span.middle) and is_clear(span, edges_about(rows, span))


@dataclass(frozen=True)
class Cutout:
    """An opening as it lies on the blank: number of its loop, name, shape, narrowest width and middle."""

    number: int
    name: str
    shape: Outline
    width: float
    middle: Point


def _cutout(number: int, loop: Loop) -> Cutout:
    shape = outline_of([loop])
    circle = loop.circle
    if circle is not None:
        return Cutout(number, _opening_name(loop), shape, 2.0 * circle[1], circle[0])
    mx, my = shape.first_moments
    middle = (mx / shape.area, my / shape.area)
    return Cutout(number, _opening_name(loop), shape, minimal_width(shape), middle)


def _opening_name(loop: Loop) -> str:
    """From the tags of its edges, as `drain[1]` from `drain[1].wall`."""
    tags = sorted({edge.tag.removesuffix(".wall") for edge in loop.edges if edge.tag})
    return " and ".join(tags[:2]) if tags else "opening"


@dataclass(frozen=True)
class Strip:
    """A bend as it lies on the blank: a strip between two tangent lines."""

    mark: BendMark

    @cached_property
    def along(self) -> Point:
        """Unit direction of the bend line."""
        (x0, y0), (x1, y1) = self.mark.start, self.mark.end
        return ((x1 - x0) / self.mark.length, (y1 - y0) / self.mark.length)

    @cached_property
    def tangent_lines(self) -> tuple[tuple[Line, Point], tuple[Line, Point]]:
        """Each with the unit direction that leads from it into its flat."""
        ux, uy = self.along
        left, right = (-uy, ux), (uy, -ux)
        return ((self._line(left), left), (self._line(right), right))

    def _line(self, out: Point) -> Line:
        half = self.mark.allowance / 2.0
        return Line(moved(self.mark.start, out, half), moved(self.mark.end, out, half))

    @cached_property
    def rectangle(self) -> Outline:
        """What lies between the two lines."""
        (one, _), (two, _) = self.tangent_lines
        corners = (two.start, two.end, one.end, one.start)
        sides = tuple(Line(start, end) for start, end in zip(corners, corners[1:] + corners[:1], strict=True))
        return outline_of([Loop(sides)])

    @property
    def middle(self) -> Point:
        """Middle of the bend line."""
        return Line(self.mark.start, self.mark.end).middle


def moved(point: Point, heading: Point, way: float) -> Point:
    """A point, moved along a heading."""
    return (point[0] + way * heading[0], point[1] + way * heading[1])


def is_parallel(one: Point, two: Point) -> bool:
    """True for two unit directions along one line."""
    return abs(one[0] * two[1] - one[1] * two[0]) < math.sin(math.radians(0.1))


def at_blank(part: RuleInput, point: Point) -> str:
    """State a place of the blank as its drawing and the schedule do: from the left and from the front."""
    left, front, _, _ = part.blank.outline.bounds
    return (
        f"at {point[0] - left:.1f} mm from the left and {point[1] - front:.1f} mm from the front of the blank"
    )
