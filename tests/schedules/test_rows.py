"""The bend schedule: positions, tools, force and overbend by hand; what is not known is reported."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.export import schedule_data, write_schedule
from formparts.materials import material
from formparts.outline import rectangle
from formparts.planning import plan_bends
from formparts.schedules import Schedule, schedule
from formparts.shapes import plate, profile, rotate, run, translate, up
from tests.parts import CAST

SHEET = Sheet(2.0, 2.0, "S235JR", 0.44)


def channel(sheet: Sheet = SHEET, base: float = 50.0, leg: float = 30.0) -> Body:
    return profile(sheet, 40, run(leg), up(90), run(base), up(90), run(leg), name="channel")


def of(body: Body) -> Schedule:
    return schedule(plan_bends(body))


def test_stops_are_those_of_the_hand_calculation() -> None:
    """ORACLES BA-03: U 30/50/30, t = R = 2, K = 0.44: flat 103.047787. The first bend line is 30 - 4 + 4.523893/2
    from the left end, the second as far from the right one (exact mathematics). The first flange rests on its end,
    the second bend on the outer face of the upright flange: 50 - 4 + 4.523893/2 from line to face."""
    found = of(channel())
    assert sorted(row.start[0] for row in found.bends) == pytest.approx(
        [30 - 4 + 4.523893 / 2, 103.047787 - (30 - 4 + 4.523893 / 2)], abs=1e-6
    )
    first, second = (row.step.stop for row in found.bends if row.step)
    assert first.distance == pytest.approx(30 - 4 + 4.523893 / 2, abs=1e-6)
    assert (second.kind, second.distance) == ("flange", pytest.approx(50 - 4 + 4.523893 / 2, abs=1e-6))
    assert [row.number for row in found.bends] == [1, 2]
    assert found.bends[0].flange == pytest.approx(30, abs=1e-9)
    # The run between the bends is 50 to the outside at both ends: from one mould line to the other tangent line.
    assert of(channel(base=20)).bends[0].flange == pytest.approx(20 - 4, abs=1e-9)


def test_tools_force_and_overbend_by_hand() -> None:
    """V 12 of the shipped table forms 0.16 x 12 = 1.92, the nearest to 2; flange 12/sqrt 2; force by Oehler with 510
    MPa, the greatest of EN 10025-2: (1 + 4 x 2/12) x 510 x 40 x 4/12 N; strain 1/(2 + 1)."""
    row = of(channel()).bends[0]
    assert row.die_opening == 12
    assert row.minimum_flange == pytest.approx(12 / math.sqrt(2), rel=1e-12)
    assert row.natural_radius == pytest.approx(1.92, rel=1e-12)
    assert row.force == pytest.approx((1 + 8 / 12) * 510 * 40 * 4 / 12 / 1000, rel=1e-12)
    assert row.force_per_length == pytest.approx((1 + 8 / 12) * 510 * 4 / 12, rel=1e-12)
    assert row.strain == pytest.approx(1 / 3, rel=1e-12)
    # Tabellenbuch Metall, springback factor of mild steel at R = t: 0.99; the radius is 0.99 x (1.92 + 1) - 1.
    assert row.under_load.angle == pytest.approx(90 / 0.99, rel=1e-12)
    assert row.under_load.inside_radius == pytest.approx(0.99 * 2.92 - 1, abs=1e-9)
    assert row.under_load.overbend == pytest.approx(row.under_load.angle - 90, abs=1e-9)
    assert row.notes == ()


def test_the_sight_line_is_one_radius_from_the_tangent_line(tmp_path: Path) -> None:
    """ORACLES FAA-09 (FAA-H-8083-31, chapter 4, step 7, from memory). By hand: 2 - 4.523893/2 from the bend line."""
    found = of(channel())
    row = found.bends[0]
    assert row.sight_line + row.mark.allowance / 2 == pytest.approx(row.mark.inside_radius, rel=1e-12)
    assert row.sight_line == pytest.approx(-0.261947, abs=1e-6)
    assert ",-0.2619," in write_schedule(found, tmp_path / "bends.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "move", [lambda body: translate(body, (70, -30, 11)), lambda body: rotate(body, 33), lambda body: body]
)
def test_the_schedule_does_not_depend_on_where_the_part_stands(move: Callable[[Body], Body]) -> None:
    """Stops are those of the part in the tools, and lines those of the blank, which is laid out from the root flat."""
    assert schedule_data(of(move(channel()))) == schedule_data(of(channel()))


@pytest.mark.parametrize("name", CAST)
def test_every_kind_of_part_has_a_schedule(name: str, tmp_path: Path) -> None:
    assert_scheduled(CAST[name](), tmp_path)


def test_a_part_without_an_order_has_a_schedule(tmp_path: Path) -> None:
    """The first flange meets the punch when the second is bent, whichever is first."""
    body = channel(base=30, leg=120)
    assert of(body).plan.ordered == ()
    assert_scheduled(body, tmp_path)


def assert_scheduled(body: Body, tmp_path: Path) -> None:
    """Every bend is there once, inside the blank, and the files hold what the schedule holds."""
    flat = blank(body)
    found = of(body)
    assert sorted(row.mark.name for row in found.bends) == sorted(mark.name for mark in flat.bends)
    for row in found.bends:
        for x, y in (row.start, row.end):
            assert -1e-6 <= x <= flat.length + 1e-6
            assert -1e-6 <= y <= flat.width + 1e-6
        assert row.under_load.overbend > 0
        assert row.step is None or row.number == row.step.number
    data = schedule_data(found)
    assert json.loads(json.dumps(data, allow_nan=False))["bends"] == data["bends"]
    path = write_schedule(found, tmp_path / "bends.csv")
    assert path.read_bytes() == write_schedule(found, tmp_path / "again.csv").read_bytes()
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    assert [row["name"] for row in rows] == [row.mark.name for row in found.bends]
    steps = found.plan.ordered
    assert not steps or all(row["name"] in steps[int(row["number"]) - 1] for row in rows)
    for row, mark in zip(rows, (row.mark for row in found.bends), strict=True):
        assert float(row["angle [deg]"]) == pytest.approx(mark.angle, abs=1e-6)
        assert float(row["bend_line_length [mm]"]) == pytest.approx(mark.length, abs=1e-4)
        assert "None" not in row.values()


def test_what_is_not_known_is_empty_and_said(tmp_path: Path) -> None:
    """Of a bare density no force follows, and no overbend; die and position do."""
    found = of(channel(Sheet(2.0, 2.0, "7850 kg/m3", 0.44)))
    row = found.bends[0]
    assert (row.force, row.natural_radius, row.under_load.overbend) == (None, None, None)
    assert row.die_opening is not None
    assert any("no force" in note for note in row.notes)
    assert any("no overbend" in note for note in row.notes)
    text = write_schedule(found, tmp_path / "bends.csv").read_text(encoding="utf-8")
    assert "strength not known" in text
    assert "None" not in text


def test_notes_say_what_the_tools_ask_for() -> None:
    """A flange of 8 mm to the outside: V 12 (6 t) is the narrowest, and 12/sqrt 2 = 8.49 mm must rest on it."""
    short = of(channel(leg=8.0)).bends[0]
    assert any("the flange of 8 mm does not reach its shoulder (8.485 mm)" in note for note in short.notes)
    assert not of(channel(leg=8.6)).bends[0].notes


def test_a_flat_part_has_an_empty_schedule(tmp_path: Path) -> None:
    """Nothing to bend is not an error: a head line, and an order of no steps."""
    found = of(plate(SHEET, rectangle(40, 20)))
    assert (found.bends, found.plan.found, found.plan.steps) == ((), True, ())
    lines = write_schedule(found, tmp_path / "bends.csv").read_text(encoding="utf-8").splitlines()
    assert sum(not line.startswith("#") for line in lines) == 1


def test_cautions_go_with_the_figures(tmp_path: Path) -> None:
    """Issue 4: figures are for planning; the press maker's limits, local codes and a qualified operator decide."""
    found = of(channel())
    for text in (
        " ".join(schedule_data(found)["cautions"]),
        write_schedule(found, tmp_path / "bends.csv").read_text(encoding="utf-8"),
    ):
        for words in ("for planning", "machine maker's limits", "local codes", "qualified operator"):
            assert words in text
    assert "left and the front edge" in schedule_data(found)["datum"]


def test_the_force_is_reckoned_for_the_strongest_sheet_that_is_delivered() -> None:
    """EN 10025-2: S235JR has up to 510 MPa; of 6061-T6 only the least is set (ASTM B209M)."""
    assert of(channel()).strength == material("S235JR").tensile_strength_max == 510
    assert of(channel(Sheet(2.0, 6.0, "6061-T6", 0.44))).strength == 290


def test_a_bend_so_wide_that_it_springs_back_beyond_half_a_turn_is_rolled() -> None:
    """R 2000 of 1 mm, turned by 40 deg: a press brake would have to go round more than once."""
    leg = run(50, "tangent line")
    (row,) = of(profile(Sheet(1, 2, "DC01", 0.44), 100, leg, up(40, 2000), leg, name="roll")).bends
    assert any(note.endswith("farther than a press brake bends: roll it") for note in row.notes)
    assert not any("second step" in note for note in row.notes)


def test_a_sharp_turn_has_one_note_of_how_it_is_closed() -> None:
    """No tools fold past flat; what stays below is closed between flat tools (common practice, no source)."""

    def notes(metal: str, angle: float) -> tuple[float, list[str]]:
        bent = profile(Sheet(1, 6, metal, 0.44), 40, run(60), up(angle), run(100), name="sharp")
        (row,) = of(bent).bends
        load = row.under_load.angle or 0.0
        return load, [text for text in row.notes if "closed between" in text or "roll it" in text]

    load, said = notes("DC01", 148)
    assert 150 < load < 153
    assert said == ["closed between flat tools in step 2"]
    load, said = notes("1.4301", 160)
    assert 160 < load < 180
    assert said == ["closed between flat tools in step 2"]
    load, said = notes("1.4310+C1300", 168)
    assert load > 180
    assert said == [
        f"it springs back from {load:.4g} deg, which is farther than a press brake bends: roll it"
    ]


def test_without_an_order_a_bend_has_its_own_force() -> None:
    """A square tube with a seam closes on the punch, so no step has a force; by Oehler as above, 11.33 kN for 40 mm."""
    bends = (run(20), up(90), run(30), up(90), run(20), up(90), run(30), up(90), run(11))
    found = of(profile(SHEET, 40, *bends, name="tube"))
    assert not found.plan.found
    for row in found.bends:
        assert row.step is None
        assert row.force == pytest.approx((1 + 8 / 12) * 510 * 40 * 4 / 12 / 1000, rel=1e-12)
