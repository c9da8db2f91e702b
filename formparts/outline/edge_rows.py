"""The edges of an outline by height, so that those near a point are found without testing all of them."""

from __future__ import annotations

import math

from formparts.kept import kept
from formparts.outline.edges import Bounds, Edge, Point
from formparts.outline.regions import Outline
from formparts.tolerances import LENGTH


@kept
def edge_rows(outline: Outline) -> EdgeRows:
    """Return the rows of an outline, kept with it, as it never changes."""
    return EdgeRows(outline)


class EdgeRows:
    """Edges of one outline in level rows; each row knows the edges that reach into it, with their boxes."""

    def __init__(self, outline: Outline) -> None:
        edges = outline.edges
        _, self._low, _, high = outline.bounds
        # Twice the root of their number: a row then holds about as many edges as there are rows.
        self._count = math.ceil(2.0 * math.sqrt(len(edges)))
        self._height = (high - self._low) / self._count or 1.0
        self._rows: list[list[tuple[int, Bounds, Edge]]] = [[] for _ in range(self._count)]
        for number, edge in enumerate(edges):
            box = edge.bounds
            for row in self._reach(box[1], box[3]):
                self._rows[row].append((number, box, edge))

    def _reach(self, low: float, high: float) -> range:
        """Rows from one height to another; what lies outside belongs to the first or the last."""
        first = int((low - self._low) // self._height)
        last = int((high - self._low) // self._height)
        return range(max(0, min(first, self._count - 1)), max(0, min(last, self._count - 1)) + 1)

    def near(self, box: Bounds) -> list[tuple[int, Edge]]:
        """Edges, with their numbers, whose boxes meet a box."""
        xmin, ymin, xmax, ymax = box
        found = {}
        for row in self._reach(ymin, ymax):
            for number, (left, low, right, high), edge in self._rows[row]:
                if left <= xmax and right >= xmin and low <= ymax and high >= ymin:
                    found[number] = edge
        return list(found.items())

    def contains(self, point: Point) -> bool:
        """As the outline's own: true inside, or within LENGTH of an edge."""
        x, y = point
        row = self._rows[self._reach(y, y)[0]]
        if sum([edge.crossing(point) for _, box, edge in row if box[1] - LENGTH <= y <= box[3] + LENGTH]) > 0:
            return True
        close = self.near((x - LENGTH, y - LENGTH, x + LENGTH, y + LENGTH))
        return any(edge.distance(point) <= LENGTH for _, edge in close)

    def inside(self, point: Point, margin: float) -> bool:
        """True for a point of the outline's inside that is farther than a margin from all edges."""
        x, y = point
        row = self._rows[self._reach(y, y)[0]]
        if sum([edge.crossing(point) for _, box, edge in row if box[1] <= y <= box[3]]) <= 0:
            return False
        close = self.near((x - margin, y - margin, x + margin, y + margin))
        return all(edge.distance(point) > margin for _, edge in close)
