"""The bent parts of an assembly in one deck: solids in position, joined by name.

Solved, and proved by its reactions.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from formparts.arguments import takes
from formparts.assembly import Assembly, Joint, Placed
from formparts.body import Body
from formparts.errors import FileProofError, InputError
from formparts.export.files import delivered
from formparts.fea.arrays import Floats, Integers, np
from formparts.fea.bolts import bolt_stiffness
from formparts.fea.case import TONNES_PER_MM3, LoadCase, held, loaded, refuse_loose
from formparts.fea.decks import (
    CAUTION,
    elastic,
    element_lines,
    plain_text,
    set_lines,
    set_names,
    step_lines,
    support_lines,
    surface_lines,
)
from formparts.fea.elements import flat_triangles
from formparts.fea.gaps import distances
from formparts.fea.mesh import ElementBlock, FeaMesh, mesh_of
from formparts.fea.names import named
from formparts.fea.solver import Answer, solved_deck
from formparts.quantities import shown_value
from formparts.short_repr import short_repr

_TIE_GAP: Final = 0.01
"""Largest distance between faces that are bonded [mm]."""
_FEWEST_TIED: Final = 3
"""Least number of nodes within that distance."""
_CONTACT_STIFFNESS: Final = 50.0
"""Contact pressure at a depth of 1 mm, in moduli of the softer part per mm.

5 to 50 are advised (CalculiX CrunchiX manual, *SURFACE BEHAVIOR, from memory).
"""


@short_repr
@dataclass(frozen=True, eq=False)
class AssemblyMesh:
    """
    The meshes of all bent parts as one, names with their item before them.

    Parameters
    ----------
    assembly : Assembly
        The assembly.
    items : tuple of Placed
        Those that are in the mesh: bent parts. Round parts are not; joints take the place of bolts.
    mesh : FeaMesh
        All nodes and elements; a face is called `ITEM: NAME`, and an element belongs to `ITEM: FLAT`.
    """

    assembly: Assembly
    items: tuple[Placed, ...]
    mesh: FeaMesh

    @property
    def left_out(self) -> tuple[str, ...]:
        """Items that are not in the mesh."""
        return tuple(item.name for item in self.assembly.items if item not in self.items)

    @property
    def elements(self) -> dict[str, int]:
        """Number of elements of each kind, in all items."""
        types = dict.fromkeys(block.type for block in self.mesh.blocks)
        return {
            type_: sum(len(block.cells) for block in self.mesh.blocks if block.type == type_)
            for type_ in types
        }


@takes(assembly="Assembly", kind="str")
def assembly_mesh(
    assembly: Assembly,
    kind: str = "bricks",
    size: float | None = None,
    layers: int | None = None,
    local: Sequence[tuple[str, float]] = (),
) -> AssemblyMesh:
    """
    Mesh the bent parts of an assembly in their places.

    Parameters
    ----------
    assembly : Assembly
        With its joints.
    kind : "bricks" or "solid"
        Shells have no faces in contact.
    size : float [mm], optional
        As for `mesh_of`.
    layers : int [-], optional
        Elements through the thickness of every part.
    local : sequence of (str, float) [mm]
        `ITEM: NAME`, with `*` for any text, and the length of edges there.

    Returns
    -------
    AssemblyMesh

    Raises
    ------
    InputError
        Another kind, no bent part, an unknown name, or a part that cannot be meshed.
    """
    if kind not in ("bricks", "solid"):
        raise InputError(assembly.name, "fea", kind, "is not a mesh of assemblies", "choose bricks or solid")
    items = tuple(item for item in assembly.items if isinstance(item.part, Body))
    if not items:
        raise InputError(assembly.name, "fea", kind, "there is no bent part to mesh", "place one")
    meshes: dict[tuple[int, tuple[tuple[str, float], ...]], FeaMesh] = {}
    finer = _finer(assembly.name, items, local)
    nodes, blocks, surfaces, first = [], list[ElementBlock](), dict[str, tuple[Integers, ...]](), 0
    for item in items:
        body = item.part
        assert isinstance(body, Body)
        alike = next(n for n, other in enumerate(items) if other.part == body)
        key = (alike, finer[item.name])
        made = meshes[key] = meshes.get(key) or mesh_of(body, kind, size, layers, finer[item.name])
        axes = np.array([item.frame.x, item.frame.y, item.frame.z])
        nodes.append(made.nodes @ axes + np.array(item.frame.origin))
        for block in made.blocks:
            owners = tuple(f"{item.name}: {owner}" for owner in block.owners)
            blocks.append(ElementBlock(block.type, block.cells + first, owners, body.sheet.material))
        for name, faces in made.surfaces.items():
            surfaces[f"{item.name}: {name}"] = tuple(each + first for each in faces)
        first += len(made.nodes)
    one = min(meshes.values(), key=lambda each: each.body.sheet.thickness)
    whole = replace(one.body, name=assembly.name)
    mesh = FeaMesh(whole, one.kind, one.lengths, one.layers, np.concatenate(nodes), tuple(blocks), surfaces)
    return AssemblyMesh(assembly, items, mesh)


def _finer(
    name: str, items: Sequence[Placed], local: Sequence[tuple[str, float]]
) -> dict[str, tuple[tuple[str, float], ...]]:
    """Return shorter elements by name for each item."""
    found: dict[str, tuple[tuple[str, float], ...]] = {item.name: () for item in items}
    for text, size in local:
        which, colon, inner = (part.strip() for part in text.partition(":"))
        if not colon:
            fix = "write it as 'ITEM: NAME=2'"
            raise InputError(name, "--size", shown_value(text), "does not say of which item", fix)
        for item in named(list(found), which, name, "--size"):
            found[item] = (*found[item], (inner, size))
    return found


@takes(made="AssemblyMesh", case="LoadCase", path=("str", "os.PathLike"))
def write_assembly_deck(made: AssemblyMesh, case: LoadCase, path: str | os.PathLike[str]) -> Path:
    """
    Write the deck of an assembly; mass and nodes are proved when it is read back.

    Parameters
    ----------
    made : AssemblyMesh
        Parts and joints.
    case : LoadCase
        Names are `ITEM: NAME`.
    path : path
        The file to write.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        An unknown name, or a joint that joins nothing.
    FileProofError
        The file did not read back.
    """
    return delivered(path, assembly_deck(made, case), lambda draft: _prove(draft, made))[0]


@takes(made="AssemblyMesh", case="LoadCase")
def assembly_solved(made: AssemblyMesh, case: LoadCase) -> Answer:
    """Solve an assembly; the answer is refused unless its reactions balance the load.

    Parameters
    ----------
    made : AssemblyMesh
        Parts and joints.
    case : LoadCase
        Supports and loads.

    Returns
    -------
    Answer

    Raises
    ------
    InputError
        The solver is not on this machine, or the case cannot be written.
    FileProofError
        The solver failed, or the reaction is not the load.
    """
    return solved_deck(made.mesh, case, assembly_deck(made, case))


def assembly_deck(made: AssemblyMesh, case: LoadCase) -> str:
    """Return the text of the deck: mm, N, MPa, tonnes, s."""
    mesh, joints = made.mesh, made.assembly.joints
    contact = touches(made)
    if contact and not case.static:
        problem = "are sought of joints in contact, which open and close"
        raise InputError(made.assembly.name, "case", "modes", problem, "make them bonded or bolted")
    pushed = np.hstack([loaded(mesh, case), np.zeros_like(mesh.nodes)])
    _refuse_held_walls(made, case)
    refuse_loose(mesh, case)
    _refuse_unheld(made, case)
    lines = [
        "*HEADING",
        f"{plain_text(mesh.body.name)}, made by formparts; mm, N, MPa, tonnes, s",
        f"** {CAUTION}",
    ]
    lines += ["*NODE, NSET=ALL_NODES", *_node_lines(mesh.nodes, 1)]
    lines += [*element_lines(mesh), *set_lines(mesh), *surface_lines(mesh), *_sections(made)]
    lines += [line for number, joint in enumerate(joints, 1) for line in _joint(made, joint, number)]
    lines += [*support_lines(mesh, case)]
    lines += [*step_lines(mesh, replace(case, large=case.large or contact), pushed), ""]
    return "\n".join(lines)


def touches(made: AssemblyMesh) -> bool:
    """True when any joint is a contact, which opens and closes."""
    return any(joint.kind == "contact" for joint in made.assembly.joints)


def _node_lines(places: Floats, first: int) -> Iterator[str]:
    return (f"{n}, {x:.12g}, {y:.12g}, {z:.12g}" for n, (x, y, z) in enumerate(places, first))


def _sections(made: AssemblyMesh) -> Iterator[str]:
    """Write material and section of every item; elements are numbered in one sequence."""
    owners = [owner for block in made.mesh.blocks for owner in block.owners]
    for number, item in enumerate(made.items, 1):
        assert isinstance(item.part, Body)
        metal = item.part.sheet.material
        modulus, poisson = elastic(metal, item.name)
        yield f"** {plain_text(item.name)}: {plain_text(metal.name)}\n*ELSET, ELSET=ITEM_{number}"
        yield from (f"{n}," for n, owner in enumerate(owners, 1) if owner.startswith(f"{item.name}: "))
        yield f"*MATERIAL, NAME=METAL_{number}\n*ELASTIC\n{modulus:.12g}, {poisson:.12g}"
        yield f"*DENSITY\n{metal.density * TONNES_PER_MM3:.12g}"
        yield f"*SOLID SECTION, ELSET=ITEM_{number}, MATERIAL=METAL_{number}"


def _joint(made: AssemblyMesh, joint: Joint, number: int) -> Iterator[str]:
    """Write the lines of one joint; what it joins is in a comment."""
    yield f"** {joint.kind}: {plain_text(joint.first)} with {plain_text(joint.second)}"
    if joint.kind == "bolted":
        yield from _bolt(made, joint, number)
        return
    plain = set_names(made.mesh.surfaces)
    master, slave = (f"FACE_{plain[_name(made, place)]}" for place in (joint.first, joint.second))
    if joint.kind == "bonded":
        _refuse_apart(made, joint)
        yield f"*TIE, NAME=JOINT_{number}, POSITION TOLERANCE={_TIE_GAP:g}\n{slave}, {master}"
        return
    softer = min(_modulus(made, item) for item in joint.items)
    yield f"*SURFACE INTERACTION, NAME=TOUCH_{number}\n*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR"
    yield f"{_CONTACT_STIFFNESS * softer:.12g}"
    yield f"*CONTACT PAIR, INTERACTION=TOUCH_{number}, TYPE=SURFACE TO SURFACE\n{slave}, {master}"


def _refuse_apart(made: AssemblyMesh, joint: Joint) -> None:
    """Refuse gaps beyond the tolerance: a solver ties only what lies within it, and does not report the rest."""
    master, slave = (made.mesh.surfaces[_name(made, place)] for place in (joint.first, joint.second))
    corners = np.concatenate([flat_triangles(faces) for faces in master])
    points = made.mesh.nodes[np.unique(np.concatenate([faces.ravel() for faces in slave]))]
    gap = np.sort(distances(points, made.mesh.nodes[corners]))[:_FEWEST_TIED][-1]
    if gap > _TIE_GAP:
        problem = f"lies {gap:.3g} mm from {joint.second!r}: no bond reaches farther than {_TIE_GAP:g} mm"
        fix = "move an item, or name faces that lie on one another"
        raise InputError(made.assembly.name, "joint", repr(joint.first), problem, fix)


def _modulus(made: AssemblyMesh, item: str) -> float:
    (part,) = (placed.part for placed in made.items if placed.name == item)
    assert isinstance(part, Body)
    return elastic(part.sheet.material, item)[0]


def _name(made: AssemblyMesh, place: str) -> str:
    """Return the one name of the mesh that a joint means."""
    item, _, name = (part.strip() for part in place.partition(":"))
    found = named(list(made.mesh.surfaces), f"{item}: {name}", made.assembly.name, "joint")
    if len(found) > 1:
        raise InputError(made.assembly.name, "joint", repr(place), f"names {len(found)} places", "name one")
    return found[0]


def _bolt(made: AssemblyMesh, joint: Joint, number: int) -> Iterator[str]:
    """
    A bolt as a beam between the middles of two sheets: each wall of a hole is rigid and has six motions, those of a
    point half-way between, and springs join them. About its middle a beam's stiffnesses do not mix.
    """
    walls = [_wall(made, place) for place in (joint.first, joint.second)]
    middles = [made.mesh.nodes[nodes].mean(axis=0) for nodes in walls]
    span = middles[1] - middles[0]
    long = float(np.linalg.norm(span))
    if not long > 0.0:
        problem = f"lies in one place with {joint.second!r}"
        raise InputError(made.assembly.name, "joint", repr(joint.first), problem, "join two sheets")
    first = len(made.mesh.nodes) + 4 * (number - 1) + 1
    point = (middles[0] + middles[1]) / 2.0
    yield "*NODE"
    yield from _node_lines(np.repeat(point[None], 4, axis=0), first)
    for side, nodes in enumerate(walls):
        yield from _rigid(nodes, first + 2 * side, first + 2 * side + 1)
    yield from _springs(made, joint, number, span / long, long, first)


def _wall(made: AssemblyMesh, place: str) -> Integers:
    nodes = np.unique(np.concatenate([faces.ravel() for faces in made.mesh.surfaces[_name(made, place)]]))
    return np.asarray(nodes)


def _refuse_held_walls(made: AssemblyMesh, case: LoadCase) -> None:
    """Refuse a support on a wall that follows a bolt: it cannot be held as well."""
    places = [
        place
        for joint in made.assembly.joints
        if joint.kind == "bolted"
        for place in (joint.first, joint.second)
    ]
    for place in places:
        if held(made.mesh, case)[_wall(made, place)].any():
            problem = "holds the wall of a bolted hole, which follows its bolt"
            fix = f"name faces that do not touch {place!r}"
            raise InputError(made.assembly.name, "fix", ", ".join(case.fix), problem, fix)


def _refuse_unheld(made: AssemblyMesh, case: LoadCase) -> None:
    """Refuse items neither held by a support nor joined to one that is.

    A free structure for modes must be connected.
    """
    still = set(np.flatnonzero(held(made.mesh, case).any(axis=1)).tolist())
    fast = {item.name for item in made.items if still & set(_nodes_of(made, item.name).tolist())}
    fast |= {made.items[0].name} if case.frequencies and not case.fix else set()
    for _ in made.items:
        fast |= {name for joint in made.assembly.joints if fast & set(joint.items) for name in joint.items}
    for item in made.items:
        if item.name not in fast:
            problem = "is held by no support, and joined to nothing that is"
            raise InputError(
                made.assembly.name, "fix", item.name, problem, "fix it, or add a joint to the recipe"
            )


def _nodes_of(made: AssemblyMesh, item: str) -> Integers:
    cells = [
        block.cells[[owner.startswith(f"{item}: ") for owner in block.owners]].ravel()
        for block in made.mesh.blocks
    ]
    return np.concatenate(cells)


def _rigid(nodes: Integers, moves: int, turns: int) -> Iterator[str]:
    """Make every node follow a point that moves and a point that turns, for any displacement."""
    yield f"*NSET, NSET=WALL_{moves}"
    yield from (f"{node + 1}," for node in nodes.tolist())
    yield f"*RIGID BODY, NSET=WALL_{moves}, REF NODE={moves}, ROT NODE={turns}"


def _springs(
    made: AssemblyMesh, joint: Joint, number: int, axis: Floats, long: float, first: int
) -> Iterator[str]:
    """Write three springs between the points and three between their rotations, along and square to the bolt's axis."""
    assert not isinstance(joint.material, str)
    modulus, poisson = elastic(joint.material, made.assembly.name)
    stiff = bolt_stiffness(joint.diameter, long, modulus, poisson)
    across = np.cross(axis, np.eye(3)[int(np.abs(axis).argmin())])
    across /= np.linalg.norm(across)
    name = f"BOLT_{number}"
    directions = ", ".join(f"{part:.12g}" for part in (*axis, *across))
    yield f"*ORIENTATION, NAME={name}, SYSTEM=RECTANGULAR\n{directions}"
    element = sum(len(block.cells) for block in made.mesh.blocks) + 6 * (number - 1)
    for pair, values in enumerate(
        ((stiff.axial, stiff.shear, stiff.shear), (stiff.torsion, stiff.bending, stiff.bending))
    ):
        for direction, value in enumerate(values, 1):
            element += 1
            own = f"{name}_{pair + 1}_{direction}"
            yield f"*ELEMENT, TYPE=SPRING2, ELSET={own}\n{element}, {first + pair}, {first + pair + 2}"
            yield f"*SPRING, ELSET={own}, ORIENTATION={name}\n{direction}, {direction}\n{value:.12g}"


def _prove(path: Path, made: AssemblyMesh) -> None:
    """Prove that there are as many nodes and elements as meshed, and a section for each item."""
    text = path.read_text(encoding="ascii")
    nodes = text.partition("NSET=ALL_NODES\n")[2].partition("*")[0].count("\n")
    if nodes != len(made.mesh.nodes) or text.count("*SOLID SECTION") != len(made.items):
        raise FileProofError(str(path), f"it holds {nodes} nodes, and not {len(made.mesh.nodes)}")
