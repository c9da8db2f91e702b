"""A picture of the deflected shape, exaggerated so that it can be seen."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby
from pathlib import Path

from formparts.arguments import takes
from formparts.export.files import written
from formparts.fea.arrays import Floats, Integers, np
from formparts.fea.elements import flat_triangles
from formparts.fea.mesh import FeaMesh
from formparts.fea.solver import Answer
from formparts.fea.stress import von_mises
from formparts.fea.stress_picture import banded
from formparts.report.arrays import EdgeLines, Mesh
from formparts.report.legend import round_figure
from formparts.report.pictures import picture
from formparts.report.png_file import png
from formparts.tolerances import NOUGHT

SHOWN = 0.05
"""The largest displacement is drawn as this share of the longest side."""


def exaggeration(mesh: FeaMesh, answer: Answer) -> float:
    """Return the factor by which displacements are exaggerated: 1, 2 or 5 times a power of ten."""
    largest = float(np.linalg.norm(answer.displacements, axis=1).max())
    longest = float((mesh.nodes.max(axis=0) - mesh.nodes.min(axis=0)).max())
    if largest <= 0.0:
        return 1.0
    return round_figure(SHOWN * longest / largest)


@takes(mesh="FeaMesh", answer="Answer", path=("str", "os.PathLike"))
def write_deflected(mesh: FeaMesh, answer: Answer, path: str | os.PathLike[str]) -> tuple[Path, float]:
    """
    Draw a part as it is deflected.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    answer : Answer
        The solver's result.
    path : path
        The PNG file to write.

    Returns
    -------
    (Path, float) [-]
        The file, and the factor by which its displacements are exaggerated.

    Raises
    ------
    InputError
        The file cannot be written there.
    """
    content, scale = deflected_png(mesh, answer)
    return written(path, content), scale


def deflected_png(mesh: FeaMesh, answer: Answer) -> tuple[bytes, float]:
    """Return the picture as PNG, and the factor by which displacements are exaggerated."""
    scale = exaggeration(mesh, answer)
    drawn, lines = beside_rest(mesh, answer, scale)
    return png(picture(drawn, lines, mesh.body.sheet.material.colour, (1000, 750))), scale


def stress_png(mesh: FeaMesh, answer: Answer, scale: float) -> bytes:
    """Return the equivalent stress on the deflected part as PNG, with its scale in MPa."""
    values = von_mises(answer.stress)
    drawn, lines = deflected(mesh, answer, scale)
    # The drawn skins of a shell are its lower nodes and then its upper ones; a solid's are its own.
    corners = np.concatenate([values[:, 0], values[:, -1]])[drawn.triangles]
    top = max(float(values.max()), NOUGHT)
    return png(banded(drawn, lines, corners, top, (1000, 750)))


def beside_rest(mesh: FeaMesh, answer: Answer, scale: float) -> tuple[Mesh, list[EdgeLines]]:
    """Return the moved part with its edges, and in light lines the edges of the part at rest."""
    moved, edges = deflected(mesh, answer, scale)
    still, resting = deflected(mesh, answer, 0.0)
    room = replace(moved, vertices=np.concatenate([moved.vertices, still.vertices]))
    return room, edges + [EdgeLines(edge.points, tangent=True) for edge in resting]


def deflected(mesh: FeaMesh, answer: Answer, scale: float) -> tuple[Mesh, list[EdgeLines]]:
    """The skin of the part moved with its nodes, and the edges of its faces."""
    if mesh.kind == "shell":
        return _thick(mesh, answer.displacements * scale)
    places = mesh.nodes + answer.displacements * scale
    openings = {opening.name for flat in mesh.body.flats for opening in flat.openings}
    named = [kinds for name, kinds in mesh.surfaces.items() if name not in openings]
    faces = [kind for kinds in named for kind in kinds]
    triangles = np.concatenate([flat_triangles(kind) for kind in faces])
    groups = np.concatenate(
        [np.full(len(kind) * len(flat_triangles(kind[:1])), n) for n, kind in enumerate(faces)]
    )
    return Mesh(places, triangles, groups), [line for kinds in named for line in _outline(places, kinds)]


def _thick(mesh: FeaMesh, moved: Floats) -> tuple[Mesh, list[EdgeLines]]:
    """Both skins of a shell, and the strip between them along its free edges."""
    net = mesh.net
    count = len(net.places)
    low, high = net.places[:, 0] + moved, net.places[:, 2] + moved
    upper = np.concatenate([flat_triangles(np.array(kind)) for kind in _by_size(net.faces)])
    openings = {opening.name for flat in mesh.body.flats for opening in flat.openings}
    rim = np.array([part for name, parts in net.edges.items() if name not in openings for part in parts])
    steps = np.concatenate([rim[:, :2], rim[:, 1:]])
    a, b = steps.T
    strip = np.concatenate([np.column_stack([a, b, b + count]), np.column_stack([a, b + count, a + count])])
    triangles = np.concatenate([upper + count, upper[:, ::-1], strip])
    groups = np.repeat([0, 1, 2], [len(upper), len(upper), len(strip)])
    places = np.concatenate([low, high])
    lines = [EdgeLines(side[part]) for part in rim for side in (low, high)]
    return Mesh(places, triangles, groups), lines


def _by_size(faces: Iterable[tuple[int, ...]]) -> list[list[tuple[int, ...]]]:
    """Faces of six nodes and faces of eight apart; a net in rows has none of six."""
    return [list(kind) for _, kind in groupby(sorted(faces, key=len), len)]


def _outline(places: Floats, kinds: Iterable[Integers]) -> list[EdgeLines]:
    """The edges round a named face: those that only one of its elements has, whichever their kind."""
    seen: dict[tuple[int, int], tuple[int, int, int]] = {}
    for face in (face for kind in kinds for face in kind.tolist()):
        half = len(face) // 2
        for i in range(half):
            a, m, b = face[i], face[half + i], face[(i + 1) % half]
            key = (min(a, b), max(a, b))
            if key in seen:
                del seen[key]
            else:
                seen[key] = (a, m, b)
    return [EdgeLines(places[list(edge)]) for edge in seen.values()]
