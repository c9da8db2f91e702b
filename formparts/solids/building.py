"""
Body to solid: one closed shell, built by construction from shared vertices and edges.

No boolean, no fillet and no clean-up takes part. Planes are planes, bends are cylinders, and each face has its
name from the recipe's tree from the moment it is made.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from formparts.arguments import takes
from formparts.body import Body, frames, rims
from formparts.kernel import guard
from formparts.short_repr import short_repr
from formparts.solids.bend_faces import bend_faces
from formparts.solids.flat_faces import flat_faces
from formparts.solids.shell import Shell

if TYPE_CHECKING:
    from cadquery import Solid as CadquerySolid


@short_repr
@dataclass(frozen=True)
class Solid:
    """
    A body as one solid of the kernel, with the name of every face.

    Parameters
    ----------
    name : str
        Name of the part.
    shape : TopoDS_Solid
        The kernel's solid [mm].
    faces : dict of str to TopoDS_Face
        Every face, by its name.
    """

    name: str
    shape: Any
    faces: dict[str, Any]

    def to_cadquery(self) -> CadquerySolid:
        """Give the same solid as a CadQuery object."""
        from cadquery import Solid as CadquerySolid

        return CadquerySolid(self.shape)


@takes(body="Body")
def solid(body: Body) -> Solid:
    """
    Build the solid of a body.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    Solid
        One closed shell, volume positive; every face named.

    Raises
    ------
    InputError
        A bend does not lie on the edge of its flat.
    KernelError
        The kernel refused, or the shell is not closed.

    Examples
    --------
    >>> shape = solid(plate(Sheet(2, 2.5), rectangle(40, 25)))
    >>> shape.name
    'plate'
    """
    edges_of = rims(body)
    with guard(f"solid of {body.name}", body):
        shell, placed = Shell(), frames(body)
        joints = flat_faces(shell, body, edges_of)
        for bend in body.bends:
            bend_faces(shell, bend, placed[bend.parent], joints, body)
        return Solid(body.name, shell.closed(), _numbered(shell.faces))


def _numbered(faces: dict[str, Any]) -> dict[str, Any]:
    """The first of several faces of one edge has its number too: the bare name means all of them."""
    return {f"{name}.1" if f"{name}.2" in faces else name: face for name, face in faces.items()}
