"""A recipe that is written gives the part that it was written from."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import cadquery as cq
import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings

from formparts import Sheet, add_curl, add_flange, add_hem, cut_opening, find_recipe, plate, rectangle
from formparts.blanks import blank
from formparts.body import Body
from formparts.closed_forms import properties
from formparts.recipe_functions import Recipe
from formparts.recipe_writing import recipe_text
from formparts.recipe_writing.likeness import same_part
from formparts.recognition import body_from
from formparts.shapes import add_mark, extruded, lettering, pressed, tapped
from formparts.solids import solid
from tests import parts
from tests.strategies import bodies
from tests.unfolder.foreign import filleted_angle, tray

SHIPPED = (
    "angle_bracket", "bench_drawer", "chest_hinge", "corner_tray", "hat_section", "ring_riser", "roof_purlin",
    "stepped_seat", "u_channel", "z_clip",
)  # fmt: skip
SAMPLES = (
    "bend_on_a_hole", "extended", "flange_and_ears", "flange_on_a_flange", "lug_down_15", "lug_ring", "nearly_flat",
    "notched", "outward_ring", "pierced_wall", "reliefs", "two_bends_at_one_corner", "upside_down",
)  # fmt: skip


def run_text(text: str) -> Recipe:
    """The recipe that a text holds."""
    names: dict[str, object] = {}
    exec(compile(text, "written recipe", "exec", dont_inherit=True), names)
    return next(found for found in names.values() if isinstance(found, Recipe))


def assert_round_trip(body: Body) -> Recipe:
    """Outlines and bends within 1e-5 mm, volume to 1e-6: the text is run, and shares nothing with the body."""
    made = run_text(recipe_text(body))
    again = made()
    assert same_part(again, body, 1e-5)
    assert properties(again).volume == pytest.approx(properties(body).volume, rel=1e-6)
    assert blank(again).area == pytest.approx(blank(body).area, rel=1e-6)
    return made


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_recipes(name: str) -> None:
    assert_round_trip(find_recipe(name)())


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_parts(name: str) -> None:
    assert_round_trip(getattr(parts, name)())


def test_a_closed_hem_keeps_its_rule() -> None:
    """A bend with a rule of its own has a developed length of its own."""
    base = plate(Sheet(1.5, 1.5), rectangle(60, 40), name="base")
    assert_round_trip(add_hem(add_flange(base, "left", 20), "right", 8))
    assert_round_trip(add_curl(add_hem(base, "left", 12, kind="rolled", bend_rule="K 0.4"), "right", 16))


def test_holes_across_a_bend_and_sunk_ones_are_said_as_they_are_drawn() -> None:
    """Figures of the shipped recipes' defaults: screws of 4.5 for heads of 7; drain slots of 36 x 10 across a bend."""
    hinge, purlin = (recipe_text(find_recipe(name)()) for name in ("chest_hinge", "roof_purlin"))
    assert "countersunk(hole_diameter, head_diameter)" in hinge
    assert {"hole_diameter": 4.5, "head_diameter": 7.0}.items() <= defaults(run_text(hinge)).items()
    assert 'on="blank"' in purlin
    assert {"slot_length_2": 36.0, "slot_width_2": 10.0}.items() <= defaults(run_text(purlin)).items()


def defaults(made: Recipe) -> dict[str, object]:
    return {parameter.name: parameter.default for parameter in made.parameters}


def test_a_sunk_hole_counts_in_the_likeness() -> None:
    """The same hinge with its heads on the other face, or with plain holes, is another part."""
    hinge = find_recipe("chest_hinge")()
    leaf = hinge.flats[0]
    for change in (lambda one: one.turned_over(), lambda one: replace(one, feature=None)):
        other = replace(leaf, openings=tuple(map(change, leaf.openings)))
        assert not same_part(replace(hinge, flats=(other, *hinge.flats[1:])), hinge, 1e-5)
    assert same_part(hinge, hinge, 1e-5)


def test_the_riser_gives_back_its_parameters() -> None:
    """Each figure is a default of the shipped recipe, which the solid does not name."""
    theirs = find_recipe("ring_riser")
    mine = run_text(recipe_text(body_from(solid(theirs()), name="riser")))
    found = defaults(mine)
    wanted = {"length": 240, "width": 210, "corner_radius": 15, "opening": 150, "rise": 14, "slope": 60, "lug_count": 4,
              "lug_width": 26, "lug_hole": 9, "pitch_diameter": 82, "lug_start": 6, "flange_width": 120,
              "flange_height": 22, "relief_width": 4, "relief_depth": 4.5, "ear_width": 30}  # fmt: skip
    assert {name: found.get(name) for name in wanted} == pytest.approx(wanted)
    assert len(found) <= len(theirs.parameters) + 2


def test_a_written_recipe_is_parametric() -> None:
    """Six lugs in place of four: the volume by the shipped recipe of the same."""
    mine = run_text(recipe_text(find_recipe("ring_riser")()))
    theirs = find_recipe("ring_riser")
    wanted = properties(theirs(lug_count=6, rise=20)).volume
    assert properties(mine(lug_count=6, rise=20)).volume == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("made", [filleted_angle, tray])
def test_foreign_solids(made: object) -> None:
    """Against the volume of the kernel on the solid as drawn."""
    shape: cq.Workplane = made()  # type: ignore[operator]
    again = run_text(recipe_text(body_from(shape, name="foreign")))()
    assert properties(again).volume == pytest.approx(shape.val().Volume(), rel=1e-6)


def test_names_of_strangers_are_no_code() -> None:
    """The name of a file is in the docstring, whatever is in it."""
    name = 'x"""; import os; os.abort(); """'
    made = run_text(recipe_text(parts.angle(), name, name))
    assert made.name.isidentifier()
    assert same_part(made(), parts.angle(), 1e-5)


@pytest.mark.parametrize("name", ["plate", "profile", "disc", "recipe", "class", "Body"])
def test_a_recipe_hides_no_builder_that_it_calls(name: str) -> None:
    """Parts are called so in files; the recipe of a plate called "plate" called itself."""
    made = run_text(recipe_text(parts.flange_and_ears(), name))
    assert same_part(made(), parts.flange_and_ears(), 1e-5)


def test_threads_nuts_and_collars_are_written_and_marks_are_said_to_be_left_out() -> None:
    """What the blank's layers and the drawing's callouts have is in the recipe too."""
    body = plate(Sheet(2, 2), rectangle(80, 50), name="base")
    for number, hole in enumerate(
        (tapped("M4"), tapped("1/4-20 UNC", face="lower"), extruded(4, 7, 3, thread="M5"))
    ):
        body = cut_opening(body, hole, places=(24 * number - 24, 0), name=f"h{number}")
    body = cut_opening(body, pressed(5.4, "nut M4", 8, least_edge=7), places=(0, 15), name="nut")
    text = recipe_text(add_mark(body, lettering("K-7"), places=(0, -15), name="number"))
    again = run_text(text)()
    wanted = [one.feature for one in body.flats[0].openings]
    assert sorted(map(repr, wanted)) == sorted(repr(one.feature) for one in again.flats[0].openings)
    assert "Left out, as no outline tells how it was given: number" in text


def _round_trips(count: int, number: int) -> None:
    @seed(number)
    @settings(
        max_examples=count,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate],
    )
    @given(bodies(12))
    def run(body: Body) -> None:
        assert_round_trip(body)

    run()


def test_random_bodies() -> None:
    _round_trips(30, 22)


@pytest.mark.soak
def test_many_random_bodies() -> None:
    _round_trips(500, 7)


def test_by_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from formparts.cli import main

    path = tmp_path / "tray.step"
    cq.exporters.export(tray(), str(path))
    assert main(["recipe", str(path)]) == 0
    text = capsys.readouterr().out
    assert "@recipe\ndef tray(" in text
    assert properties(run_text(text)()).volume == pytest.approx(tray().val().Volume(), rel=1e-6)
