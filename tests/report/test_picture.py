"""What is on the picture is what a draughtsman would find there with ruler and set square."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from formparts.errors import InputError
from formparts.report import EdgeLines, Mesh, picture, png
from formparts.report.scene import scene
from tests.report.meshes import (
    ALONG_Z,
    BLACK,
    FREE,
    box,
    box_edges,
    bracket,
    joined,
    pierced_plate,
    turned_cylinder,
)

SIZE = (400, 300)


def silhouette(mesh, view, size=SIZE):
    """Cover of each picture point by the part, from 0 to 1: a black part on white, without lines."""
    # A contour is drawn inside a face only, so a mesh whose triangles are all faces of their own has none.
    bare = Mesh(mesh.vertices, mesh.triangles, np.arange(len(mesh.triangles)))
    pixels = picture(bare, [], BLACK, size, view, axes=False)
    return 1.0 - pixels[:, :, 0] / 255.0


def extent(cover):
    """Width and height of what is covered [px], with the part of a point that is covered at either end."""
    across, down = cover.max(axis=0), cover.max(axis=1)
    return across.sum(), down.sum()


@pytest.mark.parametrize(
    "view", [(1, -1, 1), (0.62, -1, 0.78), (-2, -1, 0.3), (0.2, 3, -1)], ids=lambda view: f"from {view}"
)
def test_silhouette_of_a_box(view):
    """Shadow of a box a x b x c along a unit vector u: |ux| b c + |uy| a c + |uz| a b (exact mathematics)."""
    a, b, c = 50.0, 30.0, 20.0
    ux, uy, uz = np.abs(np.array(view)) / math.hypot(*view)
    level = math.hypot(ux, uy)  # how steeply the viewer looks down: cosine of the elevation
    width = (a * uy + b * ux) / level
    height = c * level + uz * (a * ux + b * uy) / level
    scale = min((SIZE[0] - 2 * FREE) / width, (SIZE[1] - 2 * FREE) / height)
    cover = silhouette(box((a, b, c)), view)
    assert extent(cover) == pytest.approx((width * scale, height * scale), abs=0.7)
    outline = 2.0 * (width + height) * scale  # no shorter than the true outline, which is convex
    shadow = (ux * b * c + uy * a * c + uz * a * b) * scale**2
    assert cover.sum() == pytest.approx(shadow, abs=outline / 6.0 / 4.0)


@pytest.mark.parametrize("elevation", [0.0, 20.0, 55.0, 90.0])
def test_silhouette_of_a_round_bar(elevation):
    """Shadow of a bar: 2 r h cos e + pi r2 sin e, two half ellipses on a rectangle (exact mathematics)."""
    r, h = 20.0, 50.0
    cos, sin = math.cos(math.radians(elevation)), math.sin(math.radians(elevation))
    mesh, _ = scene(turned_cylinder(r, h))
    cover = silhouette(mesh, (0.0, -cos, sin))
    scale = min((SIZE[0] - 2 * FREE) / (2 * r), (SIZE[1] - 2 * FREE) / (h * cos + 2 * r * sin))
    shadow = (2.0 * r * h * cos + math.pi * r * r * sin) * scale**2
    # Facets 4 degrees wide lie inside the circle by 1 - sin(4 deg) / (4 deg in rad) of its area at most.
    facets = 1.0 - math.sin(math.radians(4.0)) / math.radians(4.0)
    outline = (4.0 * r + 2.0 * h * cos + 4.0 * r * sin) * scale
    assert -outline / 24.0 - facets * shadow < cover.sum() - shadow < outline / 24.0


def test_hole_seen_along_its_axis_is_empty():
    """Plate 80 x 60 with a hole of 40 mm: plate less circle, and the hole is white right through."""
    mesh, edges = scene(pierced_plate())
    cover = silhouette(mesh, ALONG_Z)
    scale = min((SIZE[0] - 2 * FREE) / 80.0, (SIZE[1] - 2 * FREE) / 60.0)
    assert cover.sum() == pytest.approx((80 * 60 - math.pi * 20**2) * scale**2, rel=1e-3)
    rows, columns = np.mgrid[: SIZE[1], : SIZE[0]]
    middle = ((SIZE[0] - 1) / 2.0, (SIZE[1] - 1) / 2.0)
    away = np.hypot(columns - middle[0], rows - middle[1])
    pixels = picture(mesh, edges, BLACK, SIZE, ALONG_Z, axes=False)
    assert (pixels[away < 20 * scale - 2.0] == 255).all()
    inside = (away > 20 * scale + 2.0) & (abs(columns - middle[0]) < 40 * scale - 2.0)
    assert (pixels[inside & (abs(rows - middle[1]) < 30 * scale - 2.0)] == 0).all()


@pytest.mark.parametrize("nearer_first", [True, False])
@pytest.mark.parametrize(("view", "before"), [((0.0, 0.0, 1.0), True), ((0.0, 0.0, -1.0), False)])
def test_the_nearer_of_two_is_seen(nearer_first, view, before):
    """Of two plates one above the other, the smaller is seen before the larger only from its own side."""
    boxes = [box((60, 40, 2)), box((20, 16, 2), (20, 12, 30))]
    edges = [
        EdgeLines(np.array([[20.0, 12, 32], [40, 12, 32]])),
        EdgeLines(np.array([[20.0, 12, 30], [40, 12, 30]])),
    ]
    mesh = joined(*(boxes[::-1] if nearer_first else boxes))
    pixels = picture(mesh, edges, (0.5, 0.5, 0.5), SIZE, view, axes=False)
    scale = min((SIZE[0] - 2 * FREE) / 60.0, (SIZE[1] - 2 * FREE) / 40.0)
    row = int(SIZE[1] / 2 + 8.0 * scale)  # the small plate ends 8 mm from the middle; y is up in both views
    column = pixels[row - 3 : row + 4, 200, 0].astype(int)
    assert (column.min() < column.max() - 40) == before


def test_picture_does_not_depend_on_the_order_of_triangles():
    """Triangles drawn in any order give the same bytes: nearness decides, not order."""
    mesh, edges = scene(bracket())
    order = np.random.default_rng(7).permutation(len(mesh.triangles))
    mixed = type(mesh)(mesh.vertices, mesh.triangles[order], mesh.groups[order], mesh.normals[order])
    assert (picture(mesh, edges, size=SIZE) == picture(mixed, edges, size=SIZE)).all()


def test_hidden_edges_are_left_out_and_seen_ones_drawn():
    """A box seen from one side of its corner shows nine of its twelve edges (a fact of the trade)."""
    frame = (800, 600)  # large enough for lines of their full width
    size, view = (50.0, 30.0, 20.0), np.array((0.62, -1.0, 0.78))
    white, edges = (1.0, 1.0, 1.0), box_edges(size)
    towards = view / np.sqrt(view @ view)
    right = np.array((-view[1], view[0], 0.0)) / math.hypot(view[0], view[1])
    axes = np.stack([right, np.cross(towards, right)])
    corners = box(size).vertices @ axes.T
    low, high = corners.min(axis=0), corners.max(axis=0)
    scale = min((np.array(frame) - 2 * FREE) / (high - low))
    pixels = picture(box(size), edges, white, frame, tuple(view), axes=False)
    shown = []
    for edge in edges:
        x, y = (edge.points.mean(axis=0) @ axes.T - (low + high) / 2.0) * scale
        column, row = round(frame[0] / 2 + x - 0.5), round(frame[1] / 2 - y - 0.5)
        shown.append(pixels[row - 1 : row + 2, column - 1 : column + 2].min() < 120)
    # Hidden are the three that meet in the farthest corner: least x, greatest y, least z.
    hidden = [(np.array((0.0, 30.0, 0.0)) == edge.points).all(axis=1).any() for edge in edges]
    assert sum(hidden) == 3
    assert shown == [not away for away in hidden]


def test_edge_of_a_thin_sheet_stays_two_lines():
    """A plate of 2 mm in 200 mm: both edges of its front face are seen, with the face light between them."""
    size = (200.0, 120.0, 2.0)
    pixels = picture(box(size), box_edges(size), (0.9, 0.9, 0.9), (800, 600), (0.0, -1.0, 1.0), axes=False)
    column = pixels[:, 400, 0].astype(int)
    dark = np.flatnonzero(column < 90)
    lines = np.split(dark, np.flatnonzero(np.diff(dark) > 1) + 1)
    # Seen from 45 degrees: 120 mm of top, then 2 mm of front, each shortened by cos 45.
    scale = (800 - 2 * FREE) / 200.0 / math.sqrt(2.0)
    places = [line.mean() for line in lines]
    assert np.diff(places) == pytest.approx([120 * scale, 2 * scale], abs=1.0)
    assert column[int(places[1]) + 2 : int(places[2]) - 1].min() > 120


def test_right_is_right_and_up_is_up():
    """Right-handed axes, z up: a second box off along each axis is found where the compass says."""
    views = {(0, -1, 0): ("x", "z"), (0, 0, 1): ("x", "y"), (1, 0, 0): ("y", "z"), (0, 1, 0): ("-x", "z")}
    mesh = joined(box((10, 10, 10)), box((4, 4, 4), (30, 40, 50)))
    middle = np.array((17.0, 22.0, 27.0))
    for view, names in views.items():
        cover = silhouette(mesh, tuple(float(part) for part in view), (200, 200))
        rows, columns = np.nonzero(cover > 0.5)
        small = np.array((32.0, 42.0, 52.0)) - middle
        along = [(-1 if "-" in name else 1) * small["xyz".index(name[-1])] for name in names]
        half = len(columns) // 2
        heavy = (np.mean(columns), np.mean(rows))
        # The big box outweighs the small one, so the centroid lies on the other side of the frame's middle.
        assert half > 0
        assert np.sign(along[0]) == -np.sign(heavy[0] - 99.5)
        assert np.sign(along[1]) == np.sign(heavy[1] - 99.5)


def test_flat_faces_are_even_and_round_ones_smooth():
    """Light is the same all over a plane, and goes round a bar without steps from facet to facet."""
    flat = picture(box((50, 30, 20)), [], (0.6, 0.6, 0.6), SIZE, (0.0, -1.0, 0.0), axes=False)
    assert len(np.unique(flat[90:-90, 40:-40].reshape(-1, 3), axis=0)) == 1
    mesh, _ = scene(turned_cylinder(20.0, 4.0))
    bar = picture(mesh, [], (0.6, 0.6, 0.6), (1000, 150), (0.0, -1.0, 0.0), axes=False)
    row = bar[75, :, 0].astype(int)[100:-100]
    # Facets of 4 degrees are 33 points wide in the middle: light that jumped there would jump by 2 and more.
    assert np.ptp(row) > 20
    assert abs(np.diff(row)).max() == 1


def test_tangent_edges_are_lighter_than_sharp_ones():
    """On an angle seen from above, the line where its bend begins is there, but paler than its rim."""
    mesh, edges = scene(bracket())
    assert (
        sum(len(edge.points) for edge in edges if edge.tangent) == 4 + 4
    )  # two skins at two ends; two ends of two coplanar sides
    pixels = picture(mesh, edges, (1.0, 1.0, 1.0), (800, 600), ALONG_Z, axes=False)[:, :, 0].astype(int)
    scale = min((800 - 2 * FREE) / 60.0, (600 - 2 * FREE) / 50.0)
    left = 400 - 30 * scale
    row = pixels[300]
    begins, rim = round(left + 55 * scale), round(left)  # bend of inside radius 3 in 2 mm: starts 5 mm before
    face = row[round(left + 30 * scale)]
    faint, dark = row[begins - 2 : begins + 3].min(), row[rim - 2 : rim + 3].min()
    assert dark < 80 < faint < face - 20


@pytest.mark.parametrize(("long", "arm"), [(100.0, 10.0), (40.0, 5.0), (1000.0, 100.0), (3.0, 0.5)])
def test_arm_of_the_small_axes_has_a_round_length(long, arm):
    """Seen squarely from the front, x goes by 1, 2 or 5 times a power of ten, within 60 points."""
    part = box((long, long / 10, long / 10))
    pixels = picture(part, [], (1.0, 1.0, 1.0), (400, 300), (0.0, -1.0, 0.0)).astype(int)
    scale = (400 - 2 * FREE) / long
    corner = np.pad((pixels[200:, :120, 0] < 150).astype(int), ((0, 0), (1, 1)))
    ends = np.diff(corner, axis=1)
    longest = max((np.flatnonzero(row < 0) - np.flatnonzero(row > 0)).max(initial=0) for row in ends)
    assert longest == pytest.approx(arm * scale, abs=2.0)


def test_small_axes_do_not_stand_on_the_part():
    """Where a plate fills the whole picture it makes room: the strip with the axes holds none of it."""
    part = box((80, 60, 2))
    pixels = picture(part, [], (0.2, 0.4, 0.6), (400, 300), ALONG_Z)
    blue = (pixels[:, :, 2].astype(int) - pixels[:, :, 0]) > 30
    ink = (pixels.max(axis=2) < 120) & ~blue
    assert ink.any()
    assert np.flatnonzero(ink.any(axis=0)).max() < np.flatnonzero(blue.any(axis=0)).min()


def test_same_bytes_in_another_process():
    """The same mesh gives the same file in a fresh process with another hash seed."""
    script = (
        "import sys; from tests.report.meshes import box, box_edges\n"
        "from formparts.report import picture, png\n"
        "sys.stdout.buffer.write(png(picture(box((50, 30, 20)), box_edges((50, 30, 20)), size=(200, 150))))"
    )
    root = Path(__file__).parents[2]
    files = {
        subprocess.run(
            [sys.executable, "-c", script],
            capture_output=True,
            check=True,
            cwd=root,
            env={"PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }
    here = png(picture(box((50, 30, 20)), box_edges((50, 30, 20)), size=(200, 150)))
    assert files == {here}


@pytest.mark.parametrize(
    ("wrong", "parameter"),
    [
        ({"size": (0, 600)}, "size"),
        ({"size": (800.0, 600)}, "size"),
        ({"size": (800, 600, 3)}, "size"),
        ({"size": (9000, 600)}, "size"),
        ({"size": "large"}, "size"),
        ({"colour": (0.5, 0.5)}, "colour"),
        ({"colour": (0.5, 0.5, 1.5)}, "colour"),
        ({"colour": (math.nan, 0.5, 0.5)}, "colour"),
        ({"colour": "grey"}, "colour"),
        ({"view": (0.0, 0.0, 0.0)}, "view"),
        ({"view": (1.0, math.nan, 0.0)}, "view"),
        ({"view": (1.0, math.inf, 0.0)}, "view"),
        ({"view": "top"}, "view"),
    ],
    ids=str,
)
def test_refuses_what_makes_no_picture(wrong, parameter):
    """One clear line that names the parameter."""
    with pytest.raises(InputError) as caught:
        picture(box((1, 1, 1)), [], **wrong)
    assert caught.value.parameter == parameter
    assert "\n" not in str(caught.value)


def test_refuses_a_mesh_without_triangles():
    """Nothing to draw is reported in words."""
    nothing = type(box((1, 1, 1)))(np.zeros((0, 3)), np.zeros((0, 3), dtype=int), np.zeros(0, dtype=int))
    with pytest.raises(InputError, match="0 triangles"):
        picture(nothing, [])


def test_a_thin_triangle_of_a_plane_draws_no_line():
    """A plane has no contour, though one of its triangles lies the wrong way up by rounding."""
    corners = np.array(
        [(0, 0, 0), (40, 0, 0), (40, 40, 0), (0, 40, 0), (20 - 1e-9, 20 + 1e-9, 0)], dtype=float
    )
    triangles = np.array([(0, 1, 4), (1, 2, 4), (0, 4, 2), (0, 2, 3)])
    normals = np.broadcast_to((0.0, 0.0, 1.0), (4, 3, 3))
    pixels = picture(
        Mesh(corners, triangles, np.zeros(4, dtype=int), normals), [], (0.7, 0.8, 0.9), (400, 300), ALONG_Z
    )
    axes = 110  # points from the left: the small axes are drawn there
    assert pixels[:, axes:].max(axis=2).min() > 150
