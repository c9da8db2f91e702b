"""From a mesh, a view and lines to the pixels of a picture: light, pens, and the mean of the fine samples."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from formparts.report import camera as cameras
from formparts.report import pen_lines, raster
from formparts.report.arrays import EdgeLines, Mesh, Vector
from formparts.report.legend import SMALLEST_PICTURE, Legend, legend

if TYPE_CHECKING:
    from formparts.report.arrays import Bytes, Flags, Floats, Integers

_FINE = 3
"""Samples on a side of one pixel."""
_SAMPLES = tuple((row, column) for row in range(_FINE) for column in range(_FINE))
"""Rows and columns of the samples of a picture point."""
_PLACES = tuple(zip(*_SAMPLES, strict=True))
_MARGIN = 28.0
"""White margin around the part [pixels]."""
_OUTLINE, _EDGE, _TANGENT, _LEGEND = 1.9, 1.25, 0.9, 1.3
"""Widths of the lines [picture points], in a picture of at least the height that follows."""
_FULL_PEN, _THINNEST_PEN = 500.0, 0.5
"""Smaller pictures get thinner lines in proportion, down to this part."""
_INK: Vector = (0.11, 0.13, 0.16)
_LIGHT_INK = 0.38
"""How much of the ink a tangent edge gets."""
_AMBIENT = 0.48
_LIGHTS = (((-0.6, 0.7, 0.4), 0.54), ((0.5, 0.0, 0.85), 0.34))
"""Where light comes from (right, up, towards the viewer) and how much of it."""
_ROWS = 32
"""Rows of pixels that are mixed together: few enough for the processor's cache."""
_WRAP = 0.35
"""How far light reaches past the edge of shadow, as a cosine, so that a bend is shaded all the way round."""


@dataclass(frozen=True, eq=False)
class Sight:
    """The visible side of a mesh: triangles that face the viewer, their depth, and the triangle seen at each sample."""

    camera: cameras.Camera
    towards: Flags
    corners: Floats
    depth: raster.Planes
    seen: Integers
    samples: tuple[int, int]


def drawn(mesh: Mesh, size: tuple[int, int], view: Vector, axes: bool) -> tuple[Sight, Legend | None]:
    """Return the visible side of a mesh in a picture of a size, with room for axes that would hide some of it."""
    sight = _sight(mesh, size, view, 0.0)
    if not axes or min(size) < SMALLEST_PICTURE:
        return sight, None
    small = legend(sight.camera, sight.seen, _FINE)
    if small.hidden:
        sight = _sight(mesh, size, view, small.width)
        small = legend(sight.camera, sight.seen, _FINE)
    return sight, small


def _sight(mesh: Mesh, size: tuple[int, int], view: Vector, aside: float) -> Sight:
    """Project a mesh so that it fills a picture but for a strip on the left [samples]; find what is seen."""
    samples = (size[0] * _FINE, size[1] * _FINE)
    margin = min(_MARGIN, 0.1 * min(size)) * _FINE
    camera = cameras.fitted_camera(mesh.vertices, view, samples, margin, aside)
    corners = camera.project(mesh.vertices)[mesh.triangles]
    towards = cameras.facing(corners) > 0.0
    front = corners[towards]
    depth = raster.planes(front, front[:, :, 2])
    return Sight(camera, towards, front, depth, raster.seen(front, depth, samples), samples)


def shaded(sight: Sight, mesh: Mesh, colour: Vector) -> Floats:
    """The part without its lines, on white: (height, width, 3), each from 0 to 1."""
    import numpy as np

    light = raster.planes(sight.corners, _light(_normals(mesh)[sight.towards], sight.camera))
    result: Floats = np.ones((sight.samples[1] // _FINE, sight.samples[0] // _FINE, 3))
    for top in range(0, len(sight.seen), raster.BAND):
        point, value, cover = _lit(sight.seen[top : top + raster.BAND], light, top)
        band = result[top // _FINE : (top + raster.BAND) // _FINE].reshape(-1, 3)
        band[point] = np.clip(value[:, None] * np.array(colour), 0.0, 1.0) + (1.0 - cover[:, None])
    return result


def _lit(seen: Integers, light: raster.Planes, top: int) -> tuple[Integers, Floats, Floats]:
    """The picture points of a band that the part covers: mean light of their samples, and the share that is covered."""
    import numpy as np

    middle = _FINE // 2
    centre = seen[middle::_FINE, middle::_FINE]
    level = seen[:, 1:] == seen[:, :-1]
    upright = seen[1:, middle::_FINE] == seen[:-1, middle::_FINE]
    alike = np.ones(centre.shape, dtype=bool)
    for step in range(_FINE - 1):
        alike &= upright[step::_FINE]
        for row in range(_FINE):
            alike &= level[row::_FINE, step::_FINE]
    # A quantity linear over all samples of a pixel has its mean in the middle one.
    down, across = np.nonzero(alike & (centre != raster.NOTHING))
    whole = light.at(centre[down, across], across * _FINE + middle, down * _FINE + middle + top)
    one, other = np.nonzero(~alike)
    rows, columns = (
        places[:, None] * _FINE + part for places, part in zip((one, other), _PLACES, strict=True)
    )
    triangle = seen[rows, columns]
    some = triangle != raster.NOTHING
    mixed = np.where(some, light.at(triangle, columns, rows + top), 0.0).mean(axis=1)
    point = np.concatenate([down, one]) * centre.shape[1] + np.concatenate([across, other])
    cover = np.concatenate([np.ones(len(down)), some.mean(axis=1)])
    return point, np.concatenate([whole, mixed]), cover


def _normals(mesh: Mesh) -> Floats:
    """Return outward unit normals at the corners of the triangles, the mesh's own or the mean within each face."""
    import numpy as np

    if mesh.normals is not None:
        return mesh.normals
    a, b, c = (mesh.vertices[mesh.triangles[:, i]] for i in range(3))
    areas = np.repeat(np.cross(b - a, c - a), 3, axis=0)
    corners = np.column_stack([np.repeat(mesh.groups, 3), mesh.triangles.ravel()])
    _, which = np.unique(corners, axis=0, return_inverse=True)
    total = np.zeros((int(which.max()) + 1, 3))
    np.add.at(total, which.ravel(), areas)
    length = np.sqrt((total * total).sum(axis=1, keepdims=True))
    result: Floats = (total / np.where(length > 0.0, length, 1.0))[which.ravel()].reshape(-1, 3, 3)
    return result


def _light(normals: Floats, camera: cameras.Camera) -> Floats:
    """How bright each corner of each triangle is; 1 is the colour itself."""
    import numpy as np

    total = np.full(normals.shape[:2], _AMBIENT)
    for direction, strength in _LIGHTS:
        towards = sum(part * axis for part, axis in zip(direction, camera.axes, strict=True))
        towards = towards / np.sqrt((towards * towards).sum())
        cosine = sum(normals[:, :, i] * towards[i] for i in range(3))
        total += strength * np.maximum(cosine + _WRAP, 0.0) / (1.0 + _WRAP)
    return total


def lines(sight: Sight, mesh: Mesh, edges: Sequence[EdgeLines], small: Legend | None) -> Floats:
    """Return the ink on each pixel, from 0 to 1: true edges, contours of bends, the small axes."""
    import numpy as np

    project = sight.camera.project
    curved = np.ones(len(mesh.triangles), dtype=bool)
    if mesh.normals is not None:
        # Only curved faces turn away; a very thin triangle of a plane may seem to, by rounding.
        curved = np.ptp(mesh.normals, axis=1).max(axis=1) > 0.0
    turned = pen_lines.contours(mesh.triangles[curved], mesh.groups[curved], sight.towards[curved])
    sharp = [project(edge.points) for edge in edges if not edge.tangent]
    sharp += list(project(mesh.vertices)[turned])
    soft = [project(edge.points) for edge in edges if edge.tangent]
    inner, outer = _seen_dots(sight, sharp)
    faint = np.concatenate(_seen_dots(sight, soft))
    notes = pen_lines.dots(small.pen_lines if small else [])
    thin = min(max(min(sight.samples) / _FINE / _FULL_PEN, _THINNEST_PEN), 1.0)
    pens = ((outer, thin * _OUTLINE, 1.0), (inner, thin * _EDGE, 1.0), (faint, thin * _TANGENT, _LIGHT_INK))
    result: Floats = np.zeros((sight.samples[1] // _FINE, sight.samples[0] // _FINE))
    for dots, pen, much in (*pens, (notes, _LEGEND, 1.0)):
        row, column, cover = pen_lines.inked(dots, pen * _FINE, sight.samples, _FINE)
        result[row, column] = np.maximum(result[row, column], cover * much)
    return result


def _seen_dots(sight: Sight, polylines: Sequence[Floats]) -> tuple[Floats, Floats]:
    """Return the visible points along projected lines: inside the part, and against the background."""
    points = pen_lines.dots(polylines)
    near, far = sight.corners[:, :, 2].max(axis=1), sight.corners[:, :, 2].min(axis=1)
    shown, bordering = pen_lines.visible(points, sight.seen, sight.depth, near, far)
    return points[shown & ~bordering], points[shown & bordering]


def composed(paint: Floats, ink: Floats) -> Bytes:
    """Lay the ink over the paint, and round to eight bits."""
    import numpy as np

    result: Bytes = np.empty(paint.shape, dtype=np.uint8)
    for top in range(0, len(paint), _ROWS):
        band, dark = paint[top : top + _ROWS], ink[top : top + _ROWS, :, None]
        mixed = band + (np.array(_INK) - band) * dark
        result[top : top + _ROWS] = np.round(np.clip(mixed, 0.0, 1.0) * 255.0)
    return result


def averaged(samples: Floats) -> Floats:
    """Mean of the samples of each picture point."""
    import numpy as np

    total = np.zeros((samples.shape[0] // _FINE, samples.shape[1] // _FINE))
    for row, column in _SAMPLES:
        total += samples[row::_FINE, column::_FINE]
    mean: Floats = total / (_FINE * _FINE)
    return mean
