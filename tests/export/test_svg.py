"""The blank as a picture, read by an XML parser, its path by the rules of the SVG standard."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import shapely

from formparts.blanks import blank
from formparts.export import write_blank_svg
from formparts.layout import Blank
from formparts.outline import rectangle
from tests.export.samples import DRAWN_AREA, DRAWN_CUT, drawn_blank, overlapping_blank, pierced_plate, riser

SVG = "{http://www.w3.org/2000/svg}"
STEPS = 400
SAMPLES: dict[str, Callable[[], Blank]] = {
    "drawn": drawn_blank,
    "overlapping": overlapping_blank,
    "riser": lambda: blank(riser()),
    "plate": lambda: blank(pierced_plate()),
    "long": lambda: Blank("a strip", 1.0, rectangle(900, 3), ()),
    "tall": lambda: Blank("a strip", 1.0, rectangle(3, 900), ()),
}


@pytest.fixture(params=SAMPLES)
def sample(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Blank, Any]:
    part = SAMPLES[request.param]()
    return part, ElementTree.parse(write_blank_svg(part, tmp_path / "a.svg")).getroot()


def classed(root: Any, tag: str, kind: str) -> list[Any]:
    return [item for item in root.iter(f"{SVG}{tag}") if kind in item.get("class", "").split()]


def arc_points(start: complex, end: complex, radius: float, sweep: bool) -> Iterator[tuple[float, float]]:
    """Points on an arc, by SVG 1.1, F.6.5 (from memory), for equal radii, no rotation and no large arc."""
    half = (start - end) / 2
    stretch = max(abs(half) / radius, 1.0)
    r = radius * stretch
    off = math.sqrt(max(0.0, r * r / abs(half) ** 2 - 1.0)) * (1 if sweep else -1)
    centre = complex(off * half.imag, -off * half.real) + (start + end) / 2
    first, turn = start - centre, (end - centre) / (start - centre)
    angle = math.atan2(turn.imag, turn.real) % math.tau
    angle = angle if sweep else angle - math.tau
    for step in range(1, STEPS + 1):
        point = centre + first * complex(math.cos(angle * step / STEPS), math.sin(angle * step / STEPS))
        yield point.real, point.imag


def loops_of(path: str) -> list[list[tuple[float, float]]]:
    """The loops of a path of M, L, A and Z."""
    loops: list[list[tuple[float, float]]] = []
    for letter, rest in re.findall(r"([MLAZ])([^MLAZ]*)", path):
        figures = [float(part) for part in rest.split()]
        if letter == "M":
            loops.append([(figures[0], figures[1])])
        elif letter == "L":
            loops[-1].append((figures[0], figures[1]))
        elif letter == "A":
            rx, ry, rotation, large, sweep, x, y = figures
            assert (rx, rotation, large) == (ry, 0, 0)
            loops[-1].extend(arc_points(complex(*loops[-1][-1]), complex(x, y), rx, sweep == 1))
    return loops


def test_page_is_true_to_scale(sample: tuple[Blank, Any]) -> None:
    _, root = sample
    _, _, width, depth = (float(part) for part in root.get("viewBox").split())
    assert root.get("width") == f"{width:.9g}mm"
    assert root.get("height") == f"{depth:.9g}mm"


def test_one_path_holds_the_outline_with_true_arcs(sample: tuple[Blank, Any]) -> None:
    part, root = sample
    (path,) = classed(root, "path", "sheet")
    rings = [shapely.Polygon(loop) for loop in loops_of(path.get("d"))]
    assert len(rings) == part.pierces
    outer, *holes = sorted(rings, key=lambda ring: -ring.area)
    # Chords instead of arcs of at most half a turn: the area is off by (angle/STEPS)^2/12 of it and less.
    bound = (math.pi / STEPS) ** 2 / 6 * 4 * outer.area
    assert outer.area - sum(hole.area for hole in holes) == pytest.approx(part.area, abs=bound)
    assert "fill-rule:evenodd" in root.find(f"{SVG}style").text


def test_path_has_the_area_and_length_by_hand(tmp_path: Path) -> None:
    root = ElementTree.parse(write_blank_svg(drawn_blank(), tmp_path / "a.svg")).getroot()
    (path,) = classed(root, "path", "sheet")
    rings = sorted((shapely.Polygon(loop) for loop in loops_of(path.get("d"))), key=lambda ring: -ring.area)
    assert rings[0].area - sum(ring.area for ring in rings[1:]) == pytest.approx(DRAWN_AREA, rel=1e-5)
    assert sum(ring.exterior.length for ring in rings) == pytest.approx(DRAWN_CUT, rel=1e-5)
    assert path.get("d").count("A") == 4 + 2 + 2 * 2


def test_y_runs_upwards_in_the_picture_as_on_the_blank(tmp_path: Path) -> None:
    root = ElementTree.parse(write_blank_svg(drawn_blank(), tmp_path / "a.svg")).getroot()
    (up,), (down,) = (
        [item for item in classed(root, "line", side) if item.get("x1") == "-60"] for side in ("up", "down")
    )
    assert (up.get("y1"), down.get("y1")) == ("-31", "31")
    assert (down.get("x2"), down.get("y2")) == ("-48", "31")


def test_bend_lines_have_the_line_of_their_side_and_the_legend_says_it_in_words(
    sample: tuple[Blank, Any],
) -> None:
    part, root = sample
    style = root.find(f"{SVG}style").text
    dashes = {
        side: re.search(rf"\.{side}{{stroke:#\w+;stroke-dasharray:([^}}]*)}}", style)
        for side in ("up", "down")
    }
    assert [len(dashes[side].group(1).split()) for side in ("up", "down")] == [4, 2]
    words = [item.text for item in root.iter(f"{SVG}text")]
    for side, said in (
        ("up", "bend up, seen from the up side"),
        ("down", "bend down, seen from the up side"),
    ):
        marks = [mark for mark in part.bends if mark.side == side]
        drawn = [item for item in classed(root, "line", side) if "leader" not in item.get("class")]
        assert len(drawn) == len(marks) + (1 if part.bends else 0)
        assert words.count(said) == len(marks) + (1 if part.bends else 0)


def test_table_says_name_angle_and_radius_of_every_bend(sample: tuple[Blank, Any]) -> None:
    part, root = sample
    words = [item.text for item in root.iter(f"{SVG}text")]
    for number, mark in enumerate(part.bends, 1):
        row = words[words.index(mark.name) - 1 : words.index(mark.name) + 5]
        assert row[0] == str(number)
        assert row[2] == f"{mark.angle:g}°"
        assert row[4] == f"R {mark.inside_radius:g}"
        assert float(row[5]) == pytest.approx(mark.length, abs=0.005)


def test_overlaps_are_marked_numbered_and_named(tmp_path: Path) -> None:
    root = ElementTree.parse(write_blank_svg(overlapping_blank(), tmp_path / "a.svg")).getroot()
    words = [item.text for item in root.iter(f"{SVG}text")]
    assert len(classed(root, "circle", "wrong")) == 2
    assert {"!1", "!2"} <= set(words)
    spots = [(spot.get("cx"), spot.get("cy")) for spot in classed(root, "circle", "spot")]
    assert spots == [("22", "0"), ("0", "-9")]
    assert any("lug[1] and lug[2] overlap 1.25 mm deep at x = 22, y = 0" in line for line in words)
    assert any("lug[2] and lug[3] touch at x = 0, y = 9" in line for line in words)


def drawn_line(item: Any) -> shapely.LineString:
    ends = [(float(item.get(f"x{number}")), float(item.get(f"y{number}"))) for number in (1, 2)]
    return shapely.LineString(ends)


def bend_lines(root: Any) -> list[shapely.LineString]:
    """Every bend line, and the samples of the legend."""
    both = [item for side in ("up", "down") for item in classed(root, "line", side)]
    return [drawn_line(item) for item in both if "leader" not in item.get("class")]


def test_numbers_stand_clear_of_every_line_and_of_each_other(sample: tuple[Blank, Any]) -> None:
    part, root = sample
    (path,) = classed(root, "path", "sheet")
    lines = [shapely.LinearRing(loop) for loop in loops_of(path.get("d"))] + bend_lines(root)
    discs = [
        shapely.Point(float(item.get("cx")), float(item.get("cy"))).buffer(float(item.get("r")))
        for item in classed(root, "circle", "balloon")
    ]
    assert len(discs) == len(part.bends) + len(part.overlaps)
    x, y, width, depth = (float(figure) for figure in root.get("viewBox").split())
    page = shapely.box(x, y, x + width, y + depth)
    assert all(page.contains(round_) for round_ in discs)
    assert not any(line.intersects(round_) for line in lines for round_ in discs)
    assert not any(one.intersects(two) for one, two in combinations(discs, 2))


def test_text_keeps_inside_the_page_off_other_text_and_off_every_line(sample: tuple[Blank, Any]) -> None:
    _, root = sample
    x, y, width, depth = (float(figure) for figure in root.get("viewBox").split())
    height = float(re.search(r"font-size:([\d.]+)px", root.find(f"{SVG}style").text).group(1))
    page = shapely.box(x, y, x + width, y + depth)
    boxes = [text_box(item, height) for item in root.iter(f"{SVG}text")]
    assert boxes
    assert all(page.contains(box) for box in boxes)
    assert not any(one.intersects(two) for one, two in combinations(boxes, 2))
    (path,) = classed(root, "path", "sheet")
    lines = [shapely.LinearRing(loop) for loop in loops_of(path.get("d"))]
    lines += [drawn_line(item) for item in root.iter(f"{SVG}line")]
    assert not any(line.intersects(box) for line in lines for box in boxes)


def text_box(item: Any, height: float) -> shapely.Polygon:
    """Where a text is, at 0.58 of its height a letter: the mean of a wide sans-serif face (from memory)."""
    x, y, long = float(item.get("x")), float(item.get("y")), 0.58 * height * len(item.text)
    before = {"middle": long / 2, "end": long}.get(item.get("class", ""), 0.0)
    box = shapely.box(x - before, y - 0.75 * height, x - before + long, y + 0.2 * height)
    return shapely.affinity.rotate(box, -90, origin=(x, y)) if item.get("transform") else box


def test_overall_size_stands_outside(tmp_path: Path) -> None:
    root = ElementTree.parse(write_blank_svg(drawn_blank(), tmp_path / "a.svg")).getroot()
    (length,) = [
        item for item in root.iter(f"{SVG}text") if item.text == "120" and item.get("class") == "middle"
    ]
    (width,) = [
        item for item in root.iter(f"{SVG}text") if item.text == "80" and item.get("class") == "middle"
    ]
    assert float(length.get("y")) > 40
    assert float(width.get("x")) < -60


def test_names_are_escaped_and_odd_letters_kept_out(tmp_path: Path) -> None:
    part = replace(drawn_blank("<b>&\"'\x00\ud800"), bends=drawn_blank().bends)
    root = ElementTree.parse(write_blank_svg(part, tmp_path / "a.svg")).getroot()
    assert root.find(f"{SVG}title").text == "<b>&\"'??: blank"
    assert "<tab> & co" in [item.text for item in root.iter(f"{SVG}text")]
