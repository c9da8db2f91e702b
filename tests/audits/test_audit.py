"""The table of methods: its figures by hand, and each method that deviates by more than is allowed is found."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from formparts.audits import AuditRow, MeshVolume, audit, chord_bound, volume_by_blank
from formparts.blanks import blank
from formparts.body import Sheet
from formparts.closed_forms import Properties, properties
from formparts.kernel import KernelMeasures
from formparts.layout import BendMark, Blank
from formparts.outline import Motion, disc, rectangle
from formparts.shapes import cut_opening, down, plate, profile, run, up

SHEET = Sheet(2.0, 3.0, "S235JR", 0.44)


def test_volume_from_the_blank_by_hand() -> None:
    """
    Flats of 40, 25 and 30 by 50, 2 thick, up 90 at R 3 and down 60 at R 5.

    Each bend is a sector of a ring: angle/2 x (Ro2 - Ri2) x w, whatever the rule has made of its blank.
    """
    runs = (run(40, "tangent line"), up(90), run(25, "tangent line"), down(60, 5.0), run(30, "tangent line"))
    bends = math.radians(90) / 2 * (5**2 - 3**2) * 50 + math.radians(60) / 2 * (7**2 - 5**2) * 50
    by_hand = 2 * 50 * (40 + 25 + 30) + bends
    for rule in (0.3, 0.44, 0.5):
        body = profile(Sheet(2.0, 3.0, "S235JR", rule), 50, *runs, name="crank")
        assert volume_by_blank(body, blank(body)) == pytest.approx(by_hand, rel=1e-12)


def test_what_a_mesh_may_miss_by_hand() -> None:
    """Curved are the wall of the hole, pi d t, and both skins of the bend, angle x (Ri + Ro) x w."""
    body = profile(SHEET, 50, run(40, "tangent line"), up(60), run(25, "tangent line"), name="angle")
    bend = math.radians(60) * (3 + 5) * 50
    assert chord_bound(body, 0.1) == pytest.approx(0.1 * bend, rel=1e-12)
    pierced = cut_opening(body, disc(10), "angle.run[1]", [Motion.shift(20, 25)], "eye")
    assert chord_bound(pierced, 0.1) == pytest.approx(0.1 * (bend + math.pi * 10 * 2), rel=1e-12)
    assert chord_bound(plate(SHEET, rectangle(60, 40), "lid"), 0.1) == 0.0


def test_spread_is_from_the_least_to_the_greatest() -> None:
    row = AuditRow("width_mm", {"one": 3.0, "two": -1.5, "three": 2.0}, 4.5)
    assert row.spread == 4.5
    assert row.agrees
    assert not replace(row, allowed=4.499).agrees


@pytest.mark.parametrize("odd", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_agrees_with_nothing(odd: float) -> None:
    for methods in ({"one": odd, "two": 1.0}, {"one": 1.0, "two": odd}, {"one": odd, "two": odd}):
        row = AuditRow("width_mm", methods, math.inf)
        assert math.isnan(row.spread)
        assert not row.agrees


def methods() -> dict[str, Any]:
    """All methods to the figures of a plate of 300 by 200, 2 thick, whose figures are known without any."""
    body = plate(SHEET, rectangle(300, 200), "lid")
    volume, surface, middle = 300.0 * 200 * 2, 2.0 * (300 * 200) + 2 * 2 * (300 + 200), (0.0, 0.0, 1.0)
    laid = Blank("lid", 2.0, rectangle(300, 200), (), ())
    figures = Properties(volume, 0.942, surface, middle, (300.0, 200.0, 2.0), (-150, -100, 0), (150, 100, 2))
    return {
        "body": body,
        "figures": figures,
        "blank": laid,
        "solid": KernelMeasures(volume, surface, middle, ()),
        "step": SimpleNamespace(volume=volume, area=surface, centroid=middle),
        "unfolded": laid,
        "meshes": (MeshVolume("mesh", volume, 0.05), MeshVolume("kernel mesh", volume, 0.5)),
    }


def test_the_plate_of_the_roads_is_one() -> None:
    """The figures written down by hand are those of the closed form, up to where its frame puts its middle."""
    made = methods()
    found = properties(made["body"])
    assert (found.volume, found.surface) == (made["figures"].volume, made["figures"].surface)


def test_roads_that_agree() -> None:
    """Every figure is there once, by all of its methods, and they agree to the last digit."""
    rows = audit(**methods())
    assert {row.figure: set(row.methods) for row in rows} == {
        "volume_mm3": {"closed form", "solid", "STEP file read back", "blank area"},
        "volume_by_mesh_mm3": {"closed form", "mesh, chord 0.05 mm"},
        "volume_by_kernel_mesh_mm3": {"closed form", "kernel mesh, chord 0.5 mm"},
        "surface_mm2": {"closed form", "solid", "STEP file read back"},
        **{f"centroid_{axis}_mm": {"closed form", "solid", "STEP file read back"} for axis in "xyz"},
        **{
            f"blank_{name}": {"model", "unfolder"}
            for name in ("length_mm", "width_mm", "area_mm2", "cut_length_mm")
        },
    }
    assert all(row.spread == 0.0 and row.agrees for row in rows)
    values = {row.figure: set(row.methods.values()) for row in rows}
    assert values["volume_mm3"] == {120000.0}
    assert values["surface_mm2"] == {122000.0}
    assert (values["centroid_x_mm"], values["centroid_z_mm"]) == ({0.0}, {1.0})
    assert (values["blank_length_mm"], values["blank_width_mm"]) == ({300.0}, {200.0})
    assert (values["blank_area_mm2"], values["blank_cut_length_mm"]) == ({60000.0}, {1000.0})


def moved(middle: tuple[float, ...], axis: int, by: float) -> tuple[float, ...]:
    """A place shifted along one axis."""
    return tuple(value + (by if number == axis else 0.0) for number, value in enumerate(middle))


def test_each_road_bears_its_own_figure() -> None:
    """Methods that all differ: each figure is under the name of its method."""
    made = methods()
    made["figures"] = replace(made["figures"], volume=1.0, surface=2.0, centroid=(3.0, 4.0, 5.0))
    made["solid"] = KernelMeasures(6.0, 7.0, (8.0, 9.0, 10.0), ())
    made["step"] = SimpleNamespace(volume=11.0, area=12.0, centroid=(13.0, 14.0, 15.0))
    made["unfolded"] = replace(made["unfolded"], outline=rectangle(20, 10))
    rows = {row.figure: row.methods for row in audit(**made)}
    assert rows["volume_mm3"] == {
        "closed form": 1.0,
        "solid": 6.0,
        "STEP file read back": 11.0,
        "blank area": 120000.0,
    }
    assert rows["surface_mm2"] == {"closed form": 2.0, "solid": 7.0, "STEP file read back": 12.0}
    assert rows["centroid_y_mm"] == {"closed form": 4.0, "solid": 9.0, "STEP file read back": 14.0}
    assert rows["blank_length_mm"] == {"model": 300.0, "unfolder": 20.0}
    assert rows["blank_cut_length_mm"] == {"model": 1000.0, "unfolder": 60.0}


OFF = {
    # A billionth of the volume and of the surface is what rounding may come to, and is allowed; a tenth more is not.
    "closed form, volume": (
        "figures",
        "volume",
        1.1e-9 * 120000,
        {"volume_mm3", "volume_by_mesh_mm3", "volume_by_kernel_mesh_mm3"},
    ),
    "closed form, surface": ("figures", "surface", 1.1e-9 * 122000, {"surface_mm2"}),
    "solid, volume": ("solid", "volume", -1.1e-9 * 120000, {"volume_mm3"}),
    "solid, surface": ("solid", "surface", -1.1e-9 * 122000, {"surface_mm2"}),
    "STEP file, volume": ("step", "volume", 1.1e-9 * 120000, {"volume_mm3"}),
    "STEP file, surface": ("step", "area", 1.1e-9 * 122000, {"surface_mm2"}),
    # A part without curves leaves a mesh no other excuse.
    "mesh": ("meshes", "mesh", 1.1e-9 * 120000, {"volume_by_mesh_mm3"}),
    "kernel mesh": ("meshes", "kernel mesh", 1.1e-9 * 120000, {"volume_by_kernel_mesh_mm3"}),
}


@pytest.mark.parametrize("what", OFF)
def test_a_road_that_is_off_is_found(what: str) -> None:
    assert {row.figure for row in audit(**off(what, 1.0)) if not row.agrees} == OFF[what][-1]


@pytest.mark.parametrize("what", OFF)
def test_rounding_is_allowed(what: str) -> None:
    """The mesh of a plate without curves may be off by rounding too: a plate of 60 with a tab once was."""
    made = off(what, 0.9 / 1.1)
    assert [row.figure for row in audit(**made) if not row.agrees] == []


def off(what: str, share: float) -> dict[str, Any]:
    """All methods, one of them off by a share of what is too much."""
    method, figure, by, _ = OFF[what]
    made = methods()
    if method == "meshes":
        made[method] = [
            replace(mesh, volume=mesh.volume + share * by) if mesh.name == figure else mesh
            for mesh in made[method]
        ]
    else:
        made[method] = _shifted(made[method], figure, getattr(made[method], figure) + share * by)
    return made


def _shifted(method: Any, figure: str, value: Any) -> Any:
    """One method with another figure."""
    if isinstance(method, SimpleNamespace):
        return SimpleNamespace(**{**vars(method), figure: value})
    return replace(method, **{figure: value})


@pytest.mark.parametrize("method", ["figures", "solid", "step"])
@pytest.mark.parametrize("axis", range(3))
@pytest.mark.parametrize(("by", "found"), [(1.1e-6, True), (0.9e-6, False)])
def test_a_centroid_that_is_off_is_found_by_its_axis(method: str, axis: int, by: float, found: bool) -> None:
    """A millionth of a millimetre is allowed."""
    made = methods()
    made[method] = _shifted(made[method], "centroid", moved(made[method].centroid, axis, by))
    off = {row.figure for row in audit(**made) if not row.agrees}
    assert off == ({f"centroid_{'xyz'[axis]}_mm"} if found else set())


@pytest.mark.parametrize("method", ["blank", "unfolded"])
def test_a_blank_that_is_off_is_found(method: str) -> None:
    """A thousandth longer; then a thousandth wider; then with a hole of 2 mm in the one and not in the other."""
    others = {"volume_mm3"} if method == "blank" else set()
    longer = {"blank_length_mm", "blank_area_mm2", "blank_cut_length_mm"}
    assert _unlike(method, rectangle(300.001, 200)) == longer | others
    wider = {"blank_width_mm", "blank_area_mm2", "blank_cut_length_mm"}
    assert _unlike(method, rectangle(300, 200.001)) == wider | others
    pierced = cut_opening(plate(SHEET, rectangle(300, 200), "lid"), disc(2), name="eye").flats[0].net
    assert _unlike(method, pierced) == {"blank_area_mm2", "blank_cut_length_mm"} | others


def _unlike(method: str, outline: Any) -> set[str]:
    made = methods()
    made[method] = replace(made[method], outline=outline)
    return {row.figure for row in audit(**made) if not row.agrees}


def test_the_area_may_differ_by_a_strip_along_its_longest_side() -> None:
    """An edge that lies off by what a length may be off moves the area by so much times its length, and no more."""
    made = methods()
    rows = {row.figure: row for row in audit(**made)}
    length = rows["blank_length_mm"].allowed
    assert rows["blank_width_mm"].allowed == rows["blank_cut_length_mm"].allowed == length
    assert rows["blank_area_mm2"].allowed == pytest.approx(length * 300.0, rel=1e-12)
    made["blank"] = replace(made["blank"], outline=rectangle(200, 300))
    turned = {row.figure: row for row in audit(**made)}
    assert turned["blank_area_mm2"].allowed == pytest.approx(length * 300.0, rel=1e-12)


def test_a_bend_mark_takes_part_in_the_volume() -> None:
    """A strip of 10 by 50 that becomes a bend of 90 at R 3 in 2 mm: half a pi x 4 x 50 x 2 of material."""
    mark = BendMark("bend", (0.0, 0.0), (50.0, 0.0), 90.0, "up", 3.0, 10.0)
    laid = Blank("strip", 2.0, rectangle(50, 10), (mark,), ())
    body = plate(SHEET, rectangle(50, 10), "strip")
    assert volume_by_blank(body, laid) == pytest.approx(math.pi / 2 * 4 * 50 * 2, rel=1e-12)
