"""What cannot be unfolded is refused in one line, with the reason and the place."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import cadquery as cq
import pytest
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_Sewing
from OCP.TopoDS import TopoDS_Shape, TopoDS_Shell, TopoDS_Solid

from formparts.errors import InputError
from formparts.unfolder import unfold
from tests.unfolder.foreign import as_splines, by_k, filleted_angle


def plate() -> cq.Workplane:
    """100 x 60 x 3 about the origin."""
    return cq.Workplane().box(100, 60, 3)


def pocket() -> cq.Workplane:
    return plate().cut(cq.Workplane().box(20, 10, 3).translate((30, 0, 1.5)))


def two_holes_from_one_pocket() -> cq.Workplane:
    """A slot from above, half through, and from its floor two holes."""
    holes = cq.Workplane().pushPoints([(-10, 0), (10, 0)]).circle(4).extrude(20, both=True)
    return plate().cut(cq.Workplane().slot2D(40, 10).extrude(5)).cut(holes)


def drawn_cup() -> cq.Workplane:
    """A disc of 100 with a cup drawn in the middle, t 3 throughout, rounded by 2 inside and 5 outside."""
    share = math.sqrt(0.5)
    lower = cq.Workplane("XZ").moveTo(50, 0).lineTo(25, 0)
    lower = lower.threePointArc((25 - 5 * share, 5 - 5 * share), (20, 5)).lineTo(20, 15)
    lower = lower.threePointArc((18 + 2 * share, 15 + 2 * share), (18, 17)).lineTo(0, 17).lineTo(0, 20)
    upper = lower.lineTo(18, 20).threePointArc((18 + 5 * share, 15 + 5 * share), (23, 15)).lineTo(23, 5)
    upper = upper.threePointArc((25 - 2 * share, 5 - 2 * share), (25, 3)).lineTo(50, 3)
    return upper.close().revolve(360, (0, 0), (0, 1))


def pot() -> cq.Workplane:
    """Drawn from a disc, 60 wide and 30 high, t 2: its wall is a tube, but a seam would not make it flat."""
    outside = cq.Workplane().circle(30).extrude(30).edges("<Z").fillet(4)
    return outside.cut(cq.Workplane().circle(28).extrude(30).edges("<Z").fillet(2).translate((0, 0, 2)))


def dome() -> cq.Workplane:
    ball = cq.Workplane().sphere(20).cut(cq.Workplane().sphere(18))
    return ball.cut(cq.Workplane().box(50, 50, 25, centered=(True, True, False)).translate((0, 0, -25)))


def bored_askew() -> cq.Shape:
    """With a hole 20 deg off square: both its rims are the same ellipse, but not at the same place."""
    return (
        plate()
        .val()
        .cut(cq.Workplane().circle(5).extrude(40, both=True).val().rotate((0, 0, 0), (0, 1, 0), 20))
    )


def open_shell() -> Any:
    sewing = BRepBuilderAPI_Sewing(1e-6)
    for face in plate().faces("not <Z").vals():
        sewing.Add(face.wrapped)
    sewing.Perform()
    return sewing.SewedShape()


def open_pot() -> Any:
    """A solid by its word, a disc 3 thick without its upper face: the gap has one edge, which begins where it ends."""
    sewing = BRepBuilderAPI_Sewing(1e-6)
    for face in cq.Workplane().circle(20).extrude(3).faces("not >Z").vals():
        sewing.Add(face.wrapped)
    sewing.Perform()
    solid, builder = TopoDS_Solid(), BRep_Builder()
    builder.MakeSolid(solid)
    builder.Add(solid, sewing.SewedShape())
    return solid


def empty_shell() -> Any:
    """A solid whose one shell has no faces."""
    solid, shell, builder = TopoDS_Solid(), TopoDS_Shell(), BRep_Builder()
    builder.MakeSolid(solid)
    builder.MakeShell(shell)
    builder.Add(solid, shell)
    return solid


def unlike_radii() -> cq.Workplane:
    """A bend whose outside radius is not one thickness more than its inside radius."""
    section = (
        cq.Workplane("XZ").polyline([(0, 0), (50, 0), (50, 2), (2, 2), (2, 30), (0, 30)]).close().extrude(-40)
    )
    inner = section.edges(cq.selectors.NearestToPointSelector((2, 20, 2))).fillet(3)
    return inner.edges(cq.selectors.NearestToPointSelector((0, 20, 0))).fillet(4)


REFUSED: dict[str, tuple[Callable[[], Any], str, str]] = {
    "machined pocket": (pocket, "not constant: a pocket", "(30, 0, 0) mm"),
    "pocket of half a cubic millimetre": (
        lambda: plate().cut(cq.Workplane().box(1, 1, 1).translate((30, 0, 1.5))), "not constant: a pocket", "(30, 0,",
    ),
    "blind hole": (lambda: plate().faces(">Z").workplane().hole(5, 1), "not constant: a pocket", "0.5) mm"),
    "open pot": (open_pot, "shell = open: the edge at", "has 1 face instead of 2"),
    "cone frustum": (
        lambda: cq.Workplane().add(cq.Solid.makeCone(20, 4.9, 30)), "is not constant", "one thickness everywhere",
    ),
    "block with a boss": (
        lambda: cq.Workplane().box(40, 40, 12).faces(">Z").workplane().circle(5).extrude(6),
        "is not that of a sheet 40 mm wide", "machined or cast",
    ),
    "block": (lambda: cq.Workplane().box(60, 40, 30), "is not that of a sheet: the blank would be 60 x 40 mm", "bar"),
    "square bar": (lambda: cq.Workplane().box(10, 300, 10), "blank would be 300 x 10 mm", "at least 1.5 thicknesses"),
    "pocket that opens to the rim": (
        lambda: plate().cut(cq.Workplane().box(20, 10, 3).translate((42, 0, 1.5))),
        "nor an edge face square to it", "(41, 0, 0) mm",
    ),
    "wedge": (
        lambda: cq.Workplane("XZ").polyline([(0, 0), (100, 0), (100, 2.5), (0, 2)]).close().extrude(50),
        "thickness = not constant", "one thickness everywhere",
    ),
    "unlike radii": (unlike_radii, "no other skin 2 mm from it", "(4, 20, 0) mm"),
    "closed tube": (
        lambda: cq.Workplane().circle(20).circle(18).extrude(50), "closes on itself: a tube of radius 20 mm",
        "leave a seam open",
    ),
    "square tube": (
        lambda: cq.Workplane().rect(40, 30).extrude(100).edges("|Z").fillet(5).faces("<Z or >Z").shell(-2),
        "closes a ring of flats and bends", "tear open by",
    ),
    "dome": (dome, "doubly curved (sphere)", "no bending makes"),
    "dome of splines": (lambda: as_splines(dome()), "neither round nor conical (free-form)", "planes, cylinders"),
    "ring of pipe": (lambda: cq.Workplane(cq.Solid.makeTorus(30, 5)), "doubly curved (torus)", "no bending makes"),
    "two solids": (
        lambda: cq.Compound.makeCompound([plate().val(), plate().val().translate((0, 0, 50))]), "solids = 2",
        "one part at a time",
    ),
    "open shell": (open_shell, "no closed solid", "5 faces"),
    "hollow": (
        lambda: cq.Workplane().box(40, 40, 40).cut(cq.Workplane().box(20, 20, 20)), "shells = 2", "no hollow inside",
    ),
    "single face": (lambda: plate().faces(">Z").val(), "1 faces, but no closed solid", "as a solid"),
    "two holes from one pocket": (two_holes_from_one_pocket, "nor an edge face square to it", "mm"),
    "drawn cup of splines": (lambda: as_splines(drawn_cup()), "neither round nor conical (free-form)", "cylinders"),
    "pot": (pot, "is doubly curved (torus)", "planes, cylinders and cones"),
    "drawn cup": (drawn_cup, "is doubly curved (torus)", "planes, cylinders and cones"),
    "tee": (lambda: plate().union(cq.Workplane().box(3, 60, 30, centered=(True, True, False))), "sharp corner", "mm"),
    "rebate": (
        lambda: plate().cut(cq.Workplane().box(10, 80, 3).translate((48, 0, 1.5))),
        "nor an edge face square to it", "mm",
    ),
    "no faces at all": (empty_shell, "it has no edges", "one closed solid"),
    "nothing": (lambda: TopoDS_Shape(), "holds no shape", "CadQuery"),
    "a number": (lambda: 17, "holds no shape", "int"),
    "an empty stack": (lambda: cq.Compound.makeCompound([]), "there is nothing in it", "as a solid"),
}  # fmt: skip


@pytest.mark.parametrize("kind", REFUSED)
def test_refused_with_reason_and_place(kind: str) -> None:
    """One line, with the words expected; never anything but an InputError."""
    make, reason, place = REFUSED[kind]
    with pytest.raises(InputError) as refusal:
        unfold(make(), by_k)
    said = str(refusal.value)
    assert said.startswith("solid: ")
    assert reason in said
    assert place in said
    assert "\n" not in said


def test_a_narrow_strip_of_thick_plate_is_sheet_as_long_as_it_is_wider_than_thick() -> None:
    """15 mm of 10 mm plate is cut, 14.99 is a bar; a drawing of formparts that states it is sheet is accepted."""
    assert unfold(cq.Workplane().box(200, 15, 10), by_k).thickness == pytest.approx(10)
    bar = cq.Workplane().box(200, 14.99, 10)
    with pytest.raises(InputError, match=r"thickness = 10 mm: is not that of a sheet"):
        unfold(bar, by_k)
    assert unfold(bar, by_k, frame=((0, 0, 5), (1, 0, 0), (0, 0, 1))).blank.area == pytest.approx(200 * 14.99)


def test_a_groove_along_the_rim_is_no_even_thickness() -> None:
    """A V in the middle of one edge leads to neither skin, and is not seen from above; the volume tells."""
    groove = cq.Workplane("XZ").polyline([(51, 0.5), (49, 0), (51, -0.5)]).close().extrude(40, both=True)
    solid = cq.Workplane().box(100, 60, 3).cut(groove)
    with pytest.raises(
        InputError, match=r"is not constant: the skins would give 18000 mm3, the solid has 17985"
    ):
        unfold(solid, by_k)


def test_an_unknown_flat_is_refused_with_those_that_there_are() -> None:
    with pytest.raises(InputError, match=r"no such flat; there are: flat\[1\], flat\[2\]"):
        unfold(filleted_angle(), by_k, fixed="flat[3]")


def test_an_upper_side_that_is_neither_is_refused() -> None:
    with pytest.raises(InputError, match="lies in the fixed flat"):
        unfold(filleted_angle(), by_k, up=(1, 0, 0))


def test_an_upper_side_that_leads_nowhere_is_refused() -> None:
    with pytest.raises(InputError, match=r"up = \(0, 0, 0\) mm: lies in the fixed flat"):
        unfold(filleted_angle(), by_k, up=(0, 0, 0))


def test_a_frame_that_is_not_that_of_the_flat_is_refused() -> None:
    with pytest.raises(InputError, match="not square to the fixed flat"):
        unfold(filleted_angle(), by_k, frame=((0, 0, 0), (1, 0, 0), (0, 1, 1)))


@pytest.mark.parametrize("length", [-1.0, 0.0, math.nan])
def test_an_allowance_that_is_no_length_is_refused(length: float) -> None:
    with pytest.raises(InputError, match="is not positive for 90 deg at inside radius 3 mm"):
        unfold(filleted_angle(), lambda *_: length)


@pytest.mark.parametrize("k", [44, 1.5, -0.1, float("nan")])
def test_a_number_that_is_no_k_factor_is_refused(k: float) -> None:
    """44 for 0.44 gave a flange of 143 mm more."""
    with pytest.raises(InputError, match=r"^unfold: bend_rule = .*: is no K-factor; 0 to 1 is allowed$"):
        unfold(filleted_angle(), k)
