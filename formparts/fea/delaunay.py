"""Triangles between points of the plane such that no circumcircle holds another point (Delaunay), point by point."""

from __future__ import annotations

from dataclasses import dataclass, field

from formparts.fea.arrays import Floats, Integers, np

_FAR = 40.0
"""How many widths of the field away the three corners of the first, all-embracing triangle lie."""


@dataclass
class Triangulation:
    """Grows by one point at a time; the first three points are the far corners and belong to nothing."""

    points: Floats
    count: int = 3
    corners: Integers = field(default_factory=lambda: np.array([[0, 1, 2]]))
    centres: Floats = field(default_factory=lambda: np.zeros((1, 2)))
    squares: Floats = field(default_factory=lambda: np.zeros(1))

    def circles(self, corners: Integers) -> tuple[Floats, Floats, Floats]:
        """Return centre and squared radius of the circle around each triangle, and twice its area."""
        a, b, c = (self.points[corners[:, i]] for i in range(3))
        b, c = b - a, c - a
        double = b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0]
        bb, cc = (b**2).sum(axis=1), (c**2).sum(axis=1)
        safe = np.where(np.abs(double) > 0.0, double, 1.0)
        x = (c[:, 1] * bb - b[:, 1] * cc) / (2.0 * safe)
        y = (b[:, 0] * cc - c[:, 0] * bb) / (2.0 * safe)
        return np.column_stack([a[:, 0] + x, a[:, 1] + y]), x * x + y * y, double

    def add(self, point: Floats) -> bool:
        """Add one more point; return False, unchanged, when it lies too close to existing ones."""
        away = self.centres - point
        hit = np.flatnonzero((away**2).sum(axis=1) < self.squares)
        rim = _rim(self.corners[hit])
        self._room()
        self.points[self.count] = point
        new = np.array([(a, b, self.count) for a, b in rim], dtype=np.int64).reshape(-1, 3)
        centres, squares, double = self.circles(new)
        if len(new) != len(hit) + 2 or double.min() <= 0.0:
            return False
        self.count += 1
        for name, values in (("corners", new), ("centres", centres), ("squares", squares)):
            old = getattr(self, name)
            old[hit] = values[: len(hit)]
            setattr(self, name, np.concatenate([old, values[len(hit) :]]))
        return True

    def _room(self) -> None:
        if self.count == len(self.points):
            self.points = np.concatenate([self.points, np.zeros_like(self.points)])


def _rim(triangles: Integers) -> list[tuple[int, int]]:
    """The directed edges round a patch of triangles."""
    edges = {(int(t[i]), int(t[(i + 1) % 3])) for t in triangles for i in range(3)}
    return [(a, b) for a, b in sorted(edges) if (b, a) not in edges]


def triangulation(low: Floats, high: Floats) -> Triangulation:
    """Return an empty one, for points of a box."""
    middle, reach = (low + high) / 2.0, _FAR * float(np.max(high - low))
    corners = np.array([[-1.0, -0.6], [1.1, -0.7], [0.05, 1.2]]) * reach + middle
    made = Triangulation(np.concatenate([corners, np.zeros((61, 2))]))
    made.centres, made.squares, _ = made.circles(made.corners)
    return made
