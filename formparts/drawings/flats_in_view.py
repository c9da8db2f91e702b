"""A flat as it is seen in a view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from formparts.body import Frame
from formparts.body.frame import Vector, combined, dot, inverse
from formparts.drawings.board import Item, Slanted, Span
from formparts.drawings.sketch import SketchHole
from formparts.drawings.sketching import Drawn
from formparts.drawings.words import rim_points
from formparts.outline import Point


@dataclass(frozen=True)
class FlatInView:
    """A flat shown in a view: from its axes to those of the view, at a scale."""

    drawn: Drawn
    frame: Frame
    origin: Vector
    right: Vector
    up: Vector
    scale: float
    edges: tuple[tuple[Point, Point], ...] = ()

    def at(self, point: Point, height: float = 0.0) -> Point:
        """Return a point of the flat on the paper."""
        away = combined(self.frame.point(point, height), (-1.0, self.origin))
        return (dot(away, self.right) * self.scale, dot(away, self.up) * self.scale)


def flat_frame(drawn: Drawn, standing: Frame) -> Frame:
    """Return the frame of a measured flat's axes in space; `standing` is the frame of the body's own flat."""
    return standing.moved_in_plane(inverse(drawn.measured.motion))


@dataclass
class Sorted:
    """The dimensions of a view, sorted by the way they are drawn."""

    across: list[Item]
    upwards: list[Item]
    spans: dict[str, list[Span]]
    slanted: list[Slanted]
    pointed: list[tuple[list[Point], float, str]]
    controlled: list[tuple[list[Point], float, str, tuple[str, ...]]]
    """Sizes of openings with a tolerance of position, and the cells of its frame."""


def _pointed_at(place: FlatInView, same: Sequence[SketchHole]) -> tuple[list[Point], float]:
    """Return where a leader may point at one of some equal openings on paper, and the radius about it."""
    figures = place.drawn.figures
    middles = {one.name: (figures[f"{one.name}.u"], figures[f"{one.name}.v"]) for one in same}

    def rank(one: SketchHole) -> tuple[float, float]:
        x, y = place.at(middles[one.name])
        return (-round(x + y, 3), -x)

    ordered, size = sorted(same, key=rank), same[0].size
    if same[0].kind == "circle":
        return [place.at(middles[one.name]) for one in ordered], figures[f"{size}.d"] / 2.0 * place.scale
    sizes = (figures[f"{size}.a"], figures[f"{size}.b"])
    rims = [rim_points(middles[one.name], figures[f"{one.name}.turn"], sizes) for one in ordered]
    return [place.at(point) for rim in rims for point in rim], 0.0
