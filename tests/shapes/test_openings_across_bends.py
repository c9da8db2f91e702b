"""Openings cut on the blank, across bends: by hand, solid against closed form, unfolder against blank, and refusals."""

from __future__ import annotations

import json
import math
import shutil
import subprocess
from pathlib import Path

import pytest
from OCP.BRepCheck import BRepCheck_Analyzer

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.export import proved_step, write_step
from formparts.kernel import measured
from formparts.outline import Arc, Motion, Outline, disc, obround, rectangle
from formparts.report.html.shapes import folding_model
from formparts.shapes import cut_opening, down, mirror, profile, renamed, rooted, rotate, run, shifted, up
from formparts.solids import solid
from tests.invariants.test_places import kernel_box
from tests.invariants.test_unfold_agrees import check_bends, check_outlines, unfolded

SHEET = Sheet(2.0, 3.0, "S235JR", 0.44)
DEVELOPED = math.pi / 2.0 * (3.0 + 0.44 * 2.0)
"""Bend allowance of 90 deg at R 3, t 2, K 0.44: BA = A (R + K t), exact mathematics [mm]."""
MIDDLE = 35.0 + DEVELOPED / 2.0
"""Where the bend line of the angle lies on the blank: 40 to the outside less R + t, and half the allowance [mm]."""


def angle() -> Body:
    return profile(SHEET, 60, run(40), up(90), run(30), name="angle")


def with_opening(outline: Outline, x: float, y: float, turned: float = 0.0) -> Body:
    return cut_opening(angle(), shifted(outline, x, y, turned), name="window", on="blank")


CASES: dict[str, tuple[Outline, float, float, float]] = {
    "a hole within the bend": (disc(2), MIDDLE, 30, 0),
    "a hole across both tangent lines": (disc(12), MIDDLE, 30, 0),
    "a hole that cuts into the bend": (disc(9), MIDDLE - 4, 30, 0),
    "a slot across the bend": (obround(40, 8), MIDDLE, 25, 0),
    "a slot askew": (obround(40, 8), MIDDLE, 25, 30),
    "a window with rounded corners": (rectangle(20, 12, 2), MIDDLE, 30, 0),
    "a window that begins at the tangent line": (rectangle(DEVELOPED, 12), MIDDLE, 30, 0),
    "a round notch at the end": (disc(10), MIDDLE, 0, 0),
    "a slanted end": (rectangle(30, 40), MIDDLE, -12, 30),
}  # fmt: skip


def assert_agrees(body: Body) -> None:
    """Closed form, solid, blank and unfolder say the same."""
    made, flat, figures = solid(body), blank(body), properties(body)
    held = measured(made.shape)
    assert BRepCheck_Analyzer(made.shape).IsValid()
    assert held.volume == pytest.approx(figures.volume, rel=1e-9)
    assert held.surface == pytest.approx(figures.surface, rel=1e-9)
    assert held.centroid == pytest.approx(figures.centroid, abs=1e-6)
    assert (*figures.lowest, *figures.highest) == pytest.approx(kernel_box(made), abs=1e-6)
    found = unfolded(body, made).blank
    check_outlines(flat, found)
    check_bends(flat, found)


@pytest.mark.parametrize("case", CASES)
def test_all_methods_agree(case: str) -> None:
    """Also turned, mirrored, hung on the other flat, and bent down."""
    body = with_opening(*CASES[case])
    assert_agrees(body)
    assert_agrees(rotate(mirror(rooted(body, "angle.run[2]"), "yz", (7, 0, 0)), 33.0))
    below = profile(SHEET, 60, run(40), down(90), run(30), name="angle")
    assert_agrees(cut_opening(below, shifted(*CASES[case]), name="window", on="blank"))


def test_a_circle_on_the_blank_stays_a_circle_there() -> None:
    """Of 12 mm: one hole of the blank, of the area of the disc, its edges arcs about its middle."""
    flat = blank(with_opening(disc(12), MIDDLE, 30))
    (hole,) = flat.outline.holes
    assert -hole.signed_area == pytest.approx(36 * math.pi, rel=1e-12)
    for edge in hole.edges:
        assert isinstance(edge, Arc)
        assert edge.radius == pytest.approx(6.0, abs=1e-12)
        assert edge.centre == pytest.approx((MIDDLE, 30.0), abs=1e-9)
    assert (flat.pierces, len(flat.bends)) == (2, 1)


def test_volume_by_hand() -> None:
    """
    A hole of 2 mm in the bend of 90 deg takes the middle surface's share of its disc: by Pappus.

    pi 1^2 on the fibre at R + K t = 3.88 is pi (4 / 3.88) on the middle at R + t/2 = 4, times t = 2.
    """
    lost = properties(angle()).volume - properties(with_opening(disc(2), MIDDLE, 30)).volume
    assert lost == pytest.approx(math.pi * 4.0 / 3.88 * 2.0, rel=1e-10)


def test_a_window_by_hand() -> None:
    """
    20 x 12 across the bend: (20 - allowance) x 12 out of the two flats, and 12 of the 60 mm of the bend.

    Volume: 12 (20 - 6.094690) 2 + 12 (pi/2) 4 x 2, exact mathematics.
    """
    lost = properties(angle()).volume - properties(with_opening(rectangle(20, 12), MIDDLE, 30)).volume
    assert lost == pytest.approx(24.0 * (20.0 - DEVELOPED) + 12.0 * math.pi / 2.0 * 4.0 * 2.0, rel=1e-10)


def test_the_step_file_holds_it(tmp_path: Path) -> None:
    body = with_opening(obround(40, 8), MIDDLE, 25, 30)
    figures = properties(body)
    path = write_step(solid(body), tmp_path / "angle.step", volume=figures.volume)
    assert proved_step(path, solid(body), figures.volume).volume == pytest.approx(figures.volume, rel=1e-9)


def test_an_opening_across_two_bends() -> None:
    """A channel of 120 with a hole in its web that reaches over both bends at one end: a notch of 50 x 16 there."""
    channel = profile(SHEET, 60, run(40), up(90), run(30), up(90), run(40), name="channel")
    middle = 35.0 + DEVELOPED + 10.0
    body = cut_opening(channel, shifted(rectangle(50, 16), middle, 0), name="slot", on="blank")
    assert_agrees(body)
    assert body.names.count("slot") == 1
    assert [bend.spans for bend in body.bends] == [((8.0, 60.0),), ((8.0, 60.0),)]


def test_an_opening_that_would_part_a_flat_is_refused() -> None:
    """A slot from wall to wall right across the web would leave two webs between the same bends: a ring of bends."""
    channel = profile(SHEET, 60, run(40), up(90), run(30), up(90), run(40), name="channel")
    with pytest.raises(InputError, match=r"channel.run\[2\]: openings = slot: cut it into 2 pieces"):
        cut_opening(channel, shifted(obround(70, 8), 48, 30), name="slot", on="blank")


def test_several_places_and_other_names() -> None:
    """Two slots; the part renamed keeps them."""
    places = [Motion.shift(MIDDLE, y) for y in (15, 45)]
    body = renamed(cut_opening(angle(), obround(20, 6), places=places, name="slot", on="blank"), "left")
    assert_agrees(body)
    assert [name for name in body.names if "slot" in name] == ["left.slot[1]", "left.slot[2]"]


@pytest.mark.parametrize(
    ("outline", "x", "message"),
    [
        (disc(4), 200.0, "misses the blank altogether"),
        (rectangle(20, 60), MIDDLE, "cut it into|leave nothing"),
        (rectangle(4, 80), MIDDLE, "leave nothing of the bend that leads from angle.run"),
    ],
)
def test_refusals(outline: Outline, x: float, message: str) -> None:
    with pytest.raises(InputError, match=message):
        cut_opening(angle(), shifted(outline, x, 30), name="window", on="blank")


def test_other_refusals() -> None:
    with pytest.raises(
        InputError, match='on = air: is not what an opening is cut in; give "flat" or "blank"'
    ):
        cut_opening(angle(), disc(4), on="air")  # type: ignore[arg-type]
    with pytest.raises(InputError, match='cut it across the bend: on="blank"'):
        cut_opening(angle(), shifted(disc(12), 35, 30))
    body = with_opening(disc(12), MIDDLE, 30)
    with pytest.raises(
        InputError, match=r"developed length of angle.bend\[1\] .* before the openings are cut"
    ):
        Body(body.name, Sheet(2, 3, "S235JR", 0.4), body.flats, body.bends, body.frame)


@pytest.mark.skipif(shutil.which("node") is None, reason="node is not installed")
@pytest.mark.parametrize("case", ["a slot askew", "a window with rounded corners"])
def test_the_folding_view_shows_it(case: str) -> None:
    """Flat, the triangles of the page enclose the blank times the sheet; folded, the part; to the chords' share."""
    body = with_opening(*CASES[case])
    flat, figures = blank(body), properties(body)
    assets = Path(__file__).parents[2] / "formparts" / "report" / "html" / "assets"
    script = (assets / "fold.js").read_text(encoding="utf-8") + (
        "const model = JSON.parse(require('fs').readFileSync(0, 'utf8'));"
        "const enclosed = (p) => { let v = 0; for (let i = 0; i < p.length; i += 9)"
        " v += dot(p.slice(i, i + 3), cross(p.slice(i + 3, i + 6), p.slice(i + 6, i + 9))); return v / 6; };"
        "console.log(JSON.stringify([0, 1].map((f) => enclosed(folded(model, [f]).places))));"
    )
    given = json.dumps(folding_model(body, flat))
    said = subprocess.run(
        ["node", "-e", script], input=given, capture_output=True, text=True, check=True, timeout=60
    )
    lying, standing = json.loads(said.stdout)
    assert lying == pytest.approx(flat.area * SHEET.thickness, rel=1e-3)
    assert standing == pytest.approx(figures.volume, rel=1e-3)
