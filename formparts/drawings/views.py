"""The views of a part, with their dimensions, on paper at a scale."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from formparts.body import Body
from formparts.body.frame import Vector
from formparts.drawings.curves import (
    CENTRE,
    CORNER,
    HIDDEN,
    TANGENT,
    VISIBLE,
    Curve,
    Mark,
    Pen,
    Stroke,
    box_of,
    circle,
    placed,
)
from formparts.drawings.dimensions import Band, Side, Taken, centre_lines, leader, plain, running
from formparts.drawings.features import (
    SAME,
    Opening,
    Pattern,
    bend_words,
    levels,
    patterns,
    true_bends,
    true_openings,
)
from formparts.drawings.hidden_lines import Seen, seen
from formparts.drawings.legs import leg_points
from formparts.export.svg_marks import shown
from formparts.outline import Point
from formparts.outline.edges import Bounds
from formparts.solids import Solid

Projection = Literal["first", "third"]


@dataclass(frozen=True)
class View:
    """One view: what is seen of the part, and from where [mm]."""

    name: str
    towards: Vector
    right: Vector
    up: Vector
    seen: Seen
    box: Bounds


_FRONT = ("front", (0.0, -1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
_TOP = ("top", (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
_LEFT = ("left", (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0))
_RIGHT = ("right", (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
_A, _B = 1.0 / math.sqrt(2.0), 1.0 / math.sqrt(6.0)
_CORNER = ("corner", (1.0, -1.0, 1.0), (_A, _A, 0.0), (-_B, _B, 2.0 * _B))


def views_of(solid: Solid, projection: Projection) -> dict[str, View]:
    """Front, top, side and corner view; the side is the left in first-angle projection, else the right."""
    side = _LEFT if projection == "first" else _RIGHT
    return {
        place: _view(solid, *looked)
        for place, looked in (("front", _FRONT), ("top", _TOP), ("side", side), ("corner", _CORNER))
    }


def isometric_view(solid: Solid) -> View:
    """The part seen from a corner, all axes shortened alike."""
    return _view(solid, *_CORNER)


def _view(solid: Solid, name: str, towards: Vector, right: Vector, up: Vector) -> View:
    found = seen(solid, towards, right)
    box = box_of(Stroke(curve, VISIBLE) for curve in (*found.visible, *found.tangent))
    return View(name, towards, right, up, found, box)


def strokes(view: View, scale: float) -> Iterator[Mark]:
    """The lines of a view; the corner view is lighter and shows nothing hidden."""
    corner = view.name == "corner"
    groups: tuple[tuple[Sequence[Curve], Pen], ...] = (
        (view.seen.tangent, TANGENT), (() if corner else view.seen.hidden, HIDDEN),
        (view.seen.visible, CORNER if corner else VISIBLE),
    )  # fmt: skip
    for curves, pen in groups:
        yield from (Stroke(placed(curve, scale), pen) for curve in curves)


@dataclass(frozen=True)
class Wanted:
    """Which dimensions stand on which side of a view."""

    across: Side
    upwards: Side
    overall_across: Side | None = None
    overall_upwards: Side | None = None
    levels: bool = False


def wanted_dimensions(projection: Projection) -> dict[str, Wanted]:
    """Dimensions stand on the outer sides of the views, so that the room between these stays free."""
    out: Side = "above" if projection == "first" else "below"
    far: Side = "below" if projection == "first" else "above"
    return {
        "front": Wanted(out, "left", None, None, levels=True),
        "side": Wanted(out, "right", None, "right"),
        "top": Wanted(far, "left", far, "right"),
    }


def dimensioned(
    body: Body, view: View, scale: float, wanted: Wanted, bends: Sequence[tuple[str, Point]]
) -> list[Mark]:
    """A view with its centre lines, running and overall dimensions, sizes of openings, and angles of bends."""
    openings = true_openings(body, view.towards, view.right, view.up)
    rings = patterns(openings)
    marks = [*strokes(view, scale), *_centres(openings, rings, scale)]
    box = scaled(view.box, scale)
    single = [each for each in openings if not any(each in ring.openings for ring in rings)]
    middles = [*(each.middle for each in single), *(ring.centre for ring in rings)]
    heights = levels(body, view.box[1]) if wanted.levels else ()
    legs = leg_points(body, view.towards, view.right, view.up)
    marks += _running(view, scale, box, wanted, middles, legs, heights)
    marks += _overall(view, box, wanted, marks)
    taken = Taken(marks)
    angles = ((words, on_page(at, scale), 0.0) for words, at in bends)
    for words, target, radius in (*_sizes(single, rings, scale), *angles):
        more = leader(target, radius, words, taken)
        for mark in more:
            taken.add(mark)
        marks += more
    return marks


def bends_by_view(body: Body, views: Mapping[str, View]) -> dict[str, list[tuple[str, Point]]]:
    """Each kind of bend is said once, with its number, in the first view that shows it along its axis."""
    counts = Counter(bend_words(bend) for bend in body.bends)
    found: dict[str, list[tuple[str, Point]]] = {}
    for name in ("front", "side", "top"):
        view = views[name]
        for each in true_bends(body, view.towards, view.right, view.up):
            if each.words in counts:
                count = counts.pop(each.words)
                words = f"{count}× {each.words}" if count > 1 else each.words
                found.setdefault(name, []).append((words, each.middle))
    return found


def scaled(box: Bounds, scale: float) -> Bounds:
    """A box on paper."""
    return (box[0] * scale, box[1] * scale, box[2] * scale, box[3] * scale)


def _centres(openings: Iterable[Opening], rings: Iterable[Pattern], scale: float) -> Iterator[Mark]:
    for each in openings:
        yield from centre_lines(on_page(each.middle, scale), each.reach * scale)
    for ring in rings:
        yield circle(on_page(ring.centre, scale), ring.radius * scale, CENTRE)


def on_page(point: Point, scale: float) -> Point:
    """A place of the part or blank, drawn to scale."""
    return (point[0] * scale, point[1] * scale)


def _running(
    view: View,
    scale: float,
    box: Bounds,
    wanted: Wanted,
    middles: Sequence[Point],
    legs: tuple[Sequence[Point], Sequence[Point]],
    heights: Sequence[float],
) -> Iterator[Mark]:
    """Places of openings and of the ends of legs from the left and the lower end of the view, and levels of flats."""
    xs = _once([*middles, *_between(legs[0], 0, view.box)], 0, view.box[0])
    ys = _once([*middles, *_between(legs[1], 1, view.box)], 1, view.box[1])
    across, upwards = (
        Band(wanted.across, edge(box, wanted.across)),
        Band(wanted.upwards, edge(box, wanted.upwards)),
    )
    yield from running(across, box[0], [_item(across, at, 0, view.box[0], scale) for at in xs])
    low = [(height, (view.box[1] + height) * scale, 0.5) for height in heights]
    places = [_item(upwards, at, 1, view.box[1], scale) for at in ys]
    known = {round(value, 3) for value, _, _ in places}
    low = [item for item in low if round(item[0], 3) not in known]
    yield from running(upwards, box[1], [*places, *low])


def _between(points: Sequence[Point], axis: int, box: Bounds) -> list[Point]:
    """The points that lie inside the view: its ends are the datum and the overall size already."""
    low, high = box[axis] + SAME, box[axis + 2] - SAME
    return [point for point in points if low < point[axis] < high]


def _once(middles: Sequence[Point], axis: int, datum: float) -> list[Point]:
    """Each place once, that nearest to the side where its figure stands."""
    found: dict[float, Point] = {}
    for at in sorted(middles):
        found.setdefault(round(at[axis] - datum, 3), at)
    return list(found.values())


def _item(band: Band, at: Point, axis: int, datum: float, scale: float) -> tuple[float, float, float]:
    """Figure, place along the side, and how far inside the part (so negative) the extension line starts."""
    across = at[1 - axis] * scale
    inside = across - band.edge if band.side in ("below", "left") else band.edge - across
    return (at[axis] - datum, at[axis] * scale, -inside)


def edge(box: Bounds, side: Side) -> float:
    """Where a side of a box is."""
    return {"left": box[0], "below": box[1], "right": box[2], "above": box[3]}[side]


def _overall(view: View, box: Bounds, wanted: Wanted, marks: Sequence[Mark]) -> Iterator[Mark]:
    """Overall sizes stand outside of everything else."""
    x0, y0, x1, y1 = view.box
    if wanted.overall_across is not None:
        band = Band(wanted.overall_across, edge(box, wanted.overall_across))
        yield from plain(band, (box[0], 0.0), (box[2], 0.0), shown(x1 - x0), beyond(band, marks))
    if wanted.overall_upwards is not None:
        band = Band(wanted.overall_upwards, edge(box, wanted.overall_upwards))
        yield from plain(band, (box[1], 0.0), (box[3], 0.0), shown(y1 - y0), beyond(band, marks))


def beyond(band: Band, marks: Sequence[Mark]) -> float:
    """How far away from its side a dimension is clear of what stands there."""
    outer = edge(box_of(marks), band.side)
    away = band.edge - outer if band.side in ("below", "left") else outer - band.edge
    return max(8.0, away + 5.0)


def _sizes(
    single: Sequence[Opening], rings: Sequence[Pattern], scale: float
) -> Iterator[tuple[str, Point, float]]:
    """Equal openings are said once, with their number; a pattern with its pitch circle."""
    for ring in rings:
        first = max(ring.openings, key=lambda each: (round(each.middle[1], 3), each.middle[0]))
        yield ring.words, on_page(first.middle, scale), first.reach * scale
    equal: dict[str, list[Opening]] = {}
    for each in single:
        equal.setdefault(each.words, []).append(each)
    for words, same in equal.items():
        first = max(same, key=lambda each: (round(each.middle[0], 3), each.middle[1]))
        count = f"{len(same)}× " if len(same) > 1 else ""
        yield count + words, on_page(first.middle, scale), first.reach * scale
