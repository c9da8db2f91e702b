"""Overlapping lines: segments of one carrying line or conic are joined, or subtracted from each other."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from formparts.drawings.curves import Conic, Curve, Polyline, Straight
from formparts.outline import Point
from formparts.tolerances import DRAWN, MEETING, SHORTEST_DRAWN, TURN_RAD, UPRIGHT

Span = tuple[float, float]
Key = tuple[int, ...]

_OFF = 0.372
"""Offset that keeps round figures away from the borders of the grid."""


def united(curves: Iterable[Curve]) -> list[Curve]:
    """Return the lines with each segment once, joined where they meet."""
    groups: dict[Key, list[Curve]] = {}
    for curve in curves:
        groups.setdefault(_carrier(curve), []).append(curve)
    return [piece for group in groups.values() for piece in _on(group[0], _joined(_spans(group)))]


def left_over(curves: Iterable[Curve], covering: Iterable[Curve]) -> list[Curve]:
    """Return the parts of some lines that others do not cover."""
    over: dict[Key, list[Curve]] = {}
    for curve in covering:
        over.setdefault(_carrier(curve), []).append(curve)
    out: list[Curve] = []
    for curve in united(curves):
        spans = _spans([curve])
        for taken in _joined(_spans(over.get(_carrier(curve), []))):
            spans = [piece for span in spans for piece in _without(span, taken)]
        out += _on(curve, spans)
    return out


def _cell(value: float, size: float = DRAWN) -> int:
    return math.floor(value / size + _OFF)


def _carrier(curve: Curve) -> Key:
    if isinstance(curve, Straight):
        ux, uy = _direction(curve)
        return (1, _cell(ux), _cell(uy), _cell(ux * curve.start[1] - uy * curve.start[0]))
    if isinstance(curve, Conic):
        return (2, *(_cell(value) for value in (*curve.centre, *curve.major, curve.ratio)))
    ends = sorted((curve.corners[0], curve.corners[-1]))
    return (
        3,
        *(
            _cell(value, SHORTEST_DRAWN)
            for point in (*ends, curve.corners[len(curve.corners) // 2])
            for value in point
        ),
    )


def _direction(straight: Straight) -> Point:
    """Return the canonical direction: to the right, or straight up."""
    (x0, y0), (x1, y1) = straight.start, straight.end
    ux, uy = (x1 - x0) / straight.length, (y1 - y0) / straight.length
    return (-ux, -uy) if ux < -UPRIGHT or (abs(ux) <= UPRIGHT and uy < 0.0) else (ux, uy)


def _spans(curves: list[Curve]) -> list[Span]:
    """Return where segments begin and end along their carrier; on a conic within one turn, cut at its start."""
    found: list[Span] = []
    for curve in curves:
        if isinstance(curve, Straight):
            ux, uy = _direction(curve)
            ends = sorted(x * ux + y * uy for x, y in (curve.start, curve.end))
            found.append((ends[0], ends[1]))
        elif isinstance(curve, Conic):
            found += _within_a_turn(curve)
        else:
            found.append((0.0, 1.0))
    return found


def _within_a_turn(conic: Conic) -> Iterator[Span]:
    start, end = conic.start, conic.end
    if end <= math.tau + TURN_RAD:
        yield (start, min(end, math.tau))
    else:
        yield (start, math.tau)
        yield (0.0, end - math.tau)


def _joined(spans: list[Span]) -> list[Span]:
    out: list[Span] = []
    for start, end in sorted(spans):
        if out and start <= out[-1][1] + MEETING:
            out[-1] = (out[-1][0], max(out[-1][1], end))
        else:
            out.append((start, end))
    return out


def _without(span: Span, taken: Span) -> Iterator[Span]:
    if taken[1] <= span[0] or taken[0] >= span[1]:
        yield span
        return
    if taken[0] > span[0] + MEETING:
        yield (span[0], taken[0])
    if taken[1] < span[1] - MEETING:
        yield (taken[1], span[1])


def _on(like: Curve, spans: list[Span]) -> list[Curve]:
    """Return the segments on the carrier of a curve."""
    if isinstance(like, Polyline):
        return [like] if spans else []
    if isinstance(like, Straight):
        return [_piece(like, span) for span in spans if span[1] - span[0] > SHORTEST_DRAWN]
    return [
        replace(like, start=a, end=b) for a, b in _around(spans) if (b - a) * like.radius > SHORTEST_DRAWN
    ]


def _piece(like: Straight, span: Span) -> Straight:
    ux, uy = _direction(like)
    off = ux * like.start[1] - uy * like.start[0]
    first, last = ((at * ux - off * uy, at * uy + off * ux) for at in span)
    return Straight(first, last)


def _around(spans: list[Span]) -> list[Span]:
    """Join two segments that meet at the start of the turn."""
    if len(spans) > 1 and spans[0][0] < TURN_RAD and spans[-1][1] > math.tau - TURN_RAD:
        return [*spans[1:-1], (spans[-1][0], spans[0][1] + math.tau)]
    return spans
