"""Single steps of the unfolder that whole parts show only seldom: depths, contours, roots, sums along curves."""

from __future__ import annotations

import math

import cadquery as cq
import pytest

from formparts.body import Sheet
from formparts.errors import InputError
from formparts.kernel import measured
from formparts.layout import BendMark
from formparts.outline import rectangle
from formparts.outline.edges import Arc, Edge, Line
from formparts.outline.regions import Loop
from formparts.shapes import plate
from formparts.solids import solid
from formparts.unfolder import unfold
from formparts.unfolder.composing import _rounded
from formparts.unfolder.families import Families
from formparts.unfolder.measures import looseness
from formparts.unfolder.reading import has_free_form, only_solid, part_of
from formparts.unfolder.sewing import straightened
from formparts.unfolder.walls import alike
from tests.unfolder.foreign import bored_strip, by_k, cone, extruded, revolved

UP, DOWN = 1, -1


def test_what_lies_through_the_material() -> None:
    """Two sheets of 2 at heights 0 and 10, and one of 0.5 at 20: numbers of faces are twice their heights."""
    heights = {UP: [2.0, 12.0, 20.5], DOWN: [0.0, 10.0, 20.0]}
    standing = {int(2 * height): ("z", sign, height) for sign, row in heights.items() for height in row}
    ordered = {("z", sign): [(height, int(2 * height)) for height in row] for sign, row in heights.items()}
    families = Families(standing, ordered)
    assert families.below(4) == [(2.0, 0)]
    assert families.below(24) == [(12.0, 0), (2.0, 20)]
    assert families.below(20) == [(2.0, 24), (10.5, 41)]
    assert families.below(40) == [(0.5, 41)]
    alone = Families(
        {1: ("z", UP, 0.0), 2: ("z", DOWN, 1.0)}, {("z", UP): [(0.0, 1)], ("z", DOWN): [(1.0, 2)]}
    )
    assert alone.below(1) == alone.below(2) == []


def bulged(ccw: bool, begun: int = 0) -> Loop:
    """A square of 10 whose one side is an arc, outward or inward; begun at any corner."""
    edges: list[Edge] = [
        Line((0, 0), (10, 0)),
        Arc((10, 0), (10, 10), (5 if ccw else 15, 5), math.hypot(5, 5), ccw),
    ]
    edges += [Line((10, 10), (0, 10)), Line((0, 10), (0, 0))]
    return Loop(tuple(edges[begun:] + edges[:begun]))


@pytest.mark.parametrize("begun", range(4))
def test_contours_are_alike_wherever_they_begin_and_not_when_one_bulges_the_other_way(begun: int) -> None:
    assert alike(bulged(True), bulged(True, begun), 1e-4)
    assert not alike(bulged(True), bulged(False, begun), 1e-4)
    assert not alike(bulged(False, begun), bulged(True), 1e-4)


def test_contours_with_a_tooth_more_are_not_alike() -> None:
    """Each corner of the square lies on the other; the tooth's does not lie on the square."""
    square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    tooth = [*square[:1], (4.0, 0.0), (5.0, 3.0), (6.0, 0.0), *square[1:]]
    one, other = (
        Loop(tuple(Line(ring[n - 1], ring[n]) for n in range(len(ring)))) for ring in (square, tooth)
    )
    assert alike(one, one, 1e-4)
    assert not alike(one, other, 1e-4)
    assert not alike(other, one, 1e-4)


@pytest.mark.parametrize("widths", [(20.0, 30.0), (30.0, 20.0)])
@pytest.mark.parametrize("fixed", [1, 2, 3, 4, 5])
def test_whichever_flat_stays_the_blank_is_the_same(widths: tuple[float, float], fixed: int) -> None:
    """A hat whose brims lie in one plane, so that each has two faces under it, its own and the other's."""
    brims = [(widths[0],), (90, 2), (25.0,), (-90, 2), (60.0,), (-90, 2), (25.0,), (90, 2), (widths[1],)]
    found = unfold(extruded(brims), by_k, fixed=f"flat[{fixed}]")
    size = max(found.blank.length, found.blank.width)
    assert size == pytest.approx(160.0 + 4 * by_k(90, 2, 2), abs=1e-6)
    assert found.notes == ()
    assert len(found.blank.outline.edges) == 4


@pytest.mark.parametrize(
    ("axis", "turn"), [((1, 0, 0), 0), ((1, 0, 0), 90), ((0, 1, 0), 90), ((0, 0, 1), 90), ((1, 2, 3), 40)]
)
def test_a_bore_across_a_bend_whichever_way_it_looks(axis: tuple[int, int, int], turn: float) -> None:
    """Two cylinders meet in a curve that is neither line nor circle; the kernel's volume is the other method."""
    turned = bored_strip().rotate((0, 0, 0), axis, turn)
    assert has_free_form(only_solid(turned))
    volume = measured(only_solid(turned), closely=True).volume
    found = unfold(turned, by_k)
    assert found.volume == pytest.approx(volume, rel=1e-7)
    assert [bend.angle for bend in found.bends] == [pytest.approx(150.0, abs=1e-6)]
    assert max(found.blank.length, found.blank.width) == pytest.approx(by_k(150, 100, 2), abs=1e-6)


def test_how_loosely_edges_lie() -> None:
    """Cones, cylinders and planes of the kernel's own hold their edges to rounding; one that is moved does not."""
    for made in (cone(), revolved(), extruded([(40,), (90, 2), (30,)])):
        part = part_of(made.val(), None, None)
        assert looseness(part) < 1e-9
        kept, found = part.points[0], []
        for step in ((3e-5, 0, 0), (0, 3e-5, 0), (0, 0, 3e-5)):
            part.points[0] = (kept[0] + step[0], kept[1] + step[1], kept[2] + step[2])
            found.append(looseness(part))
        assert 3e-5 / math.sqrt(3.0) <= max(found) <= 3e-5 + 1e-9
        part.points[0] = (kept[0] + 3e-5, kept[1] + 4e-5, kept[2] + 5e-5)
        assert 3e-5 <= looseness(part) <= math.hypot(3e-5, 4e-5, 5e-5) + 1e-9


def test_small_angles_are_not_rounded_away() -> None:
    mark = BendMark("bend", (0.0, 0.0), (10.0, 0.0), 89.998, "up", 2.000012, 4.5)
    assert (_rounded(mark).angle, _rounded(mark).inside_radius) == (90.0, 2.0)
    assert _rounded(BendMark("bend", (0.0, 0.0), (10.0, 0.0), 0.004, "up", 2.0, 4.5)).angle == 0.004


def test_a_bend_of_many_faces_is_one() -> None:
    """90 deg at R 3 drawn as six arcs of 15 deg on one axis: one bend, one line, 70 + pi/2 x 3.88 long."""
    found = unfold(extruded([(45,), *[(15, 3)] * 6, (25,)]), by_k)
    assert [bend.angle for bend in found.bends] == [pytest.approx(90.0, abs=1e-9)]
    assert max(found.blank.length, found.blank.width) == pytest.approx(70.0 + math.pi / 2 * 3.88, abs=1e-9)


def test_a_bend_line_that_is_an_arc_is_refused() -> None:
    """A rolled wall of 40 that opens by 0.03 deg from half its height on: it runs on smoothly, but no press did it."""
    rows = [(40.0, 0.0), (42.0, 0.0), (42.0, 20.0), (42.01, 40.0), (40.01, 40.0), (40.0, 20.0)]
    wall = cq.Workplane("XZ").polyline(rows).close().revolve(150, (0, 0), (0, 1))
    with pytest.raises(InputError, match="is not straight, so it cannot have been bent"):
        unfold(wall, by_k)


def test_an_arc_and_the_line_on_its_chord_stay_two() -> None:
    """Half a circle over 2 mm, then 2 mm on along its chord."""
    arc = Arc((2.0, 0.0), (0.0, 0.0), (1.0, 0.0), 1.0, True)
    loop = Loop(
        (arc, Line((0.0, 0.0), (-2.0, 0.0)), Line((-2.0, 0.0), (-2.0, -3.0)), Line((-2.0, -3.0), (2.0, 0.0)))
    )
    assert len(straightened(loop).edges) == 4
    back = Loop(tuple(edge.reversed() for edge in reversed(loop.edges)))
    assert len(straightened(back).edges) == 4


def test_the_name_of_the_solid_is_kept() -> None:
    body = plate(Sheet(2.0, 3.0, "DC01"), rectangle(30, 20), "shim")
    assert unfold(solid(body), by_k).name == "shim"
    assert unfold(extruded([(40,)]), by_k).name == "solid"


@pytest.mark.parametrize("off", [(0.0, 1e-5), (1e-5, 0.0), (1e-5, -1e-5)])
@pytest.mark.parametrize("ccw", [True, False])
def test_an_arc_ends_on_its_circle_whichever_end_was_off(off: tuple[float, float], ccw: bool) -> None:
    """A quarter of R 10 and its two radii; what hangs on to it stays where it is."""
    start, end = (10.0 + off[0], 0.0), (0.0, 10.0 + off[1])
    arc = Arc(start, end, (0.0, 0.0), 10.0, True)
    loop = Loop((arc, Line(end, (0.0, 0.0)), Line((0.0, 0.0), start)))
    edges = loop.edges if ccw else tuple(edge.reversed() for edge in reversed(loop.edges))
    (found,) = (edge for edge in straightened(Loop(edges)).edges if isinstance(edge, Arc))
    assert {found.start, found.end} == {start, end}
    for place in (found.start, found.end):
        assert math.dist(place, found.centre) == pytest.approx(found.radius, abs=1e-12)
    assert found.radius == pytest.approx(10.0, abs=1.1e-5)
    assert math.dist(found.centre, (0.0, 0.0)) < 2e-5
