"""Any closed outline, written as a walk from corner to corner along lines and arcs. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from formparts.errors import InputError
from formparts.outline.checks import pair, positive
from formparts.outline.edges import Arc, Edge, Line, Point
from formparts.outline.regions import Loop, Outline, outline_of
from formparts.outline.simplify import turned
from formparts.outline.soundness import problem
from formparts.quantities import LengthLike, PointLike, length
from formparts.tolerances import LENGTH, SHORTEST_EDGE

_WHERE = "closed_path"


@dataclass(frozen=True, slots=True)
class ArcTo:
    """A step of a path along an arc; exactly one of centre, through and radius says which. See `arc_to`."""

    end: PointLike
    centre: PointLike | None = None
    through: PointLike | None = None
    radius: LengthLike | None = None
    ccw: bool = True


def arc_to(
    end: PointLike,
    *,
    centre: PointLike | None = None,
    through: PointLike | None = None,
    radius: LengthLike | None = None,
    ccw: bool = True,
) -> ArcTo:
    """
    Step of a `closed_path` along an arc to the end point.

    Parameters
    ----------
    end : point [mm]
        Where the arc ends.
    centre : point [mm]
        Centre of the arc, as far from its start as from its end.
    through : point [mm]
        A third point of the arc, which also says its sense.
    radius : float [mm]
        Radius; the arc is the one of at most half a turn.
    ccw : bool
        Anticlockwise or not; not used with `through`.

    Returns
    -------
    ArcTo [mm]
        For `closed_path`, which checks it.

    Examples
    --------
    >>> shape = closed_path((0, 0), (40, 0), arc_to((40, 20), through=(50, 10)), (0, 20))
    """
    return ArcTo(end, centre, through, radius, ccw)


def closed_path(start: PointLike, *steps: PointLike | ArcTo) -> Outline:
    """
    Outline along lines and arcs from a start point back to it.

    Parameters
    ----------
    start : point [mm]
        First corner.
    steps : points or `arc_to(...)` [mm]
        A point is a line to it. When the last step does not end at the start, a line closes the path.

    Returns
    -------
    Outline [mm]
        Edges tagged `edge[1]`, `edge[2]`, ... in the order of the steps, whichever way round they run.

    Raises
    ------
    InputError
        A step is not a point or arc, an arc does not exist, or the path crosses itself.

    Examples
    --------
    >>> round(closed_path((0, 0), (2, 0), arc_to((0, 0), radius=1)).area, 6)
    1.570796
    >>> shape = closed_path((0, 0), (40, 0), (40, 15), arc_to((25, 30), radius=15), (0, 30))
    """
    here = first = pair(_WHERE, "start", start)
    edges: list[Edge] = []
    for i, step in enumerate(steps, 1):
        name = f"steps[{i}]"
        end = pair(_WHERE, name, step.end if isinstance(step, ArcTo) else step)
        end = first if math.dist(end, first) <= LENGTH else end
        if math.dist(here, end) < SHORTEST_EDGE:
            problem_text = f"ends less than {SHORTEST_EDGE:g} mm from where it starts"
            raise InputError(_WHERE, name, end, problem_text, "leave it out, or write a circle as two arcs")
        if isinstance(step, ArcTo):
            edges += _arcs(here, end, step, name)
        else:
            edges.append(Line(here, end))
        edges = [e if e.tag else e.tagged(f"edge[{i}]") for e in edges]
        here = end
    if here != first:
        edges.append(Line(here, first, f"edge[{len(steps) + 1}]"))
    if len(edges) < 2:
        raise InputError(_WHERE, "steps", len(steps), "encloses nothing", "add steps")
    outline = outline_of([Loop(tuple(edges))])
    fault = problem(outline)
    if fault:
        raise InputError(_WHERE, "steps", len(steps), fault, "fix the path there")
    return outline


def _arcs(start: Point, end: Point, step: ArcTo, name: str) -> list[Edge]:
    """The arc of a step, in two when it is more than half a turn."""
    given = [step.centre is not None, step.through is not None, step.radius is not None]
    if sum(given) != 1:
        problem_text = "an arc needs exactly one of centre, through and radius"
        raise InputError(_WHERE, name, sum(given), problem_text, "give one")
    centre, ccw = _centre(start, end, step, name)
    radius = math.dist(start, centre) if step.radius is None else length(step.radius)
    ax, ay, bx, by = start[0] - centre[0], start[1] - centre[1], end[0] - centre[0], end[1] - centre[1]
    sense = 1.0 if ccw else -1.0
    sweep = math.atan2(sense * (ax * by - ay * bx), ax * bx + ay * by)
    # Half a turn comes out as plus or minus pi by rounding; both are half a turn.
    if sweep < 0.0 and (math.pi + sweep) * radius < LENGTH:
        sweep = math.pi
    if sweep > 0.0:
        return [Arc(start, end, centre, radius, ccw)]
    middle = turned(start, centre, sense * (sweep + math.tau) / 2.0)
    return [Arc(start, middle, centre, radius, ccw), Arc(middle, end, centre, radius, ccw)]


def _centre(start: Point, end: Point, step: ArcTo, name: str) -> tuple[Point, bool]:
    """Centre and sense of the arc of a step."""
    if step.centre is not None:
        centre = pair(_WHERE, f"{name}.centre", step.centre)
        gap = abs(math.dist(start, centre) - math.dist(end, centre))
        if gap > LENGTH:
            problem_text = f"{gap:.3g} mm nearer to one end of the arc than to the other"
            raise InputError(_WHERE, f"{name}.centre", centre, problem_text, "move the centre or the end")
        return centre, step.ccw
    if step.through is not None:
        return _centre_through(start, pair(_WHERE, f"{name}.through", step.through), end, name)
    return _centre_of_radius(start, end, step.radius, step.ccw, name), step.ccw


def _centre_through(start: Point, through: Point, end: Point, name: str) -> tuple[Point, bool]:
    """Centre of the circle through three points, and whether they run anticlockwise."""
    bx, by = through[0] - start[0], through[1] - start[1]
    cx, cy = end[0] - start[0], end[1] - start[1]
    cross = bx * cy - by * cx
    if abs(cross) <= LENGTH * math.hypot(cx, cy):
        raise InputError(
            _WHERE, f"{name}.through", through, "on the straight line between the ends", "use a line"
        )
    b, c = bx * bx + by * by, cx * cx + cy * cy
    x, y = (b * cy - c * by) / (2.0 * cross), (c * bx - b * cx) / (2.0 * cross)
    return (start[0] + x, start[1] + y), cross > 0.0


def _centre_of_radius(start: Point, end: Point, radius: Any, ccw: bool, name: str) -> Point:
    """Centre of the arc of at most half a turn with a given radius."""
    size = positive(_WHERE, f"{name}.radius", radius)
    half = math.dist(start, end) / 2.0
    if size < half - LENGTH / 2.0:
        problem_text = f"the ends are {2.0 * half:.6g} mm apart"
        raise InputError(_WHERE, f"{name}.radius", size, problem_text, f"at least {half:.6g} mm", "mm")
    height = math.sqrt(max((size - half) * (size + half), 0.0))
    sense = 1.0 if ccw else -1.0
    part = sense * height / (2.0 * half)
    mx, my = (start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0
    return (mx - part * (end[1] - start[1]), my + part * (end[0] - start[0]))
