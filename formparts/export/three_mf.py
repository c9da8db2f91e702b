"""The mesh as 3MF: the unit is in the file, points are shared, and it is proved to be closed."""

from __future__ import annotations

import html
import io
import os
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final
from xml.etree import ElementTree

from formparts.body import Body
from formparts.errors import FileProofError
from formparts.export.files import delivered
from formparts.export.meshing import mesh
from formparts.tolerances import MESH_CHORD

if TYPE_CHECKING:
    from trimesh import Trimesh

_CORE: Final = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_TYPES: Final = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
)
_RELATIONS: Final = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)
_MODEL: Final = "3D/3dmodel.model"
_FIRST_DATE: Final = (1980, 1, 1, 0, 0, 0)


def write_3mf(body: Body, path: str | os.PathLike[str], chord: float = MESH_CHORD) -> Path:
    """
    Write the mesh of a part as 3MF, unit millimetre.

    Parameters
    ----------
    body : Body
        What is meshed.
    path : path
        The file to write.
    chord : float [mm]
        Greatest distance between the mesh and the true surface.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The chord tolerance is not a length or too fine, or the file cannot be written there.
    KernelError
        A flat could not be triangulated, or the mesh is not closed.
    FileProofError
        The file did not read back as the mesh.

    Source
    ------
    3MF Core Specification 1.2 (from memory).
    """
    made = mesh(body, chord)
    return delivered(path, _package(body.name, made), lambda draft: _prove(draft, made))[0]


def _package(name: str, made: Trimesh) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
        model = "\n".join(_model(name, made))
        for place, text in (("[Content_Types].xml", _TYPES), ("_rels/.rels", _RELATIONS), (_MODEL, model)):
            package.writestr(zipfile.ZipInfo(place, _FIRST_DATE), text, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def _model(name: str, made: Trimesh) -> Iterator[str]:
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield f'<model unit="millimeter" xml:lang="en" xmlns="{_CORE}"><resources>'
    yield f'<object id="1" type="model" name="{html.escape(name)}"><mesh><vertices>'
    yield from (f'<vertex x="{x:.9g}" y="{y:.9g}" z="{z:.9g}"/>' for x, y, z in made.vertices.tolist())
    yield "</vertices><triangles>"
    yield from (f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in made.faces.tolist())
    yield '</triangles></mesh></object></resources><build><item objectid="1"/></build></model>'


def _prove(path: Path, made: Trimesh) -> None:
    """Read it back: the unit, every point and triangle, and each edge once each way."""
    with zipfile.ZipFile(path) as package:
        root = ElementTree.fromstring(package.read(_MODEL))
    names = {"m": _CORE}
    corners = [
        [int(triangle.get(key, "-1")) for key in ("v1", "v2", "v3")]
        for triangle in root.iterfind(".//m:triangle", names)
    ]
    edges = [(t[i], t[(i + 1) % 3]) for t in corners for i in range(3)]
    points = len(root.findall(".//m:vertex", names))
    if root.get("unit") != "millimeter":
        raise FileProofError(str(path), f"its unit is {root.get('unit')}, and not the millimetre")
    if (points, len(corners)) != (len(made.vertices), len(made.faces)):
        raise FileProofError(str(path), f"it holds {points} points and {len(corners)} triangles")
    if len(set(edges)) != len(edges) or {(b, a) for a, b in edges} != set(edges):
        raise FileProofError(str(path), "its mesh is not closed")
