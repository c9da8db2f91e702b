"""The drawing: what is on it, that nothing overlaps, that 100 mm are 100 mm, and that arcs stay arcs."""

from __future__ import annotations

import math
import re
import zlib
from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from ezdxf.lldxf.encoding import decode_dxf_unicode

from formparts import (
    Body,
    InputError,
    Motion,
    Sheet,
    blank,
    bolt_circle,
    cut_opening,
    disc,
    down,
    find_recipe,
    grid,
    pierced,
    plate,
    profile,
    rectangle,
    run,
    solid,
    up,
)
from formparts.drawings import Drawing, drawing, linear_tolerance, write_drawing
from formparts.drawings.curves import (
    BEND,
    CENTRE,
    DIMENSION,
    HIDDEN,
    PENS,
    TANGENT,
    VISIBLE,
    Conic,
    Pen,
    Straight,
    Stroke,
    Words,
    box_of,
    meet,
)
from formparts.drawings.features import edge_places, levels
from formparts.drawings.title import frame_box
from formparts.drawings.views import views_of
from tests.parts import CAST

RECIPES = ("angle_bracket", "corner_tray", "hat_section", "ring_riser", "stepped_seat", "u_channel", "z_clip")
SHEETS = [(name, "A3", angle) for name in RECIPES for angle in ("first", "third")]
SHEETS += [("ring_riser", "A2", "first"), ("z_clip", "A4", "first")]
AWKWARD = (
    "bend_on_a_hole",
    "chain",
    "lug_ring",
    "steep",
    "nearly_flat",
    "washer",
    "flange_on_a_flange",
    "turned",
)


@cache
def drawn(name: str, sheet: str = "A3", angle: str = "first") -> Drawing:
    body = find_recipe(name)() if name in RECIPES else CAST[name]()
    return drawing(body, sheet, angle)


def words(of: Drawing) -> list[Words]:
    return [mark for mark in of.marks if isinstance(mark, Words)]


def said(of: Drawing) -> set[str]:
    return {each.text for each in words(of)}


def strokes(of: Drawing, pen: object) -> list[Stroke]:
    return [mark for mark in of.marks if isinstance(mark, Stroke) and mark.pen == pen]


@pytest.mark.parametrize(("name", "sheet", "angle"), [*SHEETS, *((name, "A3", "first") for name in AWKWARD)])
def test_no_words_overlap(name: str, sheet: str, angle: str) -> None:
    """Boxes of words keep clear of each other, and everything stands inside the frame."""
    sheet_drawn = drawn(name, sheet, angle)
    x0, y0, x1, y1 = frame_box(sheet_drawn.sheet)
    for one, two in combinations(words(sheet_drawn), 2):
        assert not meet(one.box, two.box), (one, two)
    for each in words(sheet_drawn):
        left, low, right, high = each.box
        assert x0 <= left < right <= x1
        assert y0 <= low < high <= y1


def test_what_a_toolmaker_needs_of_the_riser() -> None:
    """Figures of the recipe's own docstring and defaults: size, rise, pattern, slots, opening, radii, blank."""
    found = said(drawn("ring_riser"))
    assert {"296", "210", "22", "14"} <= found  # length with ears, width, height of the flange, rise
    assert {"4× Ø9 equally spaced on Ø82", "Ø150", "2× slot 9 × 16"} <= found
    assert {
        "6× R15",
        "4× R13",
        "2× R2",
    } <= found  # corners and ears, round tips of 26 mm lugs, reliefs of 4 mm
    assert {"1 : 2", "A3", "t = 2 mm", "S235JR 1.0038", "643.5 g", "projection: first angle"} <= found
    assert {"8× 60° R2.5", "90° R2.5"} <= found  # slope of the lugs, two bends each; the flange
    assert any(text.startswith("general tolerances ISO 2768-m") for text in found)


def channel() -> Body:
    """Channel 30/50/30 outside, t = 2, R = 2, K = 0.44."""
    return profile(Sheet(2, 2, "S235JR", 0.44), 40, run(30, "outside"), up(90), run(50, "outside"), up(90),
                   run(30, "outside"), name="channel")  # fmt: skip


@cache
def drawn_channel() -> Drawing:
    return drawing(channel())


def test_bend_positions_by_hand() -> None:
    """
    By hand: legs are flat for 30 - 4 = 26 mm, the web for 50 - 8 = 42, an allowance is pi/2 (2 + 0.88) = 4.523893.

    So the bend lines are 26 + 2.2619 = 28.26 and 28.2619 + 4.5239 + 42 = 74.79 from the edge, of 103.05 in all.
    """
    found = said(drawn_channel())
    assert {"28.26", "74.79", "103.05", "4.524", "40"} <= found


def test_levels_of_a_part_that_goes_down() -> None:
    """
    By hand: the top of the hat is the root, its two feet stand 20 mm lower, outside to outside.

    From the feet up, where the running dimensions begin, the top's lower face is at 20 - 2 = 18 mm.
    """
    hat = profile(Sheet(2, 2, "S235JR", 0.44), 40, run(15), up(90), run(20), down(90), run(30), down(90), run(20),
                  up(90), run(15), name="hat", root=3)  # fmt: skip
    front = views_of(solid(hat), "first")["front"]
    assert front.box[1] == pytest.approx(-18.0)
    assert levels(hat, front.box[1]) == pytest.approx((18.0,))
    assert "18" in said(drawing(hat))


@pytest.mark.parametrize("angle", ["first", "third"])
def test_projection(angle: str) -> None:
    """
    First angle: the view from above is drawn below, that from the left on the right; third angle the other way.

    A plate with a flange up along its right edge tells left from right: from the right the flange hides the upper edge
    of the plate, from the left nothing of it is hidden. ISO 5456-2, from memory.
    """
    body = profile(Sheet(2, 2), 40, run(30, "outside"), up(90), run(60, "outside"), name="right_flange")
    sheet = drawing(body, "A3", angle)
    long = 40.0 * sheet.scale
    upright = [c for c in straights(sheet, VISIBLE) if abs(c.start[0] - c.end[0]) < 1e-6]
    front = [c for c in upright if c.length == pytest.approx(56 * sheet.scale)]  # the flange, less its bend
    right = max(c.end[0] for c in front)
    above = [c for c in upright if c.length == pytest.approx(long) and c.start[0] < right + 1e-6]
    below = max(max(c.start[1], c.end[1]) for c in above) < min(min(c.start[1], c.end[1]) for c in front)
    assert below == (angle == "first")
    covered = [c for c in straights(sheet, HIDDEN) if c.length == pytest.approx(long) and c.start[0] > right]
    assert bool(covered) == (angle == "third")


def shifts(*places: tuple[float, float]) -> tuple[Motion, ...]:
    return tuple(Motion.shift(x, y) for x, y in places)


@pytest.mark.parametrize("angle", ["first", "third"])
def test_projection_symbol(angle: str) -> None:
    """
    The cone's narrow end is to the left, and both circles are seen from there: a view from the left.

    It stands to the right of the cone in first-angle projection, to the left in third-angle. ISO 5456-2, from memory.
    """
    sheet = drawn("z_clip", "A3", angle)
    rings = [
        s.curve for s in strokes(sheet, VISIBLE) if isinstance(s.curve, Conic) and s.curve.centre[1] < 25
    ]
    (small, large) = sorted(rings, key=lambda ring: ring.radius)[:2]
    assert small.centre == large.centre
    ends = [
        c
        for c in straights(sheet, VISIBLE)
        if c.start[0] == c.end[0] and abs(c.start[0] - small.centre[0]) < 15
    ]
    narrow, wide = sorted((c for c in ends if c.end[1] < 25), key=lambda c: c.length)
    assert narrow.start[0] < wide.start[0]
    assert (narrow.length, wide.length) == pytest.approx((2 * small.radius, 2 * large.radius))
    assert (small.centre[0] > wide.start[0]) == (angle == "first")


@pytest.mark.parametrize(
    ("places", "words"),
    [
        (bolt_circle(None, 5, 60), "5× Ø6 equally spaced on Ø60"),
        (shifts((30, 0), (-30, 0), (0, 30)), "3× Ø6"),  # on one circle, not equally
        (shifts((30, 0), (18, 24), (-30, 0), (-18, -24)), "4× Ø6"),  # in two pairs
        (grid(2, 2, 40, 40), "4× Ø6"),  # a square is a grid, though it is equally spaced too
        (shifts((30, 0), (-30, 0)), "2× Ø6"),
    ],
)
def test_patterns(places: tuple[Motion, ...], words: str) -> None:
    """Three or more holes at equal angles are a pattern on their pitch circle; others are placed one by one."""
    body = cut_opening(plate(Sheet(2, 2), rectangle(100, 100)), disc(6), places=places)
    assert words in said(drawing(body))


def straights(of: Drawing, pen: object) -> list[Straight]:
    return [s.curve for s in strokes(of, pen) if isinstance(s.curve, Straight)]


def test_hidden_lines_by_hand() -> None:
    """Plate 100 x 50 x 2 with a hole of 20: two hidden lines of 2 mm in each view from the side, none from above."""
    sheet = drawing(plate(Sheet(2, 2), pierced(rectangle(100, 50), disc(20))), "A3")
    hidden = [s.curve for s in strokes(sheet, HIDDEN)]
    assert len(hidden) == 4
    assert all(isinstance(c, Straight) and c.length == pytest.approx(2 * sheet.scale) for c in hidden)
    circles = [s.curve for s in strokes(sheet, VISIBLE) if isinstance(s.curve, Conic) and s.curve.is_circle]
    whole = [c.radius for c in circles if c.is_whole]
    assert pytest.approx(10 * sheet.scale) in whole  # the view from above
    assert pytest.approx(10 * sheet.blank_scale) in whole


def test_widths_and_patterns_of_lines() -> None:
    """ISO 128-2 (from memory): wide to narrow 2 : 1; dashes 12 d, gaps 3 d; chain 24 d, 3 d, 0.5 d, 3 d."""
    narrow = VISIBLE.width / 2
    assert VISIBLE.width in (0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)
    assert {pen.width for pen in (HIDDEN, CENTRE, DIMENSION)} == {narrow}
    assert [part / narrow for part in HIDDEN.pattern] == pytest.approx([12, 3])
    assert [part / narrow for part in CENTRE.pattern] == pytest.approx([24, 3, 0.5, 3])
    assert VISIBLE.pattern == DIMENSION.pattern == ()


def test_tangent_edges_are_thin() -> None:
    """
    Where a bend runs into a flat there is no edge to feel: such a line is thinner than any other.

    By hand, channel 30/50/30 lying on its first leg, open to the left, r + t = 4. From above the upper leg runs into
    its bend 30 - 4 = 26 from its edge; from the left the web is seen between its two bends, 50 - 2 x 4 = 42 high.
    """
    sheet = drawn_channel()
    assert TANGENT.width < min(pen.width for pen in PENS if pen != TANGENT)
    places: dict[tuple[Pen, bool], list[float]] = {}
    for stroke in (each for pen in (TANGENT, VISIBLE) for each in strokes(sheet, pen)):
        if isinstance(stroke.curve, Straight) and stroke.curve.length == pytest.approx(40 * sheet.scale):
            (x0, y0), (_, y1) = stroke.curve.start, stroke.curve.end
            level = abs(y1 - y0) < 1e-9
            places.setdefault((stroke.pen, level), []).append((y0 if level else x0) / sheet.scale)
    (upright,), levels_ = places[TANGENT, False], sorted(places[TANGENT, True])
    assert levels_[1] - levels_[0] == pytest.approx(42)
    assert len(levels_) == 2
    wide = [x - upright for x in places[VISIBLE, False]]
    assert min(abs(x + 26) for x in wide) < 1e-6  # the free edge of the leg
    assert min(abs(x) for x in wide) > 1
    assert min(abs(y - at) for y in places[VISIBLE, True] for at in levels_) > 1


def test_lines_are_drawn_once() -> None:
    """Visible and hidden lines of a view never lie on one another: no two straight strokes share a middle."""
    for name in ("ring_riser", "z_clip", "corner_tray"):
        middles = [
            tuple(round((a + b) / 2, 3) for a, b in zip(s.curve.start, s.curve.end, strict=True))
            for pen in (VISIBLE, HIDDEN)
            for s in strokes(drawn(name), pen)
            if isinstance(s.curve, Straight)
        ]
        assert len(middles) == len(set(middles))


@pytest.mark.parametrize("name", [*RECIPES, *AWKWARD])
def test_arcs_stay_arcs(name: str, tmp_path: Path) -> None:
    """In the DXF there are lines, arcs, circles and ellipses, and no polyline at all; the whole fits the sheet."""
    sheet = drawn(name)
    space = ezdxf.readfile(write_drawing(sheet, tmp_path / "part.dxf")).modelspace()
    kinds = {entity.dxftype() for entity in space}
    assert kinds <= {"LINE", "ARC", "CIRCLE", "ELLIPSE", "TEXT", "SOLID"}
    if name == "ring_riser":
        radii = [
            round(e.dxf.radius / sheet.scale, 6)
            for e in space.query("ARC CIRCLE")
            if e.dxf.layer == "visible"
        ]
        assert {15.0, 13.0, 75.0, 4.5, 2.0} <= set(radii)


def content(path: Path) -> str:
    data = path.read_bytes()
    start = data.index(b"stream\n") + len(b"stream\n")
    return zlib.decompress(data[start : data.index(b"\nendstream")]).decode("cp1252")


def test_100_mm_on_the_page_are_100_mm(tmp_path: Path) -> None:
    """
    On the PDF a length is its millimetres times the scale times 72/25.4 points (ISO 32000-1: 72 points an inch).

    Measured on the page: the width of the sheet, and a plate of 100 mm, drawn 1 : 1.
    """
    sheet = drawing(plate(Sheet(2, 2), rectangle(100, 60)), "A3")
    path = write_drawing(sheet, tmp_path / "plate.pdf")
    box = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", path.read_bytes())
    assert box is not None
    assert [float(side) for side in box.groups()] == pytest.approx(
        [420 * 72 / 25.4, 297 * 72 / 25.4], abs=1e-5
    )
    text = content(path)
    factor = float(text.split()[0])
    lines = re.findall(r"^([-\d.]+) ([-\d.]+) m ([-\d.]+) ([-\d.]+) l S$", text, re.MULTILINE)
    points = [math.dist((float(a), float(b)), (float(c), float(d))) * factor for a, b, c, d in lines]
    wanted = 100 * sheet.scale * 72 / 25.4
    assert sum(abs(length - wanted) < 1e-3 for length in points) >= 4  # top and front view, twice each


def test_pdf_arcs_are_round(tmp_path: Path) -> None:
    """Every point of a Bezier piece of a circle of 75 mm is off it by less than a hundred thousandth of the radius."""
    sheet = drawn("ring_riser")
    text = content(write_drawing(sheet, tmp_path / "riser.pdf"))
    circle = next(
        s.curve for s in strokes(sheet, CENTRE) if isinstance(s.curve, Conic)
    )  # the pitch circle of 82
    assert circle.radius == pytest.approx(41 * sheet.scale)
    begun = next(line for line in text.splitlines() if line.count(" c") == 8 and line.endswith(" s"))
    numbers = [float(v) for v in re.findall(r"-?[\d.]+", begun)]
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    for at in range(0, len(points) - 3, 3):
        for t in (0.25, 0.5, 0.75):
            x, y = (
                sum(w * p[axis] for w, p in zip(_weights(t), points[at : at + 4], strict=True))
                for axis in (0, 1)
            )
            radius = math.dist((x, y), _centre(points))
            assert radius == pytest.approx(math.dist(points[0], _centre(points)), rel=1e-5)


def _weights(t: float) -> tuple[float, float, float, float]:
    u = 1 - t
    return (u**3, 3 * u * u * t, 3 * u * t * t, t**3)


def _centre(points: list[tuple[float, float]]) -> tuple[float, float]:
    """Middle between opposite ends of a circle in eight pieces."""
    (x0, y0), (x1, y1) = points[0], points[12]
    return ((x0 + x1) / 2, (y0 + y1) / 2)


def test_same_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same part gives the same bytes; another date gives others, in the PDF and the DXF."""
    made = {}
    for turn, epoch in (("a", "0"), ("b", "0"), ("c", "86400")):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
        sheet = drawing(CAST["angle"]())
        made[turn] = [
            write_drawing(sheet, tmp_path / f"{turn}{end}").read_bytes() for end in (".pdf", ".dxf", ".svg")
        ]
    assert made["a"] == made["b"]
    assert all(one != two for one, two in zip(made["a"], made["c"], strict=True))


def test_bends_on_the_blank_are_narrow_lines() -> None:
    """One narrow continuous line for each bend (ISO 128: bend lines on blanks; from memory), as long as the bend."""
    sheet = drawn("ring_riser")
    lengths = sorted(
        s.curve.length / sheet.blank_scale for s in strokes(sheet, BEND) if isinstance(s.curve, Straight)
    )
    assert lengths == pytest.approx([26.0] * 8 + [120.0])
    assert BEND.pattern == ()
    assert BEND.width == VISIBLE.width / 2


@pytest.mark.parametrize(
    ("size", "letter", "wanted"),
    [
        (30, "m", 0.2), (30.001, "m", 0.3), (120, "m", 0.3), (400, "m", 0.5), (0.49, "m", None),
        (3, "f", 0.05), (3.001, "f", 0.05), (1000.5, "c", 3.0), (2, "v", None), (4, "v", 0.5), (4000, "v", 8.0),
        (2500, "f", None),
    ],
)  # fmt: skip
def test_general_tolerances(size: float, letter: str, wanted: float | None) -> None:
    """ISO 2768-1:1989, table 1, at the borders of its ranges; where it has no figure, none is given."""
    assert linear_tolerance(size, letter) == wanted


def test_scale_is_the_largest_that_fits() -> None:
    """A larger sheet never takes a smaller scale, and the scale is one of ISO 5455."""
    scales = [drawn("ring_riser", sheet).scale for sheet in ("A4", "A3", "A2")]
    assert scales == sorted(scales)
    assert set(scales) <= {0.05, 0.1, 0.2, 0.5, 1.0}


@pytest.mark.parametrize(
    ("options", "told"),
    [(("A7",), "A7"), (("A3", "second"), "second"), (("A3", "first", "x"), "ISO 2768-1")],
)
def test_bad_options(options: tuple[str, ...], told: str) -> None:
    """Each is refused in one line that says what can be chosen."""
    with pytest.raises(InputError, match=told):
        drawing(CAST["angle"](), *options)


def test_unknown_suffix(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="suffix"):
        write_drawing(drawn("z_clip"), tmp_path / "part.doc")


def test_hostile_names(tmp_path: Path) -> None:
    """Markup, brackets and accents in a name break no file."""
    name = "</text><script> (a\\b) Träger 3 µm Š"
    sheet = drawing(replace(CAST["angle"](), name=name))
    root = ElementTree.parse(write_drawing(sheet, tmp_path / "part.svg")).getroot()
    assert name in {each.text for each in root.iter() if each.tag.endswith("text")}
    assert b"(a\\\\b\\)" in content(write_drawing(sheet, tmp_path / "part.pdf")).encode("cp1252").replace(
        b"\\(a", b"(a"
    )
    texts = ezdxf.readfile(write_drawing(sheet, tmp_path / "part.dxf")).modelspace().query("TEXT")
    assert any("Träger" in text.dxf.text for text in texts)


def test_foreign_letters(tmp_path: Path) -> None:
    """
    A PDF never shows a question mark for a letter: what its base fonts have not is refused in one line.

    The fonts hold the letters of WinAnsiEncoding (ISO 32000-1 annex D.2, from memory): Š is there, ą and 板 are
    not. DXF and SVG take them all.
    """
    sheet = drawing(replace(CAST["angle"](), name="Kątownik 板?"))
    with pytest.raises(InputError, match=r"U\+0105, U\+677F;.*--as dxf,svg") as refused:
        write_drawing(sheet, tmp_path / "part.pdf")
    assert "\n" not in str(refused.value)
    assert not list(tmp_path.iterdir())
    with pytest.raises(InputError, match=r"U\+0007"):
        write_drawing(replace(sheet, name="bell\a", marks=()), tmp_path / "part.pdf")
    texts = ezdxf.readfile(write_drawing(sheet, tmp_path / "part.dxf")).modelspace().query("TEXT")
    assert any(decode_dxf_unicode(text.dxf.text) == sheet.name for text in texts)  # as \\U+0105
    assert sheet.name in write_drawing(sheet, tmp_path / "part.svg").read_text(encoding="utf-8")


def test_title_of_the_pdf(tmp_path: Path) -> None:
    """Outside of the page a PDF has UTF-16 behind its mark FEFF (ISO 32000-1, 7.9.2.2, from memory)."""
    sheet = drawing(replace(CAST["angle"](), name="Šína"))
    found = re.search(rb"/Title <FEFF([0-9A-F]+)>", write_drawing(sheet, tmp_path / "part.pdf").read_bytes())
    assert found is not None
    assert bytes.fromhex(found[1].decode()).decode("utf-16-be") == "Šína: drawing"


def test_box_of_a_word_by_hand() -> None:
    """A word of height 5 turned to be read from the right is as high as it is long."""
    word = Words("100", (0.0, 0.0), 5.0, "middle", turned=True)
    x0, y0, x1, y1 = box_of([word])
    assert y1 - y0 == pytest.approx(word.width)
    assert y1 == pytest.approx(-y0)
    assert (x0, x1) == pytest.approx((-5.0, 1.25))


def test_edges_of_the_blank_are_dimensioned_from_its_datum() -> None:
    """
    A shop can cut the riser by the sheet: by hand, plate 240 long between ears of 28 reach and 30 wide, so 28 and 268,
    90 and 120; flange 120 wide about 148 with reliefs of 4 beside it, so 84, 88, 208, 212; lugs 26 wide, 135 and 161,
    92 and 118; the reliefs go 4.5 beyond the tangent line, 4.5 before the outside of the flange: 210 - 4.5 - 4.5.
    """
    places = [
        {round(point[axis] - low, 6) for point in edge_places(outline, axis)}
        for outline in [blank(find_recipe("ring_riser")()).outline]
        for axis, low in enumerate(outline.bounds[:2])
    ]
    assert places == [{28, 84, 88, 135, 161, 208, 212, 268}, {90, 92, 118, 120, 201, 210}]
    assert {"28", "268", "84", "212", "135", "92", "120", "201"} <= said(drawn("ring_riser"))
