"""Union, cut and intersection of random pairs hold against two referees: shapely and the solid kernel.

Half of the pairs have coincident or tangent edges on purpose: sizes and places on a grid of 5 mm, corners
rounded to suit it (so tangent to their sides and to each other), and the pair then turned as one (so that
coincident coordinates agree to rounding only, as in an array about an axis).
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import numpy as np
import pytest

from formparts.outline import (
    Arc,
    Edge,
    Loop,
    Motion,
    Outline,
    alike,
    cut,
    disc,
    intersect,
    obround,
    polygon,
    problem,
    rectangle,
    ring,
    round_ended_rectangle,
    unite,
)

SEED = 20240611
CHUNKS = 8
PAIRS = 1280
"""Pairs in each chunk: 8 x 1280 = 10,240 in the long run, a quarter of them in every run."""
IN_EVERY_RUN = 2
KERNEL_EVERY = 12
"""Every so many pairs also go to the kernel, which takes 50 times as long."""


def rough(draw: random.Random) -> float:
    return draw.uniform(6.0, 45.0)


def even(draw: random.Random) -> float:
    return 10.0 * draw.randint(1, 5)


def shape(draw: random.Random, size: Callable[[random.Random], float]) -> Outline:
    """One of our builders' outlines, about the origin."""
    a, b = size(draw), size(draw)
    small, large = min(a, b), max(a, b)
    kind = draw.randrange(8)
    if kind == 0:
        return rectangle(a, b)
    if kind == 1:
        return rectangle(a, b, small / draw.choice((2.0, 4.0)))
    if kind == 2:
        return obround(large, small)
    if kind == 3:
        return disc(a)
    if kind == 4:
        return ring(a + b, a)
    if kind == 5:
        return round_ended_rectangle(large, small)
    if kind == 6:
        steps = [(0, 0), (2 * a, 0), (2 * a, b), (a, b), (a, 3 * b), (0, 3 * b)]
        return polygon(steps, radii=draw.choice((0.0, small / 2.0)))
    return polygon([(-a, -b), (a, -b), (a, 0.0), (0.0, b)], chamfers=draw.choice((0.0, small / 4.0)))


def placed(draw: random.Random, outline: Outline, on_grid: bool) -> Outline:
    """The outline somewhere near the origin."""
    if on_grid:
        x, y, angle = 5.0 * draw.randint(-6, 6), 5.0 * draw.randint(-6, 6), 90.0 * draw.randrange(4)
    else:
        x, y, angle = draw.uniform(-30, 30), draw.uniform(-30, 30), draw.uniform(0, 360)
    motion = Motion.shift(x, y).after(Motion.turn(angle))
    return outline.moved(motion.after(Motion.turn_over()) if draw.random() < 0.3 else motion)


def pair(draw: random.Random, number: int) -> tuple[Outline, Outline]:
    """Two outlines; every second pair has edges that coincide or touch."""
    on_grid = number % 2 == 0
    size = even if on_grid else rough
    first = placed(draw, shape(draw, size), on_grid)
    second = first if on_grid and draw.random() < 0.2 else shape(draw, size)
    second = placed(draw, second, on_grid)
    if draw.random() < 0.3:
        # Results are operands too: outlines with holes, notches and arcs of more than half a turn.
        first = max(unite(first, placed(draw, shape(draw, size), on_grid)), key=lambda o: o.area)
    if draw.random() < 0.3:
        left = cut(second, placed(draw, shape(draw, size), on_grid))
        second = left[0] if left else second
    if on_grid and draw.random() < 0.5:
        motion = Motion.shift(draw.uniform(-9, 9), 400.0).after(Motion.turn(draw.uniform(0, 360)))
        return first.moved(motion), second.moved(motion)
    return first, second


def total(outlines: tuple[Outline, ...]) -> float:
    return math.fsum(outline.area for outline in outlines)


def faceted(outline: Outline) -> object:
    """The outline as a polygon of the referee, 64 chords to an arc."""
    from shapely import Polygon

    rings = [np.vstack([chords(edge) for edge in loop.edges]) for loop in outline.loops]
    return Polygon(rings[0], rings[1:])


def chords(edge: Edge) -> np.ndarray:
    """Corners of an edge as chords, from its start up to before its end; shape (N, 2) [mm]."""
    if not isinstance(edge, Arc):
        return np.array([edge.start])
    (x, y), (cx, cy) = edge.start, edge.centre
    turned = np.arange(FACETS) * ((edge.sweep_rad if edge.ccw else -edge.sweep_rad) / FACETS)
    cos, sin = np.cos(turned), np.sin(turned)
    return np.column_stack([cx + cos * (x - cx) - sin * (y - cy), cy + sin * (x - cx) + cos * (y - cy)])


FACETS = 64


def faceting_error(outline: Outline) -> float:
    """Area between the arcs of an outline and their chords: n r^2 (phi - sin phi) / 2, phi = sweep / n."""
    arcs = [edge for edge in outline.edges if isinstance(edge, Arc)]
    angles = [arc.sweep_rad / FACETS for arc in arcs]
    return sum(
        FACETS * arc.radius**2 * (phi - math.sin(phi)) / 2.0 for arc, phi in zip(arcs, angles, strict=True)
    )


def assert_sound(outlines: tuple[Outline, ...], where: str) -> None:
    """Results can be built on, but for edges and points that the drawn shapes themselves leave that small."""
    for outline in outlines:
        fault = problem(outline)
        # A pair drawn at random may truly leave a short edge, or a hole that touches the outside in a point.
        assert fault is None or "touches" in fault or "an edge of only" in fault, f"{where}: {fault}"


def chunks(count: int, short: int) -> pytest.MarkDecorator:
    """All chunks in the long run, the first of them in every run."""
    long = (pytest.param(chunk, marks=pytest.mark.soak) for chunk in range(short, count))
    return pytest.mark.parametrize("chunk", [*range(short), *long])


@chunks(CHUNKS, IN_EVERY_RUN)
def test_random_pairs_agree_with_polygons_and_with_the_area_identities(chunk: int) -> None:
    """|A|+|B| = |AuB|+|AnB|, |A-B|+|AnB| = |A|, |AuB| = |A-B|+|B-A|+|AnB|; shapely agrees to faceting.

    Source: set theory; bound of the faceting error: circular segments, exact mathematics. A boolean result of
    two faceted outlines differs from the true one by no more than what faceting took from or gave to both.
    Where faceting makes loops cross that only touch, the referee counts even and odd: the bound still holds.
    """
    import shapely

    exact: list[tuple[float, float, float]] = []
    polygons: list[tuple[object, object]] = []
    bounds: list[float] = []
    for number in range(chunk * PAIRS, (chunk + 1) * PAIRS):
        where = f"seed {SEED}, pair {number}"
        first, second = pair(random.Random(SEED * 1_000_003 + number), number)
        united, common = unite(first, second), intersect(first, second)
        left, right = cut(first, second), cut(second, first)
        areas = [total(united), total(left), total(common)]
        size = first.area + second.area
        assert areas[0] + areas[2] == pytest.approx(size, rel=1e-9), where
        assert areas[1] + areas[2] == pytest.approx(first.area, rel=1e-9, abs=1e-9 * size), where
        assert areas[1] + total(right) + areas[2] == pytest.approx(areas[0], rel=1e-9), where
        for results in (united, common, left, right):
            assert_sound(results, where)
        exact.append((areas[0], areas[1], areas[2]))
        polygons.append((faceted(first), faceted(second)))
        bounds.append(faceting_error(first) + faceting_error(second) + 1e-6)
    firsts, seconds = [shapely.make_valid(list(column)) for column in zip(*polygons, strict=True)]
    for i, operation in enumerate((shapely.union, shapely.difference, shapely.intersection)):
        referee = shapely.area(operation(firsts, seconds))
        for j, area in enumerate(referee):
            number = chunk * PAIRS + j
            assert abs(area - exact[j][i]) <= bounds[j], f"seed {SEED}, pair {number}, {operation.__name__}"


def test_pairs_that_miss_each_other_by_about_the_tolerance_still_give_whole_areas() -> None:
    """Grid pairs shifted and turned by 1e-7 to 1e-5 mm: no failure, and the identities to 2 LENGTH x perimeter.

    Snapping may move an edge by LENGTH, so an area by no more than LENGTH times what edges there are. The numbers
    at the end are pairs (of 20,000 tried) whose faces close only with the wider tolerance of the second attempt.
    """
    for number in (*range(400), 18188, 19096, 19656):
        draw = random.Random(8 * 1_000_003 + number)
        first, second = pair(draw, 2 * number)
        reach = 10.0 ** -draw.uniform(5, 7)
        shift = Motion.shift(draw.uniform(-reach, reach), draw.uniform(-reach, reach))
        second = second.moved(shift.after(Motion.turn(draw.choice((0, draw.uniform(-reach, reach))))))
        allowed = 2e-6 * (first.perimeter + second.perimeter)
        united, common, left = unite(first, second), intersect(first, second), cut(first, second)
        where = f"pair {number}"
        assert abs(total(united) + total(common) - first.area - second.area) <= allowed, where
        assert abs(total(left) + total(common) - first.area) <= allowed, where


@chunks(2, 1)
def test_random_pairs_agree_with_the_solid_kernel(chunk: int, record_property: Callable[..., None]) -> None:
    """Areas of union, cut and intersection equal those of the kernel's booleans on planar faces, to 1e-9."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
    from OCP.BRepCheck import BRepCheck_Analyzer

    operations = ((BRepAlgoAPI_Fuse, unite), (BRepAlgoAPI_Cut, cut), (BRepAlgoAPI_Common, intersect))
    refused = []
    for step in range(KERNEL_PAIRS):
        number = KERNEL_EVERY * (chunk * KERNEL_PAIRS + step) + step % 2
        first, second = pair(random.Random(SEED * 1_000_003 + number), number)
        faces = kernel_face(first), kernel_face(second)
        for operation, ours in operations:
            made = operation(*faces)
            where = f"seed {SEED}, pair {number}, {ours.__name__}"
            if not made.IsDone() or not BRepCheck_Analyzer(made.Shape()).IsValid():
                refused.append(where)
                continue
            area = kernel_area(made.Shape())
            assert area == pytest.approx(total(ours(first, second)), rel=1e-9, abs=1e-9 * first.area), where
    record_property("kernel_gave_no_valid_result", len(refused))
    # The kernel is the referee only where it answers: it must do so nearly always for this test to mean much.
    assert len(refused) <= 3 * KERNEL_PAIRS // 100, refused


KERNEL_PAIRS = 300


def kernel_face(outline: Outline) -> object:
    """The outline as a planar face of the solid kernel."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt

    plane = gp_Pln(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
    maker = BRepBuilderAPI_MakeFace(plane, kernel_wire(outline.outer), True)
    for hole in outline.holes:
        maker.Add(kernel_wire(hole))
    return maker.Face()


def kernel_wire(loop: Loop) -> object:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt

    maker = BRepBuilderAPI_MakeWire()
    for edge in loop.edges:
        ends = gp_Pnt(*edge.start, 0), gp_Pnt(*edge.end, 0)
        if isinstance(edge, Arc):
            axes = gp_Ax2(gp_Pnt(*edge.centre, 0), gp_Dir(0, 0, 1 if edge.ccw else -1))
            maker.Add(BRepBuilderAPI_MakeEdge(gp_Circ(axes, edge.radius), *ends).Edge())
        else:
            maker.Add(BRepBuilderAPI_MakeEdge(*ends).Edge())
    return maker.Wire()


def kernel_area(shape: object) -> float:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, properties)
    return properties.Mass()


@chunks(2, 1)
def test_a_boolean_does_not_care_about_motion_or_order(chunk: int) -> None:
    """Move, then unite = unite, then move; AuB = BuA, AnB = BnA, AuA = A, A-A = nothing (set theory)."""
    for number in range(chunk * 300, (chunk + 1) * 300):
        draw = random.Random(SEED * 1_000_003 + number)
        where = f"seed {SEED}, pair {number}"
        first, second = pair(draw, number)
        motion = Motion.shift(draw.uniform(-50, 50), 7.0).after(Motion.turn(draw.uniform(0, 360)))
        motion = motion.after(Motion.turn_over()) if number % 3 == 0 else motion
        for operation in (unite, cut, intersect):
            before = operation(first, second)
            after = operation(first.moved(motion), second.moved(motion))
            assert_same_set(tuple(o.moved(motion) for o in before), after, f"{where}, {operation.__name__}")
        for operation in (unite, intersect):
            assert_same_set(operation(first, second), operation(second, first), where)
        assert unite(first, first) == unite(first), where
        assert_same_set(unite(first, first), (first,), where)
        assert cut(first, first) == (), where


def assert_same_set(left: tuple[Outline, ...], right: tuple[Outline, ...], where: str) -> None:
    """Both have the same outlines, in whatever order."""
    assert len(left) == len(right), where
    rest = list(right)
    for outline in left:
        match = next((i for i, other in enumerate(rest) if alike(outline, other)), None)
        assert match is not None, f"{where}: no match for {outline}"
        del rest[match]
