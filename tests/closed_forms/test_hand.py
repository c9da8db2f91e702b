"""Closed-form figures against hand calculation: Pappus, bend faces, sections of bent angles."""

from __future__ import annotations

import math

import pytest

from formparts.body import Sheet
from formparts.closed_forms import bend_volume, properties
from formparts.kernel import measured
from formparts.outline import disc, rectangle
from formparts.shapes import cut_opening, pierced, plate, profile, run, up
from formparts.solids import solid

# GE-02 to GE-06: second theorem of Pappus and Guldin, exact mathematics. angle, R, t, w, volume.
PAPPUS = {
    "GE-02": (90, 3, 2, 40, 502.654825),
    "GE-03": (90, 2, 2, 50, 471.238898),
    # Given to us as 167.878861; pi/4 x 4.75 x 1.5 x 30 is 167.878857.
    "GE-04": (45, 4, 1.5, 30, 167.878857),
    "GE-05": (120, 6, 3, 25, 1178.097245),
    "GE-06": (180, 1, 1, 20, 94.247780),
}


@pytest.mark.parametrize("row", PAPPUS)
def test_bend_volume_is_that_of_pappus(row: str) -> None:
    angle, radius, thickness, width, volume = PAPPUS[row]
    assert bend_volume(angle, radius, thickness, width) == pytest.approx(volume, abs=1e-6)


@pytest.mark.parametrize("row", [row for row in PAPPUS if PAPPUS[row][0] < 180])
def test_bent_body_is_its_flats_and_its_piece_of_ring(row: str) -> None:
    """The same figures through a body and through the kernel; GE-01: w A (ro^2 - ri^2)/2 by the other formula."""
    angle, radius, thickness, width, volume = PAPPUS[row]
    runs = (run(20, "tangent line"), up(angle), run(13, "tangent line"))
    body = profile(Sheet(thickness, radius), width, *runs)
    flats = thickness * width * (20 + 13)
    assert properties(body).volume - flats == pytest.approx(volume, abs=1e-6)
    assert measured(solid(body).shape).volume - flats == pytest.approx(volume, abs=1e-6)
    ring = width * math.radians(angle) * ((radius + thickness) ** 2 - radius**2) / 2
    assert properties(body).volume == pytest.approx(flats + ring, rel=1e-12)


def test_faces_of_a_bend() -> None:
    """GE-09: A 90, R 3, t 2, w 40: inside 60 pi, outside 100 pi, each end 4 pi mm2."""
    made = solid(profile(Sheet(2, 3), 40, run(20), up(90), run(20)))
    areas = {name: measured(face).surface for name, face in made.faces.items() if ".bend[1]." in name}
    assert areas["profile.bend[1].inside"] == pytest.approx(188.495559, abs=1e-6)
    assert areas["profile.bend[1].outside"] == pytest.approx(314.159265, abs=1e-6)
    assert (
        areas["profile.bend[1].start"] == areas["profile.bend[1].end"] == pytest.approx(12.566371, abs=1e-6)
    )


def test_centroid_of_a_bend() -> None:
    """GE-10: A 90, R 3, t 2: 2.599531 mm along either axis from the axis of the bend; flats shrunk to nothing."""
    body = profile(Sheet(2, 3), 40, run(0.001, "tangent line"), up(90), run(0.001, "tangent line"))
    # The axis of the bend is at x = 0.001, z = 5; two flats of 0.001 x 2 mm beside one of 12.566 mm2.
    x, _, z = properties(body).centroid
    sliver, ring = 0.002, 4 * math.pi
    assert x == pytest.approx(
        (sliver * 0.0005 + sliver * 4.001 + ring * (0.001 + 2.599531)) / (ring + 2 * sliver), abs=1e-6
    )
    assert z == pytest.approx(
        (sliver * 1 + sliver * 5.0005 + ring * (5 - 2.599531)) / (ring + 2 * sliver), abs=1e-6
    )


# SE-01, SE-02: bent angle sections, exact; legs along x and z, t, R; area, centroid from the outside corner.
SECTIONS = {
    "SE-01": (40, 40, 3, 3, 225.205750, 11.38175, 11.38175),
    "SE-02": (60, 40, 2, 2, 193.424778, 18.99980, 8.86666),
}


@pytest.mark.parametrize("row", SECTIONS)
def test_section_of_a_bent_angle(row: str) -> None:
    along, up_, thickness, radius, area, x_from_corner, z_from_corner = SECTIONS[row]
    figures = properties(profile(Sheet(thickness, radius), 10, run(along), up(90), run(up_)))
    x, y, z = figures.centroid
    assert figures.volume / 10 == pytest.approx(area, abs=1e-6)
    assert (along - x, y, z) == pytest.approx((x_from_corner, 5, z_from_corner), abs=6e-6)


def test_surface_of_a_pierced_plate() -> None:
    """Two skins of 60 x 40 less a hole of 10, an outer edge of 200 mm and a hole of 10 pi, 2 mm high."""
    body = cut_opening(plate(Sheet(2, 3), rectangle(60, 40)), disc(10))
    by_hand = 2 * (2400 - 25 * math.pi) + 2 * (200 + 10 * math.pi)
    assert properties(body).surface == pytest.approx(by_hand, rel=1e-12)
    assert properties(plate(Sheet(2, 3), pierced(rectangle(60, 40), disc(10)))).surface == pytest.approx(
        by_hand
    )


def test_steel_at_7800_and_7850() -> None:
    """MP-19: a plate 1000 x 500 x 3 is 11.775 kg at 7850 kg/m3 and 11.700 kg at 7800 (arithmetic)."""
    heavy, light = (
        properties(plate(Sheet(3, 3, material), rectangle(1000, 500))).mass
        for material in ("S235JR", "7800 kg/m3")
    )
    assert (heavy, light) == pytest.approx((11.775, 11.700), rel=1e-12)
    assert heavy / light == pytest.approx(1.006410, abs=1e-6)
