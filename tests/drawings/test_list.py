"""The list of dimensions: the part is made again from it alone, and no dimension of it can be spared."""

from __future__ import annotations

import json
import math
from dataclasses import fields, is_dataclass, replace
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings

from formparts import (
    Body,
    InputError,
    Motion,
    Sheet,
    add_curl,
    add_hem,
    cut_opening,
    disc,
    down,
    find_recipe,
    plate,
    profile,
    rectangle,
    run,
    up,
)
from formparts.body import frames
from formparts.drawings import Dimension, DimensionList, dimension_list, list_from, missing, rebuilt
from formparts.drawings.measuring import measured_flats
from formparts.outline import Loop, Outline, Point, outline_of
from formparts.recipe_functions.shipped import shipped_folder
from tests.parts import CAST
from tests.strategies import bodies

RECIPES = tuple(sorted(path.stem for path in shipped_folder().glob("[!_]*.py")))
_AT = 2e-5
"""Corners of the rebuilt part are where they were within this [mm]: twenty times what two points may be apart."""


@cache
def body_of(name: str) -> Body:
    return find_recipe(name)() if name in RECIPES else CAST[name]()


@cache
def listed(name: str) -> DimensionList:
    return dimension_list(body_of(name))


def from_paper(dimensions: DimensionList) -> Body:
    """The part from the list as it is written to a file, and from nothing else."""
    return rebuilt(list_from(json.loads(json.dumps(dimensions.data()))))


def assert_same_part(body: Body, again: Body) -> None:
    """Every corner and the middle of every edge lies on the other outline; bends are the same."""
    assert [(bend.name, bend.parent, bend.child, bend.side) for bend in again.bends] == [
        (bend.name, bend.parent, bend.child, bend.side) for bend in body.bends
    ]
    for one, two in zip(body.bends, again.bends, strict=True):
        assert two.angle == pytest.approx(one.angle, abs=1e-9)
        assert two.inside_radius == pytest.approx(one.inside_radius, abs=1e-9)
        assert two.width == pytest.approx(one.width, abs=1e-6)
        for was, now in zip(one.nets, two.nets, strict=True):
            assert now.area == pytest.approx(was.area, rel=1e-6)
            assert all(min(edge.distance(at) for edge in now.edges) < _AT for at in _points(was)), one.name
    assert again.sheet.thickness == body.sheet.thickness
    for number, measured in enumerate(measured_flats(body)):
        was = outline_of([Loop(tuple(side.edge for side in loop)) for loop in measured.loops])
        now = again.flat(measured.name).net
        # The first flat may have its zero elsewhere; the others start at their bends.
        by = _between(was, now) if number == 0 else (0.0, 0.0)
        assert now.area == pytest.approx(was.area, rel=1e-6)
        for x, y in _points(was):
            assert min(edge.distance((x - by[0], y - by[1])) for edge in now.edges) < _AT, measured.name


def _points(outline: Outline) -> list[Point]:
    """Corners, and the middles of edges."""
    corners = [v for loop in outline.loops for v in loop.vertices]
    return [*corners, *(edge.point_at(0.5) for edge in outline.edges)]


def _between(one: Outline, two: Outline) -> tuple[float, float]:
    middles = [[moment / each.area for moment in each.first_moments] for each in (one, two)]
    return (middles[0][0] - middles[1][0], middles[0][1] - middles[1][1])


@pytest.mark.parametrize("name", [*RECIPES, *CAST])
def test_the_part_is_made_again_from_its_list(name: str) -> None:
    """Nothing is missing, and the part that follows from the list is the part."""
    assert missing(listed(name)) == ()
    assert_same_part(body_of(name), from_paper(listed(name)))


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(bodies(10))
def test_random_parts_are_made_again(body: Body) -> None:
    """The same of bodies that nobody thought of."""
    found = dimension_list(body)
    assert missing(found) == ()
    assert_same_part(body, from_paper(found))


@pytest.mark.soak
@settings(max_examples=500, deadline=None, suppress_health_check=list(HealthCheck))
@given(bodies())
def test_many_random_parts_are_made_again(body: Body) -> None:
    """The same, at length."""
    found = dimension_list(body)
    assert missing(found) == ()
    assert_same_part(body, from_paper(found))


@pytest.mark.parametrize("name", [*RECIPES, "lug_ring", "reliefs", "flange_and_ears", "pierced_wall"])
def test_no_dimension_stands_twice(name: str) -> None:
    """Without any one of its dimensions something is missing: none follows from the others."""
    found = listed(name)
    for spared in found.dimensions:
        rest = tuple(one for one in found.dimensions if one is not spared)
        assert missing(replace(found, dimensions=rest)), spared


def test_the_sketch_holds_no_figure() -> None:
    """All figures are in the dimensions: what is left holds no length and no angle, so no fraction at all."""
    found = listed("ring_riser")

    def floats(value: object) -> list[float]:
        if isinstance(value, float):
            return [value]
        if is_dataclass(value):
            return [each for field in fields(value) for each in floats(getattr(value, field.name))]
        return [each for one in value for each in floats(one)] if isinstance(value, tuple) else []

    assert floats(replace(found, dimensions=())) == []


def test_a_wrong_figure_gives_another_part() -> None:
    """The figures are used: with 61 deg for 60 the lugs of the riser come out shorter."""
    found = listed("ring_riser")
    dimensions = tuple(
        replace(one, value=61.0) if one.what == "bend angle" and one.value == 60.0 else one
        for one in found.dimensions
    )
    with pytest.raises(AssertionError):
        assert_same_part(body_of("ring_riser"), from_paper(replace(found, dimensions=dimensions)))


def values(of: DimensionList, what: str) -> set[float]:
    return {round(one.value, 6) for one in of.dimensions if one.what == what}


def test_dimensions_of_the_riser_are_those_of_its_recipe() -> None:
    """The recipe's defaults, one by one: what its author drew is what its drawing says."""
    found = listed("ring_riser")
    # length, width of the plate, ears, flange, flange with reliefs of 4 beside it, lugs
    assert values(found, "width") == {240, 210, 30, 120, 128, 26, 9}
    assert {69, 41, 105, 22, 98} <= values(
        found, "distance"
    )  # 75 - 6; 82 / 2; 210 / 2; 22; 105 - 4.5 - 4.5 + 2
    assert values(found, "rise") == {14}
    assert values(found, "bend angle") == {60, 90}
    assert {150, 9} == values(found, "diameter")
    assert values(found, "radius") == {15}  # those of ears and reliefs follow from their widths


def test_dimensions_of_the_hat_are_those_of_its_recipe() -> None:
    """Brims and crown to mould lines, height between like faces, walls by their angle."""
    found = listed("hat_section")
    assert values(found, "distance") == {22, 40, 400}
    assert values(found, "rise") == {30}
    assert values(found, "bend angle") == {75}


def test_equal_features_are_said_once_with_their_number() -> None:
    """Six lugs of two bends each: 12 bends, 6 holes, 12 rounded corners; three screw holes on one circle."""
    found = listed("stepped_seat")
    counts = {(one.what, round(one.value, 6)): one.count for one in found.dimensions}
    assert counts["bend angle", 45.0] == 12
    assert counts["diameter", 5.5] == 6
    assert counts["radius", 4.0] == 12
    assert counts["pitch circle", 135.0] == 3
    assert len(found.dimensions) == 14


def test_zero_stands_on_what_can_be_gauged() -> None:
    """Of the riser on its opening's middle, of a plate without one on its long straight edges, never on a tip."""
    of_riser = {one.start for one in listed("ring_riser").dimensions if one.what == "distance"}
    assert "centre of plate.rim" in of_riser
    body = plate(Sheet(2, 2), rectangle(100, 60, 5), "base")
    first = [one for one in dimension_list(body).dimensions if one.what == "distance"]
    assert {one.start for one in first} == {"base.left", "base.front"}


@pytest.mark.parametrize(("angle", "leg"), [(60.0, 30.0), (90.0, 30.0), (120.0, 30.0)])
def test_legs_are_measured_on_their_outer_faces(angle: float, leg: float) -> None:
    """
    DIN 6935 (from memory): to mould lines up to 90 degrees, beyond to the outermost line of the bend.

    The builder takes a leg so; the list says the same figure.
    """
    to = "mould line" if angle <= 90 else "outside"
    body = profile(
        Sheet(2, 3), 25, run(50, to, name="base"), up(angle), run(leg, to, name="leg"), name="part"
    )
    assert {50.0, leg} <= values(dimension_list(body), "distance")


def test_rise_of_a_step_by_hand() -> None:
    """Runs of 40, 20 and 40 mm to mould lines at 90 deg make a step of 20 - 2 = 18 mm between like faces."""
    body = profile(Sheet(2, 3), 25, run(40), up(90), run(20), down(90), run(40), name="step")
    assert values(dimension_list(body), "rise") == {18.0}


@pytest.mark.parametrize(("lead", "others", "turned"), [(1, 3, False), (-1, 5, False), (1, 4, True)])
def test_staggered_rows_are_one_pattern(lead: int, others: int, turned: bool) -> None:
    """Five rows of 4 and of 3, 4 or 5 holes, shifted by half the pitch of 20, 16 apart: two pitches, one place."""
    places = [
        (20.0 * at + lead * 10.0 * (row % 2), 16.0 * row)
        for row in range(5)
        for at in range(others if row % 2 else 4)
    ]
    places = [(y, x) for x, y in places] if turned else places
    body = cut_opening(
        plate(Sheet(1, 1), rectangle(160, 140).moved(Motion.shift(50, 40)), "vent"), disc(6), places=places
    )
    found = dimension_list(body)
    assert [(one.value, one.count) for one in found.dimensions if one.what == "pitch"] == [(20, 4), (16, 5)]
    assert len(found.dimensions) == 8  # thickness, outline, diameter, pitches, place of the first
    assert_same_part(body, from_paper(found))


def test_openings_in_a_bend_are_dimensioned_from_its_line_on_the_blank() -> None:
    """Three drain slots of 36 x 10 in the purlin's lower corner, on the bend line, 350 apart, the middle one at 600."""
    own = [one for one in listed("roof_purlin").dimensions if any("bend[2]|" in key for key in one.targets)]
    assert [(one.what, one.value, one.count) for one in own] == [
        ("length", 36, 3), ("width", 10, 3), ("pitch", 350, 3), ("distance", 600 - 350, 1)
    ]  # fmt: skip


def test_hems_and_curls_are_made_again() -> None:
    """Bends beyond 170 deg are listed with their process: a closed hem of 8 and a curl of 300 deg."""
    base = plate(Sheet(1, 1.5), rectangle(80, 50), "base")
    body = add_curl(add_hem(base, "back", 8), "front", 10, angle=300)
    again = from_paper(dimension_list(body))
    assert_same_part(body, again)
    assert [bend.process for bend in again.bends] == ["hem", "curl"]


def test_a_list_that_lacks_something_is_refused_by_name() -> None:
    """What is missing is named, and no part is made up."""
    found = listed("z_clip")
    rest = tuple(one for one in found.dimensions if one.what != "rise")
    with pytest.raises(InputError, match=r"is missing"):
        rebuilt(replace(found, dimensions=rest))
    assert "thickness of the sheet" in missing(replace(found, dimensions=()))


def test_reference_figures_are_not_used() -> None:
    """A figure in parentheses leads to nothing, whatever it says."""
    found = listed("z_clip")
    loose = Dimension("distance", "foot", "", "", math.pi, targets=("z_clip.foot|c0:1",), reference=True)
    assert rebuilt(replace(found, dimensions=(*found.dimensions, loose))) == rebuilt(found)


def test_every_flat_stands_where_it_stood() -> None:
    """Folded again, the flats of the riser lie as before about its opening."""
    body, again = body_of("ring_riser"), from_paper(listed("ring_riser"))
    for name, frame in frames(body).items():
        other = frames(again)[name]
        assert other.z == pytest.approx(frame.z, abs=1e-9)
        height = sum(a * b for a, b in zip(frame.origin, (0, 0, 1), strict=True))
        assert other.origin[2] == pytest.approx(height - body.sheet.thickness / 2, abs=1e-6)
