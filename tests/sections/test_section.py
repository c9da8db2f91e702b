"""Section properties against exact rows, the linear method of handbooks, EN 1993-1-3 and the solid itself."""

from __future__ import annotations

import math

import pytest

from formparts.body import Body, Sheet
from formparts.errors import InputError
from formparts.kernel import measured
from formparts.outline import Motion, disc, rectangle
from formparts.sections import Section, section
from formparts.shapes import add_flange, cut_opening, plate, profile, run, up
from formparts.solids import solid

# SE-01 and SE-02: exact mathematics (rounded corner, square leg ends), SE-01 confirmed by brute-force quadrature.
# Legs A along x and B along y, x and y from the outside corner; area, xbar, ybar, Ix, Iy, Ixy, I1, I2.
ROWS = {
    "SE-01": (
        (40, 40, 3, 3),
        (225.205750, 11.38175, 11.38175, 35161.889, 35161.889, -21976.800, 57138.690, 13185.089),
    ),
    "SE-02": (
        (60, 40, 2, 2),
        (193.424778, 18.99980, 8.86666, 27615.305, 74277.032, -27385.813, 86922.716, 14969.621),
    ),
}
# SE-04: the same with a sharp inside corner.
SHARP = (40, 40, 3), (229.068583, 11.19842, 11.19842, 35605.275, 35605.275, -21547.004, 57152.279, 14058.271)


def angle(a: float, b: float, thickness: float, radius: float) -> Body:
    return profile(Sheet(thickness, radius), 100, run(a), up(90), run(b), name="angle")


def figures(cut: Section) -> tuple[float, ...]:
    """As the rows have them: from the outside corner, which lies at the greatest u and the least v."""
    (u, v), corner = cut.centroid, (cut.highest[0], cut.lowest[1])
    return (
        cut.area, corner[0] - u, v - corner[1], cut.inertia_u, cut.inertia_v, -cut.product, cut.greatest, cut.least,
    )  # fmt: skip


def agrees(got: tuple[float, ...], expected: tuple[float, ...]) -> bool:
    """To the last digit that the row gives."""
    allowed = (1e-6, 1e-5, 1e-5, 1e-3, 1e-3, 1e-3, 1e-3, 1e-3)
    return all(abs(a - b) <= tol for a, b, tol in zip(got, expected, allowed, strict=True))


@pytest.mark.parametrize("row", ROWS)
def test_angles(row: str) -> None:
    """Every figure of the row comes out to its last digit."""
    dimensions, expected = ROWS[row]
    assert agrees(figures(section(angle(*dimensions))), expected)


@pytest.mark.parametrize("row", ROWS)
def test_the_usual_confusions_miss_the_rows(row: str) -> None:
    """Outside radius for inside, and legs measured to the mid-surface, do not agree with any row."""
    (a, b, t, r), expected = ROWS[row]
    assert not agrees(figures(section(angle(a, b, t, r + t))), expected)
    assert not agrees(figures(section(angle(a + t / 2, b + t / 2, t, r))), expected)


def test_sharp_inside_corner() -> None:
    """SE-04, which the smallest radius and twice that lead up to (what is left goes with its square)."""
    (a, b, t), expected = SHARP
    near, far = (figures(section(angle(a, b, t, radius))) for radius in (0.001, 0.002))
    assert agrees(tuple(2 * x - y for x, y in zip(near, far, strict=True)), expected)


def test_bend_alone_by_the_linear_method() -> None:
    """SE-05, AISI manual, linear method: a quarter of mid radius r' is 1.57 r' long, its own inertia 0.149 r'^3."""
    radius, thickness, leg = 500.0, 0.1, 1.0
    sheet = Sheet(thickness, radius - thickness / 2)
    cut = section(
        profile(sheet, 10, run(leg, "tangent line"), up(90), run(leg, "tangent line"), name="quarter")
    )
    assert (cut.area / thickness - 2 * leg) / radius == pytest.approx(1.5708, abs=5e-5)
    # The legs taken off again by hand: about the centre of the arc they lie at r' and half a leg out.
    centre = (leg, radius)
    about = cut.inertia_u + cut.area * (cut.centroid[1] - centre[1]) ** 2
    legs = leg * thickness * radius**2 + thickness * leg**3 / 3
    own = about - legs - (math.pi / 2 * radius * thickness) * (0.63662 * radius) ** 2
    assert own / (radius**3 * thickness) == pytest.approx(0.14878, abs=2e-5)


def test_area_is_thickness_times_middle_line() -> None:
    """SE-06, exact: also at unlike angles; the torsion constant is L t^3 / 3 of that line (Saint-Venant)."""
    thickness, radius = 1.5, 2.0
    runs = (run(20, "tangent line"), up(35), run(30, "tangent line"), up(110), run(11, "tangent line"))
    cut = section(profile(Sheet(thickness, radius), 40, *runs, name="open"))
    middle = 20 + 30 + 11 + math.radians(35 + 110) * (radius + thickness / 2)
    assert cut.area == pytest.approx(thickness * middle, rel=1e-12)
    assert cut.torsion == pytest.approx(middle * thickness**3 / 3, rel=1e-12)


def test_round_corners_by_the_steel_code() -> None:
    """SE-07, EN 1993-1-3 5.1 (from memory): delta = 0.43 sum(r phi/90) / sum(b_p), A = A_sharp (1 - delta)."""
    thickness, inside = 1.0, 3.0
    middle = inside + thickness / 2
    legs = [
        30 + thickness / 2,
        60 + thickness,
        30 + thickness / 2,
    ]  # outer lengths of mid-line widths 30, 60, 30
    runs = [run(legs[0]), up(90), run(legs[1]), up(90), run(legs[2])]
    cut = section(profile(Sheet(thickness, inside), 50, *runs, name="channel"))
    delta = 0.43 * 2 * inside / 120
    assert delta == pytest.approx(0.0215)
    # The code's own figure is for radii of the inside face; with the mid-line radius it is exact to 0.43 = 2 - pi/2.
    assert cut.area == pytest.approx(120 * thickness * (1 - (2 - math.pi / 2) * 2 * middle / 120), rel=1e-12)
    assert cut.area == pytest.approx(120 * thickness * (1 - delta), rel=0.005)


def test_against_the_solid() -> None:
    """The kernel's volume and inertia of the solid, over its width, give the same area and second moments."""
    body = profile(Sheet(2, 2.5), 80, run(30), up(75), run(45), up(40), run(20), name="crooked")
    cut, found = section(body), measured(solid(body).shape)
    assert cut.area == pytest.approx(found.volume / 80, rel=1e-9)
    # The bends run along y: about it the inertia is that of u and v together; the rest holds w^3/12 as well.
    own = cut.area * 80**3 / 12
    assert 80 * (cut.inertia_u + cut.inertia_v) == pytest.approx(found.inertia[1][1], rel=1e-9)
    assert 80 * cut.inertia_u + own == pytest.approx(found.inertia[0][0], rel=1e-9)
    assert 80 * cut.inertia_v + own == pytest.approx(found.inertia[2][2], rel=1e-9)


def test_rectangle() -> None:
    """b h^3 / 12 and b h^2 / 6, the figures of every handbook; across a hole its width is missing."""
    body = plate(Sheet(3, 3), rectangle(40, 100), "strip")
    cut = section(body)
    assert cut.inertia_u == pytest.approx(90.0, rel=1e-12)  # ME-01: b = 40, t = 3
    assert cut.modulus_u == pytest.approx(60.0, rel=1e-12)
    assert section(cut_opening(body, disc(10), name="hole")).area == pytest.approx(3 * 30, rel=1e-12)
    beside = section(cut_opening(body, disc(10), places=[Motion.shift(0, 3)], name="hole"))
    assert beside.area == pytest.approx(3 * (40 - 2 * 4), rel=1e-12)  # 5, 4, 3: half the chord is 4


def test_refusals() -> None:
    """A part bent in two directions has no one section, and a plane beside the part is none of it."""
    body = plate(Sheet(2, 2), rectangle(40, 30), "corner")
    body = add_flange(body, "right", 15, edge_to="tangent line", name="right")
    with pytest.raises(InputError, match="must be parallel"):
        section(add_flange(body, "back", 12, edge_to="tangent line", name="back"))
    for beside in (1.5, -0.1, float("nan"), "x"):
        with pytest.raises(InputError, match=r"at = .*0 to 1 is allowed"):
            section(angle(40, 40, 3, 3), at=beside)  # type: ignore[arg-type]


@pytest.mark.parametrize("at", [0.0, 1.0])
def test_the_ends_of_a_part_have_its_section(at: float) -> None:
    """Of a part that is the same all along; at its very end a plane would cut one half of it only."""
    assert section(angle(40, 40, 3, 3), at=at).area == pytest.approx(
        section(angle(40, 40, 3, 3)).area, rel=1e-12
    )
