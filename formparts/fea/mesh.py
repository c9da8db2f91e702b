"""A body as a mesh for a solver: shells on its mid-surface, or solids through its thickness, named as the body is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal, TypeAlias

from formparts.arguments import takes
from formparts.body import Body, sunk_volume
from formparts.closed_forms import CUBIC_MM_PER_CUBIC_M, properties
from formparts.errors import FileProofError, InputError
from formparts.fea.arrays import Floats, Integers, np
from formparts.fea.columns import Column, columns, tetrahedra
from formparts.fea.elements import NODES, shares, volumes
from formparts.fea.sizing import Sizing, layers_for, refuse_too_many, sizing
from formparts.fea.skin import Skin, skin
from formparts.materials import Material
from formparts.short_repr import short_repr
from formparts.tolerances import MESH_REL, ROLLED_MESH_REL

Kind: TypeAlias = Literal["shell", "solid", "bricks"]
KINDS: Final = ("shell", "solid", "bricks")
"""Shells; second-order tetrahedra; second-order bricks and wedges."""


@short_repr
@dataclass(frozen=True, eq=False)
class ElementBlock:
    """
    Elements of one kind.

    Parameters
    ----------
    type : str
        As decks call it: S8R, S6, C3D10, C3D15 or C3D20R.
    cells : (n, k) array [-]
        Numbers of the nodes of each element, from 0.
    owners : tuple of str
        The flat or bend that each element belongs to.
    metal : Material, optional
        Of its own, in an assembly; else that of the sheet.
    """

    type: str
    cells: Integers
    owners: tuple[str, ...]
    metal: Material | None = None


@short_repr
@dataclass(frozen=True, eq=False)
class FeaMesh:
    """
    A body as nodes and second-order elements, with sets by the body's names.

    Parameters
    ----------
    body : Body
        What was meshed.
    kind : "shell", "solid" or "bricks"
        Shells, tetrahedra, or bricks and wedges.
    lengths : Sizing
        The requested edge lengths.
    layers : int [-]
        Elements through the thickness; one of shells.
    nodes : (n, 3) array [mm]
        Places.
    blocks : tuple of ElementBlock
        Elements by kind; they are numbered through in this order.
    surfaces : dict of str to tuple of Integers
        Faces (or edges of shells) under the names of the solid's faces and of openings: arrays of node numbers,
        one for each kind of face, seen anticlockwise from outside.
    """

    body: Body
    kind: Kind
    lengths: Sizing
    layers: int
    nodes: Floats
    blocks: tuple[ElementBlock, ...]
    surfaces: dict[str, tuple[Integers, ...]]

    @property
    def size(self) -> float:
        """What edges were to be long, where nothing shorter was asked for [mm]."""
        return self.lengths.size

    @cached_property
    def volume(self) -> float:
        """Volume of all elements [mm3]; shells count with the sheet's thickness."""
        return sum(_volume(self, block) for block in self.blocks)

    @cached_property
    def net(self) -> Skin:
        """The mid-surface and both skins of the body, with the same nodes as its shells."""
        return skin(self.body, self.lengths)

    @property
    def mass(self) -> float:
        """Mass of all elements [kg]."""
        metals = [block.metal or self.body.sheet.material for block in self.blocks]
        shares = zip(self.blocks, metals, strict=True)
        return sum(_volume(self, block) * metal.density for block, metal in shares) / CUBIC_MM_PER_CUBIC_M


@takes(body="Body", kind="str", local="Sequence")
def mesh_of(
    body: Body,
    kind: str = "shell",
    size: float | None = None,
    layers: int | None = None,
    local: Sequence[tuple[str, float]] = (),
) -> FeaMesh:
    """
    Mesh a body straight from its model: flats and bends share their edges by construction.

    Countersinks and counterbores are left out: their holes are meshed as straight ones.

    Parameters
    ----------
    body : Body
        The part.
    kind : "shell", "solid" or "bricks"
        S8R (and S6) shells on the mid-surface; C3D10 tetrahedra; C3D20R bricks (and C3D15 wedges).
    size : float [mm], optional
        Length of an edge; else twice the thickness, or a hundredth of the longest side if that is more. Edges are
        made no longer than a number of thicknesses that the kind of element bears.
    layers : int [-], optional
        Elements through the thickness of a solid; else as many as the stress in its tightest bend needs.
    local : sequence of (str, float) [mm]
        Names of the part, `*` for any text, and the length of edges there.

    Returns
    -------
    FeaMesh

    Raises
    ------
    InputError
        The kind is not known, a name is not one of the part, or the size too fine or too coarse.
    FileProofError
        The mass of the mesh differs from that of the part, or the mesh is not connected.
    """
    if kind not in KINDS:
        raise InputError(body.name, "fea", kind, "is not a kind of mesh", f"choose {', '.join(KINDS)}")
    storeys = layers_for(body, kind, layers)
    lengths = sizing(body, kind, size, storeys, local)
    net = skin(body, lengths)
    made = _shells(body, net, lengths) if kind == "shell" else _solids(body, net, lengths, kind, storeys)
    vars(made)["net"] = net
    refuse_too_many(body, lengths.size, len(made.nodes))
    _check(made)
    return made


def _check(mesh: FeaMesh) -> None:
    """Refuse a mesh that differs from the part: every figure here is known beforehand."""
    wanted, where = properties(mesh.body).volume + sunk_volume(mesh.body), f"mesh of {mesh.body.name}"
    slack = ROLLED_MESH_REL if any(bend.openings for bend in mesh.body.bends) else MESH_REL
    if not abs(mesh.volume - wanted) <= slack * wanted:
        raise FileProofError(where, f"its volume is {mesh.volume:.9g} mm3, and not {wanted:.9g} mm3")
    if _parts(mesh) != 1:
        raise FileProofError(where, "it is not in one piece")


def _volume(mesh: FeaMesh, block: ElementBlock) -> float:
    if block.cells.shape[1] in (6, 8):
        return float(shares(mesh.nodes, block.cells)[0].sum()) * mesh.body.sheet.thickness
    return float(volumes(mesh.nodes, block.cells).sum())


def _parts(mesh: FeaMesh) -> int:
    """Return the number of connected components of the mesh."""
    label = np.arange(len(mesh.nodes))
    while True:
        before = label.copy()
        for block in mesh.blocks:
            least = label[block.cells].min(axis=1)
            np.minimum.at(label, block.cells, least[:, None])
        label = label[label]
        if (label == before).all():
            return len(np.unique(label))


def _by_length(rows: Iterable[tuple[int, ...]]) -> tuple[Integers, ...]:
    """Return rows of different lengths as one array for each length."""
    groups: dict[int, list[tuple[int, ...]]] = defaultdict(list)
    for row in rows:
        groups[len(row)].append(row)
    return tuple(np.array(groups[length]) for length in sorted(groups))


def _flipped(face: tuple[int, ...]) -> tuple[int, ...]:
    """Return the same face seen from its other side: corners and middles, from the same first corner."""
    half = len(face) // 2
    corners, middles = face[:half], face[half:]
    return (corners[0], *reversed(corners[1:]), *reversed(middles))


def _faces_by_name(body: Body, net: Skin) -> dict[str, tuple[list[int], bool]]:
    """Numbers of the net's faces under the names of the solid's skins, and whether it is the upper skin."""
    whose: dict[str, list[int]] = defaultdict(list)
    for number, owner in enumerate(net.owners):
        whose[owner].append(number)
    named = {}
    for flat in body.flats:
        named[f"{flat.name}.upper"] = (whose[flat.name], True)
        named[f"{flat.name}.lower"] = (whose[flat.name], False)
    for bend in body.bends:
        pieces = net.pieces.get(bend.name, [])
        numbered = enumerate(pieces, 1) if len(pieces) > 1 else ()
        for end, numbers in (("", whose[bend.name]), *((f".{n}", [*piece]) for n, piece in numbered)):
            named[f"{bend.name}.inside{end}"] = (numbers, bend.side == "up")
            named[f"{bend.name}.outside{end}"] = (numbers, bend.side != "up")
    return named


def _shells(body: Body, net: Skin, lengths: Sizing) -> FeaMesh:
    surfaces: dict[str, tuple[Integers, ...]] = {
        name: (np.array(parts),) for name, parts in net.edges.items()
    }
    for name, (numbers, upper) in _faces_by_name(body, net).items():
        faces = [net.faces[n] for n in numbers]
        surfaces[name] = _by_length(faces if upper else map(_flipped, faces))
    blocks = _blocks({8: "S8R", 6: "S6"}, zip(net.faces, net.owners, strict=True))
    return FeaMesh(body, "shell", lengths, 1, net.places[:, 1], blocks, surfaces)


def _blocks(types: dict[int, str], cells: Iterable[tuple[tuple[int, ...], str]]) -> tuple[ElementBlock, ...]:
    rows: dict[int, list[tuple[int, ...]]] = defaultdict(list)
    owners: dict[int, list[str]] = defaultdict(list)
    for cell, owner in cells:
        rows[len(cell)].append(cell)
        owners[len(cell)].append(owner)
    found = [length for length in types if rows[length]]
    return tuple(
        ElementBlock(types[length], np.array(rows[length]), tuple(owners[length])) for length in found
    )


def _solids(body: Body, net: Skin, lengths: Sizing, kind: Kind | str, layers: int) -> FeaMesh:
    column = columns(net, layers)
    if kind == "bricks":
        kinds = {20: "C3D20R", 15: "C3D15"}
        cells = [
            (column.prism(face, k), o)
            for k in range(layers)
            for face, o in zip(net.faces, net.owners, strict=True)
        ]
    else:
        kinds = {10: "C3D10"}
        cells = [
            (cell, owner)
            for k in range(layers)
            for face, owner in zip(net.faces, net.owners, strict=True)
            for cell in tetrahedra(column, face, k)
        ]
    surfaces = _solid_surfaces(body, net, column, whole=kind == "bricks")
    assert all(len(cell) in NODES for cell, _ in cells)
    whole: Kind = "bricks" if kind == "bricks" else "solid"
    return FeaMesh(body, whole, lengths, layers, column.nodes, _blocks(kinds, cells), surfaces)


def _solid_surfaces(body: Body, net: Skin, column: Column, whole: bool) -> dict[str, tuple[Integers, ...]]:
    """All faces of the solid; quadrilaterals are whole on bricks, and in two triangles on tetrahedra."""
    surfaces = {}
    for name, parts in net.edges.items():
        rows = [row for part in parts for k in range(column.layers) for row in column.side(part, k, whole)]
        surfaces[name] = _by_length(rows)
    for name, (numbers, upper) in _faces_by_name(body, net).items():
        skins = [
            row for n in numbers for row in column.flat(net.faces[n], column.layers if upper else 0, whole)
        ]
        surfaces[name] = _by_length(skins if upper else map(_flipped, skins))
    return surfaces
