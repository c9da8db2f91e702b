"""A recipe that is written gives the part that it was written from."""

from __future__ import annotations

import contextlib
from pathlib import Path

import cadquery as cq
import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings

from formparts import find_recipe
from formparts.body import Body
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.recipe_functions import Recipe
from formparts.recipe_writing import recipe_text
from formparts.recipe_writing.likeness import same_part
from formparts.recognition import body_from
from formparts.solids import solid
from tests import parts
from tests.strategies import bodies
from tests.unfolder.foreign import filleted_angle, tray

SHIPPED = ("angle_bracket", "corner_tray", "hat_section", "ring_riser", "stepped_seat", "u_channel", "z_clip")
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
    return made


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_recipes(name: str) -> None:
    assert_round_trip(find_recipe(name)())


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_parts(name: str) -> None:
    assert_round_trip(getattr(parts, name)())


def test_the_riser_gives_back_its_parameters() -> None:
    """Each figure is a default of the shipped recipe, which the solid does not name."""
    theirs = find_recipe("ring_riser")
    mine = run_text(recipe_text(body_from(solid(theirs()), name="riser")))
    found = {parameter.name: parameter.default for parameter in mine.parameters}
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
    """What a file is called stands in the docstring, whatever is in it."""
    name = 'x"""; import os; os.abort(); """'
    made = run_text(recipe_text(parts.angle(), name, name))
    assert made.name.isidentifier()
    assert same_part(made(), parts.angle(), 1e-5)


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
        # What crosses a bend is refused in one line, and said so.
        crossing = any(bend.openings for bend in body.bends)
        with pytest.raises(InputError) if crossing else contextlib.nullcontext():
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
