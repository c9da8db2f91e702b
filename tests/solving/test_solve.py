"""Solving for a parameter, held against figures that are known by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formparts import InputError, find_recipe, optimise, solve
from formparts.blanks import blank
from formparts.closed_forms import properties
from formparts.solving import solve_check
from tests.families.helpers import STRIP

BEND = 1.5 * math.pi / 2


@settings(max_examples=20)
@given(length=st.floats(20, 400))
def test_the_length_of_a_known_mass(length: float) -> None:
    """By hand: a strip of 1 mm DC01 weighs 7.85e-6 kg/mm3 times length times (18 + 10 + 1.5 pi/2) mm2."""
    mass = 7.85e-6 * length * (28 + BEND)
    found = solve(find_recipe(STRIP), {"length": ("10 mm", 500)}, "mass", mass)
    assert found.reached
    assert found.values["length"] == pytest.approx(length, rel=1e-9)
    assert found.figure == pytest.approx(mass, rel=1e-9)


@pytest.mark.parametrize(
    ("target", "figure"),
    [("blank_length", lambda body: blank(body).length), ("envelope_z", lambda body: properties(body).envelope[2]),
     ("volume", lambda body: properties(body).volume), ("blank_area", lambda body: blank(body).area)],
)  # fmt: skip
def test_every_kind_of_target_is_met_by_the_part_that_is_built(target: str, figure) -> None:
    """What was solved for is what the part, built anew, has."""
    recipe = find_recipe(STRIP)
    wanted = figure(recipe(length=77, height=23))
    name = "height" if target == "envelope_z" else "length"
    found = solve(recipe, {name: (12, 150)}, target, wanted, **{"length": 77, "height": 23} | {name: 20})
    assert found.reached, found.text
    assert figure(recipe(**{"length": 77, "height": 23} | dict(found.values))) == pytest.approx(
        wanted, rel=1e-9
    )


def test_a_target_out_of_reach_is_said_with_the_nearest() -> None:
    """The heaviest strip of up to 100 mm, by hand, and how far it is off."""
    heaviest = 7.85e-6 * 100 * (28 + BEND)
    found = solve(find_recipe(STRIP), {"length": (20, 100)}, "mass", 1.0)
    assert not found.reached
    assert found.values["length"] == pytest.approx(100, rel=1e-6)
    assert found.figure == pytest.approx(heaviest, rel=1e-6)
    assert "cannot be reached" in found.text
    assert f"{1.0 - heaviest:.4g} kg off" in found.text


def test_counts_are_whole() -> None:
    """Four offset lugs and a flange have 2 x 4 + 1 = 9 bends; ten bends cannot be had."""
    riser = find_recipe("ring_riser")
    assert solve(riser, {"lug_count": (2, 6)}, "bends", 9).values == {"lug_count": 4}
    found = solve(riser, {"lug_count": (2, 6)}, "bends", 10)
    assert not found.reached
    assert found.values["lug_count"] in (4, 5)
    assert "1 off" in found.text


def test_a_range_in_which_nothing_can_be_made() -> None:
    """The reason of the first one is given."""
    found = solve(find_recipe("ring_riser"), {"rise": (200, 300)}, "mass", 1.0)
    assert not found.reached
    assert found.values == {}
    assert "no part can be made" in found.text


def test_until_the_first_check_fails() -> None:
    """Lugs round the opening until their blanks meet: one more than the last that holds fails, and is named."""
    riser = find_recipe("ring_riser")
    found = solve_check(riser, {"lug_count": (4, 12)})
    assert found.reached
    last = found.values["lug_count"]
    from formparts.checks import findings

    for count, errors in ((last, False), (last + 1, True)):
        body = riser(lug_count=count)
        assert any(f.severity == "error" for f in findings(body, blank(body))) is errors
    assert "beyond it: blank-overlap" in found.text
    none = solve_check(find_recipe(STRIP), {"length": (50, 60)})
    assert not none.reached
    assert "no error between 50 and 60" in none.text


def test_least_mass_with_two_parameters() -> None:
    """A strip is lightest where both its length and its height are least, for its mass grows with each."""
    recipe = find_recipe(STRIP)
    found = optimise(recipe, {"length": (40, 90), "height": (8, 30)}, "mass")
    assert found.reached
    assert found.values["length"] == pytest.approx(40, abs=1e-3)
    assert found.values["height"] == pytest.approx(8, abs=1e-3)
    most = optimise(recipe, {"length": (40, 90)}, "mass", maximise=True)
    assert most.values["length"] == pytest.approx(90, abs=1e-3)


@pytest.mark.parametrize(
    ("vary", "target", "said"),
    [
        ({"length": (20, 100)}, "weight", "no such figure"),
        ({"widht": (20, 100)}, "mass", "no such number"),
        ({"bend_rule": (1, 2)}, "mass", "no such number"),
        ({"length": (100, 20)}, "mass", "range is empty"),
        ({"length": (1, 20)}, "mass", "10 to 5000 mm"),
        ({"length": (20, 30), "height": (9, 12)}, "mass", "takes one parameter"),
    ],
)
def test_bad_questions(vary: dict[str, tuple[object, object]], target: str, said: str) -> None:
    """Refused in one line."""
    with pytest.raises(InputError, match=said):
        solve(find_recipe(STRIP), vary, target, 1.0)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_target_that_is_no_number(value: float) -> None:
    with pytest.raises(InputError, match=rf"mass = {value}: is not a finite number"):
        solve(find_recipe(STRIP), {"length": (20, 30)}, "mass", value)


def test_nothing_to_vary() -> None:
    for ask in (
        lambda: optimise(find_recipe(STRIP), {}, "mass"),
        lambda: solve_check(find_recipe(STRIP), {}),
    ):
        with pytest.raises(InputError, match="vary = nothing"):
            ask()


def test_the_command(tmp_path, capsys: pytest.CaptureFixture[str]) -> None:
    """Found, built and audited; or not, with 1 and how near it comes; or bad, with 2 and one line."""
    from formparts.cli import main

    mass = 7.85e-6 * 100 * (28 + BEND)
    out = ["--out", str(tmp_path)]
    assert (
        main(["solve", STRIP, "--vary", "length=5..30cm", "--target", f"mass={1000 * mass:.12g}g", *out]) == 0
    )
    said = capsys.readouterr().out
    assert said.startswith("length = 100 gives mass = ")
    assert "audit" in said
    assert (tmp_path / "strip.step").is_file()
    # A length with more than two decimals is rounded, and what that gives is reported; by hand as above.
    wanted = 7.85e-6 * 100.123456 * (28 + BEND)
    assert (
        main(
            [
                "solve",
                STRIP,
                "--vary",
                "length=5..30cm",
                "--target",
                f"mass={wanted!r}kg",
                *out,
                "--overwrite",
            ]
        )
        == 0
    )
    there = 7.85e-6 * 100.12 * (28 + BEND)
    assert capsys.readouterr().out.startswith(
        f"length = 100.12 gives mass = {there:.6g} kg (exactly {wanted:.9g} kg at 100.123456)"
    )
    assert main(["solve", STRIP, "--vary", "length=20..30mm", "--target", "mass=1kg", *out]) == 1
    assert "cannot be reached" in capsys.readouterr().out
    bad = (
        ("length=20", "mass=1kg"), ("length=20..30", "mass"), ("length=20..30", "mass=1mm"),
        ("length=20..30", "bend_force=x"),
    )  # fmt: skip
    for vary, until in bad:
        assert main(["solve", STRIP, "--vary", vary, "--target", until, *out]) == 2
        assert capsys.readouterr().err.count("\n") == 1


def test_the_edge_of_what_holds_is_the_round_figure_of_its_limit() -> None:
    """A channel that the stock sheet of 3000 mm is just long enough for: 3000 mm, and not a little less."""
    found = solve_check(find_recipe("u_channel"), {"length": (2900.0, 3050.0)})
    assert found.values == {"length": 3000.0}
    assert "length = 3000 is the last that holds; beyond it:" in found.text
