"""A bend step with its tools, in two views: along the bend line, and as the operator sees it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from formparts.outline.edges import Point
from formparts.planning import BendPlan, PlanStep
from formparts.planning.cells import chords
from formparts.planning.feasible import MovedPart, pieces, placed, solid_cells, swings
from formparts.planning.stand import PartModel, Stand, Swing, pose, stand
from formparts.tolerances import ROUNDING

if TYPE_CHECKING:
    from formparts.planning.collide import Floats

Loop = tuple[Point, ...]


@dataclass(frozen=True)
class Standing:
    """
    A part in the tools at one angle.

    Parameters
    ----------
    tip : float [mm]
        Height of the punch's tip from the top of the die.
    shapes : tuple of (n, 3) arrays [mm]
        Corners of each flat and bend: x along the line to the operator's right, y to the back, z up.
    rims : tuple of (n, 3) arrays [mm]
        The loops of all flats, by the middle of the sheet.
    bends : tuple of loops [mm]
        The ends of the bends that are being made: y and z.
    """

    tip: float
    shapes: tuple[Floats, ...]
    rims: tuple[Floats, ...]
    bends: tuple[Loop, ...]


def standing(plan: BendPlan, step: PlanStep, at_bottom: bool) -> Standing:
    """The part of a step, level before it or at the bottom of the stroke, as the operator sees it."""
    model = plan.model
    members = tuple(model.number[name] for name in step.bends)
    at, thickness = stand(model, members), model.body.sheet.thickness
    stage = swings(step.bending, thickness, step.punch.tip_radius)[-1 if at_bottom else 0]
    shapes = tuple(
        _turned(_shape(model, at, piece, step.made, stage), step.stop.side) for piece in pieces(model, at)
    )
    rims = tuple(_turned(rim, step.stop.side) for rim in _rims(model, at, step.made, stage))
    return Standing(stage.tip, shapes, rims, (_bent(step, stage, thickness),))


def _shape(model: PartModel, at: Stand, piece: MovedPart, made: int, stage: Swing) -> Floats:
    return placed(solid_cells(model, at, piece, made), stage.wings[at.sides[piece.flat]]).reshape(-1, 3)


def _rims(model: PartModel, at: Stand, made: int, stage: Swing) -> Iterator[Floats]:
    """Return the loops of every flat, in its position."""
    import numpy as np

    for flat in model.body.flats:
        frame = pose(model, at, flat.name, made).inside(stage.wings[at.sides[flat.name]])
        for loop in flat.net.loops:
            yield np.array([frame.point(corner) for corner in chords(loop.edges)])


def _turned(points: Floats, side: int) -> Floats:
    """With the side that rests on the stops to the back."""
    import numpy as np

    found: Floats = points * np.array((float(side), float(side), 1.0))
    return found


def _bent(step: PlanStep, stage: Swing, thickness: float) -> Loop:
    """The end of the bend itself: between the ends of both sides, through the lowest points of both faces."""
    side, allowance = step.stop.side, step.bending.allowance
    if step.bending.closing is not None:
        return _folded(step.bending.closing.side, side, stage, thickness)
    half, wing = thickness / 2.0, stage.wings[1]
    (_, y, z), (_, cos, sin) = wing.origin, wing.y
    turn = math.atan2(sin, cos)
    if turn < ROUNDING:
        a = allowance / 2.0
        return ((-a, 0.0), (a, 0.0), (a, thickness), (-a, thickness))
    radius = y / math.sin(turn)
    centre = z + radius * math.cos(turn)
    angles = [turn * (place / 6.0 - 1.0) for place in range(13)]
    outer = [((radius + half) * math.sin(a), centre - (radius + half) * math.cos(a)) for a in angles]
    inner = [
        ((radius - half) * math.sin(a), centre - (radius - half) * math.cos(a)) for a in reversed(angles)
    ]
    return tuple((side * across, up) for across, up in (*outer, *inner))


def _folded(level: int, side: int, stage: Swing, thickness: float) -> Loop:
    """The end of a fold, from the side that lies level round to the other one."""
    half = thickness / 2.0
    (_, y, z), (_, _, up) = stage.wings[level].origin, stage.wings[-level].origin
    turn = math.radians(stage.angle)
    middle = (up - z) / (1.0 - math.cos(turn))
    angles = [turn * place / 16.0 for place in range(17)]

    def ring(radius: float, turns: Sequence[float]) -> list[Point]:
        return [(y - level * radius * math.sin(a), z + middle - radius * math.cos(a)) for a in turns]

    loop = [*ring(middle + half, angles), *ring(middle - half, angles[::-1])]
    return tuple((side * across, height) for across, height in loop)


def hull(points: Sequence[Point]) -> Loop:
    """The convex outline round points, anticlockwise."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    return (*lower[:-1], *upper[:-1])


def _chain(points: Sequence[Point]) -> list[Point]:
    chain: list[Point] = []
    for point in points:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= ROUNDING:
            chain.pop()
        chain.append(point)
    return chain


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def from_the_end(part: Standing) -> Iterator[Loop]:
    """Return each flat and bend as seen along the bend line: y and z."""
    for shape in part.shapes:
        yield hull([(round(y, 4), round(z, 4)) for _, y, z in shape.tolist()])


def from_the_front(part: Standing) -> Iterator[Loop]:
    """The loops of all flats as seen by the operator: x and z."""
    for rim in part.rims:
        yield tuple((x, z) for x, _, z in rim.tolist())


def clipped(start: Point, end: Point, box: tuple[float, float, float, float]) -> tuple[Point, Point] | None:
    """What of a straight line lies in a box; None when nothing does."""
    (x0, y0), (x1, y1) = start, end
    low, high = 0.0, 1.0
    for at, by, least, most in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
        if by == 0.0:
            if not least <= at <= most:
                return None
            continue
        one, two = sorted(((least - at) / by, (most - at) / by))
        low, high = max(low, one), min(high, two)
    if low >= high:
        return None
    return (x0 + low * (x1 - x0), y0 + low * (y1 - y0)), (x0 + high * (x1 - x0), y0 + high * (y1 - y0))
