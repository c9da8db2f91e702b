"""The mesh: closed, as close to the true surface as was asked, and nothing changed in the solid."""

from __future__ import annotations

import io
import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib

from formparts.audits import chord_bound
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.export import mesh, mesh_volumes, write_stl
from formparts.export.kernel_mesh import MOST_LOOPS, kernel_mesh_volume
from formparts.outline import disc, grid, rectangle
from formparts.recipe_functions import find_recipe
from formparts.shapes import cut_opening, plate
from formparts.solids import solid
from tests.export.samples import ANGLE_VOLUME, SHEET, angle_part, pierced_plate, riser


def box_of(shape: Any) -> tuple[float, ...]:
    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box, True)
    return tuple(box.Get())


def test_flat_faces_are_met_exactly() -> None:
    made = mesh(plate(SHEET, rectangle(60, 40)))
    assert made.volume == pytest.approx(60 * 40 * 2, rel=1e-12)
    assert made.area == pytest.approx(2 * 60 * 40 + 2 * 2 * (60 + 40), rel=1e-12)
    assert (len(made.vertices), len(made.faces)) == (8, 12)


@pytest.mark.parametrize(("part", "holes"), [(angle_part, 0), (riser, 0), (pierced_plate, 1)])
def test_mesh_is_watertight_and_has_as_many_holes_as_the_part(part: Any, holes: int) -> None:
    made = mesh(part())
    assert made.is_watertight
    assert made.is_winding_consistent
    assert made.body_count == 1
    # Euler and Poincaré: vertices - edges + faces = 2 - 2 x number of ways through. The lugs of the riser
    # are in the opening of the seat, which is then one way through as well.
    assert made.euler_number == 2 - 2 * (holes if part is not riser else 1)


@pytest.mark.parametrize("chord", [0.5, 0.05, 0.005])
def test_points_lie_on_the_true_surface_and_chords_within_tolerance(chord: float) -> None:
    made = mesh(plate(SHEET, disc(80)), chord)
    names, owners = made.metadata["faces"], made.face_attributes["face"]
    round_side = np.isin(owners, [i for i, name in enumerate(names) if not name.endswith(("upper", "lower"))])
    corners = made.vertices[made.faces[round_side]]
    radii = np.hypot(corners[:, :, 0], corners[:, :, 1])
    assert radii == pytest.approx(np.full(radii.shape, 40.0), abs=1e-9)
    # The middle of a triangle's longest level side is where it lies farthest inside the circle.
    middles = (corners + np.roll(corners, 1, axis=1)) / 2.0
    sagitta = 40.0 - np.hypot(middles[:, :, 0], middles[:, :, 1])
    assert 0.0 < sagitta.max() <= chord


def test_volume_converges_with_the_chord_in_first_order() -> None:
    made = angle_part()
    chords = (0.04, 0.01, 0.0025, 0.000625)
    faults = [abs(mesh(made, chord).volume - ANGLE_VOLUME) for chord in chords]
    # The area between chord and arc is two thirds of sagitta times chord: the fault goes with the sagitta.
    orders = [math.log(a / b) / math.log(4.0) for a, b in pairwise(faults)]
    assert orders == pytest.approx([1.0, 1.0, 1.0], abs=0.35)
    assert faults[-1] < 1e-4 * ANGLE_VOLUME


def test_each_triangle_knows_its_face() -> None:
    part = angle_part("angle")
    made = mesh(part)
    names, owners = made.metadata["faces"], made.face_attributes["face"]
    assert names == list(solid(part).faces)
    inside = made.area_faces[owners == names.index("angle.bend[1].inside")].sum()
    assert inside == pytest.approx(math.radians(90) * 3 * 50, rel=1e-2)
    end = made.area_faces[owners == names.index("angle.run[1].upper")].sum()
    assert end == pytest.approx(35 * 50, rel=1e-12)


def test_the_kernels_mesh_leaves_the_box_of_the_solid_as_it_was() -> None:
    part = solid(angle_part())
    before = box_of(part.shape)
    assert kernel_mesh_volume(part) is not None
    assert box_of(part.shape) == before


@pytest.mark.parametrize("chord", [0.0, -1.0, math.nan, math.inf])
def test_chord_that_is_no_length_is_refused(chord: float) -> None:
    with pytest.raises(
        InputError, match=r"mesh: chord = .*0\.0001 to 1000000 mm is allowed|not a finite number"
    ):
        mesh(angle_part(), chord)


def test_stl_reads_back_closed_with_the_same_volume(tmp_path: Path) -> None:
    part = pierced_plate()
    path = write_stl(part, tmp_path / "a.stl")
    read = trimesh.load(io.BytesIO(path.read_bytes()), file_type="stl")
    assert read.is_watertight
    # The format holds 24 bits of each coordinate.
    assert read.volume == pytest.approx(mesh(part).volume, rel=1e-6)


@pytest.mark.parametrize("part", [angle_part, riser, pierced_plate])
def test_the_kernels_own_mesh_is_another_method(part: Any) -> None:
    """Two triangulations that share no code enclose the volume by the closed form, each within its own chord."""
    body = part()
    found = mesh_volumes(body, solid(body))
    assert [each.name for each in found] == ["mesh", "kernel mesh"]
    assert found[0].volume == pytest.approx(mesh(body, found[0].chord).volume, rel=1e-12)
    for each in found:
        assert 0.0 < abs(each.volume - properties(body).volume) <= chord_bound(body, each.chord)


def test_a_panel_of_many_openings_is_meshed_by_the_model_alone() -> None:
    """24 x 12 holes: every hole a way through, volume by hand, and the kernel is not asked for a mesh."""
    panel = cut_opening(plate(SHEET, rectangle(241, 121)), disc(6), places=grid(24, 12, 10, 10))
    made = mesh(panel, 0.05)
    assert made.euler_number == 2 - 2 * 24 * 12
    sides = 2 * math.ceil(math.pi / (2 * math.acos(1 - 0.05 / 3)))
    polygon = sides / 2 * 3**2 * math.sin(2 * math.pi / sides)
    assert made.volume == pytest.approx(2 * (241 * 121 - 24 * 12 * polygon), rel=1e-12)
    assert MOST_LOOPS < 24 * 12
    assert kernel_mesh_volume(solid(panel)) is None


def test_a_web_narrower_than_the_chords_is_meshed_closer() -> None:
    """A web of a micrometre beside the holes, where coarser chords would cross: all methods agree."""
    part = find_recipe("ring_riser").part(lug_width=9.0021)
    assert all(row.agrees for row in part.audit())
