"""The blank as DXF, read by real readers, and every fault that the proof of the file has to catch."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import shapely
from ezdxf import recover
from ezdxf.math import ConstructionArc, bulge_to_arc

from formparts.blanks import blank
from formparts.drawings import drawing, write_drawing
from formparts.errors import FileProofError, InputError
from formparts.export import DXF_VERSIONS, dxf, proved_blank_dxf, write_blank_dxf, write_step
from formparts.layout import Blank
from formparts.outline import Motion, disc, outline_of, problem
from formparts.recipe_functions import find_recipe
from formparts.solids import solid
from tests.export.samples import (
    DRAWN_AREA,
    DRAWN_CUT,
    drawn_blank,
    drawn_outline,
    overlapping_blank,
    pierced_plate,
    riser,
)

SAGITTA = 1e-4
"""How closely the other reader follows an arc [mm]."""


@pytest.fixture
def drawn(tmp_path: Path) -> Path:
    return write_blank_dxf(drawn_blank(), tmp_path / "drawn.dxf")


def cut_entities(path: Path) -> list[Any]:
    return list(ezdxf.readfile(path).modelspace().query('*[layer=="cut"]'))


def vertices_of(entity: Any) -> list[tuple[float, float, float]]:
    if entity.dxftype() == "LWPOLYLINE":
        return list(entity.get_points("xyb"))
    return [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in entity.vertices]


def corners_of(entity: Any) -> Iterator[tuple[float, float]]:
    """Points on a loop, by ezdxf's own reading of bulges and circles, not by formparts."""
    if entity.dxftype() == "CIRCLE":
        yield from ((p.x, p.y) for p in entity.flattening(SAGITTA))
        return
    vertices = vertices_of(entity)
    for (x, y, bulge), (x1, y1, _) in zip(vertices, vertices[1:] + vertices[:1], strict=True):
        yield x, y
        if bulge:
            centre, first, last, radius = bulge_to_arc((x, y), (x1, y1), bulge)
            arc = ConstructionArc(centre, radius, math.degrees(first), math.degrees(last))
            # It runs anticlockwise there, whichever way the polyline goes through it.
            points = [(p.x, p.y) for p in arc.flattening(SAGITTA)][1:-1]
            yield from points if bulge > 0 else reversed(points)


def polygon_of(path: Path) -> shapely.Polygon:
    """The cut layer as a polygon with holes."""
    rings = [shapely.Polygon(corners_of(entity)) for entity in cut_entities(path)]
    outer = max(rings, key=lambda ring: ring.area)
    return shapely.Polygon(outer.exterior, [ring.exterior for ring in rings if ring is not outer])


@pytest.mark.parametrize("version", DXF_VERSIONS)
def test_other_readers_find_no_fault_and_the_area_by_hand(version: str, tmp_path: Path) -> None:
    path = write_blank_dxf(drawn_blank(), tmp_path / "a.dxf", version, notes=True)
    document, auditor = recover.readfile(path)
    assert not auditor.errors
    assert not auditor.fixes
    assert document.acad_release == version
    polygon = polygon_of(path)
    assert polygon.is_valid
    # A chord lies within SAGITTA of its arc, so the area is off by less than SAGITTA a mm of arc.
    assert polygon.area == pytest.approx(DRAWN_AREA, abs=SAGITTA * DRAWN_CUT)
    assert polygon.bounds == pytest.approx((-60, -40, 60, 40), abs=1e-9)


def test_proof_measures_area_and_cut_length_as_by_hand(drawn: Path) -> None:
    figures = proved_blank_dxf(drawn, drawn_blank())
    assert figures.area == pytest.approx(DRAWN_AREA, rel=1e-12)
    assert figures.cut_length == pytest.approx(DRAWN_CUT, rel=1e-12)
    assert figures.bend_lines == 2


def test_units_and_extents_are_said_in_the_header(drawn: Path) -> None:
    header = ezdxf.readfile(drawn).header
    # DXF reference: $INSUNITS 4 = millimetres, $MEASUREMENT 1 = metric.
    assert header["$INSUNITS"] == 4
    assert header["$MEASUREMENT"] == 1
    assert tuple(header["$EXTMIN"])[:2] == pytest.approx((-60, -40), abs=1e-9)
    assert tuple(header["$EXTMAX"])[:2] == pytest.approx((60, 40), abs=1e-9)


def test_cut_layer_holds_closed_polylines_and_true_circles_only(drawn: Path) -> None:
    kinds = sorted(entity.dxftype() for entity in cut_entities(drawn))
    assert kinds == ["CIRCLE", "LWPOLYLINE", "LWPOLYLINE", "LWPOLYLINE"]
    assert all(entity.closed for entity in cut_entities(drawn) if entity.dxftype() == "LWPOLYLINE")
    (circle,) = [entity for entity in cut_entities(drawn) if entity.dxftype() == "CIRCLE"]
    assert circle.dxf.radius == 12.7
    assert tuple(circle.dxf.center) == (0.0, 0.0, 0.0)


def test_bulges_are_the_drawn_radii(drawn: Path) -> None:
    outer = max(
        (e for e in cut_entities(drawn) if e.dxftype() == "LWPOLYLINE"),
        key=lambda e: max(x for x, _ in e.get_points("xy")),
    )
    corners = outer.get_points("xyb")
    radii = [
        bulge_to_arc((x0, y0), (x1, y1), bulge)[3]
        for (x0, y0, bulge), (x1, y1, _) in zip(corners, corners[1:] + corners[:1], strict=True)
        if bulge
    ]
    assert radii == pytest.approx([10.0] * 4, rel=1e-12)
    # A quarter turn: tan(90 deg / 4).
    assert [b for _, _, b in corners if b] == pytest.approx([math.tan(math.pi / 8)] * 4, rel=1e-12)


def test_bends_up_and_down_are_told_apart_by_layer_and_line_type(drawn: Path) -> None:
    document = ezdxf.readfile(drawn)
    (up,) = document.modelspace().query('*[layer=="bend-up"]')
    (down,) = document.modelspace().query('*[layer=="bend-down"]')
    assert (tuple(up.dxf.start), tuple(up.dxf.end)) == ((-60, 31, 0), (60, 31, 0))
    assert (tuple(down.dxf.start), tuple(down.dxf.end)) == ((-60, -31, 0), (-48, -31, 0))
    types = [document.layers.get(name).dxf.linetype for name in ("bend-up", "bend-down")]
    assert types == ["dash-dot", "dashed"]
    assert all(name in document.linetypes for name in types)


def test_text_is_written_on_demand_only_and_never_on_the_cut_layer(drawn: Path, tmp_path: Path) -> None:
    assert not ezdxf.readfile(drawn).modelspace().query("TEXT MTEXT")
    noted = write_blank_dxf(drawn_blank(), tmp_path / "noted.dxf", notes=True)
    texts = ezdxf.readfile(noted).modelspace().query("TEXT")
    assert [text.dxf.text for text in texts] == [
        "not planned, no. 1: flange.bend 90 deg up R3",
        "not planned, no. 2: <tab> & co 45 deg down R2",
    ]
    assert {text.dxf.layer for text in texts} == {"notes"}


@pytest.mark.parametrize("body", [riser, pierced_plate])
def test_blank_of_a_body_is_written_and_proved(body: Callable[[], Any], tmp_path: Path) -> None:
    part = blank(body())
    path = write_blank_dxf(part, tmp_path / "part.dxf")
    assert polygon_of(path).area == pytest.approx(part.area, abs=SAGITTA * part.cut_length)
    assert len(cut_entities(path)) == part.pierces


def test_round_opening_that_is_turned_and_moved_stays_one_circle(tmp_path: Path) -> None:
    moved = drawn_outline().moved(Motion(0.6, -0.8, 0.8, 0.6, 17.3, -4.1))
    path = write_blank_dxf(replace(drawn_blank(), outline=moved, bends=()), tmp_path / "a.dxf")
    (circle,) = [entity for entity in cut_entities(path) if entity.dxftype() == "CIRCLE"]
    assert (circle.dxf.center.x, circle.dxf.center.y, circle.dxf.radius) == pytest.approx((17.3, -4.1, 12.7))


def test_overlapping_blank_is_written_although_its_cuts_cross(tmp_path: Path) -> None:
    part = overlapping_blank()
    assert "crosses" in str(problem(part.outline))
    assert write_blank_dxf(part, tmp_path / "a.dxf").exists()
    with pytest.raises(FileProofError, match="crosses"):
        write_blank_dxf(replace(part, overlaps=()), tmp_path / "b.dxf")
    assert not (tmp_path / "b.dxf").exists()


def test_unknown_version_is_refused_with_those_that_are_known(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"version = R14.*R2000"):
        write_blank_dxf(drawn_blank(), tmp_path / "a.dxf", "R14")


# --- the proof catches what is planted -------------------------------------------------------------------------


def outer_of(space: Any) -> Any:
    return space.query("LWPOLYLINE")[0]


def open_it(space: Any) -> None:
    outer_of(space).closed = False


def leave_a_gap(space: Any) -> None:
    outer = outer_of(space)
    points = [(x, y) for x, y in outer.get_points("xy")]
    for start, end in pairwise(points):
        space.add_line(start, end, dxfattribs={"layer": "cut"})
    space.delete_entity(outer)


def shifted_vertex(by: float) -> Callable[[Any], None]:
    def shift(space: Any) -> None:
        slot = space.query("LWPOLYLINE")[-1]
        points = slot.get_points("xyb")
        points[1] = (points[1][0] + by, points[1][1], points[1][2])
        slot.set_points(points, "xyb")

    return shift


def twice(kind: str) -> Callable[[Any], None]:
    def copy(space: Any) -> None:
        space.add_entity(space.query(kind)[0].copy())

    return copy


def repeat_a_vertex(space: Any) -> None:
    outer = outer_of(space)
    points = outer.get_points("xyb")
    outer.set_points([(points[0][0], points[0][1], 0.0), *points], "xyb")


def turn_a_bulge(space: Any) -> None:
    outer = outer_of(space)
    outer.set_points([(x, y, -b) for x, y, b in outer.get_points("xyb")], "xyb")


def to_layer(kind: str, layer: str) -> Callable[[Any], None]:
    def move(space: Any) -> None:
        space.query(kind)[0].dxf.layer = layer

    return move


def put_text(space: Any) -> None:
    space.add_text("cut me", dxfattribs={"layer": "cut"})


def put_spline(space: Any) -> None:
    space.add_spline([(0, 0), (1, 1), (2, 0)], dxfattribs={"layer": "cut"})


def inches(space: Any) -> None:
    space.doc.header["$INSUNITS"] = 1


def push_hole_over_the_edge(space: Any) -> None:
    space.query("CIRCLE")[0].dxf.center = (60, 0)


def grow_hole(space: Any) -> None:
    space.query("CIRCLE")[0].dxf.radius += 1e-5


def drop_hole(space: Any) -> None:
    space.delete_entity(space.query("CIRCLE")[0])


def drop_line(space: Any) -> None:
    space.delete_entity(space.query("LINE")[0])


def shift_line(space: Any) -> None:
    space.query("LINE")[0].dxf.start = (-60, 31.00001)


def empty(space: Any) -> None:
    for entity in list(space):
        space.delete_entity(entity)


def tilt(space: Any) -> None:
    outer_of(space).dxf.extrusion = (0, 0, -1)


FAULTS: dict[str, tuple[Callable[[Any], None], str]] = {
    "open polyline": (open_it, "an open polyline"),
    "gap": (leave_a_gap, "a LINE on layer cut"),
    "moved vertex": (shifted_vertex(0.5), "area|unsound|off its circle"),
    "vertex moved by 10 nm": (shifted_vertex(1e-5), "area|another shape|off its circle|cut length"),
    "loop twice": (twice("LWPOLYLINE"), "one loop stands there twice"),
    "circle twice": (twice("CIRCLE"), "one loop stands there twice"),
    "bend line twice": (twice("LINE"), "2 lines on layer bend-up, and not 1"),
    "edge of no length": (repeat_a_vertex, "an edge of no length"),
    "arc the wrong way": (turn_a_bulge, "area|unsound"),
    "loop on another layer": (to_layer("CIRCLE", "0"), "a CIRCLE on layer 0"),
    "bend on the other side": (to_layer("LINE", "bend-down"), "0 lines on layer bend-up"),
    "bend line on the cut layer": (to_layer("LINE", "cut"), "a LINE on layer cut"),
    "text on the cut layer": (put_text, "a TEXT on layer cut"),
    "spline": (put_spline, "a SPLINE on layer cut"),
    "inches": (inches, r"\$INSUNITS is 1"),
    "crossing loops": (push_hole_over_the_edge, "crosses the outer loop"),
    "hole too large by 10 nm": (grow_hole, "area"),
    "hole missing": (drop_hole, "3 closed loops, and not 4"),
    "bend line missing": (drop_line, "0 lines on layer bend-up, and not 1"),
    "bend line shifted": (shift_line, "no line for bend flange.bend"),
    "nothing": (empty, "nothing on the cut layer"),
    "seen from below": (tilt, "not drawn in the plane"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_proof_catches_a_planted_fault(fault: str, drawn: Path) -> None:
    proved_blank_dxf(drawn, drawn_blank())
    plant, message = FAULTS[fault]
    document = ezdxf.readfile(drawn)
    plant(document.modelspace())
    document.saveas(drawn)
    with pytest.raises(FileProofError, match=message):
        proved_blank_dxf(drawn, drawn_blank())


@pytest.mark.parametrize("content", [b"", b"not a drawing", b"  0\nSECTION\n  2\nENTITIES\n"])
def test_proof_catches_a_file_that_is_no_dxf(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "a.dxf"
    path.write_bytes(content)
    with pytest.raises(FileProofError):
        proved_blank_dxf(path, drawn_blank())


def test_proof_catches_a_file_that_was_cut_short(drawn: Path) -> None:
    drawn.write_bytes(drawn.read_bytes()[:-9000])
    with pytest.raises(FileProofError):
        proved_blank_dxf(drawn, drawn_blank())


def test_file_that_fails_its_proof_is_not_delivered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    other = replace(drawn_blank(), outline=outline_of([disc(30).outer]))
    real = dxf.dxf_bytes
    monkeypatch.setattr(dxf, "dxf_bytes", lambda _, *rest: real(other, *rest))
    with pytest.raises(FileProofError, match=r"a\.dxf: not delivered: 1 closed loops, and not 4"):
        write_blank_dxf(drawn_blank(), tmp_path / "a.dxf")
    assert list(tmp_path.iterdir()) == []


def test_date_in_the_file_is_the_one_given(tmp_path: Path) -> None:
    """DXF reference, special handling of date and time variables (seen): 31 December 1999, 21:58:35 GMT."""
    path = write_blank_dxf(
        drawn_blank(), tmp_path / "a.dxf", date=datetime(1999, 12, 31, 21, 58, 35, tzinfo=UTC)
    )
    # The reader puts a date of its own over this one, so the text is read.
    lines = path.read_text().split("\n")
    names = ("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE")
    # The example has eight decimals of a day, which is a thousandth of a second.
    assert [float(lines[lines.index(name) + 2]) for name in names] == pytest.approx(
        [2451544.91568287] * 4, abs=1e-8, rel=0
    )


def test_no_option_of_the_library_is_touched(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """They are one for the whole process, and other threads write DXF files of their own."""

    def touched(*_: object) -> None:
        raise AssertionError("an option was set")

    monkeypatch.setattr(type(ezdxf.options), "set", touched)
    write_blank_dxf(drawn_blank(), tmp_path / "a.dxf")


def test_same_bytes_from_four_threads(tmp_path: Path) -> None:
    """DESIGN 5.7, also when others are written at the same time: DXF of a blank and of a drawing, and STEP."""
    made = find_recipe("z_clip")()
    flat, sheet, shape = blank(made), drawing(made), solid(made)

    def write(number: int) -> tuple[bytes, ...]:
        folder = tmp_path / str(number)
        folder.mkdir()
        schema = ("AP214", "AP242")[number % 2]
        paths = (
            write_blank_dxf(flat, folder / "a.dxf"),
            write_drawing(sheet, folder / "b.dxf"),
            write_step(shape, folder / "c.step", schema=schema),
        )
        return tuple(path.read_bytes() for path in paths)

    with ThreadPoolExecutor(4) as threads:
        found = list(threads.map(write, range(8)))
    assert len({files[:2] for files in found}) == 1
    assert [files[2] for files in found[:2]] * 4 == [files[2] for files in found]
    assert found[0][2] != found[1][2]


def test_writing_does_not_change_the_blank(tmp_path: Path) -> None:
    part: Blank = drawn_blank()
    write_blank_dxf(part, tmp_path / "a.dxf")
    assert part == drawn_blank()
