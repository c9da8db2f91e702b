"""Part: each figure once, closed forms without a kernel, inertia by two methods, one table of writers."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from formparts.body import Sheet
from formparts.errors import InputError
from formparts.outline import Motion, disc, obround, polygon, rectangle
from formparts.part import Part
from formparts.recipe_functions import find_recipe
from formparts.shapes import add_flange, cut_opening, plate
from formparts.writers import WRITERS, writer_for

ROOT = Path(__file__).parents[2]


def test_inertia_of_a_plate_by_hand() -> None:
    """200 x 100 x 2 of steel at 7850 kg/m3: 0.314 kg; m (b2 + t2) / 12, m (a2 + t2) / 12, m (a2 + b2) / 12."""
    part = Part(plate(Sheet(2, 2, "S235JR"), rectangle(200, 100), "lid"))
    m = 0.314
    expected = [m * (100**2 + 2**2) / 12, m * (200**2 + 2**2) / 12, m * (200**2 + 100**2) / 12]
    assert part.mass == pytest.approx(m, rel=1e-12)
    assert part.inertia.principal == pytest.approx(expected, rel=1e-12)
    assert np.diag(part.inertia.about_centroid) == pytest.approx(expected, rel=1e-12)


def with_a_hole_across_its_bend() -> Part:
    """An angle whose bend is crossed by a slanted slot, cut on the blank."""
    sheet = Sheet(2, 4, bend_rule=0.42)
    angle = add_flange(plate(sheet, rectangle(80, 50), "base"), "right", 40, name="wall")
    across = obround(30, 9).moved(Motion.turn(30.0))
    return Part(cut_opening(angle, across, "base", (38, 5), name="slot", on="blank"))


PARTS = {name: find_recipe(name).part for name in ("z_clip", "ring_riser", "corner_tray", "hat_section")}
PARTS["hole across a bend"] = with_a_hole_across_its_bend


@pytest.mark.parametrize("name", PARTS)
def test_inertia_agrees_with_the_kernel(name: str) -> None:
    """The closed form against the kernel's integration of the solid, about the centroid and about the origin."""
    from OCP.BRepGProp import BRepGProp
    from OCP.gp import gp_Pnt
    from OCP.GProp import GProp_GProps

    part = PARTS[name]()
    for point, ours in (
        (part.centroid, part.inertia.about_centroid),
        ((0.0, 0.0, 0.0), part.inertia.about_origin),
    ):
        found = GProp_GProps(gp_Pnt(*point))
        BRepGProp.VolumeProperties_s(part.solid.shape, found, 1e-10)
        matrix = found.MatrixOfInertia()
        theirs = [[matrix.Value(i, j) for j in (1, 2, 3)] for i in (1, 2, 3)]
        scale = part.material.density * 1e-9
        # The kernel gives moments about its centre of mass; moved to the point by the parallel axes.
        centre = found.CentreOfMass()
        arm = np.array([centre.X(), centre.Y(), centre.Z()]) - np.array(point)
        about_point = np.array(theirs) + found.Mass() * (arm @ arm * np.eye(3) - np.outer(arm, arm))
        assert np.array(ours) == pytest.approx(about_point * scale, rel=1e-6, abs=1e-6 * np.abs(ours).max())


def test_principal_axes_turn_the_tensor_diagonal() -> None:
    """Right-handed axes of length one, in which the products of inertia vanish."""
    inertia = find_recipe("ring_riser").part().inertia
    axes = np.array(inertia.axes)
    turned = axes @ np.array(inertia.about_centroid) @ axes.T
    assert turned == pytest.approx(np.diag(inertia.principal), abs=1e-9 * max(inertia.principal))
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_openings_with_shape_size_and_places() -> None:
    """A hole, a slot, a rectangle and a triangle in a plate whose middle is the origin."""
    body = plate(Sheet(2, 2), rectangle(200, 100), "lid")
    body = cut_opening(body, disc(12), "lid", (-60.0, 10.0), name="hole")
    body = cut_opening(body, obround(30, 8), "lid", (0.0, -5.0), name="slot")
    body = cut_opening(body, rectangle(20, 10, corner_radius=1), "lid", ("60 mm", 0), name="window")
    body = cut_opening(body, polygon([(0, 0), (6, 0), (0, 6)]), "lid", (80.0, 30.0), name="corner")
    found = {one.name: one for one in Part(body).openings}
    sizes = {name: (one.shape, round(one.length, 6), round(one.width, 6)) for name, one in found.items()}
    assert sizes["hole"] == ("round", 12.0, 12.0)
    assert sizes["slot"] == ("slot", 30.0, 8.0)
    assert sizes["window"] == ("rectangle", 20.0, 10.0)
    assert sizes["corner"][0] == "other"
    assert found["hole"].on_flat == pytest.approx((-60.0, 10.0))
    assert found["slot"].on_blank == pytest.approx((0.0, -5.0))
    assert found["window"].on_part == pytest.approx((60.0, 0.0, 1.0))


def test_closed_forms_load_no_kernel() -> None:
    """Mass, inertia, blank, bends and openings are there before a solid is."""
    code = (
        "import sys; from formparts import find_recipe; part = find_recipe('ring_riser').part(lug_count=3); "
        "part.mass, part.volume, part.inertia, part.blank.length, part.bends, part.openings; "
        "print([name for name in ('OCP', 'cadquery', 'pint', 'ezdxf') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stdout.strip() == "[]"


def test_each_figure_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Solid, findings and audit are asked for twice and made once."""
    made: list[str] = []
    for name in ("formparts.solids.solid", "formparts.checks.findings", "formparts.part.auditing.audited"):
        module, _, word = name.rpartition(".")
        __import__(module)
        real = getattr(sys.modules[module], word)
        monkeypatch.setattr(
            name, lambda *given, _real=real, _word=word, **named: made.append(_word) or _real(*given, **named)
        )
    part = find_recipe("z_clip").part()
    for _ in range(2):
        part.solid, part.findings(), part.findings("structural"), part.audit()
    assert sorted(made) == ["audited", "findings", "findings", "solid"]


def test_a_file_is_chosen_by_its_ending(tmp_path: Path) -> None:
    """The longest ending that fits is meant; an unknown one, or an option of another format, is one line."""
    part = find_recipe("z_clip").part()
    assert (
        part.write(tmp_path / "clip-blank.dxf", version="R12").read_text(errors="replace").startswith("  0")
    )
    data = json.loads(part.write(tmp_path / "clip.json").read_text())
    assert data["name"] == data["recipe"] == "z_clip"
    assert data["inertia"]["principal_kg_mm2"] == list(part.inertia.principal)
    assert [one["name"] for one in data["openings"]] == [one.name for one in part.openings]
    assert writer_for("a-blank.svg") is WRITERS["-blank.svg"]
    with pytest.raises(InputError, match=r"write: path = .*: no format has this ending"):
        part.write(tmp_path / "clip.doc")
    with pytest.raises(InputError, match=r"\.json: option = schema: there is no such option"):
        part.write(tmp_path / "clip.json", schema="AP242")


def test_a_part_needs_no_recipe(tmp_path: Path) -> None:
    """A body alone has all figures, its files, and findings without fixes."""
    part = Part(plate(Sheet(2.1, 3), rectangle(60, 40), "lid"))
    assert part.findings_with_fixes() == part.findings()
    assert {path.suffix for path in part.write_all(tmp_path)} == {
        ".step",
        ".dxf",
        ".svg",
        ".csv",
        ".png",
        ".json",
    }
    assert all(row.agrees for row in part.audit())
    with pytest.raises(InputError, match="Part: body = lid: is of type str; a Body is wanted"):
        Part("lid")  # type: ignore[arg-type]


def test_representation_is_one_short_line() -> None:
    part = find_recipe("ring_riser").part()
    assert repr(part).startswith("Part('ring_riser', ")
    assert len(repr(part)) < 120
    assert "<iframe" in part._repr_html_()
