"""Small closed meshes and parts whose pictures can be worked out by hand."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from formparts.bending import KFactor
from formparts.body import Body, Sheet
from formparts.materials import material
from formparts.outline import disc, rectangle
from formparts.report import EdgeLines, Mesh
from formparts.shapes import pierced, plate, profile, run, up

ALONG_Z = (0.0, 0.0, 1.0)
BLACK, WHITE = (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)
FREE = 28
"""White around the part [px], as the docstring of `picture` says."""


def box(size: Sequence[float], at: Sequence[float] = (0.0, 0.0, 0.0)) -> Mesh:
    """A box of twelve triangles, its least corner at a place; every face a group."""
    corners = np.array(list(itertools.product((0.0, 1.0), repeat=3))) * np.array(size) + np.array(at)
    # Corner 4 i + 2 j + k is at x = i, y = j, z = k; each face is anticlockwise seen from outside.
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    triangles = [part for a, b, c, d in faces for part in ((a, b, c), (a, c, d))]
    return Mesh(corners, np.array(triangles), np.repeat(np.arange(6), 2))


def box_edges(size: Sequence[float]) -> list[EdgeLines]:
    """The twelve edges of a box."""
    corners = list(itertools.product((0.0, 1.0), repeat=3))
    pairs = [pair for pair in itertools.combinations(corners, 2) if math.dist(*pair) == 1.0]
    return [EdgeLines(np.array(pair) * np.array(size)) for pair in pairs]


def joined(*meshes: Mesh) -> Mesh:
    """Several meshes as one."""
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    groups = np.cumsum([0, *(int(mesh.groups.max()) + 1 for mesh in meshes)])
    return Mesh(
        np.concatenate([mesh.vertices for mesh in meshes]),
        np.concatenate([mesh.triangles + start for mesh, start in zip(meshes, starts, strict=False)]),
        np.concatenate([mesh.groups + group for mesh, group in zip(meshes, groups, strict=False)]),
    )


def tin() -> Sheet:
    """A sheet of 2 mm."""
    return Sheet(2.0, 3.0, material("DC01"), KFactor(0.44))


def pierced_plate() -> Body:
    """A plate 80 x 60 x 2 mm with a hole of 40 mm in its middle."""
    return plate(tin(), pierced(rectangle(80, 60), disc(40)))


def bracket() -> Body:
    """An angle of 60 x 40 mm outside, 50 mm wide, of the same sheet."""
    return profile(tin(), 50, run(60), up(90), run(40))


def turned_cylinder(radius: float, height: float) -> Body:
    """A round bar along z: a disc of a very thick sheet."""
    return plate(Sheet(height, 3.0, material("DC01"), KFactor(0.44)), disc(2 * radius), "bar")


def read(path: Path) -> Any:
    """The pixels of a PNG file, read by an independent library."""
    from PIL import Image

    with Image.open(path) as image:
        image.verify()
    with Image.open(path) as image:
        return np.asarray(image.convert("RGB"))
