"""Parts that run into each other are found by the model and measured by the kernel; parts that touch are not."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from formparts.assembly import (
    Assembly,
    Placed,
    Turned,
    interference,
    interferences,
    place,
)
from formparts.assembly.interference_child import shared_volume
from formparts.assembly_recipes import find_assembly
from formparts.body import Body, Frame, Sheet
from formparts.body.frame import Vector, cross
from formparts.cli import main
from formparts.outline import disc, rectangle
from formparts.shapes import cut_opening, plate, profile, run, up
from tests.assembly.samples import BOLT, SPACER, bracket, stack


def test_touching_is_no_interference(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bolt in its clearance hole, head on the face, spacer against the other: nothing is shared, and the model
    knows it by itself: the kernel is not asked, neither here nor in the shipped assembly."""

    def asked(*_: object) -> list[float | None]:
        raise AssertionError("the kernel was asked")

    monkeypatch.setattr(interference, "_shared", asked)
    assert interferences(stack()) == ()
    assert interferences(find_assembly("riser_stack")()) == ()


def test_interference_by_hand() -> None:
    """A bolt 0.5 mm too deep shares a ring of its head, pi/4 (13^2 - 9^2) x 0.5, with the bracket, and in a hole of
    7 mm a tube of its shank, pi/4 (8^2 - 7^2) x 2."""
    foot = Placed("bracket", bracket())
    deep = place(BOLT, "shoulder[1]", foot.at("foot_hole[1].upper"), gap=-0.5, name="bolt")
    (found,) = interferences(Assembly("deep", (foot, deep)))
    assert {found.first, found.second} == {"bracket", "bolt"}
    assert found.volume == pytest.approx(math.pi / 4 * (13**2 - 9**2) * 0.5, rel=1e-6)
    tight = Placed("plate", cut_opening(plate(Sheet(2, 2), rectangle(40, 40), "plate"), disc(7), name="hole"))
    (found,) = interferences(Assembly("tight", (tight, place(BOLT, "shoulder[1]", tight.at("hole.upper")))))
    assert found.volume == pytest.approx(math.pi / 4 * (8**2 - 7**2) * 2, rel=1e-6)


def test_two_bent_parts_in_each_other_by_hand() -> None:
    """Two angles of 25 mm width are in one place, the second 10 mm along the bend: they share 15 mm of the section,
    which is that of 35 and 25 mm of flat and a quarter ring between R 3 and R 5."""
    other = Placed("other", bracket_without_holes(), Frame((0, 10, 0)))
    (found,) = interferences(Assembly("two", (Placed("one", bracket_without_holes()), other)))
    section = 2 * (35 + 25) + math.pi / 4 * (5**2 - 3**2)
    assert found.volume == pytest.approx(15 * section, rel=1e-6)
    assert 10 < found.place[1] < 25
    beside = replace(other, frame=Frame((0, 25, 0)))
    assert interferences(Assembly("two", (Placed("one", bracket_without_holes()), beside))) == ()


def bracket_without_holes() -> Body:
    return profile(Sheet(2, 3), 25, run(40), up(90), run(30), name="bracket")


@pytest.mark.usefixtures("in_a_new_process")
def test_two_crossed_pins() -> None:
    """Two cylinders of radius r whose axes cross at right angles share 16 r^3 / 3: exact mathematics (Archimedes)."""
    upright, across = Frame((0, 0, -20)), Frame((-20, 0, 0), (0, 1, 0), (0, 0, 1), (1, 0, 0))
    pin = Turned("pin", ((6, 40),))
    (found,) = interferences(Assembly("two", (Placed("one", pin, upright), Placed("two", pin, across))))
    assert found.volume == pytest.approx(16 / 3 * 3**3, rel=1e-5)
    assert math.hypot(found.place[0], found.place[1]) < 3


def test_a_bolt_that_fills_its_hole() -> None:
    """8 mm in 8 mm shares nothing: what the model finds too near, the kernel measures as none."""
    filled = Placed(
        "plate", cut_opening(plate(Sheet(2, 2), rectangle(40, 40), "plate"), disc(8), name="hole")
    )
    assert (
        interferences(Assembly("filled", (filled, place(BOLT, "shoulder[1]", filled.at("hole.upper"))))) == ()
    )


def test_model_and_kernel_agree_on_parts_thrown_together() -> None:
    """Thirty places and turns at random (seed 7): the model finds just those that share a volume by the kernel."""
    random = Random(7)
    both = {True: 0, False: 0}
    for _ in range(30):
        towards = [random.uniform(-25, 25) for _ in range(3)]
        mark = Frame((15 + towards[0], 12 + towards[1], 10 + towards[2]), *axes(random))
        one, two = Placed("one", bracket()), Placed("two", random.choice((BOLT, SPACER, bracket())), mark)
        volume = shared_volume(one, two)
        found = bool(list(interference._found(Assembly("pair", (one, two)))))
        assert found == (volume > interference.TOUCHING_VOLUME), (mark, volume)
        both[found] += 1
    assert min(both.values()) >= 5


def axes(random: Random) -> tuple[Vector, Vector, Vector]:
    """Three axes at right angles, turned at random."""
    z = unit((random.gauss(0, 1), random.gauss(0, 1), random.gauss(0, 1)))
    x = unit(cross((0.3, 0.5, 0.8), z))
    return x, cross(z, x), z


def unit(vector: Vector) -> Vector:
    length = math.hypot(*vector)
    return (vector[0] / length, vector[1] / length, vector[2] / length)


@pytest.mark.usefixtures("in_a_new_process")
def test_a_kernel_that_takes_too_long_is_given_up() -> None:
    """No time at all: the pair is reported all the same, with its place and without a volume."""
    other = Placed("other", bracket(), Frame((0, 10, 0)))
    two = Assembly("two", (Placed("one", bracket()), other))
    (found,) = interferences(two, time_limit=0.01)
    assert found.volume is None
    assert (found.first, found.second) == ("one", "other")


def test_the_command_names_parts_in_each_other(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Which two, how much and where; exit code 1."""
    (tmp_path / "pins.py").write_text(
        "from formparts import Assembly, Frame, Placed, Turned, assembly_recipe\n"
        "@assembly_recipe\n"
        "def pins() -> Assembly:\n"
        "    'Two pins in one place, the second 30 mm higher: 10 mm of them are shared.'\n"
        "    pin = Turned('pin', ((6, 40),))\n"
        "    return Assembly('pins', (Placed('low', pin), Placed('high', pin, Frame((0, 0, 30)))))\n"
    )
    assert main(["assemble", f"{tmp_path / 'pins.py'}:pins", "--out", str(tmp_path / "out")]) == 1
    said = capsys.readouterr().out
    assert f"low and high run into each other: {math.pi / 4 * 36 * 10:.4g} mm3, at " in said
