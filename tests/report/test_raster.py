"""The samples that triangles cover, held against a geometry library and against the plain rule."""

from __future__ import annotations

import numpy as np
import shapely

from formparts.report import raster
from formparts.report.camera import facing, fitted_camera
from formparts.report.scene import scene
from tests.report.meshes import bracket

SAMPLES = (360, 270)


def test_a_part_covers_its_shadow_and_no_sample_is_lost():
    """The union of all projected triangles, by shapely, holds exactly the samples that the part covers."""
    mesh, _ = scene(bracket())
    camera = fitted_camera(mesh.vertices, (0.62, -1.0, 0.78), SAMPLES, 5.0)
    corners = camera.project(mesh.vertices)[mesh.triangles]
    front = corners[facing(corners) > 0.0]
    seen = raster.seen(front, raster.planes(front, front[:, :, 2]), SAMPLES)
    # A hair of growth closes the seams between faces, so that only the outline is left to differ.
    shadow = shapely.union_all(shapely.polygons(front[:, :, :2])).buffer(1e-6)
    rows, columns = np.mgrid[: SAMPLES[1], : SAMPLES[0]]
    inside = shapely.contains_xy(shadow, columns, rows)
    clear = shapely.distance(shapely.points(columns, rows), shadow.boundary) > 2e-6
    assert (seen >= 0)[clear].tolist() == inside[clear].tolist()
    assert inside.sum() > 10_000


def test_each_sample_shows_the_nearest_of_random_triangles():
    """Triangles through one another: at each sample the nearest of those around it (exact mathematics)."""
    seed = 20_240
    random = np.random.default_rng(seed)
    corners = random.uniform((-10, -10, 0), (60, 50, 30), (60, 3, 3))
    flipped = facing(corners) < 0.0
    corners[flipped] = corners[flipped][:, ::-1]
    seen = raster.seen(corners, raster.planes(corners, corners[:, :, 2]), (50, 40))
    rows, columns = np.mgrid[:40, :50]
    depth = np.full((60, 40, 50), -np.inf)
    for number, triangle in enumerate(corners):
        # Barycentric weights by solving the three equations, as in any textbook.
        system = np.vstack([triangle[:, :2].T, np.ones(3)])
        weights = np.linalg.solve(system, np.stack([columns.ravel(), rows.ravel(), np.ones(columns.size)]))
        at = (triangle[:, 2] @ weights).reshape(rows.shape)
        depth[number] = np.where((weights >= 0.0).all(axis=0).reshape(rows.shape), at, -np.inf)
    expected = np.where(np.isfinite(depth.max(axis=0)), depth.argmax(axis=0), raster.NOTHING)
    assert (seen == expected).all(), f"seed {seed}"


def test_a_shared_edge_belongs_to_one_triangle_only():
    """A square of two triangles on whole samples: every sample once, left and upper sides in, others out."""
    square = np.array([[(0, 0, 0), (0, 8, 0), (8, 8, 0)], [(0, 0, 0), (8, 8, 0), (8, 0, 0)]], dtype=float)
    depth = raster.planes(square, square[:, :, 2])
    counts = [int((raster.seen(square[[i]], _of(depth, i), (20, 20)) >= 0).sum()) for i in (0, 1)]
    both = raster.seen(square, depth, (20, 20))
    assert sum(counts) == int((both >= 0).sum()) == 64
    assert (both[:8, :8] >= 0).all()


def _of(planes, number):
    """The plane of one triangle."""
    return raster.Planes(planes.x[[number]], planes.y[[number]], planes.base[[number]])
