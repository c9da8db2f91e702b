"""Room for a bend inside the edge of its flat, and the reliefs beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from formparts.body import Flat
from formparts.body.frame import bend_frame
from formparts.errors import InputError
from formparts.outline import Outline, closed_path, cut, intersect, polygon, rectangle
from formparts.outline.edges import Line, Motion, Point, boxes_meet
from formparts.outline.meeting import meet
from formparts.outline.paths import arc_to
from formparts.quantities import NOT_NEGATIVE, LengthLike, length
from formparts.shapes.naming import all_tagged, refuse_uncuttable
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH, SHORTEST_EDGE


@short_repr
@dataclass(frozen=True)
class Relief:
    """
    The notch beside a bend that does not run the full width of its edge.

    Parameters
    ----------
    width : float [mm]
        Along the edge.
    depth : float [mm]
        Beyond the tangent line of the bend, into the flat.
    shape : "square" or "round"
        Of its inner end.
    """

    width: float
    depth: float
    shape: Literal["square", "round"] = "round"


def relief(width: LengthLike, depth: LengthLike, shape: Literal["square", "round"] = "round") -> Relief:
    """
    The notch beside a bend that does not run the full width of its edge.

    Parameters
    ----------
    width : length [mm]
        Along the edge. A tear relief is a slit as wide as its cut; a web or a gap too narrow to cut is a finding.
    depth : length [mm]
        Beyond the tangent line of the bend, into the flat; 0 for a tear as far as the bend.
    shape : "square" or "round"
        Of its inner end.

    Returns
    -------
    Relief

    Raises
    ------
    InputError
        A length is out of its limits, or the shape is neither.

    Examples
    --------
    >>> base = plate(Sheet(2, 2.5), rectangle(60, 40), name="base")
    >>> body = add_flange(base, "back", 25, width=30, relief=relief(4, 7))
    >>> shape = {
    ...     word: add_flange(base, "back", 25, width=30, relief=relief(4, 7, shape=word))
    ...     for word in ("round", "square")
    ... }
    """
    if shape not in ("square", "round"):
        raise InputError("relief", "shape", repr(shape), "is not a shape", 'give "square" or "round"')
    across = length(width, "width", "relief", NOT_NEGATIVE)
    if across < SHORTEST_EDGE:
        problem = "a tear without width has no edges that could be cut"
        fix = f"give the width of the cut, at least {SHORTEST_EDGE:g} mm; a laser's is 0.1 to 0.3 mm"
        raise InputError("relief", "width", across, problem, fix, "mm")
    return Relief(across, length(depth, "depth", "relief", NOT_NEGATIVE), shape)


@dataclass(frozen=True)
class BendPlace:
    """The position of a bend: its ends on the edge, the free lengths of edge beside them, and its setback."""

    start: Point
    end: Point
    before: float
    after: float
    back: float

    @property
    def width(self) -> float:
        """Length of the bend line."""
        return math.dist(self.start, self.end)

    @property
    def motion(self) -> Motion:
        """Return the motion from (x along the edge, y into the flat) to the flat's coordinates."""
        return bend_frame(self.start, self.end)

    @property
    def line(self) -> tuple[Point, Point]:
        """The tangent line of the bend, in the flat's coordinates."""
        return self.motion((0.0, self.back)), self.motion((self.width, self.back))


def notched(flat: Flat, place: BendPlace, relief: Relief | None, name: str) -> Flat:
    """Return the flat with the room for the bend and its reliefs cut out."""
    _refuse_running_out(flat, place, name)
    tools = list(_tools(flat, place, relief, name))
    if not tools:
        return flat
    pieces = cut(flat.outline, *(tool.moved(place.motion) for tool in tools))
    if len(pieces) != 1:
        what = f"cuts {flat.name} into {len(pieces)} pieces"
        fix = "make it smaller, or the flange narrower" if relief else "make the flange narrower, or move it"
        raise InputError(name, "relief", _stated(relief), what, fix)
    opened = replace(flat, outline=pieces[0])
    return refuse_uncuttable(opened, name, "place", f"on {flat.name}")


def _stated(relief: Relief | None) -> str:
    return "none" if relief is None else f"{relief.width:.6g} x {relief.depth:.6g} mm, {relief.shape}"


def _refuse_running_out(flat: Flat, place: BendPlace, name: str) -> None:
    """Refuse a bend line inside the edge that is too long at a sharp corner, where it is shorter than the edge."""
    first, last = _reach(flat, place)
    if first < LENGTH and last > place.width - LENGTH:
        return
    over = max(first, place.width - last)
    off, least = (first + last - place.width) / 2.0, last - first
    narrower = f"make it {least:.6g} mm or narrower, its centre shifted by {off:+.6g} mm; or "
    raise InputError(
        name,
        "width",
        place.width,
        f"the bend line, {place.back:.6g} mm inside the edge, runs out of {flat.name} by {over:.6g} mm",
        f"{narrower if least > SHORTEST_EDGE else ''}let a flange begin at the edge: edge_to='tangent line'",
        "mm",
    )


def _reach(flat: Flat, place: BendPlace) -> tuple[float, float]:
    """Return from where to where the tangent line lies in the flat, counted along it from the start of the bend."""
    if place.back == 0.0:
        return 0.0, place.width
    middle = place.width / 2.0
    whole = Line(place.motion((-middle, place.back)), place.motion((place.width + middle, place.back)))
    near = whole.bounds
    met = [
        point
        for loop in flat.outline.loops
        for edge, box in zip(loop.edges, loop.boxes, strict=True)
        if boxes_meet(box, near)
        for point in meet(whole, edge, LENGTH)
    ]
    at = [math.dist(whole.start, point) - middle for point in met]
    first = max((x for x in at if x < middle), default=0.0)
    last = min((x for x in at if x > middle), default=place.width)
    if not flat.outline.contains(place.motion((middle, place.back))):
        return middle, middle
    return max(0.0, first), min(place.width, last)


def _tools(flat: Flat, place: BendPlace, relief: Relief | None, name: str) -> Iterator[Outline]:
    """Return the areas to cut away, along the edge (x) and into the flat (y)."""
    beside = [end for end in (0, 1) if _goes_on(flat, place, end)]
    if beside and place.back > 0.0 and relief is None:
        raise InputError(
            name,
            "relief",
            "none",
            f"{flat.name} goes on beside a bend that lies {place.back:.6g} mm inside its edge",
            "give a relief, as relief=relief(width, depth), or let a flange begin at the edge: edge_to='tangent line'",
        )
    if place.back > 0.0:
        yield all_tagged(_box(0.0, place.width, place.back), f"{name}.notch")
    if relief is not None:
        for end in beside:
            free = (place.before, place.after)[end]
            # A relief that takes the rest of the edge meets the side of the material beyond it.
            fitted = replace(relief, width=free) if abs(relief.width - free) <= SHORTEST_EDGE else relief
            _check_room(fitted, free, place.back, name)
            first = -fitted.width if end == 0 else place.width
            slot = _slot(fitted, place.back + fitted.depth).moved(Motion.shift(first, 0.0))
            yield all_tagged(slot, f"{name}.relief[{end + 1}]")


def _goes_on(flat: Flat, place: BendPlace, end: int) -> bool:
    """True when there is material of the flat beside an end of the bend."""
    if (place.before, place.after)[end] > 0.0:
        return True
    if place.back == 0.0:
        return False
    # At a rounded or blunt corner the flat continues although the edge ends.
    wide = max(place.width, place.back)
    beside = _box(-wide, 0.0, place.back) if end == 0 else _box(place.width, place.width + wide, place.back)
    return any(
        piece.area > LENGTH * place.back for piece in intersect(flat.outline, beside.moved(place.motion))
    )


def _box(left: float, right: float, high: float) -> Outline:
    return polygon([(left, 0.0), (right, 0.0), (right, high), (left, high)])


def _check_room(relief: Relief, free: float, back: float, name: str) -> None:
    if 0.0 < free < relief.width + SHORTEST_EDGE and free != relief.width:
        narrower = (
            f"make it narrower than {free - SHORTEST_EDGE:.6g} mm, or {free:.6g} mm to take all of it, or the flange "
            "narrower"
        )
        sliver = "let the flange run to the end of its edge, or make it narrower"
        raise InputError(
            name,
            "relief width",
            relief.width,
            f"leaves nothing of the {free:.6g} mm of edge beside the bend",
            narrower if free > 2.0 * SHORTEST_EDGE else sliver,
            "mm",
        )
    # Where a round end begins before the tangent line, a cusp of the flat would be left beside the bend.
    round_end = relief.width / 2.0 if relief.shape == "round" else 0.0
    least = max(round_end, round_end + SHORTEST_EDGE - back)
    if relief.depth < least:
        raise InputError(
            name,
            "relief depth",
            relief.depth,
            f"too shallow: a {relief.shape} inner end, {relief.width:.6g} mm wide, would not set the bend free",
            f"at least {least:.6g} mm beyond the tangent line of the bend"
            + (", or a square relief" if round_end else ""),
            "mm",
        )


def _slot(relief: Relief, deep: float) -> Outline:
    """Return a notch from the edge to its inner end, from x = 0."""
    if relief.shape == "square":
        return rectangle(relief.width, deep).moved(Motion.shift(relief.width / 2.0, deep / 2.0))
    straight = deep - relief.width / 2.0
    middle = (relief.width / 2.0, straight)
    round_end = arc_to((0.0, straight), centre=middle, ccw=True)
    return closed_path((0.0, 0.0), (relief.width, 0.0), (relief.width, straight), round_end)
