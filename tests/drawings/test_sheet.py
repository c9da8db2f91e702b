"""The drawing: what is on it, that nothing overlaps, that 100 mm are 100 mm, and that arcs stay arcs."""

from __future__ import annotations

import base64
import math
import re
import zlib
from dataclasses import replace
from functools import cache
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
    bolt_circle,
    cut_opening,
    disc,
    find_recipe,
    grid,
    pierced,
    plate,
    profile,
    rectangle,
    run,
    up,
)
from formparts.drawings import Drawing, drawing, write_drawing
from formparts.drawings.curves import (
    BEND_DOWN,
    BEND_UP,
    CENTRE,
    DIMENSION,
    HIDDEN,
    PENS,
    TANGENT,
    VISIBLE,
    Conic,
    Filled,
    PenLine,
    Straight,
    Words,
    box_of,
    flattened,
)
from tests.parts import CAST

RECIPES = ("angle_bracket", "corner_tray", "hat_section", "ring_riser", "stepped_seat", "u_channel", "z_clip")
SHEETS = [(name, "A3", "first") for name in RECIPES]
SHEETS += [
    ("ring_riser", "A2", "first"),
    ("ring_riser", "A3", "third"),
    ("z_clip", "A4", "first"),
    ("z_clip", "A1", "third"),
]
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
POINTS = 72 / 25.4


@cache
def drawn(name: str, sheet: str = "A3", angle: str = "first") -> Drawing:
    body = find_recipe(name)() if name in RECIPES else CAST[name]()
    return drawing(body, sheet, angle)


def words(of: Drawing) -> list[Words]:
    return [mark for mark in of.marks if isinstance(mark, Words)]


def said(of: Drawing) -> set[str]:
    return {each.text for each in words(of)}


def pen_lines(of: Drawing, pen: object) -> list[PenLine]:
    return [mark for mark in of.marks if isinstance(mark, PenLine) and mark.pen == pen]


def straights(of: Drawing, pen: object) -> list[Straight]:
    return [s.curve for s in pen_lines(of, pen) if isinstance(s.curve, Straight)]


@pytest.mark.parametrize("name", RECIPES)
def test_every_dimension_of_the_list_is_on_the_sheet(name: str) -> None:
    """The picture says what the list says: each figure is among the words of the sheets."""
    of = drawn(name)
    text = " ".join(words_of_block(of))
    for one in of.dimensions.dimensions:
        assert one.view, one
        figure = f"{one.value:.6g}" if one.unit == "deg" else f"{one.value:.2f}".rstrip("0").rstrip(".")
        assert re.search(rf"(?<![\d.]){re.escape(figure)}(?![\d.])", text), one


def words_of_block(of: Drawing) -> list[str]:
    return [each.text for each in words(of)]


def test_what_a_toolmaker_needs_of_the_riser() -> None:
    """Figures of the recipe's own docstring and defaults: sizes, rise, slots, opening, radii, bends, title."""
    found = said(drawn("ring_riser"))
    assert {"240", "210", "30", "120", "128", "22", "105", "98"} <= found
    assert {"4× 26", "4× 69", "4× 41", "4× 14", "4× lug equally spaced"} <= found
    assert {"front", "from the left", "from above", "isometric, 1 : 2"} <= found
    assert {"Ø150", "4× Ø9", "4× R15", "2× slot 9 × 16", "8× 60° R2.5", "90° R2.5"} <= found
    assert {"(296)", "1 : 2", "A3", "2 mm", "S235JR 1.0038", "643.5 g", "first angle"} <= found


def test_a_section_that_runs_back_as_it_came_is_dimensioned_once() -> None:
    """The hat of the recipe: two brims of 22 and two walls of 30 beside one crown of 40; each figure occurs once."""
    texts = [each.text for each in words(drawn("hat_section"))]
    assert [texts.count(figure) for figure in ("2× 22", "2× 30", "40", "22", "30")] == [1, 1, 1, 0, 0]


def channel() -> Body:
    """Channel 30/50/30 outside, t = 2, R = 2, K = 0.44."""
    return profile(Sheet(2, 2, "S235JR", 0.44), 40, run(30, "outside"), up(90), run(50, "outside"), up(90),
                   run(30, "outside"), name="channel")  # fmt: skip


def test_bend_positions_on_the_blank_by_hand() -> None:
    """
    By hand: legs are flat for 30 - 4 = 26 mm, the web for 50 - 8 = 42, an allowance is pi/2 (2 + 0.88) = 4.523893.

    So the bend lines are 26 + 2.2619 = 28.26 and 28.2619 + 4.5239 + 42 = 74.79 from the edge, of 103.05 in all; a
    deduction is 2 x 4 - 4.5239 = 3.476. All are reference, so in parentheses; the bends are described in words too.
    """
    found = said(drawing(channel()))
    assert {"(28.26)", "(74.79)", "(103.05)", "4.524", "3.476", "1: up 90° R2", "x 28.26", "x 74.79"} <= found


def test_no_extension_line_runs_into_a_bend_line() -> None:
    """On the blank of the riser no dimension line lies in one line with a bend line and touches it."""
    page = drawn("ring_riser").pages[-1]
    curves = {
        pen: [
            mark.curve
            for mark in flattened(page)
            if isinstance(mark, PenLine) and mark.pen == pen and isinstance(mark.curve, Straight)
        ]
        for pen in (BEND_UP, BEND_DOWN, DIMENSION)
    }
    bends = [*curves[BEND_UP], *curves[BEND_DOWN]]
    assert len(bends) == 9
    for bend in bends:
        (x0, y0), (x1, y1) = bend.start, bend.end
        level = abs(y0 - y1) < 1e-6
        for at in curves[DIMENSION]:
            along = [point for point in (at.start, at.end) if abs(point[level] - bend.start[level]) < 0.05]
            near = [
                point for point in along if min(math.dist(point, (x0, y0)), math.dist(point, (x1, y1))) < 3.0
            ]
            assert len(along) < 2 or not near, bend


@pytest.mark.parametrize("angle", ["first", "third"])
def test_projection(angle: str) -> None:
    """
    First angle: the view from above is drawn below, that from the left on the right; third angle the other way.

    A plate with a flange up along its right edge tells left from right: from the right the flange hides the upper edge
    of the plate, from the left nothing of it is hidden. ISO 5456-2, from memory.
    """
    body = profile(Sheet(2, 2), 36, run(30, "outside"), up(90), run(60, "outside"), name="right_flange")
    sheet = drawing(body, "A3", angle)
    long, page = 36.0 * sheet.scale, sheet.pages[0]
    lines = {
        pen: [
            s.curve for s in page if isinstance(s, PenLine) and s.pen == pen and isinstance(s.curve, Straight)
        ]
        for pen in (VISIBLE, HIDDEN)
    }
    upright = [c for c in lines[VISIBLE] if abs(c.start[0] - c.end[0]) < 1e-6]
    front = [c for c in upright if c.length == pytest.approx(56 * sheet.scale)]  # the flange, less its bend
    left = min(c.end[0] for c in front)
    above = [c for c in upright if c.length == pytest.approx(long) and c.start[0] < left + 3 * sheet.scale]
    below = max(max(c.start[1], c.end[1]) for c in above) < min(min(c.start[1], c.end[1]) for c in front)
    assert below == (angle == "first")
    covered = [c for c in lines[HIDDEN] if c.length == pytest.approx(long) and c.start[0] > left]
    assert bool(covered) == (angle == "third")


@pytest.mark.parametrize("angle", ["first", "third"])
def test_projection_symbol(angle: str) -> None:
    """
    The cone's narrow end is to the left, and both circles are seen from there: a view from the left.

    It is to the right of the cone in first-angle projection, to the left in third-angle. ISO 5456-2, from memory.
    """
    page = drawn("z_clip", "A3", angle).pages[0]
    curves = [s.curve for s in page if isinstance(s, PenLine) and s.pen == VISIBLE and box_of([s])[3] < 22]
    small, large = sorted((c for c in curves if isinstance(c, Conic)), key=lambda ring: ring.radius)
    assert small.centre == large.centre
    ends = [c for c in curves if isinstance(c, Straight) and c.start[0] == c.end[0]]
    narrow, wide = sorted(ends, key=lambda c: c.length)
    assert narrow.start[0] < wide.start[0]
    assert (narrow.length, wide.length) == pytest.approx((2 * small.radius, 2 * large.radius))
    assert (small.centre[0] > wide.start[0]) == (angle == "first")


def shifts(*places: tuple[float, float]) -> tuple[Motion, ...]:
    return tuple(Motion.shift(x, y) for x, y in places)


@pytest.mark.parametrize(
    ("places", "told"),
    [
        (bolt_circle(None, 5, 60), {"5× Ø6 on Ø60, equally spaced"}),
        (shifts((30, 0), (-30, 0), (0, 30)), {"3× Ø6"}),  # on one circle, not equally
        (grid(2, 2, 40, 40), {"4× Ø6", "40"}),  # a square is a grid, though it is equally spaced too
        (grid(3, 2, 20, 40), {"6× Ø6", "2× 20 (= 40)", "40"}),
    ],
)
def test_patterns(places: tuple[Motion, ...], told: set[str]) -> None:
    """Three or more holes at equal angles are on their pitch circle, rows at their pitch; others one by one."""
    body = cut_opening(plate(Sheet(2, 2), rectangle(100, 100)), disc(6), places=places)
    assert told <= said(drawing(body))


def test_hidden_lines_by_hand() -> None:
    """Plate 100 x 50 x 2 with a hole of 20: two hidden lines of 2 mm in each view from the side, none from above."""
    sheet = drawing(plate(Sheet(2, 2), pierced(rectangle(100, 50), disc(20))), "A3")
    hidden = [s.curve for s in pen_lines(sheet, HIDDEN)]
    assert len(hidden) == 4
    assert all(isinstance(c, Straight) and c.length == pytest.approx(2 * sheet.scale) for c in hidden)
    whole = [
        s.curve.radius for s in pen_lines(sheet, VISIBLE) if isinstance(s.curve, Conic) and s.curve.is_whole
    ]
    assert pytest.approx(10 * sheet.scale) in whole  # the view from above
    assert pytest.approx(10 * sheet.blank_scale) in whole


def test_widths_and_patterns_of_lines() -> None:
    """ISO 128-2 (from memory): wide to narrow 2 : 1; gaps 3 d; chain 24 d, 3 d, 0.5 d, 3 d; hidden ones shorter."""
    narrow = VISIBLE.width / 2
    assert VISIBLE.width in (0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)
    assert {pen.width for pen in (HIDDEN, CENTRE, DIMENSION, BEND_UP, BEND_DOWN)} == {narrow}
    assert [part / narrow for part in HIDDEN.pattern] == pytest.approx([8, 3])
    assert [part / narrow for part in CENTRE.pattern] == pytest.approx([24, 3, 0.5, 3])
    assert VISIBLE.pattern == DIMENSION.pattern == ()
    assert TANGENT.width <= min(pen.width for pen in PENS)


@pytest.mark.parametrize(("recipe", "way"), [("z_clip", (0.0, -1.0)), ("angle_bracket", (1.0, 0.0))])
def test_an_arrow_says_from_where_a_flat_is_seen(recipe: str, way: tuple[float, float]) -> None:
    """ISO 128-30 (from memory). The clip's head is seen from above; the bracket's upright, bent up, from its shelf."""
    sheet = drawn(recipe)
    (letter,) = (each for each in words(sheet) if each.text == "E")
    assert any(each.text.startswith("E, ") for each in words(sheet))
    heads = [mark.corners for mark in sheet.marks if isinstance(mark, Filled)]
    head = min(heads, key=lambda corners: math.dist(corners[0], letter.at))
    tip, *back = head
    middle = (sum(x for x, _ in back) / len(back), sum(y for _, y in back) / len(back))
    long = math.dist(tip, middle)
    assert ((tip[0] - middle[0]) / long, (tip[1] - middle[1]) / long) == pytest.approx(way, abs=1e-6)


@pytest.mark.parametrize("length", [0.5, 1.0, 2.0, 3.0, 7.3, 120.0])
def test_a_hidden_line_is_dashed_however_short(length: float) -> None:
    """It begins and ends with a dash, with a gap between at least (ISO 128-2, from memory)."""
    dash, gap = PenLine(Straight((1.0, 1.0), (1.0, 1.0 + length)), HIDDEN).pattern
    gaps = (length - dash) / (dash + gap)
    assert round(gaps) >= 1
    assert gaps == pytest.approx(round(gaps))
    assert dash / gap == pytest.approx(8 / 3)
    assert length < 5.0 or dash == pytest.approx(2.0, rel=0.15)


def test_bends_on_the_blank_show_their_side() -> None:
    """One narrow line for each bend, as long as the bend, in one style for up and another for down."""
    sheet = drawn("ring_riser")
    ups, downs = (
        sorted(line.length / sheet.blank_scale for line in straights(sheet, pen))
        for pen in (BEND_UP, BEND_DOWN)
    )
    assert ups == pytest.approx([26.0] * 4 + [120.0])
    assert downs == pytest.approx([26.0] * 4)
    assert BEND_UP.pattern != BEND_DOWN.pattern
    assert () not in (BEND_UP.pattern, BEND_DOWN.pattern)  # an extension line is never taken for one


@pytest.mark.parametrize("sheet", ["A4", "A3", "A2", "A1"])
def test_letters_are_tall_enough(sheet: str) -> None:
    """At least 2.5 mm up to A2, 3.5 mm on larger sheets (ISO 3098 has both heights; from memory)."""
    of = drawn("z_clip", sheet)
    assert min(each.height for each in words(of)) >= (3.5 if of.sheet in ("A1", "A0") else 2.5)


@pytest.mark.parametrize("name", [*RECIPES, *AWKWARD])
def test_arcs_stay_arcs(name: str, tmp_path: Path) -> None:
    """In the DXF there are lines, arcs, circles and ellipses, and no polyline at all; another reader finds no fault."""
    sheet = drawn(name)
    document = ezdxf.readfile(write_drawing(sheet, tmp_path / "part.dxf"))
    assert document.audit().errors == []
    kinds = {entity.dxftype() for entity in document.modelspace()}
    assert kinds <= {"LINE", "ARC", "CIRCLE", "ELLIPSE", "TEXT", "SOLID", "DIMENSION"}
    if name == "ring_riser":
        radii = {
            round(e.dxf.radius / sheet.scale, 6)
            for e in document.modelspace().query("ARC CIRCLE")
            if e.dxf.layer == "visible"
        }
        assert {15.0, 13.0, 75.0, 4.5, 2.0} <= radii


def page_of(path: Path) -> str:
    """Operators of the first page of a PDF, by their own packing."""
    found = re.search(rb"/ASCII85Decode /FlateDecode.*?stream\r?\n(.*?)~>", path.read_bytes(), re.DOTALL)
    assert found is not None
    return zlib.decompress(base64.a85decode(found[1])).decode("latin-1")


def test_100_mm_on_the_page_are_100_mm(tmp_path: Path) -> None:
    """
    On the PDF a length is its millimetres times the scale times 72/25.4 points (ISO 32000-1: 72 points an inch).

    Measured on the page: the width of the sheet, and a plate of 100 mm.
    """
    sheet = drawing(plate(Sheet(2, 2), rectangle(100, 60)), "A3")
    path = write_drawing(sheet, tmp_path / "plate.pdf")
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", path.read_bytes())
    assert box is not None
    assert [float(side) for side in box.groups()] == pytest.approx([420 * POINTS, 297 * POINTS], abs=0.01)
    text = page_of(path)
    lines = re.findall(r"^n ([-\d.]+) ([-\d.]+) m ([-\d.]+) ([-\d.]+) l$", text, re.MULTILINE)
    lengths = [math.dist((float(a), float(b)), (float(c), float(d))) for a, b, c, d in lines]
    wanted = 100 * sheet.scale * POINTS
    assert sum(abs(length - wanted) < 2e-3 for length in lengths) >= 4  # top and front view, twice each


def test_pdf_arcs_are_round(tmp_path: Path) -> None:
    """Every point of a Bezier segment of a circle is off it by less than a hundred thousandth of the radius."""
    sheet = drawn("stepped_seat")
    text = page_of(write_drawing(sheet, tmp_path / "seat.pdf"))
    rounds = [line for line in text.splitlines() if line.count(" c") == 8]
    found = [[float(v) for v in re.findall(r"-?[\d.]+", line)] for line in rounds]
    numbers = max(found, key=lambda each: max(each[::2]) - min(each[::2]))
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    centre = ((points[0][0] + points[12][0]) / 2, (points[0][1] + points[12][1]) / 2)
    for at in range(0, len(points) - 3, 3):
        for t in (0.25, 0.5, 0.75):
            u = 1 - t
            weights = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
            x, y = (sum(w * p[n] for w, p in zip(weights, points[at : at + 4], strict=True)) for n in (0, 1))
            assert math.dist((x, y), centre) == pytest.approx(math.dist(points[0], centre), rel=1e-5)


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


def test_the_font_is_in_the_pdf(tmp_path: Path) -> None:
    """An embedded font has its program in the file (ISO 32000-1, 9.9: FontFile2; from memory)."""
    data = write_drawing(drawn("z_clip"), tmp_path / "part.pdf").read_bytes()
    assert b"/FontFile2" in data
    assert b"/BaseFont /Helvetica" not in data


def test_scale_is_the_largest_that_fits() -> None:
    """A larger sheet never takes a smaller scale, and the scale is one of ISO 5455."""
    scales = [drawn("ring_riser", sheet).scale for sheet in ("A3", "A2")]
    assert scales == sorted(scales)
    assert set(scales) <= {0.05, 0.1, 0.2, 0.5, 1.0}


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ({"sheet": "A7"}, "A7"),
        ({"projection": "second"}, "second"),
        ({"tolerance": "x"}, "ISO 2768-1"),
        ({"units": "ell"}, "in\\+mm"),
    ],
)
def test_bad_options(options: dict[str, str], told: str) -> None:
    """Each is refused in one line that says what can be chosen."""
    with pytest.raises(InputError, match=told):
        drawing(CAST["angle"](), **options)


def test_inches_with_and_without_millimetres() -> None:
    """An inch is 25.4 mm exactly (ISO 80000-3): a width of 40 mm is 1.575 in."""
    body = profile(Sheet(2, 2), 40, run(30), up(90), run(25), name="angle")
    assert {"1.575", "in"} <= said(drawing(body, units="in"))
    assert {"1.575 [40]", "in [mm]"} <= said(drawing(body, units="in+mm"))


def test_unknown_suffix(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="suffix"):
        write_drawing(drawn("z_clip"), tmp_path / "part.doc")


def test_hostile_names(tmp_path: Path) -> None:
    """Markup, brackets and letters of many languages in a name break no file, and are read in all three."""
    name = "</b> (a\\b) Träger 3 µm Kątownik Деталь"
    sheet = drawing(replace(CAST["angle"](), name=name))
    root = ElementTree.parse(write_drawing(sheet, tmp_path / "part.svg")).getroot()
    assert name in {each.text for each in root.iter() if each.tag.endswith("text")}
    write_drawing(sheet, tmp_path / "part.pdf")
    texts = ezdxf.readfile(write_drawing(sheet, tmp_path / "part.dxf")).modelspace().query("TEXT")
    assert name in {decode_dxf_unicode(text.dxf.text) for text in texts}


def test_letters_that_the_font_lacks(tmp_path: Path) -> None:
    """A PDF never shows a box for a letter: what its font has not is refused in one line; DXF and SVG take it."""
    sheet = drawing(replace(CAST["angle"](), name="Winkel 板"))
    with pytest.raises(InputError, match=r"U\+677F;.*--as dxf,svg") as refused:
        write_drawing(sheet, tmp_path / "part.pdf")
    assert "\n" not in str(refused.value)
    assert not list(tmp_path.iterdir())
    assert sheet.name in write_drawing(sheet, tmp_path / "part.svg").read_text(encoding="utf-8")


def test_box_of_a_word_by_hand() -> None:
    """A word of height 5 turned to be read from the right is as high as it is long."""
    word = Words("100", (0.0, 0.0), 5.0, "middle", turned=True)
    x0, y0, x1, y1 = box_of([word])
    assert y1 - y0 == pytest.approx(word.width)
    assert y1 == pytest.approx(-y0)
    assert (x0, x1) == pytest.approx((-5.0, 1.25))


@pytest.mark.parametrize("name", ["z_clip", "ring_riser"])
def test_dimensions_of_the_dxf_are_real_ones(name: str, tmp_path: Path) -> None:
    """
    Each measured length is a DIMENSION whose own points are as far apart, times the scale, as its words say.

    Figures with a tolerance, a count or parentheses are read as the number in them.
    """
    of = drawn(name)
    document = ezdxf.readfile(write_drawing(of, tmp_path / "part.dxf"))
    found = list(document.modelspace().query("DIMENSION"))
    assert len(found) > 8
    for one in found:
        assert len(document.blocks[one.dxf.geometry]) > 1
        turn = math.radians(one.dxf.angle)
        away = one.dxf.defpoint3 - one.dxf.defpoint2
        measured = abs(away.x * math.cos(turn) + away.y * math.sin(turn))
        figure = float(re.findall(r"[\d.]+", one.dxf.text.rpartition("× ")[2])[0])
        scales = {of.scale, of.blank_scale, 1.0, 2.0, 5.0}  # sections have their own
        assert any(abs(measured / scale - figure) < 6e-3 for scale in scales), one.dxf.text


def test_datums_are_lettered() -> None:
    """The lower face of the first flat, and what is at the zeros: two edges, or the middle of the main opening."""
    assert dict(drawn("ring_riser").dimensions.datums) == {
        "A": "lower face of plate",
        "B": "centre of plate.rim",
    }
    assert list(dict(drawn("z_clip").dimensions.datums)) == ["A", "B", "C"]
    assert {"A", "B", "C"} <= said(drawn("z_clip"))


def test_a_zero_on_the_outside_of_a_wall_stands_once() -> None:
    """A tray is measured from the outside of two walls; nothing else is at its zero."""
    zeros = [each for each in words(drawn("corner_tray")) if each.text == "0"]
    starts = {one.start for one in drawn("corner_tray").dimensions.dimensions if one.what == "distance"}
    assert len([each for each in zeros if each in drawn("corner_tray").pages[0]]) <= 2
    assert {"outside of wall_left.bend", "outside of wall_front.bend"} <= starts
    assert all(one.value > 0 for one in drawn("corner_tray").dimensions.dimensions)
