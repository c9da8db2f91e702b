"""Our own text of a STEP file against that of the solid kernel's own writer for the same solid: letter for letter."""

from __future__ import annotations

import random
import re
from datetime import datetime
from pathlib import Path

import pytest
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Pnt
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
from OCP.TopAbs import TopAbs_FACE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Compound

from formparts.export.step import kernel_bytes, part_21, step_bytes
from formparts.export.step_lines import real
from formparts.export.step_solid import NotPlainError, solid_text
from formparts.kernel import silence
from formparts.outline import disc
from formparts.solids import Solid, solid
from tests.export.samples import angle_part
from tests.invariants.subjects import SUBJECTS, solid_of
from tests.shapes.test_openings_across_bends import MIDDLE, with_opening

REST = ((0.2, 0.5, 0.8), datetime(2024, 2, 29, 13, 14, 15))


def assert_same_text(made: Solid, schema: str = "AP214", file_name: str = "part.step") -> None:
    ours = part_21(solid_text(made, file_name, schema, *REST))
    assert ours.decode().splitlines() == kernel_bytes(made, file_name, schema, *REST).decode().splitlines()


@pytest.mark.parametrize("subject", SUBJECTS)
def test_text_is_that_of_the_kernel(subject: str) -> None:
    assert_same_text(solid_of(subject))


@pytest.mark.parametrize("schema", ["AP214", "AP242"])
def test_splines_too_and_in_either_protocol(schema: str) -> None:
    made = solid(with_opening(disc(30), MIDDLE, 30.0))
    assert "B_SPLINE_SURFACE_WITH_KNOTS" in step_bytes(made, "a.step", schema, *REST).decode()
    assert_same_text(made, schema)


@pytest.mark.parametrize(
    "name",
    [
        "x" * 58,
        "x" * 65,
        "x" * 80,
        "x" * 150,
        "two words and " * 12 + "three",
        "it's half \\ whole",
        "a\tb\nc",
        "größe 𝔘",
        "日本 語" * 20 + "!",
        "#5 = (A,B; 'C' D)",
    ],
)
def test_names_are_quoted_and_cut_into_lines_as_the_kernel_does(name: str) -> None:
    shape = solid(angle_part())
    named = {name if face == next(iter(shape.faces)) else face: found for face, found in shape.faces.items()}
    assert_same_text(Solid(name, shape.shape, named), file_name=f"{name}.step")


def test_reals_are_written_as_the_kernel_does(tmp_path: Path) -> None:
    numbers = random.Random(4)
    values = [
        numbers.choice((-1, 1)) * numbers.random() * 10.0 ** numbers.randint(-16, 9) for _ in range(600)
    ]
    values += [
        0.0,
        -0.0,
        0.1,
        0.09999999999999999,
        1000.0,
        999.9999999999999,
        -999.9999999999996,
        1e-300,
        100.5,
    ]
    values += [9.99999999999996, -12.3456789012345]
    build, points = BRep_Builder(), TopoDS_Compound()
    build.MakeCompound(points)
    for value in values:
        build.Add(points, BRepBuilderAPI_MakeVertex(gp_Pnt(value, 0.0, 1.0)).Vertex())
    with silence():
        writer = STEPControl_Writer()
        writer.Transfer(points, STEPControl_AsIs)
        writer.Write(str(tmp_path / "points.step"))
    text = re.sub(r"\n *", "", (tmp_path / "points.step").read_text())
    found = re.findall(r"CARTESIAN_POINT\('',\(([^,]*),0\.,1\.\)\)", text)
    assert sorted(found) == sorted(map(real, values))


def test_what_is_neither_plane_nor_round_nor_spline_is_left_to_the_kernel() -> None:
    can = BRepPrimAPI_MakeCylinder(5.0, 3.0).Solid()  # its round edges begin where they end
    walk, faces = TopExp_Explorer(can, TopAbs_FACE), {}
    while walk.More():
        faces[f"face {len(faces)}"] = TopoDS.Face_s(walk.Current())
        walk.Next()
    made = Solid("can", can, faces)
    with pytest.raises(NotPlainError):
        solid_text(made, "a.step", "AP214", *REST)
    assert step_bytes(made, "a.step", "AP214", *REST) == kernel_bytes(made, "a.step", "AP214", *REST)
