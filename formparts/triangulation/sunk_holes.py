"""Triangles of countersunk and counterbored holes: rings of points from the lower skin to the upper."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from formparts.body import Frame, Sink
from formparts.outline.edges import Arc
from formparts.triangulation.rim_points import widened

if TYPE_CHECKING:
    from formparts.triangulation.body_facets import Made


def sunk_hole(made: Made, frame: Frame, edges: range, sink: Sink) -> None:
    """Enter the faces round one sunk hole, in the order of the solid, and the true edges between them."""
    import numpy as np

    rim = made.rim
    rows = np.arange(rim.first[edges[0]], rim.first[edges[-1]] + _count(made, edges[-1]))
    stations = sink.stations(2.0 * made.half)
    rings = [rows, *(_ring(made, frame, rows, sink, each) for each in stations[1:-1]), rows + made.count]
    for (low, below), (high, above) in pairwise(zip(stations, rings, strict=True)):
        owner = _owners(made, frame, edges, sink, low, high)[rim.edge[rows] - edges[0]]
        after, beyond = np.roll(below, -1), np.roll(above, -1)
        made.add(owner, np.column_stack([below, after, beyond]))
        made.add(owner, np.column_stack([below, beyond, above]))
    for ring in rings[1:-1]:
        made.lines.append(np.column_stack([ring, np.roll(ring, -1)]))
        made.smooth.append(np.zeros(len(ring), dtype=bool))


def _count(made: Made, edge: int) -> int:
    return int((made.rim.edge == edge).sum())


def _ring(made: Made, frame: Frame, rows: Any, sink: Sink, station: tuple[float, float]) -> Any:
    """Enter the points of one ring; give their rows."""
    import numpy as np

    radius, height = station
    flat = widened(made.rim.points[rows], sink, radius)
    x, y, z = (np.array(axis) for axis in (frame.x, frame.y, frame.z))
    first = made.entered(np.array(frame.origin) + flat[:, :1] * x + flat[:, 1:] * y + height * z)
    return np.arange(first, first + len(rows))


def _owners(
    made: Made, frame: Frame, edges: range, sink: Sink, low: tuple[float, float], high: tuple[float, float]
) -> Any:
    """The faces between two rings, one for each arc of the hole; a ledge is one face."""
    import numpy as np

    if low[1] == high[1]:
        up = 1.0 if high[0] > low[0] else -1.0
        return np.full(len(edges), made.face(f"{sink.name}.floor", frame.direction(0.0, 0.0, up)))
    wide = high[0] - low[0]
    straight = low[0] == high[0] == sink.hole
    slope = math.hypot(wide, high[1] - low[1])
    cosine, sine = (high[1] - low[1]) / slope, wide / slope
    found = []
    for at in edges:
        edge = made.rim.items[at].edge
        assert isinstance(edge, Arc)
        name = f"{sink.name}.{'wall' if straight else 'sink'}"
        found.append(made.face(name, frame.z, frame.point(edge.centre), -cosine, sine))
    return np.array(found)
