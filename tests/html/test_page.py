"""The page in a real browser: it renders, folds, names what is pointed at, works by keyboard, and fetches nothing."""

from __future__ import annotations

import html
import json
import math
import re
from collections.abc import Iterator
from pathlib import Path
from time import monotonic
from typing import Any

import numpy as np
import pytest

from formparts import Body, Part, find_recipe
from formparts.body import Sheet
from formparts.cli import main
from formparts.export import mesh
from formparts.report.html import report_page, write_report
from formparts.shapes import add_hem, down, profile, run, up
from formparts.solids import solid
from tests.html.axe import script, serious_faults
from tests.html.browser import PROGRAM, Page, browser
from tests.parts import CAST

pytestmark = pytest.mark.skipif(
    PROGRAM is None, reason="no Chromium on this machine (Debian package chromium)"
)

FOLDED = ("angle", "ring_riser", "zed", "steep", "flange_on_a_flange", "pierced_wall", "flat_plate")
DRAWN = "new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with browser() as opened:
        yield opened


@pytest.fixture(scope="module")
def riser(tmp_path_factory: pytest.TempPathFactory) -> Path:
    part = find_recipe("ring_riser").part()
    return write_report(part, tmp_path_factory.mktemp("report") / "ring_riser.html", audited=False)


def written(body: Body, folder: Path) -> Path:
    return write_report(Part(body), folder / f"{body.name}.html", audited=False)


def shown(page: Page, path: Path) -> None:
    page.complaints.clear()
    page.size(1280, 900)
    page.scheme("light")
    page.open(path.as_uri())
    page.ask(DRAWN)


def places(page: Page, fold: float) -> Any:
    """Every corner that is drawn, at a place of the slider."""
    text = page.ask(f"formpartsPage.setFold({fold}); JSON.stringify(formpartsPage.state.skin.places)")
    return np.array(json.loads(text)).reshape(-1, 3)


COVERED = """
(() => {
  const c = document.getElementById("part"), g = c.getContext("webgl"), seen = new Uint8Array(4 * c.width * c.height);
  g.readPixels(0, 0, c.width, c.height, g.RGBA, g.UNSIGNED_BYTE, seen);
  return seen.filter((value, at) => at % 4 === 3 && value > 0).length / (c.width * c.height);
})()
"""
"""What part of the canvas is painted: the background is left clear."""


def seconds_to_show(page: Page, path: Path) -> float:
    """From the call to the first picture; the best of several is taken, as other tests run at the same time."""
    began = monotonic()
    shown(page, path)
    return monotonic() - began


def test_it_renders_at_once_from_a_small_file(page: Page, riser: Path) -> None:
    """Under 3 MB, first picture in under 2 s, no complaint, and nothing is fetched but the file itself."""
    assert riser.stat().st_size < 3_000_000
    assert min(seconds_to_show(page, riser) for _ in range(3)) < 2.0
    assert page.complaints == []
    assert set(page.events) & {"http", "https", "ws", "wss"} == set()
    assert page.ask("document.documentElement.classList.contains('no-view')") is False
    assert 0.15 < page.ask(COVERED) < 0.9


def test_at_zero_it_is_flat_and_at_one_it_is_folded(page: Page, riser: Path) -> None:
    """At 0 every corner is half a thickness above or below one plane; in between the corners move."""
    shown(page, riser)
    flat, between, folded = (places(page, fold) for fold in (0.0, 0.5, 1.0))
    assert np.unique(np.round(flat[:, 2], 6)).tolist() == [0.0, 2.0]
    assert np.ptp(folded[:, 2]) == pytest.approx(22.0, abs=1e-6)  # flange_height, to the outside
    assert 2.0 < np.ptp(between[:, 2]) < 22.0
    assert (np.linalg.norm(flat - folded, axis=1) > 1.0).sum() > 500
    assert np.ptp(flat[:, 0]) == pytest.approx(296.0, abs=1e-6)  # length and two ears: 240 + 2 x 28
    # Plate to the bend, allowance pi/2 (2.5 + 0.44 x 2), flange from the bend: (210 - 4.5) + 5.309292 + (22 - 4.5).
    assert np.ptp(flat[:, 1]) == pytest.approx(228.309292, abs=1e-6)


@pytest.mark.parametrize("name", [*FOLDED, pytest.param("lug_ring", marks=pytest.mark.soak)])
def test_folded_it_is_the_solid(name: str, page: Page, tmp_path: Path) -> None:
    """At 1 every corner is on the mesh of the part, and every corner of the solid is there."""
    from trimesh.proximity import closest_point_naive

    body, chord = CAST[name]() if name in CAST else find_recipe(name)(), 0.02
    shown(page, written(body, tmp_path))
    drawn = np.unique(np.round(places(page, 1.0), 6), axis=0)
    whole = solid(body)
    _, distance, _ = closest_point_naive(mesh(body, chord), drawn)
    assert distance.max() <= chord + 1e-5
    for corner in corners(whole.shape):
        assert np.linalg.norm(drawn - corner, axis=1).min() < 2e-6


def corners(shape: Any) -> Iterator[Any]:
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_VERTEX
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    walk = TopExp_Explorer(shape, TopAbs_VERTEX)
    while walk.More():
        point = BRep_Tool.Pnt_s(TopoDS.Vertex_s(walk.Current()))
        yield np.array([point.X(), point.Y(), point.Z()])
        walk.Next()


def test_step_by_step(page: Page, riser: Path) -> None:
    """With the box ticked, the first ninth of the slider makes the first step of the plan, the offset of one lug (26 mm
    wide, inside the opening of 150 mm), and only that."""
    shown(page, riser)
    page.ask("document.getElementById('single').click()")
    flat, first = places(page, 0.0), places(page, 1 / 9)
    assert "step 1 of 9: lug[" in page.ask("document.getElementById('fold-shown').textContent")
    moved = np.linalg.norm(flat - first, axis=1) > 1e-6
    assert moved.any()
    assert np.ptp(flat[moved][:, :2], axis=0).min() <= 26 + 1e-6
    assert np.linalg.norm(flat[moved][:, :2], axis=1).max() < 75
    np.testing.assert_allclose(places(page, 1.0).max(axis=0), [148, 105, 22], atol=1e-6)


def test_the_part_lies_as_the_operator_turns_it(page: Page, tmp_path: Path) -> None:
    """
    By hand, a Z of two bends of 90 deg with a hem: at the bottom of a bend both its sides are at 45 deg; before the
    second bend the part has been turned over; and a hem is left at 150 deg by its first step, shut by its second.
    """
    sheet = Sheet(1.0, 1.0, "DC01", 0.44)
    z = profile(sheet, 60, run(30), up(90), run(40), down(90), run(25), name="z")
    shown(page, written(add_hem(z, "right", 8, flat="z.run[3]"), tmp_path))
    page.ask("document.getElementById('single').click()")

    def state(done: float) -> tuple[list[float], list[float], str]:
        """Heights of the flats' normals and bend fractions when so many of the steps are done, and the words."""
        code = """
          formpartsPage.setFold(%r); JSON.stringify([
            formpartsPage.state.skin.frames.flats.map((f) => dot(f.z, formpartsPage.eye.lies[2])),
            bentAfter(formpartsPage.model, %r), document.getElementById('fold-shown').textContent])"""
        count = page.ask("formpartsPage.model.steps.length")
        tilts, bent, words = json.loads(page.ask(code % (done / count, done)))
        return tilts, bent, words

    model = json.loads(page.ask("JSON.stringify(formpartsPage.model)"))
    names = [[model["bends"][bend]["name"] for bend in step] for step in model["steps"]]
    first, second = (names.index([name]) for name in ("z.bend[1]", "z.bend[2]"))
    for at, name in ((first, "z.bend[1]"), (second, "z.bend[2]")):
        tilts, _, words = state(at + 1 - 1e-9)
        bend = next(bend for bend in model["bends"] if bend["name"] == name)
        assert [abs(tilts[bend[end]]) for end in ("parent", "child")] == pytest.approx([math.sqrt(0.5)] * 2)
        assert words.endswith(name)
    lies = [step["up"] for step in model["lies"]]
    over = next(at for at in range(1, len(lies)) if lies[at] != lies[at - 1])
    assert "turn over" in state(over + 0.1)[2]
    shut = [at for at, step in enumerate(names) if step == ["hem.bend"]]
    hem = next(at for at, bend in enumerate(model["bends"]) if bend["name"] == "hem.bend")
    assert [state(at + 1)[1][hem] for at in shut] == pytest.approx([150 / 180, 1.0])


def middle(page: Page, at: str) -> tuple[float, float]:
    """The point of the screen where a point of space [mm] is seen."""
    code = f"""
      (() => {{
        const e = formpartsPage.eye, a = axesOf(e), d = minus({at}, e.middle);
        const b = document.getElementById("part").getBoundingClientRect();
        const long = (Math.min(b.width, b.height) / 2) * (e.zoom / e.reach);
        const across = b.left + b.width / 2 + dot(a[0], d) * long, down = b.top + b.height / 2 - dot(a[1], d) * long;
        return JSON.stringify([across, down]);
      }})()"""
    x, y = json.loads(page.ask(code))
    return x, y


@pytest.mark.parametrize(
    ("at", "words"),
    [
        ("[-100, -90, 2]", "plate: flat"),
        ("[0, 104, 15]", "flange: flat"),
        ("[41, 0, 15]", "lug[1].hole: opening"),
        ("[134, 0, 2]", "ear_right.hole: opening"),
    ],
)
def test_hover_names_the_piece(at: str, words: str, page: Page, riser: Path) -> None:
    """Pointing at a flat, bend or opening shows its name and figures, and marks it in tables and on the blank."""
    shown(page, riser)
    x, y = middle(page, at)
    page.pointer("mouseMoved", x, y)
    page.ask(DRAWN)
    assert page.ask("document.getElementById('readout').textContent").startswith(words)
    name = words.split(":")[0]
    marked = page.ask(
        "JSON.stringify([...document.querySelectorAll('.picked')].map(e => [e.tagName, e.dataset.piece]))"
    )
    assert {tag.lower() for tag, piece in json.loads(marked) if piece == name} >= {"tr", "path", "button"}
    assert {piece for _, piece in json.loads(marked)} == {name}


def test_dragging_turns_the_part(page: Page, riser: Path) -> None:
    """A drag turns; a tap picks, and the button of the flat or bend shows it."""
    shown(page, riser)
    x, y = middle(page, "[-100, -90, 2]")
    before = page.ask("formpartsPage.eye.turn")
    page.pointer("mousePressed", x, y, 1)
    page.pointer("mouseMoved", x + 60, y, 1)
    page.pointer("mouseReleased", x + 60, y)
    assert page.ask("formpartsPage.eye.turn") != before
    assert page.ask("formpartsPage.state.picked") is None
    page.ask("document.querySelector('button[data-view=top]').click()")
    x, y = middle(page, "[-100, -90, 2]")
    page.pointer("mousePressed", x, y, 1)
    page.pointer("mouseReleased", x, y)
    assert (
        page.ask("document.querySelector('button[data-piece=plate]').getAttribute('aria-pressed')") == "true"
    )


def test_a_finger_picks(page: Page, riser: Path) -> None:
    """On a phone a tap picks a flat or bend: its figures are shown, and it is marked in the tables and on the blank."""
    page.size(390, 900, phone=True)
    page.call("Emulation.setTouchEmulationEnabled", enabled=True)
    try:
        shown(page, riser)
        page.ask("document.getElementById('part').scrollIntoView({block: 'center'})")
        x, y = middle(page, "[-100, -90, 2]")
        page.call("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": x, "y": y}])
        page.call("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])
        page.ask(DRAWN)
        assert page.ask("formpartsPage.state.picked") == "plate"
        assert page.ask("document.getElementById('readout').textContent").startswith("plate: flat")
        assert page.ask(
            "document.querySelector('.blank path[data-piece=plate]').classList.contains('picked')"
        )
    finally:
        page.call("Emulation.setTouchEmulationEnabled", enabled=False)
        page.size(1280, 900)


def test_all_of_it_by_keyboard(page: Page, riser: Path) -> None:
    """Tab reaches view, slider, buttons, flats and bends; arrows turn the view and move the slider; space picks."""
    shown(page, riser)
    reached = []
    for _ in range(14):
        page.key("Tab")
        reached.append(page.ask("(e => e.id || e.dataset.piece || e.textContent)(document.activeElement)"))
        if reached[-1] == "part":
            before = page.ask("formpartsPage.eye.turn")
            page.key("ArrowLeft")
            assert page.ask("formpartsPage.eye.turn") == pytest.approx(before - 0.1)
        if reached[-1] == "fold":
            page.key("ArrowLeft")
            assert page.ask("Number(document.getElementById('fold').value)") == 999
    assert {"part", "fold", "play", "single", "Top"} <= set(reached)
    page.ask("document.querySelector('button[data-piece=flange]').focus()")
    page.key(" ", " ")
    assert page.ask("formpartsPage.state.picked") == "flange"
    assert page.complaints == []


CONTRAST = """
(() => {
  const part = (text) => text.match(/[\\d.]+/g).map(Number);
  const linear = (v) => (v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  const light = ([r, g, b]) => 0.2126 * linear(r / 255) + 0.7152 * linear(g / 255) + 0.0722 * linear(b / 255);
  const behind = (e) => {
    for (; e; e = e.parentElement) {
      const c = part(getComputedStyle(e).backgroundColor);
      if (c.length < 4 || c[3] > 0) return c;
    }
    return [255, 255, 255];
  };
  const words = (e) => [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
  const bad = [];
  let looked = 0;
  for (const e of document.querySelectorAll("body *")) {
    if (!words(e) || e.closest("script, svg") || !e.offsetParent) continue;
    const a = light(part(getComputedStyle(e).color)), b = light(behind(e));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    looked += 1;
    if (ratio < 4.5) bad.push([e.tagName, e.textContent.slice(0, 30), ratio]);
  }
  return JSON.stringify([looked, bad]);
})()
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_contrast(scheme: str, page: Page, riser: Path) -> None:
    """Text has a contrast of at least 4.5 to 1 (WCAG 2.1, success criterion 1.4.3) in either scheme."""
    shown(page, riser)
    page.scheme(scheme)
    looked, bad = json.loads(page.ask(CONTRAST))
    assert looked > 200
    assert bad == []
    page.ask(
        "document.querySelector('h1').style.color = 'grey'; document.querySelector('h1').style.background = 'darkgrey'"
    )
    assert [fault[0] for fault in json.loads(page.ask(CONTRAST))[1]] == ["H1"]


def test_fits_a_phone(page: Page, riser: Path) -> None:
    """At 390 points wide nothing makes the page scroll sideways; wide tables scroll by themselves."""
    shown(page, riser)
    page.size(390, 844, phone=True)
    page.ask(DRAWN)
    assert page.ask("document.documentElement.scrollWidth") <= 390
    assert page.ask(
        "[...document.querySelectorAll('button')].every(b => b.getBoundingClientRect().height >= 24)"
    )


def test_paper_shows_the_folded_part(page: Page, riser: Path) -> None:
    """Printed, there is a picture instead of canvas and slider, and the hand calculation is there to be signed."""
    shown(page, riser)
    page.ask("formpartsPage.setFold(0)")
    paper = page.paper()
    assert paper.startswith(b"%PDF")
    assert 1 <= len(re.findall(rb"/Type\s*/Page\b", paper)) <= 5
    assert page.ask("document.getElementById('printed').src").startswith("data:image/png;base64,")
    page.scheme("light", "print")
    assert page.ask("getComputedStyle(document.getElementById('part')).display") == "none"
    assert page.ask("document.getElementById('printed').naturalWidth") > 300
    assert "Checked by:" in page.ask("document.body.innerText")


def test_no_serious_accessibility_fault(page: Page, riser: Path) -> None:
    """axe-core finds nothing serious, in light, dark and on a phone; and it does find a fault that is planted."""
    referee = script()
    shown(page, riser)
    page.ask(referee)
    for scheme, phone in (("light", False), ("dark", False), ("light", True)):
        page.scheme(scheme)
        page.size(390 if phone else 1280, 900, phone)
        assert serious_faults(page) == []
    page.ask("document.querySelector('label[for=fold]').remove()")
    assert "label" in {fault[1] for fault in serious_faults(page)}


def test_findings_are_numbered_on_the_blank(page: Page, tmp_path: Path) -> None:
    """Nine lugs overlap at nine places: one row, a number at each place on blank and part, source and fix."""
    body = find_recipe("ring_riser")(lug_count=9)
    shown(page, written(body, tmp_path))
    found = [f for f in Part(body).findings() if f.on_blank is not None]
    assert len(found) == 9
    for places in (".blank [data-finding='1']", "#marked [data-finding='1']"):
        assert page.ask(f"document.querySelectorAll({json.dumps(places)}).length") == 9
    row = page.ask(
        "[...document.querySelectorAll('td')].find(e => e.textContent === 'F1').parentElement.textContent"
    )
    page.ask("document.querySelector('button[data-finding]').click()")
    assert page.ask("document.querySelectorAll('.blank .chosen, #marked .chosen').length") == 18
    # The marks lie on the skin, half a thickness from the middle of the sheet; flat they are where the blank has them.
    marks = np.array(json.loads(page.ask("JSON.stringify(formpartsPage.marks)")))
    assert np.linalg.norm(marks - [f.on_part for f in found], axis=1) == pytest.approx(1.0, abs=1e-3)
    flat = json.loads(page.ask("formpartsPage.setFold(0); JSON.stringify(formpartsPage.marks)"))
    assert np.array(flat)[:, :2] == pytest.approx(np.array([f.on_blank for f in found]), abs=1e-3)
    assert found[0].fix in row
    assert found[0].source in row
    assert page.ask("document.querySelector('.verdict').classList.contains('error')")


def test_without_a_3d_canvas_there_is_a_picture(page: Page, tmp_path: Path) -> None:
    """Where the browser gives no 3D canvas the still picture replaces it, with a note; nothing is complained of."""
    path = write_report(Part(CAST["angle"]()), tmp_path / "angle.html")
    deaf = page.call(
        "Page.addScriptToEvaluateOnNewDocument", source="HTMLCanvasElement.prototype.getContext = () => null"
    )
    try:
        shown(page, path)
        assert page.ask("getComputedStyle(document.querySelector('.still')).display") == "block"
        assert page.ask("document.querySelector('.still').naturalWidth") == 1000
        assert page.ask("getComputedStyle(document.getElementById('part')).display") == "none"
        assert page.complaints == []
    finally:
        page.call("Page.removeScriptToEvaluateOnNewDocument", identifier=deaf["identifier"])


def test_make_with_report(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`make --report` writes the page too, with the audit of all methods and the recipe's own words."""
    assert main(["make", "z_clip", "--set", "rise=30", "--report", "--out", str(tmp_path)]) == 0
    assert "z_clip.html" in capsys.readouterr().out
    text = (tmp_path / "z_clip.html").read_text(encoding="utf-8")
    rows = json.loads((tmp_path / "z_clip.json").read_text(encoding="utf-8"))["audit"]
    assert f"{len(rows)} of {len(rows)} audited figures agree" in text
    for words in (
        *(method for row in rows for method in row["methods"]),
        "STEP file read back",
        ">rise</td>",
    ):
        assert words in html.unescape(text)
    for parameter in find_recipe("z_clip").parameters:
        assert parameter.text in html.unescape(text)


def test_hostile_names_stay_text(page: Page, tmp_path: Path) -> None:
    """A name with markup in it, from a recipe of somebody else, is shown and not run."""
    from dataclasses import replace

    body = replace(CAST["angle"](), name="</script><img src=x onerror=alert(1)>")
    path = tmp_path / "hostile.html"
    path.write_text(report_page(Part(body)), encoding="utf-8")
    shown(page, path)
    assert page.ask("document.querySelector('h1').textContent") == body.name
    assert page.ask("document.querySelectorAll('img[onerror]').length") == 0
    assert page.complaints == []
