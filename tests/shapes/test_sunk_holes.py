"""Countersunk and counterbored holes, and holes for screws by the standards' tables: every figure by hand."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest

from formparts.body import Body, Sheet
from formparts.comparison import compare
from formparts.drawings.curves import Words
from formparts.drawings.sheet import drawing
from formparts.errors import InputError
from formparts.fea import mesh_of
from formparts.moments_of_inertia import inertia
from formparts.outline import disc, rectangle
from formparts.part import Part
from formparts.shapes import (
    clearance_hole,
    counterbored,
    countersunk,
    cut_opening,
    mirror,
    plate,
    profile,
    rotate,
    run,
    tapped,
    up,
)
from formparts.solids import solid
from formparts.triangulation import facets
from tests.invariants.test_unfold_agrees import unfolded
from tests.shapes.test_openings_across_bends import assert_agrees

SHEET = Sheet(4.0, 4.0, "S235JR", 0.44)
CONE = math.pi * 2.45 * (5.2**2 + 5.2 * 2.75 + 2.75**2) / 3.0 - math.pi * 2.45 * 2.75**2
"""A frustum from 10.4 to 5.5 mm at 90 deg is 2.45 mm deep; less the hole through it [mm3]."""
BORE = math.pi * 2.0 * (5.0**2 - 2.75**2)
"""A counterbore of 10 mm, 2 mm deep, round a hole of 5.5 mm [mm3]."""


def mount() -> Body:
    """A plate with two countersinks above and one below, a wall with a counterbore on each face, and a thread."""
    body = profile(SHEET, 60, run(60), up(90), run(40), name="mount")
    body = cut_opening(body, countersunk(5.5, 10.4), places=[(15, 15), (15, 45)], name="sink")
    body = cut_opening(body, countersunk(5.5, 10.4, face="lower"), places=(35, 15), name="low")
    body = cut_opening(body, counterbored(5.5, 10, 2, face="lower"), "mount.run[2]", (20, 20), "bore")
    body = cut_opening(body, counterbored(5.5, 10, 2), "mount.run[2]", (20, 40), "near")
    return cut_opening(body, tapped("M5"), places=(35, 45), name="tap")


def plain() -> Body:
    body = profile(SHEET, 60, run(60), up(90), run(40), name="mount")
    body = cut_opening(body, disc(5.5), places=[(15, 15), (15, 45), (35, 15)], name="hole")
    body = cut_opening(body, disc(5.5), "mount.run[2]", [(20, 20), (20, 40)], "wall_hole")
    return cut_opening(body, disc(4.2), places=(35, 45), name="tap")


def test_volume_by_hand_and_every_method_agrees() -> None:
    """Three cones and two bores; also mirrored, turned and hung the other way."""
    lost = Part(plain()).properties.volume - Part(mount()).properties.volume
    assert lost == pytest.approx(3.0 * CONE + 2.0 * BORE, rel=1e-10)
    assert_agrees(mount())
    assert_agrees(rotate(mirror(mount(), "yz", (7, 0, 0)), 33.0))


def test_surface_by_hand() -> None:
    """Cone: pi (R + r) times its slope, less the ring it takes of the face and the cylinder it takes of the hole."""
    gained = (
        math.pi * (5.2 + 2.75) * math.hypot(2.45, 2.45)
        - math.pi * (5.2**2 - 2.75**2)
        - math.tau * 2.75 * 2.45
    )
    bored = math.tau * 5.0 * 2.0 - math.tau * 2.75 * 2.0
    more = Part(mount()).properties.surface - Part(plain()).properties.surface
    assert more == pytest.approx(3.0 * gained + 2.0 * bored, rel=1e-9)


def test_audit_and_inertia_against_the_kernel() -> None:
    """All methods within 1e-9 of the volume; moments of inertia by the kernel's own integration."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    part = Part(mount())
    assert [row for row in part.audit() if not row.agrees] == []
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(part.solid.shape, found)
    matrix = found.MatrixOfInertia()
    density = part.body.sheet.material.density * 1e-9
    kernel = [[matrix.Value(i, j) * density for j in (1, 2, 3)] for i in (1, 2, 3)]
    assert np.allclose(inertia(part.body).about_centroid, kernel, rtol=1e-9, atol=1e-9)


def test_faces_have_names_of_their_own() -> None:
    """Each sunk hole has a wall in two halves, its cone or bore in two halves, and a bore its floor."""
    names = set(solid(mount()).faces)
    assert {"sink[1].wall.1", "sink[1].wall.2", "sink[1].sink.1", "sink[1].sink.2"} <= names
    assert {"bore.wall.1", "bore.sink.1", "bore.floor"} <= names
    assert {"low.sink.1", "low.wall.1"} <= names
    assert set(facets(mount(), 0.1).faces) == names


def test_triangles_follow_cones_and_know_their_normals() -> None:
    """Closed at any chord; corners of a cone of 90 deg from the upper face look up and inward by 45 deg."""
    for chord in (0.5, 0.05):
        made = facets(mount(), chord)
        assert made.is_closed
        assert made.volume == pytest.approx(Part(mount()).properties.volume, rel=chord / 50.0)
    owner = made.faces.index("sink[1].sink.1")
    rows = made.triangles[made.owners == owner]
    normals = made.surfaces.normals(np.full(len(rows), owner), made.points[rows[:, 0]])
    assert normals[:, 2] == pytest.approx(math.sqrt(0.5), abs=1e-12)
    flat = made.points[rows]
    across = np.cross(flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0])
    assert ((across * normals).sum(axis=1) > 0.0).all()


def test_every_output_says_it(tmp_path: Path) -> None:
    """JSON with depth and angle; a circle on a layer of its own in the DXF; the unfolder's words; compare's."""
    part = Part(mount())
    part.write(tmp_path / "mount.json")
    openings = json.loads((tmp_path / "mount.json").read_text(encoding="utf-8"))["openings"]
    found = {one["name"]: one["feature"] for one in openings}
    assert (found["sink[1]"]["depth_mm"], found["sink[1]"]["angle_deg"]) == pytest.approx(
        (2.45, 90.0), abs=1e-9
    )
    assert (found["bore"]["kind"], found["bore"]["face"], found["bore"]["depth_mm"]) == (
        "counterbored",
        "lower",
        2.0,
    )
    part.write(tmp_path / "mount-blank.dxf")
    space = ezdxf.readfile(tmp_path / "mount-blank.dxf").modelspace()
    circles = [(c.dxf.layer, c.dxf.radius) for c in space.query("CIRCLE")]
    assert (
        sorted(circle for circle in circles if circle[0] == "sunk")
        == [("sunk", 5.0)] * 2 + [("sunk", 5.2)] * 3
    )
    assert sum(layer == "cut" for layer, _ in circles) == 6
    seen = [each.what for each in unfolded(part.body, part.solid).features]
    assert seen.count("countersink 10.4 on hole 5.5 mm") == 3
    texts = [change.text for change in compare(plain(), mount())]
    assert "tap is M5, from the upper face, before a plain opening" in texts


def test_callouts_of_the_drawing() -> None:
    """Stated once with their number; the far side is named; the JSON of the list comes back as it was."""
    from formparts.drawings.listing import dimension_list
    from formparts.drawings.sketch import list_from

    listed = dimension_list(mount())
    assert list_from(json.loads(json.dumps(listed.data()))) == listed
    words = {mark.text for mark in drawing(mount()).marks if isinstance(mark, Words)}
    assert "2× Ø5.5, countersunk Ø10.4 × 90°" in words
    assert "Ø5.5, countersunk Ø10.4 × 90°, far side" in words
    assert "Ø5.5, counterbored Ø10, 2 deep, far side" in words
    assert "M5, drill Ø4.2" in words


def test_meshed_as_a_straight_hole_and_said_so() -> None:
    """The mesh weighs what the part weighs with straight holes."""
    mesh = mesh_of(mount(), "shell", 6.0)
    assert mesh.volume == pytest.approx(Part(plain()).properties.volume, rel=1e-3)


@pytest.mark.parametrize(
    ("made", "hole", "head", "depth"),
    [
        (clearance_hole("M5"), 5.5, 0.0, 0.0),
        (clearance_hole("m3", fit="fine"), 3.2, 0.0, 0.0),
        (clearance_hole("M8", fit="coarse"), 10.0, 0.0, 0.0),
        (clearance_hole("M5", head="countersunk"), 5.5, 10.4, 2.45),
        (clearance_hole("M6", head="socket countersunk"), 6.6, 13.44, 3.42),
        (clearance_hole("M4", head="socket cap"), 4.5, 8.0, 4.0),
    ],
)
def test_holes_for_screws_by_the_tables(made: Any, hole: float, head: float, depth: float) -> None:
    """ISO 273; ISO 7721 (M5: 10.4); ISO 10642 (M6: 13.44); DIN 974-1 (M4: 8), as deep as an ISO 4762 head is high."""
    assert made.diameter == hole
    feature = made.feature
    assert (feature.diameter if feature else 0.0) == head
    assert (feature.depth if feature else 0.0) == pytest.approx(depth, abs=1e-12)


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: countersunk(5.5, 5.5), "head = 5.5 mm: is no more than its hole of 5.5 mm"),
        (lambda: countersunk(5.5, 10, 30), "angle = 30 deg"),
        (lambda: countersunk(0, 10), "hole = 0 mm"),
        (lambda: counterbored(5.5, 10, 0), "depth = 0 mm"),
        (lambda: countersunk(5.5, 10, face="top"), 'face = top: is not a face; give "upper" or "lower"'),
        (lambda: clearance_hole("M7"), "screw = M7: is not in the table; one of M1.6, M2"),
        (lambda: clearance_hole("M5", fit="loose"), "fit = loose: is not in the table; give fine, medium or coarse"),
        (lambda: clearance_hole("M2", head="socket cap"), "is not in the table for M2; one of '', 'countersunk'"),
        (lambda: sunk_in(countersunk(5.5, 14)), r"depth = 4\.25 mm: is sunk through the sheet; at most 3\.99"),
        (lambda: sunk_in(counterbored(5.5, 10, 4)), "depth = 4 mm: is sunk through the sheet"),
        (lambda: sunk_in(countersunk(5.5, 10), (17, 0)), "has 3 mm of sheet about its middle, and countersunk"),
        (lambda: cut_opening(mount(), countersunk(5.5, 10), places=(55, 30), on="blank"), "is made in a flat; move it"),
    ],
)  # fmt: skip
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()


def sunk_in(shape: Any, place: tuple[float, float] = (0.0, 0.0)) -> Body:
    return cut_opening(plate(SHEET, rectangle(40, 40)), shape, places=place, name="hole")
