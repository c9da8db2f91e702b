"""The positions of things: envelope, moves, mirrors; to transform and then compute is to compute and then transform."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib

from formparts.blanks import blank
from formparts.body import Bend, Body, Flat, Frame, HoleFeature, Opening, Sheet, frames, laid_out
from formparts.closed_forms import properties
from formparts.kernel import measured
from formparts.outline import Arc, Edge, Line, Loop, Motion, Outline, alike
from formparts.shapes import Axis, mirror, rooted, rotate, translate
from formparts.solids import Solid, solid
from tests.invariants.subjects import SUBJECTS, blank_of, body_of, figures_of, measured_of, solid_of
from tests.parts import CAST


def kernel_box(made: Solid) -> tuple[float, ...]:
    """The kernel's exact box, without its margin: curved edges and faces are followed, not their poles."""
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(made.shape, box, False, False)
    box.SetGap(0.0)
    low, high = box.CornerMin(), box.CornerMax()
    return (low.X(), low.Y(), low.Z(), high.X(), high.Y(), high.Z())


@pytest.mark.parametrize("subject", SUBJECTS)
def test_envelope_is_the_kernels_box(subject: str) -> None:
    # The kernel seeks the extremes of curves to 1e-7 mm and adds the tolerance of the shape.
    figures = figures_of(subject)
    assert (*figures.lowest, *figures.highest) == pytest.approx(kernel_box(solid_of(subject)), abs=1e-6)
    assert figures.envelope == pytest.approx(
        [b - a for a, b in zip(figures.lowest, figures.highest, strict=True)]
    )


def test_envelope_is_not_changed_by_meshing() -> None:
    """KERNEL 7: the kernel's box grows once a shape is meshed; this one is from the body, by hand 40 x 20 x 30."""
    from formparts.export import mesh
    from formparts.shapes import profile, run, up

    body = profile(Sheet(2, 3), 20, run(40), up(90), run(30))
    mesh(body, 0.5)
    assert properties(body).envelope == pytest.approx((40, 20, 30), abs=1e-12)


@pytest.mark.parametrize("subject", CAST)
@pytest.mark.parametrize("plane", ["xy", "yz", "xz"])
def test_mirror_image_has_mirrored_figures(subject: str, plane: str) -> None:
    """Volume, surface and blank stay; the centroid goes to its image; principal inertias stay (GE-17)."""
    body, through = body_of(subject), (11.0, -7.0, 3.0)
    image = mirror(body, plane, through)  # type: ignore[arg-type]
    axis = {"xy": 2, "yz": 0, "xz": 1}[plane]
    old, new = figures_of(subject), properties(image)
    flipped = [2 * through[i] - x if i == axis else x for i, x in enumerate(old.centroid)]
    assert new.centroid == pytest.approx(flipped, abs=1e-9)
    assert (new.volume, new.surface) == pytest.approx((old.volume, old.surface), rel=1e-12)
    made = measured(solid(image).shape)
    assert made.volume == pytest.approx(old.volume, rel=1e-9)
    assert principal(made.inertia) == pytest.approx(principal(measured_of(subject).inertia), rel=1e-9)
    flat = blank(image)
    assert alike(flat.outline, blank_of(subject).outline.moved(Motion.turn_over()))
    assert [mark.side for mark in flat.bends] == [mark.side for mark in blank_of(subject).bends]


def principal(inertia: tuple[tuple[float, float, float], ...]) -> list[float]:
    return sorted(float(value) for value in np.linalg.eigvalsh(np.array(inertia)))


@pytest.mark.parametrize("subject", CAST)
def test_moving_moves_the_figures_and_leaves_the_blank(subject: str) -> None:
    body, axis = body_of(subject), Axis((1, 2, 3), (2, -1, 0.5))
    moved = translate(rotate(body, 77, axis), (10, 20, -30))
    assert blank(moved) == blank_of(subject)
    old, new = figures_of(subject), properties(moved)
    assert (new.volume, new.surface) == (old.volume, old.surface)
    assert new.centroid == pytest.approx(turned(old.centroid, 77, axis) + np.array((10, 20, -30)), abs=1e-9)
    made = measured(solid(moved).shape)
    assert made.centroid == pytest.approx(new.centroid, abs=1e-6)
    assert principal(made.inertia) == pytest.approx(principal(measured_of(subject).inertia), rel=1e-9)


def turned(place: tuple[float, float, float], angle: float, axis: Axis) -> np.ndarray:  # type: ignore[type-arg]
    """Rotation by the matrix exponential's closed form, with numpy: a method of its own."""
    x, y, z = axis.direction
    k = np.array(((0, -z, y), (z, 0, -x), (-y, x, 0)))
    turn = math.radians(angle)
    matrix = np.eye(3) + math.sin(turn) * k + (1 - math.cos(turn)) * k @ k
    origin = np.array(axis.origin)
    return origin + matrix @ (np.array(place) - origin)


@pytest.mark.parametrize("subject", CAST)
def test_another_root_is_the_same_part(subject: str) -> None:
    """Whichever flat a part hangs on, its position is the same, and its blank is the same but for its place."""
    body = body_of(subject)
    for flat in body.flats:
        other = rooted(body, flat.name)
        old, new = figures_of(subject), properties(other)
        assert (*new.centroid, *new.lowest) == pytest.approx((*old.centroid, *old.lowest), abs=1e-9)
        assert new.volume == pytest.approx(old.volume, rel=1e-12)
        placed = laid_out(body)[flat.name]
        assert alike(blank(other).outline.moved(placed), blank_of(subject).outline)


def test_a_full_turn_and_back_leaves_no_trace() -> None:
    """Quarter turns are exact: no -0.0 or 1e-16 in the frame of a body that was turned by 4 x 90 deg."""
    body = body_of("zed")
    again = body
    for _ in range(4):
        again = rotate(again, 90)
    assert again == body


def scaled(body: Body, by: float) -> Body:
    """Every length of a body times one factor; angles and the bend rule stay."""

    def point(at: tuple[float, float]) -> tuple[float, float]:
        return (by * at[0], by * at[1])

    def edge(old: Edge) -> Edge:
        if isinstance(old, Line):
            return Line(point(old.start), point(old.end), old.tag)
        return Arc(point(old.start), point(old.end), point(old.centre), by * old.radius, old.ccw, old.tag)

    def outline(old: Outline) -> Outline:
        outer, *holes = (Loop(tuple(edge(one) for one in loop.edges)) for loop in old.loops)
        return Outline(outer, tuple(holes))

    def feature(old: HoleFeature | None) -> HoleFeature | None:
        sizes = ("diameter", "pitch", "least_edge", "least_thickness", "depth", "floor")
        return old and replace(old, **{size: by * getattr(old, size) for size in sizes})

    def openings(old: Flat | Bend) -> tuple[Opening, ...]:
        return tuple(Opening(one.name, outline(one.outline), feature(one.feature)) for one in old.openings)

    def flat(old: Flat) -> Flat:
        return Flat(old.name, outline(old.outline), openings(old))

    def bend(old: Bend) -> Bend:
        lines = {end: tuple(point(at) for at in getattr(old, end)) for end in ("parent_line", "child_line")}
        sizes = {"inside_radius": by * old.inside_radius, "developed": by * old.developed}
        return replace(old, **sizes, openings=openings(old), **lines)

    old = body.sheet
    sheet = Sheet(by * old.thickness, by * old.inside_radius, old.material, old.bend_rule)
    origin = tuple(by * value for value in body.frame.origin)
    frame = Frame(origin, body.frame.x, body.frame.y, body.frame.z)  # type: ignore[arg-type]
    return Body(body.name, sheet, tuple(map(flat, body.flats)), tuple(map(bend, body.bends)), frame)


@pytest.mark.parametrize("subject", CAST)
@pytest.mark.parametrize("by", [0.5, 7.0])
def test_scale_goes_with_its_power(subject: str, by: float) -> None:
    """GE-18: lengths by s, areas by s^2, volume by s^3, inertia by s^5 (K and angles unchanged)."""
    body = scaled(body_of(subject), by)
    old, new, made = figures_of(subject), properties(body), measured(solid(body).shape)
    assert (new.volume, new.surface) == pytest.approx((by**3 * old.volume, by**2 * old.surface), rel=1e-12)
    assert new.envelope == pytest.approx([by * value for value in old.envelope], abs=1e-9)
    flat = blank(body)
    assert (flat.area, flat.cut_length) == pytest.approx(
        (by**2 * blank_of(subject).area, by * blank_of(subject).cut_length), rel=1e-9
    )
    assert made.volume == pytest.approx(by**3 * old.volume, rel=1e-9)
    inertia = [by**5 * value for value in principal(measured_of(subject).inertia)]
    assert principal(made.inertia) == pytest.approx(inertia, rel=1e-9)


@pytest.mark.parametrize("subject", SUBJECTS)
def test_folding_keeps_every_distance_within_a_flat(subject: str) -> None:
    """GE-15: vertices and centres of one flat are as far apart in the folded part as on the blank."""
    body = body_of(subject)
    placed, laid = frames(body), laid_out(body)
    for flat in body.flats:
        edges = flat.net.edges
        points = [edge.start for edge in edges] + [edge.centre for edge in edges if isinstance(edge, Arc)]
        folded = np.array([placed[flat.name].point(point) for point in points])
        unfolded = np.array([laid[flat.name](point) for point in points])
        assert np.linalg.norm(folded - folded[0], axis=1) == pytest.approx(
            np.linalg.norm(unfolded - unfolded[0], axis=1), abs=1e-9
        )
