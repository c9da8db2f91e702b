"""Edges found by place, held against polygons of shapely and against asking every edge."""

from __future__ import annotations

import math
import random

import pytest
import shapely

from formparts.outline import Motion, Outline, arc_to, closed_path, cut, disc, polygon, rectangle, ring
from formparts.outline.edge_rows import EdgeRows
from formparts.outline.edges import Bounds

SHAPES: dict[str, Outline] = {
    "rectangle": rectangle(40, 20),
    "long and low": rectangle(4000, 0.5),
    "ring": ring(30, 18),
    "turned": rectangle(40, 20, 3).moved(Motion.turn(33.0)),
    "saw": polygon([(0, 0), (60, 0), *((60 - 3 * n, 10 + 8 * (n % 2)) for n in range(21))]),
    "lens": closed_path((0, 0), arc_to((30, 0), through=(15, -5)), arc_to((0, 0), through=(15, 9))),
    "many holes": cut(
        rectangle(90, 90),
        *(disc(7).moved(Motion.shift(10 * x, 10 * y)) for x in range(-3, 4) for y in range(-3, 4)),
    )[0],
}
CHORD = 1e-5
"""How closely the polygon follows the arcs [mm]."""


def polygon_of(outline: Outline) -> shapely.Polygon:
    """The same outline in short chords."""
    loops = []
    for loop in outline.loops:
        corners = []
        for edge in loop.edges:
            radius = getattr(edge, "radius", 0.0)
            count = math.ceil(edge.length / math.sqrt(8 * radius * CHORD)) if radius else 1
            corners += [edge.point_at(step / count) for step in range(count)]
        loops.append(corners)
    return shapely.Polygon(loops[0], loops[1:])


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("margin", [0.0, 1e-4, 0.7])
def test_inside_and_clear_of_the_edges_as_shapely_says(name: str, margin: float) -> None:
    """Random points, in and around the box; those within the chords' distance of the border are left out."""
    outline, chance = SHAPES[name], random.Random(7)
    rows, reference = EdgeRows(outline), polygon_of(outline)
    xmin, ymin, xmax, ymax = outline.bounds
    tried, found = 0, set()
    for _ in range(400):
        point = (chance.uniform(xmin - 2, xmax + 2), chance.uniform(ymin - 0.3, ymax + 0.3))
        away = reference.boundary.distance(shapely.Point(point))
        if abs(away - margin) < 2 * CHORD:
            continue
        wanted = reference.contains(shapely.Point(point)) and away > margin
        assert rows.inside(point, margin) == wanted, point
        tried += 1
        found.add(wanted)
    assert tried > 350
    assert found == ({False} if name == "long and low" and margin > 0.25 else {True, False})


@pytest.mark.parametrize("name", SHAPES)
def test_on_the_height_of_a_corner(name: str) -> None:
    """A ray along a corner, or along a level edge, counts it neither twice nor not at all; no point on the border."""
    outline = SHAPES[name]
    rows, reference = EdgeRows(outline), polygon_of(outline)
    xmin, _, xmax, _ = outline.bounds
    for y in {edge.start[1] for edge in outline.edges}:
        for step in range(1, 40):
            point = (xmin - 1 + (xmax - xmin + 2) * step / 40.37, y)
            if reference.boundary.distance(shapely.Point(point)) > 2 * CHORD:
                assert rows.inside(point, 0.0) == reference.contains(shapely.Point(point)), point


@pytest.mark.parametrize("name", SHAPES)
def test_near_is_every_edge_whose_box_meets_and_no_other(name: str) -> None:
    """Each once, with its own number; boxes within, across and beside the outline, and of no size."""
    outline, chance = SHAPES[name], random.Random(11)
    rows = EdgeRows(outline)
    xmin, ymin, xmax, ymax = outline.bounds
    met = 0
    for _ in range(200):
        xs = sorted(chance.uniform(xmin - 5, xmax + 5) for _ in range(2))
        ys = sorted(chance.uniform(ymin - 5, ymax + 5) for _ in range(2))
        box: Bounds = (xs[0], ys[0], xs[1], ys[1]) if chance.random() < 0.8 else (xs[0], ys[0], xs[0], ys[0])
        wanted = [
            (number, edge) for number, edge in enumerate(outline.edges)
            if shapely.box(*edge.bounds).envelope.intersects(shapely.box(*box))
        ]  # fmt: skip
        assert sorted(rows.near(box), key=lambda pair: pair[0]) == wanted
        met += len(wanted)
    assert met > 50
