"""Tolerances of position: frames at sizes, exact figures in frames, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from formparts import InputError, find_recipe
from formparts.cli import main
from formparts.drawings import Drawing, TitleData, drawing, list_from
from formparts.drawings.curves import Words
from tests.drawings.clear import faults


def with_position(recipe: str, text: str) -> Drawing:
    return drawing(find_recipe(recipe)(), title=TitleData(position=text))


def test_what_locates_a_toleranced_hole_is_exact() -> None:
    """
    ISO 1101 (from memory): the figures that locate a feature with a tolerance of position are exact and framed.

    The clip's docstring: its foot hole is 15 and 20 from two edges, its slot 13.5 from the bend's outside.
    """
    of = with_position("z_clip", "foot_hole 0.4, head_slot 0.6")
    exact = sorted(one.value for one in of.dimensions.dimensions if one.exact)
    assert exact == pytest.approx([13.5, 15.0, 20.0])
    zones = {one.value: one.position for one in of.dimensions.dimensions if one.position}
    assert zones == {7.0: 0.4, 14.0: 0.6}
    framed = {mark.text for mark in of.marks if isinstance(mark, Words) and mark.framed}
    assert framed == {"15", "20", "13.5"}
    said = [mark.text for mark in of.marks if isinstance(mark, Words)]
    assert {"Ø0.4", "Ø0.6"} <= set(said)
    assert [said.count(letter) for letter in "ABC"] == [3, 3, 3]  # the datum itself, and twice in a frame
    assert faults(of) == []
    assert of.missing == ()
    assert list_from(of.dimensions.data()) == of.dimensions


@pytest.mark.parametrize(("recipe", "text"), [("ring_riser", "lug.hole 0.3"), ("u_channel", "hole 0.3")])
def test_equal_openings_have_one_frame(recipe: str, text: str) -> None:
    """Four equal holes are named without their numbers, and have one frame with their size."""
    of = with_position(recipe, text)
    assert [one.count for one in of.dimensions.dimensions if one.position] == [4]
    assert [mark.text for mark in of.marks if isinstance(mark, Words)].count("Ø0.3") == 1
    assert faults(of) == []


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("foot 0.4", "foot: is not the name of an opening; there are: foot_hole, head_slot"),
        ("foot_hole", "is not a tolerance of position"),
        ("foot_hole -1", "is not a tolerance of position"),
        ("foot_hole wide", "is not a tolerance of position"),
    ],
)
def test_what_is_no_tolerance_of_position_is_refused(text: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        with_position("z_clip", text)


def test_one_of_equal_openings_alone_is_refused() -> None:
    """The riser's two ears have equal slots, which one leader names together."""
    with pytest.raises(InputError, match="2 equal openings of plate are dimensioned together"):
        with_position("ring_riser", "ear_left 0.5")


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (["make", "z_clip", "--field", "position=nothing 0.2"], "there are: foot_hole, head_slot"),
        (["draw", "z_clip", "--field", "position=nothing 0.2"], "there are: foot_hole, head_slot"),
        (["assemble", "riser_stack", "--field", "ring_riser.position=nothing 0.2"], "lug.hole"),
        (["assemble", "riser_stack", "--field", "position=lug.hole 0.2"], "is not a part with openings"),
        (["draw", "riser_stack", "--field", "position=lug.hole 0.2"], "is an assembly"),
    ],
)
def test_every_command_refuses_openings_that_are_not_there(
    asked: list[str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*asked, "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert told in said
    assert not (tmp_path / "out").exists()
