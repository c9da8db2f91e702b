"""Areas, moments, bounds and lengths agree with closed forms and with the referee's polygons."""

from __future__ import annotations

import math

import pytest

from formparts.outline import (
    Arc,
    Motion,
    Outline,
    arc_to,
    closed_path,
    cut,
    disc,
    obround,
    polygon,
    rectangle,
    ring,
    round_ended_rectangle,
)
from formparts.outline.edges import Line
from formparts.outline.measures import segment_factor

R = 7.0


def half_disc() -> Outline:
    return closed_path((-R, 0.0), (R, 0.0), arc_to((-R, 0.0), centre=(0.0, 0.0)))


def close(value: float) -> object:
    """Closed forms agree to rounding."""
    return pytest.approx(value, rel=1e-13, abs=1e-9)


def test_half_disc_has_its_handbook_centroid_and_moments() -> None:
    """Centroid 4r/3pi, second moment about the diameter pi r^4/8, about the axis of symmetry the same.

    Source: exact mathematics; every table of plane areas has 0.1098 r^4 about the centroid (from memory).
    """
    outline = half_disc()
    sx, sy = outline.first_moments
    sxx, syy, sxy = outline.second_moments
    assert outline.area == close(math.pi * R**2 / 2)
    assert sx == close(0.0)
    assert sy / outline.area == close(4 * R / (3 * math.pi))
    assert (sxx, syy, sxy) == (close(math.pi * R**4 / 8), close(math.pi * R**4 / 8), close(0.0))
    assert (syy - sy**2 / outline.area) / R**4 == pytest.approx(0.1098, abs=5e-5)


def test_quarter_disc_has_its_product_of_inertia() -> None:
    """In the first quadrant: int xy = r^4/8, int x^2 = pi r^4/16. Source: exact mathematics."""
    outline = closed_path((0, 0), (R, 0), arc_to((0, R), centre=(0, 0)))
    assert outline.second_moments == (
        close(math.pi * R**4 / 16),
        close(math.pi * R**4 / 16),
        close(R**4 / 8),
    )
    mirrored = outline.moved(Motion(a=-1.0))
    assert mirrored.second_moments[2] == close(-(R**4) / 8)


def test_rectangle_triangle_and_ring_have_their_second_moments() -> None:
    """b h^3/12, triangle on its base b h^3/12, ring pi (D^4 - d^4)/64. Source: exact mathematics."""
    assert rectangle(40, 25).second_moments == (close(25 * 40**3 / 12), close(40 * 25**3 / 12), close(0.0))
    assert polygon([(0, 0), (9, 0), (2, 6)]).second_moments[1] == close(9 * 6**3 / 12)
    circular = math.pi * (30**4 - 18**4) / 64
    assert ring(30, 18).second_moments == (close(circular), close(circular), close(0.0))
    assert ring(30, 18).area == close(math.pi / 4 * (30**2 - 18**2))


def test_a_scalene_triangle_has_its_product_of_inertia() -> None:
    """A/12 (sum of x y at the corners + sum of x times sum of y). Source: exact mathematics."""
    corners = [(1.0, 2.0), (9.0, 3.0), (4.0, 8.0)]
    xs, ys = zip(*corners, strict=True)
    area = 22.5
    product = area / 12.0 * (sum(x * y for x, y in corners) + sum(xs) * sum(ys))
    found = polygon(corners)
    assert found.area == close(area)
    assert found.second_moments[2] == close(product)
    squares = [area / 12.0 * (sum(v * v for v in row) + sum(row) ** 2) for row in (xs, ys)]
    assert found.second_moments[:2] == (close(squares[0]), close(squares[1]))


def test_moments_move_by_the_parallel_axis_theorem() -> None:
    """I' = I + A d^2 (Steiner). Source: exact mathematics."""
    moved = ring(30, 18).moved(Motion.shift(100, -40))
    area, own = moved.area, math.pi * (30**4 - 18**4) / 64
    assert moved.first_moments == (close(100 * area), close(-40 * area))
    assert moved.second_moments == (
        close(own + area * 100**2),
        close(own + area * 40**2),
        close(-4000 * area),
    )


def test_areas_and_perimeters_of_the_builders_are_those_of_the_trade() -> None:
    """Rounded corners take (4 - pi) r^2, a slot is a rectangle and a circle. Source: exact mathematics."""
    assert rectangle(40, 25, 5).area == close(1000 - (4 - math.pi) * 25)
    assert rectangle(40, 25, 5).perimeter == close(2 * (30 + 15) + math.pi * 10)
    assert obround(30, 10).area == close(200 + math.pi * 25)
    assert obround(30, 10).perimeter == close(40 + 10 * math.pi)
    assert round_ended_rectangle(30, 10).area == close(250 + math.pi * 12.5)
    assert ring(30, 18).perimeter == close(48 * math.pi)


def test_area_keeps_its_digits_far_from_the_origin() -> None:
    """The same plate 100 m away has the same area to rounding of its coordinates (1e-11 mm)."""
    far = rectangle(40, 25, 5).moved(Motion.shift(1e5, 1e5))
    assert far.area == pytest.approx(rectangle(40, 25, 5).area, rel=1e-11)


@pytest.mark.parametrize("angle", [1e-6, 1e-3, 0.0999, 0.1, 0.19999, 0.20001, 1.0, math.pi])
def test_flat_arcs_lose_no_area(angle: float) -> None:
    """angle - sin(angle) from the series and from the library function agree where both are good.

    Source: exact mathematics; the referee sums the alternating series in rationals.
    """
    from fractions import Fraction

    x, term, total, n = Fraction(angle), Fraction(angle), Fraction(0), 1
    for _ in range(30):
        term = -term * x * x / ((n + 1) * (n + 2))
        n += 2
        total -= term
    assert segment_factor(angle) == pytest.approx(float(total), rel=2e-13)


@pytest.mark.parametrize("angle", [0.0, 17.0, 45.0, 90.0, 133.0, 180.0, 271.5])
def test_bounds_are_those_of_many_points_on_the_edges(angle: float) -> None:
    """The box touches the outline: no point outside, and dense points come within their sagitta of it."""
    shape = round_ended_rectangle(30, 12).moved(Motion.shift(3, -8).after(Motion.turn(angle)))
    points = [edge.point_at(i / 2000) for edge in shape.edges for i in range(2001)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    sampled = (min(xs), min(ys), max(xs), max(ys))
    assert shape.bounds == pytest.approx(sampled, abs=6 * (math.pi / 2000) ** 2 / 8 + 1e-12)
    assert shape.bounds[0] <= sampled[0] + 1e-12
    assert shape.bounds[3] >= sampled[3] - 1e-12


@pytest.mark.parametrize("ccw", [True, False])
@pytest.mark.parametrize(
    "first", [*range(-175, 180, 10), *(quarter + off for quarter in (0, 90) for off in (2, -2))]
)
def test_the_box_of_a_small_arc_has_no_extreme_that_is_not_on_it(first: int, ccw: bool) -> None:
    """Arcs of R 0.5 over 80 degrees, many of which end just before a quarter of the circle."""
    last = first + (80 if ccw else -80)
    ends = [(0.5 * math.cos(math.radians(a)), 0.5 * math.sin(math.radians(a))) for a in (first, last)]
    arc = Arc(ends[0], ends[1], (0.0, 0.0), 0.5, ccw)
    points = [arc.point_at(i / 500) for i in range(501)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    assert arc.bounds == pytest.approx((min(xs), min(ys), max(xs), max(ys)), abs=1e-5)


@pytest.mark.parametrize("angle", [0.0, 33.0, 200.0])
def test_area_and_centroid_agree_with_a_fine_polygon(angle: float) -> None:
    """Green's theorem on arcs against shapely's on 2,000 chords each; the chords' error falls as 1/n^2."""
    from shapely import Polygon

    plate = polygon([(0, 0), (60, 0), (60, 20), (25, 45), (0, 45)], radii=[6, 4, 5, 3, 8])
    (plate,) = cut(plate, disc(14).moved(Motion.shift(20, 20)), disc(20).moved(Motion.shift(60, 10)))
    plate = plate.moved(Motion.shift(11, 5).after(Motion.turn(angle)))
    count = 2000
    rings = [
        [e.point_at(i / count) for e in loop.edges for i in range(count if isinstance(e, Arc) else 1)]
        for loop in plate.loops
    ]
    referee = Polygon(rings[0], rings[1:])
    assert plate.area == pytest.approx(referee.area, rel=1e-6)
    assert plate.perimeter == pytest.approx(referee.length, rel=1e-6)
    sx, sy = plate.first_moments
    assert (sx / plate.area, sy / plate.area) == pytest.approx(referee.centroid.coords[0], abs=1e-5)


def test_distance_and_middle_of_edges() -> None:
    """Hand calculation on a 3-4-5 triangle and on half a circle of radius 5."""
    line, arc = Line((0, 0), (8, 0)), Arc((5, 0), (-5, 0), (0, 0), 5, True)
    assert [line.distance(p) for p in ((4, 3), (-3, 4), (11, -4))] == [3, 5, 5]
    assert [arc.distance(p) for p in ((0, 0), (0, 9), (5, -2), (-8, -4))] == [5, 4, 2, 5]
    assert arc.middle == (0, 5)
    assert arc.reversed().middle == (0, 5)
    assert Arc((5, 0), (3, 4), (0, 0), 5, True).middle == pytest.approx((2 * 5**0.5, 5**0.5))
