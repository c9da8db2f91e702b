"""The mesh as an input deck in the format that CalculiX and related solvers read."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal, TypeAlias

from formparts.arguments import takes
from formparts.errors import InputError
from formparts.export.files import delivered
from formparts.fea.arrays import Floats, np
from formparts.fea.case import (
    STANDARD_GRAVITY,
    TONNES_PER_MM3,
    LoadCase,
    loaded,
    refuse_loose,
    support_nodes,
    turning,
)
from formparts.fea.deck_proof import prove_deck
from formparts.fea.loads import couples, node_sets
from formparts.fea.mesh import FeaMesh
from formparts.fea.sides import element_sides, side_key
from formparts.materials import Material

CAUTION: Final = "elastic, as formed without residual stress; a licensed practitioner decides and releases"
_SUPPORTS: Final = "SUPPORT"
_LONGEST_NAME: Final = 70
Flavour: TypeAlias = Literal["calculix", "abaqus"]


@dataclass(frozen=True)
class _Words:
    """The differences between the two flavours of a deck."""

    types: Mapping[str, str]
    sides: Mapping[str, str]
    clamp: str
    turning: bool
    output: tuple[str, str]
    large: str


_FLAVOURS: Final[Mapping[str, _Words]] = {
    "calculix": _Words({}, {}, "1, 3", True, ("*NODE FILE{both}\nU, RF", "*EL FILE{both}\nS"), ", NLGEOM, INC=1000"),
    "abaqus": _Words(
        {"S6": "STRI65"}, {"S3": "E1", "S4": "E2", "S5": "E3", "S6": "E4"}, "1, 6", False,
        ("*OUTPUT, FIELD\n*NODE OUTPUT\nU, RF", "*ELEMENT OUTPUT, POSITION=NODES\nS"), ", NLGEOM=YES, INC=1000",
    ),
}  # fmt: skip
"""Triangular shells, edges of shells, how a clamp is held, what is written, and large displacements (from memory)."""


@takes(mesh="FeaMesh", case="LoadCase", path=("str", "os.PathLike"))
def write_deck(
    mesh: FeaMesh, case: LoadCase, path: str | os.PathLike[str], flavour: Flavour = "calculix"
) -> Path:
    """
    Write a deck, and prove that its text contains the mesh, the mass and the load.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    case : LoadCase
        What holds it and what loads it; may be empty.
    path : path
        The file to write.
    flavour : "calculix" or "abaqus"
        Whose keywords are used where the two differ.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        A name is not one of the part, what is loaded is held, or the material has no modulus.
    FileProofError
        The deck did not read back as intended.
    """
    text = deck(mesh, case, flavour)
    return delivered(path, text, lambda draft: prove_deck(draft, mesh, case))[0]


def deck(mesh: FeaMesh, case: LoadCase, flavour: Flavour = "calculix") -> str:
    """Return the text of a deck: mm, N, MPa, tonnes, s."""
    words = _FLAVOURS[flavour]
    return "\n".join([*_model(mesh, words), *_case(mesh, case, words), ""])


def check_case(mesh: FeaMesh, case: LoadCase) -> None:
    """Refuse a case that no deck can be written of, before anything is solved."""
    elastic(mesh.body.sheet.material, mesh.body.name)
    for _ in _case(mesh, case, _FLAVOURS["calculix"]):
        pass


def set_names(names: Iterable[str]) -> dict[str, str]:
    """Return, for every name of the part, a unique one that every solver accepts: letters, digits and underscores."""
    made: dict[str, str] = {}
    taken = {"ALL"}
    for name in names:
        bare = re.sub(r"[^A-Z0-9]+", "_", name.upper()).strip("_")[:_LONGEST_NAME] or "SET"
        plain = bare if bare[0].isalpha() else f"S_{bare}"
        plain = f"N_{plain}" if plain.startswith(_SUPPORTS) else plain
        candidate, number = plain, 2
        while candidate in taken:
            candidate, number = f"{plain}_{number}", number + 1
        taken.add(candidate)
        made[name] = candidate
    return made


def _model(mesh: FeaMesh, words: _Words) -> Iterator[str]:
    body = mesh.body
    yield "*HEADING"
    yield f"{plain_text(body.name)}, made by formparts; mm, N, MPa, tonnes, s"
    yield f"** {CAUTION}"
    yield "*NODE, NSET=ALL"
    yield from (f"{n}, {x:.12g}, {y:.12g}, {z:.12g}" for n, (x, y, z) in enumerate(mesh.nodes, 1))
    yield from element_lines(mesh, words)
    yield from set_lines(mesh)
    yield from surface_lines(mesh, words)
    yield from _material(body.sheet.material, body.name)
    if mesh.kind == "shell":
        yield f"*SHELL SECTION, ELSET=ALL, MATERIAL=SHEET\n{body.sheet.thickness:.12g}"
    else:
        yield "*SOLID SECTION, ELSET=ALL, MATERIAL=SHEET"


def plain_text(text: str) -> str:
    """Return text that every reader of decks accepts."""
    return re.sub(r"[^\x20-\x7e]", "_", text)


def element_lines(mesh: FeaMesh, words: _Words = _FLAVOURS["calculix"]) -> Iterator[str]:
    number = 0
    for block in mesh.blocks:
        yield f"*ELEMENT, TYPE={words.types.get(block.type, block.type)}, ELSET=ALL"
        for cell in block.cells:
            number += 1
            yield from _folded([number, *(int(n) + 1 for n in cell)], more=True)


def _folded(numbers: Sequence[int], more: bool = False) -> Iterator[str]:
    """Return numbers in lines of at most sixteen; with `more` a line that continues ends in a comma."""
    for start in range(0, len(numbers), 16):
        line = ", ".join(map(str, numbers[start : start + 16]))
        yield line + ("," if more and start + 16 < len(numbers) else "")


def set_lines(mesh: FeaMesh) -> Iterator[str]:
    """Write elements of every flat and bend, nodes under every name; the part's own names are in comments."""
    sets = node_sets(mesh)
    plain = set_names(sets)
    owners = [owner for block in mesh.blocks for owner in block.owners]
    whose: dict[str, list[int]] = {}
    for number, owner in enumerate(owners, 1):
        whose.setdefault(owner, []).append(number)
    for name, elements in whose.items():
        yield f"** {plain_text(name)}\n*ELSET, ELSET={plain[name]}"
        yield from _folded(elements)
    for name, nodes in sets.items():
        yield f"** {plain_text(name)}\n*NSET, NSET={plain[name]}"
        yield from _folded([int(n) + 1 for n in nodes])


def elastic(material: Material, part: str) -> tuple[float, float]:
    """Return modulus [MPa] and Poisson's ratio of a material that has both."""
    if material.modulus is None or material.poisson is None:
        missing = "modulus" if material.modulus is None else "Poisson's ratio"
        fix = "name a material of the table that has both"
        raise InputError(part, "material", material.name, f"has no {missing} in the table", fix)
    return material.modulus, material.poisson


def _material(material: Material, part: str) -> Iterator[str]:
    modulus, poisson = elastic(material, part)
    yield f"** {plain_text(material.name)}\n*MATERIAL, NAME=SHEET"
    yield f"*ELASTIC\n{modulus:.12g}, {poisson:.12g}"
    yield f"*DENSITY\n{material.density * TONNES_PER_MM3:.12g}"


def _case(mesh: FeaMesh, case: LoadCase, words: _Words) -> Iterator[str]:
    """Supports, then the steps of a case; nothing for a mesh without one."""
    pushed = np.hstack([loaded(mesh, case), couples(mesh, case.loads)])
    refuse_loose(mesh, case)
    if not case.fix and not case.acts and not case.frequencies:
        return
    yield from support_lines(mesh, case, words)
    yield from step_lines(mesh, case, pushed, words)


def step_lines(
    mesh: FeaMesh, case: LoadCase, pushed: Floats, words: _Words = _FLAVOURS["calculix"]
) -> Iterator[str]:
    """Return the steps of a case: the loads, then modes or buckling."""
    large = words.large if case.large else ""
    if case.static or (case.frequencies and case.acts):
        yield f"*STEP{large}\n*STATIC" + ("\n0.2, 1." if case.large else "")
        yield from _acting(case, pushed)
        yield from _wanted(mesh, words)
        yield from _totals(case, words)
        yield "*END STEP"
    if case.frequencies:
        yield "*STEP, PERTURBATION" if case.acts else "*STEP"
        yield f"*FREQUENCY\n{case.frequencies}"
        yield from _wanted(mesh, words)
        yield "*END STEP"
    if case.buckling:
        yield f"*STEP\n*BUCKLE\n{case.buckling}"
        yield from _acting(case, pushed)
        yield from _wanted(mesh, words)
        yield "*END STEP"


def support_lines(mesh: FeaMesh, case: LoadCase, words: _Words = _FLAVOURS["calculix"]) -> Iterator[str]:
    """Return a set for each support, one for all of them, and what is held."""
    found = support_nodes(mesh, case)
    for number, (item, nodes) in enumerate(found, 1):
        name = f"{_SUPPORTS}_{number}"
        yield f"** {plain_text(item.where)}\n*NSET, NSET={name}"
        yield from _folded([int(n) + 1 for n in nodes])
        if item.clamped:
            yield f"*BOUNDARY\n{name}, {words.clamp if mesh.kind == 'shell' else '1, 3'}"
        elif not item.displacement:
            yield "*BOUNDARY"
            yield from (f"{name}, {axis + 1}, {axis + 1}" for axis in item.directions)
    if found:
        yield f"*NSET, NSET={_SUPPORTS}_ALL"
        yield from _folded([int(n) + 1 for n in np.unique(np.concatenate([nodes for _, nodes in found]))])
    turned = [f"{node + 1}, {axis + 4}" for node, axis in turning(mesh, case)] if words.turning else []
    if turned:
        yield "*BOUNDARY"
        yield from turned


def _acting(case: LoadCase, pushed: Floats) -> Iterator[str]:
    """Return the enforced displacements, gravity and forces of a step."""
    for number, item in enumerate(case.supports, 1):
        if item.displacement:
            axis = item.directions[0] + 1
            yield f"*BOUNDARY\n{_SUPPORTS}_{number}, {axis}, {axis}, {item.displacement:.12g}"
    size = math.hypot(*case.gravity)
    if size:
        x, y, z = (part / size for part in case.gravity)
        yield f"*DLOAD\nALL, GRAV, {size * STANDARD_GRAVITY:.12g}, {x:.12g}, {y:.12g}, {z:.12g}"
    if case.loads:
        yield "*CLOAD"
        yield from _cload(pushed)


def _wanted(mesh: FeaMesh, words: _Words) -> Iterator[str]:
    """Return the requested results; for shells both skins, as the mean over the thickness shows no bending."""
    both = ", OUTPUT=3D" if mesh.kind == "shell" else ""
    yield from (line.format(both=both) for line in words.output)


def _totals(case: LoadCase, words: _Words) -> Iterator[str]:
    """Request the sums of reactions, which this solver prints with more digits than those of each node."""
    if words.turning:
        for name in (*map(str, range(1, len(case.fix) + 1)), *(["ALL"] if case.fix else [])):
            yield f"*NODE PRINT, NSET={_SUPPORTS}_{name}, TOTALS=ONLY\nRF"


def _cload(pushed: Floats) -> Iterator[str]:
    for node, axis in np.argwhere(pushed != 0.0):
        yield f"{node + 1}, {axis + 1}, {pushed[node, axis]:.12g}"


def surface_lines(mesh: FeaMesh, words: _Words = _FLAVOURS["calculix"]) -> Iterator[str]:
    """Every named face as faces of elements, for loads and contact of an analyst's own."""
    plain = set_names(mesh.surfaces)
    sides = element_sides(mesh)
    for name, kinds in mesh.surfaces.items():
        keys = (side_key(face, mesh.kind != "shell") for faces in kinds for face in faces.tolist())
        rows = [sides[key] for key in keys if key in sides]
        if rows:
            yield f"** {plain_text(name)}\n*SURFACE, NAME=FACE_{plain[name]}, TYPE=ELEMENT"
            names = words.sides if mesh.kind == "shell" else {}
            yield from (f"{element}, {names.get(side, side)}" for element, side in rows)
