"""`is_valid` of faces with many loops, against the kernel's own check of the whole in one."""

from __future__ import annotations

from typing import Any

import pytest
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pln, gp_Pnt
from OCP.TopAbs import TopAbs_FACE
from OCP.TopoDS import TopoDS_Shell, TopoDS_Solid

from formparts import Sheet, cut_opening, disc, grid, plate, rectangle
from formparts.kernel import MANY_LOOPS, found_in, is_valid
from formparts.solids import solid

ROW = MANY_LOOPS + 10


def ring(x: float, y: float = 0.0, radius: float = 1.0, turned: bool = True) -> Any:
    """A round loop in the plane z = 0, the way that a hole runs or against it."""
    axes = gp_Ax2(gp_Pnt(x, y, 0.0), gp_Dir(0.0, 0.0, -1.0 if turned else 1.0))
    return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Circ(axes, radius)).Edge()).Wire()


def strip(*more: Any) -> Any:
    """A face of a row of round holes, 3 mm apart, with more loops."""
    made = BRepBuilderAPI_MakeFace(gp_Pln(), -5.0, 3.0 * ROW + 5.0, -5.0, 5.0)
    for number in range(ROW):
        made.Add(ring(3.0 * number))
    for loop in more:
        made.Add(loop)
    return made.Face()


@pytest.mark.parametrize(
    ("more", "valid"),
    [
        ((), True),
        ((ring(1.5, 3.0),), True),
        ((ring(30.5),), False),
        ((ring(30.0, radius=0.5),), False),
        ((ring(30.0, 4.5),), False),
        ((ring(30.0, 40.0),), False),
        ((ring(30.0, 3.0, turned=False),), False),
    ],
    ids=[
        "sound",
        "one more",
        "crossing",
        "inside another",
        "across the rim",
        "outside",
        "the wrong way round",
    ],
)
def test_faces(more: tuple[Any, ...], valid: bool) -> None:
    face = strip(*more)
    assert bool(BRepCheck_Analyzer(face).IsValid()) == valid
    assert is_valid(face) == valid


@pytest.fixture(scope="module")
def panel() -> Any:
    sheet = plate(Sheet(2, 2), rectangle(10 * ROW, 20))
    return solid(cut_opening(sheet, disc(6), places=grid(ROW, 1, 9, 9), name="hole")).shape


def shell_of(faces: list[Any]) -> Any:
    build, shell, made = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
    build.MakeShell(shell)
    for face in faces:
        build.Add(shell, face)
    build.MakeSolid(made)
    build.Add(made, shell)
    return made


def test_solids(panel: Any) -> None:
    faces = found_in(panel, TopAbs_FACE)
    assert is_valid(panel)
    assert BRepCheck_Analyzer(panel).IsValid()
    assert not is_valid(shell_of(faces[1:]))
    assert not is_valid(shell_of([faces[0].Reversed(), *faces[1:]]))
