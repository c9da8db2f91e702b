"""The solid is one closed shell with just the faces that its flats and bends have, each with a name of its own."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID, TopAbs_VERTEX, TopAbs_WIRE
from OCP.TopExp import TopExp
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape, TopTools_IndexedMapOfShape

from formparts.body import Body, developed_length, rims, strip_rims
from formparts.export.step_proof import kind_of
from formparts.layout import Blank
from formparts.outline import Arc, Edge
from formparts.solids import Solid
from formparts.tolerances import FIT
from tests.invariants.subjects import GRID, SUBJECTS, blank_of, body_of, solid_of


def number_of(made: Solid, kind: object) -> int:
    """How many different shapes of a kind there are."""
    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(made.shape, kind, found)
    return int(found.Extent())


def uses_of_edges(made: Solid) -> Counter[int]:
    """How many edges lie in how many faces."""
    found = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(made.shape, TopAbs_EDGE, TopAbs_FACE, found)
    return Counter(found.FindFromIndex(place).Extent() for place in range(1, found.Extent() + 1))


def kind_of_wall(edge: Edge) -> str:
    """What an edge of a bend becomes: a plane along or across the bend line, else a face ruled between the skins."""
    sides = (abs(edge.end[0] - edge.start[0]), abs(edge.end[1] - edge.start[1]))
    return "plane" if not isinstance(edge, Arc) and min(sides) <= FIT else "bsplinesurface"


def assert_census(body: Body, made: Solid, flat: Blank) -> None:
    """Two skins for each flat and each strip of a bend, one face for each free edge; all of the kinds as drawn."""
    free = [
        item.edge for loops in rims(body).values() for loop in loops for item in loop if item.bend is None
    ]
    pieces = [piece for bend in body.bends for piece in strip_rims(bend, developed_length(body.sheet, bend))]
    walls = [item.edge for piece in pieces for loop in piece for item in loop if not item.flat]
    expected = Counter(
        plane=2 * len(body.flats) + sum(not isinstance(edge, Arc) for edge in free),
        cylinder=2 * len(pieces) + sum(isinstance(edge, Arc) for edge in free),
    ) + Counter(map(kind_of_wall, walls))
    for opening in (one for each in body.flats for one in each.openings):
        kind, half = opening.feature and opening.feature.kind, len(opening.outline.outer.edges)
        expected += {
            "countersunk": Counter(cone=half),
            "counterbored": Counter(cylinder=half, plane=1),
        }.get(kind or "", Counter())
    assert Counter(kind_of(face) for face in made.faces.values()) == +expected
    assert number_of(made, TopAbs_FACE) == len(made.faces) == expected.total()
    assert (number_of(made, TopAbs_SOLID), number_of(made, TopAbs_SHELL)) == (1, 1)
    assert set(uses_of_edges(made)) == {2}
    # Euler and Poincare: V - E + 2 F - loops = 2 - 2 g; a part has a handle for each opening of its blank (GE-16).
    faces, loops = number_of(made, TopAbs_FACE), number_of(made, TopAbs_WIRE)
    euler = number_of(made, TopAbs_VERTEX) - number_of(made, TopAbs_EDGE) + 2 * faces - loops
    assert euler == 2 - 2 * len(flat.outline.holes)


@pytest.mark.parametrize("subject", SUBJECTS)
def test_faces_are_those_of_the_model(subject: str) -> None:
    assert_census(body_of(subject), solid_of(subject), blank_of(subject))
    assert BRepCheck_Analyzer(solid_of(subject).shape).IsValid()


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_name_is_from_the_tree_of_the_part(subject: str) -> None:
    """Skins are called by their flat, faces of a bend by the bend, side faces by the edge that was drawn."""
    body, named = body_of(subject), set(solid_of(subject).faces)
    assert len(set(body.names)) == len(body.names)
    skins = {f"{flat.name}.{skin}" for flat in body.flats for skin in ("upper", "lower")}
    round_bends = {
        f"{bend.name}.{face}" for bend in body.bends for face in ("inside", "outside", "start", "end")
    }
    assert skins | round_bends <= named
    drawn = {
        item.edge.tag for loops in rims(body).values() for loop in loops for item in loop if item.bend is None
    }
    assert "" not in drawn
    # An edge that was cut in two gives two faces: the second has the name with a number behind it.
    assert {re.sub(r"\.\d+$", "", name) for name in named - skins - round_bends} == drawn


@pytest.mark.parametrize("name", ["z_clip", "u_channel", "hat_section", "corner_tray"])
def test_names_do_not_change_with_the_parameters(name: str) -> None:
    """A schedule or a load case made for one size is good for the next: same flats, bends and openings."""
    first, *others = (set(body_of(f"{name}-{place}").names) for place in range(len(GRID[name])))
    for other in others:
        assert {re.sub(r"\[\d+\]", "", one) for one in other} == {
            re.sub(r"\[\d+\]", "", one) for one in first
        }
