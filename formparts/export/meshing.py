"""The part as a watertight triangle mesh from the model, and the volume of the kernel's own mesh."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.audits import MeshVolume
from formparts.body import Body
from formparts.errors import FileProofError, KernelError
from formparts.export.files import delivered
from formparts.export.kernel_mesh import kernel_mesh_volume
from formparts.quantities import Limits, length
from formparts.solids import Solid
from formparts.tolerances import FINEST_CHORD, KERNEL_CHORD, LONGEST, MESH_CHORD
from formparts.triangulation import facets

if TYPE_CHECKING:
    from trimesh import Trimesh


def mesh(body: Body, chord: float = MESH_CHORD) -> Trimesh:
    """
    Mesh a part from its model.

    Parameters
    ----------
    body : Body
        What is meshed.
    chord : float [mm]
        Greatest distance between the mesh and the true surface.

    Returns
    -------
    Trimesh
        Watertight; `face_attributes["face"]` gives the place of each triangle's face in `metadata["faces"]`.

    Raises
    ------
    InputError
        The chord tolerance is not a length, or finer than tolerances.FINEST_CHORD.
    KernelError
        A flat could not be triangulated, or the mesh is not closed.
    """
    from trimesh import Trimesh

    made = facets(body, checked_chord(chord, "mesh"))
    return closed_mesh(
        Trimesh(
            made.points,
            made.triangles,
            process=False,
            face_attributes={"face": made.owners},
            metadata={"name": body.name, "faces": list(made.faces)},
        )
    )


def closed_mesh(made: Trimesh) -> Trimesh:
    """Refuse a mesh that is not closed, or is inside out: an error in formparts."""
    if not made.is_watertight or not made.is_winding_consistent or made.volume <= 0.0:
        raise KernelError(f"mesh of {made.metadata['name']}", "it is not closed")
    return made


def mesh_volumes(body: Body, solid: Solid) -> tuple[MeshVolume, ...]:
    """Return the volume in each mesh of a part: that from the model, and the kernel's own where available."""
    made = facets(body, MESH_CHORD)
    if not made.is_closed:
        raise KernelError(f"mesh of {body.name}", "it is not closed")
    by_kernel = kernel_mesh_volume(solid)
    meshes = (MeshVolume("mesh", made.volume, MESH_CHORD),)
    return meshes if by_kernel is None else (*meshes, MeshVolume("kernel mesh", by_kernel, KERNEL_CHORD))


def checked_chord(chord: object, where: str, parameter: str = "chord") -> float:
    """Return a valid chord tolerance [mm]."""
    return length(chord, parameter, where, Limits(minimum=FINEST_CHORD, maximum=LONGEST))


def write_stl(body: Body, path: str | os.PathLike[str], chord: float = MESH_CHORD) -> Path:
    """
    Write the mesh of a part as binary STL; the format knows no unit, its figures are mm.

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
        The file does not read back as the mesh.
    """
    made = mesh(body, chord)
    content = bytes(made.export(file_type="stl"))
    return delivered(path, content, lambda draft: prove_triangles(draft, "stl", [made.triangles]))[0]


def prove_triangles(path: Path, kind: str, wanted: Sequence[Any]) -> None:
    """
    Refuse a file in which trimesh finds another number of triangles, or other bounds.

    `wanted` are arrays of corners, shape (N, 3, 3), in the unit and along the axes of the file. The formats keep places
    as single floats.
    """
    import numpy as np
    import trimesh

    read = trimesh.load(path, file_type=kind, force="mesh", process=False)
    corners = np.concatenate([each.reshape(-1, 3) for each in wanted])
    bounds = np.array([corners.min(axis=0), corners.max(axis=0)])
    if 3 * len(read.faces) != len(corners):
        raise FileProofError(str(path), f"it has {len(read.faces)} triangles, and not {len(corners) // 3}")
    if not np.allclose(
        read.bounds, bounds, rtol=0.0, atol=4.0 * np.finfo(np.float32).eps * np.abs(bounds).max()
    ):
        raise FileProofError(str(path), f"it reaches from {read.bounds[0]} to {read.bounds[1]}")
