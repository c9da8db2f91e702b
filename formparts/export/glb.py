"""Binary glTF 2.0: metres, y upward, facets shaded flat, a node for each placed part."""

from __future__ import annotations

import json
import os
import struct
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from formparts.body import Body, Frame
from formparts.export.files import delivered
from formparts.export.meshing import mesh, prove_triangles
from formparts.export.step import PLAIN_STEEL, check_colour
from formparts.tolerances import MESH_CHORD

if TYPE_CHECKING:
    from trimesh import Trimesh

Colour = tuple[float, float, float]
MeshOf = tuple[str, "Trimesh", Colour]
Node = tuple[str, int, Frame]

METRES: Final = 0.001
_FLOAT, _UNSIGNED, _VERTICES, _INDICES = 5126, 5125, 34962, 34963


def write_glb(
    body: Body, path: str | os.PathLike[str], colour: Colour = PLAIN_STEEL, chord: float = MESH_CHORD
) -> Path:
    """
    Write the mesh of a part as binary glTF, in metres, y upward.

    Parameters
    ----------
    body : Body
        What is meshed.
    path : path
        The file to write.
    colour : (red, green, blue) [-]
        Each from 0 to 1.
    chord : float [mm]
        Greatest distance between the mesh and the true surface.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The colour is not one, the chord tolerance is not a length or too fine, or the file cannot be written there.
    KernelError
        A flat could not be triangulated, or the mesh is not closed.
    FileProofError
        The file does not read back as the mesh.
    """
    check_colour(colour, "GLB")
    part = (body.name, mesh(body, chord), colour)
    return delivered_glb(path, body.name, [part], [(body.name, 0, Frame())])


def delivered_glb(
    path: str | os.PathLike[str], name: str, meshes: Sequence[MeshOf], nodes: Sequence[Node]
) -> Path:
    """Write the file, proved by reading it back: all triangles, each in the position of its part."""
    import numpy as np

    placed = []
    for _, number, frame in nodes:
        x, y, z = np.moveaxis(meshes[number][1].triangles @ [frame.x, frame.y, frame.z] + frame.origin, -1, 0)
        placed.append(METRES * np.stack([x, z, -y], axis=-1))
    content = glb_bytes(name, meshes, nodes)
    return delivered(path, content, lambda draft: prove_triangles(draft, "glb", placed))[0]


def glb_bytes(name: str, meshes: Sequence[MeshOf], nodes: Sequence[Node]) -> bytes:
    """The file: meshes (name, mesh [mm], colour) and nodes (name, number of the mesh, place [mm])."""
    blob = bytearray()
    views: list[dict[str, Any]] = []
    accessors: list[dict[str, Any]] = []
    described = [_mesh(part, number, blob, views, accessors) for number, part in enumerate(meshes)]
    document = {
        "asset": {"version": "2.0", "generator": "formparts"},
        "scene": 0,
        "scenes": [{"name": name, "nodes": [0]}],
        "nodes": [_root(name, len(nodes)), *map(_node, nodes)],
        "meshes": described,
        "materials": [_material(colour) for _, _, colour in meshes],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": len(blob)}],
    }
    text = json.dumps(document, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode()
    text += b" " * (-len(text) % 4)
    chunks = (
        struct.pack("<II", len(text), 0x4E4F534A)
        + text
        + struct.pack("<II", len(blob), 0x004E4942)
        + bytes(blob)
    )
    return struct.pack("<III", 0x46546C67, 2, 12 + len(chunks)) + chunks


def _root(name: str, count: int) -> dict[str, Any]:
    """Return the node that converts z upward to y upward, and millimetres to metres."""
    matrix = [METRES, 0, 0, 0, 0, 0, -METRES, 0, 0, METRES, 0, 0, 0, 0, 0, 1]
    return {"name": name, "matrix": matrix, "children": list(range(1, count + 1))}


def _node(node: Node) -> dict[str, Any]:
    name, number, frame = node
    matrix = [*frame.x, 0.0, *frame.y, 0.0, *frame.z, 0.0, *frame.origin, 1.0]
    return {"name": name, "mesh": number, "matrix": matrix}


def _material(colour: Colour) -> dict[str, Any]:
    linear = [
        round(((part + 0.055) / 1.055) ** 2.4 if part > 0.04045 else part / 12.92, 6) for part in colour
    ]
    return {
        "pbrMetallicRoughness": {
            "baseColorFactor": [*linear, 1.0],
            "metallicFactor": 0.3,
            "roughnessFactor": 0.6,
        }
    }


def _mesh(
    part: MeshOf, number: int, blob: bytearray, views: list[dict[str, Any]], accessors: list[dict[str, Any]]
) -> dict[str, Any]:
    """Put a mesh into the buffer; return its entry in the document."""
    import numpy as np

    name, made, _ = part
    places = np.asarray(made.vertices, dtype="<f4")
    indices = np.asarray(made.faces, dtype="<u4").ravel()
    first = len(accessors)
    for data, target in ((places, _VERTICES), (indices, _INDICES)):
        views.append({"buffer": 0, "byteOffset": len(blob), "byteLength": data.nbytes, "target": target})
        blob += data.tobytes()
    low, high = places.min(axis=0).tolist(), places.max(axis=0).tolist()
    accessors.append(
        {
            "bufferView": first,
            "componentType": _FLOAT,
            "count": len(places),
            "type": "VEC3",
            "min": low,
            "max": high,
        }
    )
    accessors.append(
        {"bufferView": first + 1, "componentType": _UNSIGNED, "count": len(indices), "type": "SCALAR"}
    )
    return {
        "name": name,
        "primitives": [{"attributes": {"POSITION": first}, "indices": first + 1, "material": number}],
    }
