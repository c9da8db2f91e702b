"""A vibrating mode: an animated picture, every frame drawn as the deflected shape is."""

from __future__ import annotations

import math
from typing import Final

from formparts.fea.arrays import Floats, np
from formparts.fea.mesh import FeaMesh
from formparts.fea.picture import SHOWN, deflected
from formparts.fea.solver import Answer
from formparts.report.arrays import EdgeLines, Mesh
from formparts.report.pictures import picture
from formparts.report.png_file import moving_png

STEPS: Final = 8
"""Frames of one cycle: five of them are different."""
Drawn = tuple[Mesh, list[EdgeLines]]
_TIME: Final = 0.09
"""Of one frame [s]."""
_SIZE: Final = (480, 360)


def mode_png(mesh: FeaMesh, shape: Floats) -> bytes:
    """Return one mode as an animated PNG, its largest displacement drawn as a twentieth of the longest side."""
    answer = Answer(scaled(mesh, shape), (0.0, 0.0, 0.0), ())
    rest, far = (deflected(mesh, answer, share) for share in (0.0, 1.0))
    shares = [math.cos(2.0 * math.pi * step / STEPS) for step in range(STEPS // 2 + 1)]
    half = [picture(*between(rest, far, share), mesh.body.sheet.material.colour, _SIZE) for share in shares]
    return moving_png([*half, *half[-2:0:-1]], _TIME)


def scaled(mesh: FeaMesh, shape: Floats) -> Floats:
    """The shape as large as it is drawn [mm]."""
    largest = float(np.linalg.norm(shape, axis=1).max())
    longest = float(np.ptp(mesh.nodes, axis=0).max())
    return shape * (SHOWN * longest / largest) if largest > 0.0 else shape


def between(rest: Drawn, far: Drawn, share: float) -> Drawn:
    """Return the part at one moment: from rest (0) to either end (1, -1); the frame has room for both."""
    (still, lines), (moved, ends) = rest, far
    step = moved.vertices - still.vertices
    room = np.concatenate([still.vertices + part * step for part in (share, 1.0, -1.0)])
    edges = [
        EdgeLines(line.points + share * (end.points - line.points))
        for line, end in zip(lines, ends, strict=True)
    ]
    return Mesh(room, moved.triangles, moved.groups), edges
