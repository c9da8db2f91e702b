"""The rims of all flats of a body as points: chords along its arcs, each edge's own rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from formparts.body import Body, Sink, rims
from formparts.outline.edges import Arc
from formparts.tolerances import TINIEST

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from formparts.body import RimEdge

    Floats: TypeAlias = NDArray[np.float64]
    Integers: TypeAlias = NDArray[np.int64]
    Flags: TypeAlias = NDArray[np.bool_]
else:
    Floats = Integers = Flags = Any

COARSEST_RAD: Final = 0.5
"""Greatest angle that one chord spans [rad]: it keeps very small arcs round; above a radius of 32 times the
chord tolerance that tolerance alone rules."""


def chord_angle(radius: Any, chord: float, turn_rad: float) -> Any:
    """Greatest angle that a chord may span on circles of these radii [rad]."""
    import numpy as np

    share = np.sqrt(np.minimum(chord / (2.0 * np.asarray(radius)), 0.5))
    return np.minimum(4.0 * np.arcsin(share), turn_rad)


@dataclass(frozen=True, eq=False)
class Rims:
    """All rim edges of a body, row by row, and the points along them, in the coordinates of their flats."""

    items: list[RimEdge]
    flat: Integers
    loops: list[list[tuple[int, int]]]
    first: Integers
    after: Integers
    edge: Integers
    points: Floats
    following: Integers
    outwards: tuple[Floats, Floats]
    bent: Flags
    sunk: dict[int, Sink]
    """The countersink or counterbore of each hole, by the hole's first edge."""
    heads: Floats
    """Radius at the face of the countersink or counterbore around an edge; 0 for none."""

    def edges_from(self, first: int) -> range:
        """The edges of the loop that begins with one."""
        last = first
        while self.after[last] != first:
            last = int(self.after[last])
        return range(first, last + 1)

    def on_skin(self, loop: tuple[int, int], upper: bool) -> Floats:
        """The points of a loop on one skin: a sunk hole is wider on its own."""
        begin, end = loop
        sink = self.sunk.get(int(self.edge[begin]))
        points = self.points[begin:end]
        return widened(points, sink, sink.head) if sink and sink.upper == upper else points

    def sinks_in(self, loops: list[tuple[int, int]]) -> list[Sink]:
        """Return the countersinks and counterbores of a flat."""
        found = [self.sunk.get(int(self.edge[begin])) for begin, _ in loops]
        return [sink for sink in found if sink is not None]


def laid_rims(body: Body, chord: float, turn_rad: float) -> Rims:
    """Lay chords along every rim of every flat."""
    import numpy as np

    around = rims(body)
    items: list[RimEdge] = []
    flat: list[int] = []
    bounds: list[list[tuple[int, int]]] = []
    sunk: dict[int, Sink] = {}
    heads: list[float] = []
    for number, each in enumerate(body.flats):
        bounds.append([])
        for loop in around[each.name]:
            bounds[-1].append((len(items), len(items) + len(loop)))
            sink = each.sink_round([item.edge for item in loop])
            sunk |= {len(items): sink} if sink else {}
            heads += [sink.head if sink else 0.0] * len(loop)
            items += loop
            flat += [number] * len(loop)
    after = np.arange(1, len(items) + 1)
    for begun, ended in (loop for loops in bounds for loop in loops):
        after[ended - 1] = begun
    start = np.array([item.edge.start for item in items], dtype=float)
    arcs = _arcs(items, start)
    widest = np.maximum(arcs[:, 2], heads)
    count = np.maximum(np.ceil(arcs[:, 3] / chord_angle(widest, chord, turn_rad)), 1).astype(np.int64)
    first = np.cumsum(count) - count
    edge = np.repeat(np.arange(len(items)), count)
    step = np.arange(len(edge)) - first[edge]
    following = np.arange(1, len(edge) + 1)
    last = first + count - 1
    following[last] = first[after]
    return Rims(
        items,
        np.array(flat),
        [[(int(first[a]), int(last[b - 1]) + 1) for a, b in loops] for loops in bounds],
        first,
        after,
        edge,
        _along(start, arcs, edge, step, count),
        following,
        _outwards(start, after, arcs, np.array([item.bend is not None for item in items])),
        np.array([item.bend is not None for item in items]),
        sunk,
        np.array(heads),
    )


def _arcs(items: list[RimEdge], start: Floats) -> Floats:
    """Centre, radius, sweep and sense (1 anticlockwise, -1 clockwise) of every edge; no sweep for a line."""
    import numpy as np

    plain = (0.0, 0.0, 1.0, 0.0, 0.0)
    rows = [
        (*edge.centre, edge.radius, edge.sweep_rad, 1.0 if edge.ccw else -1.0)
        if isinstance(edge, Arc)
        else plain
        for edge in (item.edge for item in items)
    ]
    return np.array(rows, dtype=float).reshape(len(start), 5)


def _along(start: Floats, arcs: Floats, edge: Integers, step: Integers, count: Integers) -> Floats:
    """The points along all edges: where each begins, and between the chords of an arc."""
    import numpy as np

    begun = np.arctan2(start[:, 1] - arcs[:, 1], start[:, 0] - arcs[:, 0])
    angle = begun[edge] + (arcs[:, 4] * arcs[:, 3] / count)[edge] * step
    on = arcs[edge, :2] + arcs[edge, 2:3] * np.column_stack([np.cos(angle), np.sin(angle)])
    found: Floats = np.where((step == 0)[:, None], start[edge], on)
    return found


def _outwards(start: Floats, after: Integers, arcs: Floats, bent: Flags) -> tuple[Floats, Floats]:
    """
    Outward normal, in the plane of the flat, of the edge face at the first and at the last point of every edge.

    Beside a bend that is the bend's own end face, which looks along the line.
    """
    import numpy as np

    end = start[after]
    way = end - start
    way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), TINIEST)[:, None]
    right = np.column_stack([way[:, 1], -way[:, 0]])
    found = []
    for place, back in ((start, -1.0), (end, 1.0)):
        radial = (place - arcs[:, :2]) * (arcs[:, 4] / arcs[:, 2])[:, None]
        side = np.where((arcs[:, 4] != 0.0)[:, None], radial, right)
        found.append(np.where(bent[:, None], back * way, side))
    return found[0], found[1]


def widened(points: Any, sink: Sink, radius: float) -> Any:
    """Points round a hole, moved out from its middle to a radius, in the coordinates of the flat."""
    import numpy as np

    centre = np.array(sink.centre)
    return centre + (points - centre) * (radius / sink.hole)
