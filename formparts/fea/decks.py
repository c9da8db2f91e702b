"""The mesh as an input deck of the kind that CalculiX and others of its family read, written by ourselves."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Final

from formparts.errors import InputError
from formparts.export.files import delivered
from formparts.fea.arrays import Floats, np
from formparts.fea.case import TONNES_PER_MM3, LoadCase, held, loaded, turning
from formparts.fea.deck_proof import prove_deck
from formparts.fea.loads import node_sets
from formparts.fea.mesh import FeaMesh
from formparts.materials import Material

CAUTION: Final = (
    "linear, elastic, as formed without residual stress; yielding is not judged; a qualified engineer decides"
)
_SUPPORTS: Final = "FIXED"
_LONGEST_NAME: Final = 70


def write_deck(mesh: FeaMesh, case: LoadCase, path: str | os.PathLike[str]) -> Path:
    """
    Write a deck, and prove that its text holds the mesh, the mass and the load.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    case : LoadCase
        What holds it and what loads it; may be empty.
    path : path
        Where the file is to stand.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        A name is not one of the part, what is loaded is held, or the material has no modulus.
    FileProofError
        The deck did not read back as what was meant.
    """
    text = deck(mesh, case)
    return delivered(path, text, lambda draft: prove_deck(draft, mesh, case))[0]


def deck(mesh: FeaMesh, case: LoadCase) -> str:
    """The text of a deck: mm, N, MPa, tonnes, s."""
    return "\n".join([*_model(mesh), *_case(mesh, case), ""])


def set_names(names: Iterable[str]) -> dict[str, str]:
    """For every name of the part one that every solver takes: letters, digits and underscores, no two alike."""
    made: dict[str, str] = {}
    taken = {_SUPPORTS, "ALL"}
    for name in names:
        bare = re.sub(r"[^A-Z0-9]+", "_", name.upper()).strip("_")[:_LONGEST_NAME] or "SET"
        plain = bare if bare[0].isalpha() else f"S_{bare}"
        candidate, number = plain, 2
        while candidate in taken:
            candidate, number = f"{plain}_{number}", number + 1
        taken.add(candidate)
        made[name] = candidate
    return made


def _model(mesh: FeaMesh) -> Iterator[str]:
    body = mesh.body
    yield "*HEADING"
    yield f"{_plain(body.name)}, made by formparts; mm, N, MPa, tonnes, s"
    yield f"** {CAUTION}"
    yield "*NODE, NSET=ALL"
    yield from (f"{n}, {x:.12g}, {y:.12g}, {z:.12g}" for n, (x, y, z) in enumerate(mesh.nodes, 1))
    yield from _elements(mesh)
    yield from _sets(mesh)
    yield from _material(body.sheet.material, body.name)
    if mesh.kind == "shell":
        yield f"*SHELL SECTION, ELSET=ALL, MATERIAL=SHEET\n{body.sheet.thickness:.12g}"
    else:
        yield "*SOLID SECTION, ELSET=ALL, MATERIAL=SHEET"


def _plain(text: str) -> str:
    """Text that every reader of decks takes."""
    return re.sub(r"[^\x20-\x7e]", "_", text)


def _elements(mesh: FeaMesh) -> Iterator[str]:
    number = 0
    for block in mesh.blocks:
        yield f"*ELEMENT, TYPE={block.type}, ELSET=ALL"
        for cell in block.cells:
            number += 1
            yield from _folded([number, *(int(n) + 1 for n in cell)], more=True)


def _folded(numbers: Sequence[int], more: bool = False) -> Iterator[str]:
    """Numbers in lines of at most sixteen; `more`: a line that goes on ends in a comma."""
    for start in range(0, len(numbers), 16):
        line = ", ".join(map(str, numbers[start : start + 16]))
        yield line + ("," if more and start + 16 < len(numbers) else "")


def _sets(mesh: FeaMesh) -> Iterator[str]:
    """Elements of every flat and bend, nodes under every name; the part's own names stand in comments."""
    sets = node_sets(mesh)
    plain = set_names(sets)
    owners = [owner for block in mesh.blocks for owner in block.owners]
    whose: dict[str, list[int]] = {}
    for number, owner in enumerate(owners, 1):
        whose.setdefault(owner, []).append(number)
    for name, elements in whose.items():
        yield f"** {_plain(name)}\n*ELSET, ELSET={plain[name]}"
        yield from _folded(elements)
    for name, nodes in sets.items():
        yield f"** {_plain(name)}\n*NSET, NSET={plain[name]}"
        yield from _folded([int(n) + 1 for n in nodes])


def _material(material: Material, part: str) -> Iterator[str]:
    if material.modulus is None or material.poisson is None:
        missing = "modulus" if material.modulus is None else "Poisson's ratio"
        fix = "name a material of the table that has both"
        raise InputError(part, "material", material.name, f"has no {missing} in the table", fix)
    yield f"** {_plain(material.name)}\n*MATERIAL, NAME=SHEET"
    yield f"*ELASTIC\n{material.modulus:.12g}, {material.poisson:.12g}"
    yield f"*DENSITY\n{material.density * TONNES_PER_MM3:.12g}"


def _case(mesh: FeaMesh, case: LoadCase) -> Iterator[str]:
    fixed, pushed = held(mesh, case), loaded(mesh, case)
    if not len(fixed) and not case.frequencies:
        return
    if len(fixed):
        yield f"*NSET, NSET={_SUPPORTS}"
        yield from _folded([int(n) + 1 for n in fixed])
        yield f"*BOUNDARY\n{_SUPPORTS}, 1, 3"
        yield from (f"{node + 1}, {axis + 4}" for node, axis in turning(mesh, fixed))
    yield "*STEP"
    if case.frequencies:
        yield f"*FREQUENCY\n{case.frequencies}\n*NODE FILE\nU\n*END STEP"
        return
    yield "*STATIC"
    if case.loads:
        yield "*CLOAD"
        yield from _cload(pushed)
    yield f"*NODE PRINT, NSET={_SUPPORTS}, TOTALS=ONLY\nRF"
    yield "*NODE PRINT, NSET=ALL\nU"
    yield (
        "*NODE FILE, OUTPUT=2D\nU\n*EL FILE, OUTPUT=2D\nS"
        if mesh.kind == "shell"
        else "*NODE FILE\nU\n*EL FILE\nS"
    )
    yield "*END STEP"


def _cload(pushed: Floats) -> Iterator[str]:
    for node, axis in np.argwhere(pushed != 0.0):
        yield f"{node + 1}, {axis + 1}, {pushed[node, axis]:.12g}"
