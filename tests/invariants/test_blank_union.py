"""The sewn blank is the union of its flats and bends: held against our own exact union and against shapely."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest
import shapely

from formparts.blanks import strips
from formparts.body import Body, laid_out
from formparts.layout import Blank
from formparts.outline import Arc, Outline, alike, problem, unite
from tests.invariants.subjects import SUBJECTS, blank_of, body_of

CHORDS = 720
"""Chords to a full turn, in which arcs are given to shapely."""


def pieces_of(body: Body) -> Iterator[Outline]:
    laid = laid_out(body)
    yield from (flat.net.moved(laid[flat.name]) for flat in body.flats)
    yield from (piece for bend in body.bends for piece in strips(body, bend, laid))


def faceted(outline: Outline, grown: float = 0.0) -> shapely.Geometry:
    """The outline as shapely knows it, arcs as chords; grown so that flats and bends that touch do overlap."""
    loops = []
    for loop in outline.loops:
        points: list[tuple[float, float]] = []
        for edge in loop.edges:
            parts = math.ceil(CHORDS * edge.sweep_rad / math.tau) if isinstance(edge, Arc) else 1
            points += [edge.start, *(edge.point_at(place / parts) for place in range(1, parts))]
        loops.append(points)
    return shapely.Polygon(loops[0], loops[1:]).buffer(grown, join_style="mitre")


def laid_together(pieces: list[shapely.Geometry]) -> shapely.Geometry:
    """
    Their union, snapped to a grid of 1e-9 mm.

    Off a grid shapely may fill an opening, where an edge all but runs through a corner, and say a union larger than
    the sum of its parts (seen with its 2.2.0).
    """
    return shapely.union_all(pieces, grid_size=1e-9)


def area_missed(outline: Outline) -> float:
    """Greatest area that chords can leave out: a circle segment on each chord."""
    arcs = [edge for edge in outline.edges if isinstance(edge, Arc)]
    half = math.tau / CHORDS / 2.0
    return sum(edge.radius * edge.length * half**2 for edge in arcs)


def assert_union(body: Body, flat: Blank) -> None:
    pieces = list(pieces_of(body))
    assert problem(flat.outline) is None
    # Nothing overlaps, so the areas add up.
    assert flat.area == pytest.approx(math.fsum(piece.area for piece in pieces), rel=1e-9)
    united = unite(*pieces)
    assert len(united) == 1
    assert alike(united[0], flat.outline)
    other = laid_together([faceted(piece, 1e-7) for piece in pieces])
    slack = area_missed(flat.outline) + 1e-6 * flat.cut_length
    assert other.area == pytest.approx(flat.area, abs=slack)
    # A single part may come back as a collection of one.
    (whole,) = shapely.get_parts(other)
    assert len(whole.interiors) == len(flat.outline.holes) == flat.pierces - 1
    assert other.bounds == pytest.approx(flat.outline.bounds, abs=max(1e-6, slack))


@pytest.mark.parametrize("subject", [name for name in SUBJECTS if not name.startswith("ring_riser-4")])
def test_sewn_blank_is_the_union_of_its_pieces(subject: str) -> None:
    assert blank_of(subject).overlaps == ()
    assert_union(body_of(subject), blank_of(subject))
