"""Run CalculiX on a deck and read its results. A result whose reactions do not balance the load is refused."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from formparts.arguments import takes
from formparts.errors import FileProofError, InputError
from formparts.fea.arrays import Floats, Integers, np
from formparts.fea.case import LoadCase, held, loaded, support_nodes, weight
from formparts.fea.curvature import with_curvature
from formparts.fea.decks import deck
from formparts.fea.frd import Results, read_results
from formparts.fea.mesh import FeaMesh
from formparts.short_repr import short_repr

SOLVER: Final = "ccx"
DEBIAN_PACKAGE: Final = "calculix-ccx"
ROUNDED_REL: Final = 0.01
"""Up to this a slender part is delivered with a caution: the solver's rounding grows with length over thickness, and
displacements are off by about as much as the reaction (seen with CalculiX 2.20 on strips of 2000 thicknesses)."""
_LONGEST_RUN: Final = 3600.0
"""Seconds after which a run is given up."""


@short_repr
@dataclass(frozen=True)
class Reaction:
    """
    The reaction of one support.

    Parameters
    ----------
    where : str
        The names that are held.
    force : (x, y, z) [N]
        On the part.
    moment : (x, y, z) [Nmm]
        On the part, about the middle of the support's nodes.
    place : (x, y, z) [mm]
        The middle of the support's nodes.
    """

    where: str
    force: tuple[float, float, float]
    moment: tuple[float, float, float]
    place: tuple[float, float, float]


@short_repr
@dataclass(frozen=True, eq=False)
class Answer:
    """
    The result of the solver.

    Parameters
    ----------
    displacements : (n, 3) array [mm]
        Of every node of the mesh; none when frequencies were sought.
    reaction : (x, y, z) [N]
        Sum of the forces at all supports.
    frequencies : tuple of float [Hz]
        The lowest natural frequencies, when they were sought.
    stress : (n, sides, 6) array [MPa]
        xx, yy, zz, xy, yz, zx at every node; of shells on the lower and on the upper skin.
    reactions : tuple of Reaction
        The reaction of each support.
    modes : tuple of (n, 3) arrays [-]
        The shape of each natural frequency or buckling factor, of any size.
    buckling : tuple of float [-]
        Buckling factors on the load, when they were sought.
    imbalance : float [-]
        Relative deviation of the reaction from the load.
    """

    displacements: Floats
    reaction: tuple[float, float, float]
    frequencies: tuple[float, ...]
    stress: Floats = field(default_factory=lambda: np.zeros((0, 1, 6)))
    reactions: tuple[Reaction, ...] = ()
    modes: tuple[Floats, ...] = ()
    buckling: tuple[float, ...] = ()
    imbalance: float = 0.0


def solver_there() -> bool:
    """True when the solver can be run on this machine."""
    return shutil.which(SOLVER) is not None


def require_solver(where: str) -> str:
    """Return the path of the solver; without it the error names the package that contains it."""
    program = shutil.which(SOLVER)
    if program is None:
        fix = f"install the Debian package {DEBIAN_PACKAGE}, or take the deck elsewhere"
        raise InputError(where, "solver", SOLVER, "is not on this machine", fix)
    return program


def solver_version() -> str:
    """Return name and version of the solver, as it reports them."""
    said = subprocess.run([SOLVER, "-v"], capture_output=True, text=True, timeout=60.0, check=False)
    found = re.search(r"Version\s+(\S+)", said.stdout + said.stderr)
    return f"CalculiX {found[1]}" if found else "CalculiX"


@takes(mesh="FeaMesh", case="LoadCase")
def solved(mesh: FeaMesh, case: LoadCase) -> Answer:
    """
    Solve a case, and prove that the reactions balance the loads.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    case : LoadCase
        What holds it and what loads it.

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
    return solved_deck(mesh, case, deck(mesh, case))


def solved_deck(mesh: FeaMesh, case: LoadCase, text: str) -> Answer:
    """Run a deck of a mesh and a case, and prove that the reactions balance the loads."""
    program = require_solver(mesh.body.name)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "job.inp").write_text(text, encoding="ascii")
        said = _run(program, folder, mesh.body.name)
        printed = _text(Path(folder) / "job.dat")
        found = Path(folder) / "job.frd"
        if "*ERROR" in said or not found.exists():
            raise FileProofError(
                f"deck of {mesh.body.name}", f"the solver gave no answer: {_last_words(said)}"
            )
        return _answer(mesh, case, read_results(found), printed)


def _text(path: Path) -> str:
    return path.read_text(encoding="ascii", errors="replace") if path.exists() else ""


def _run(program: str, folder: str, part: str) -> str:
    try:
        run = subprocess.run(
            [program, "job"], cwd=folder, capture_output=True, text=True, timeout=_LONGEST_RUN, check=False,
            env={**os.environ, "OMP_NUM_THREADS": os.environ.get("OMP_NUM_THREADS", "1")},
        )  # fmt: skip
    except (OSError, subprocess.TimeoutExpired) as error:
        raise FileProofError(f"deck of {part}", f"the solver could not be run: {error}") from error
    return run.stdout + run.stderr


def _last_words(said: str) -> str:
    lines = [line.strip() for line in said.splitlines() if "ERROR" in line] or said.split("\n")[-3:]
    return " ".join(lines[:2])[:300]


def _answer(mesh: FeaMesh, case: LoadCase, results: Results, text: str) -> Answer:
    """Return the requested results, from the fields of the last step of its kind."""
    through = _through(mesh, results)
    frequencies = _eigenvalues(text) if case.frequencies else ()
    factors = _factors(text) if case.buckling else ()
    count = len(frequencies) or len(factors)
    if case.static:
        return _static(mesh, case, results, through, _printed(text, len(case.fix)))
    if not count or len(results.steps) < count:
        raise FileProofError(f"deck of {mesh.body.name}", "the solver found no mode")
    modes = tuple(_mean(step["DISP"], through) for step in results.steps[-count:])
    return Answer(np.zeros((0, 3)), (0.0, 0.0, 0.0), frequencies, modes=modes, buckling=factors)


def _through(mesh: FeaMesh, results: Results) -> Integers:
    """
    For every node of the mesh its rows in a field: those on the lower and the upper skin, and one between them or -1.

    A node of a solid is all of them; of a shell the solver makes two, and at the corners of its elements a third.
    """
    if mesh.kind != "shell":
        rows = results.rows(np.arange(1, len(mesh.nodes) + 1))
        return np.column_stack([rows, rows, np.full(len(rows), -1)])
    ends = np.full((len(mesh.nodes), 3), -1, dtype=np.int64)
    cells = [cell for block in mesh.blocks for cell in block.cells]
    for cell, solid in zip(cells, results.elements, strict=True):
        half, found = len(cell) // 2, np.array(solid)
        ends[cell[:half]] = np.column_stack(
            [found[:half], found[half : 2 * half], found[3 * half : 4 * half]]
        )
        ends[cell[half:], :2] = np.column_stack([found[2 * half : 3 * half], found[4 * half :]])
    return np.asarray(
        np.where(ends < 0, -1, results.rows(np.maximum(ends, results.numbers[0]).ravel()).reshape(-1, 3))
    )


def _mean(field_: Floats, through: Integers) -> Floats:
    return np.asarray(field_[through[:, :2]].mean(axis=1))


def _printed(text: str, supports: int) -> Floats:
    """The last sums of reactions that were printed [N]: one of each support, and one of all."""
    rows = re.findall(rf"total force[^\n]*\n\s*({_NUMBER})\s+({_NUMBER})\s+({_NUMBER})", text)
    found = np.array(rows[len(rows) - supports - 1 :] if supports else [], dtype=float).reshape(-1, 3)
    if len(found) != (supports + 1 if supports else 0):
        raise FileProofError("deck", "the solver printed no reaction")
    return found


def _static(mesh: FeaMesh, case: LoadCase, results: Results, through: Integers, printed: Floats) -> Answer:
    step = results.steps[-1] if results.steps else {}
    if not {"DISP", "FORC", "STRESS"} <= step.keys():
        raise FileProofError(f"deck of {mesh.body.name}", "the solver printed no reaction")
    sides = through[:, :2] if mesh.kind == "shell" else through[:, :1]
    pushed = loaded(mesh, case) + weight(mesh, case)
    reactions = _reactions(mesh, case, _at_nodes(mesh, results, step["FORC"], through), pushed, printed)
    still = held(mesh, case).any(
        axis=1
    )  # the solver prints all forces on their nodes, what acts there among them
    total = (printed[-1] if len(printed) else np.zeros(3)) - pushed[still].sum(axis=0)
    imbalance = _proved(mesh, total, pushed)
    x, y, z = (float(value) for value in total)
    moved, stress = _mean(step["DISP"], through), np.asarray(step["STRESS"][sides])
    stress = with_curvature(mesh, stress) if mesh.kind == "shell" else stress
    return Answer(moved, (x, y, z), (), stress, reactions, imbalance=imbalance)


def _reactions(
    mesh: FeaMesh, case: LoadCase, ends: tuple[Floats, Floats], pushed: Floats, printed: Floats
) -> tuple[Reaction, ...]:
    """Return the reaction of each support: its force as printed, its moment from the forces on its nodes.

    What acts on the nodes of a support is among the forces that the solver prints, but is not a reaction.
    """
    found = []
    for (item, nodes), sum_ in zip(support_nodes(mesh, case), printed, strict=False):
        at_once = pushed[nodes]
        middle = mesh.nodes[nodes].mean(axis=0)
        turned = np.cross(mesh.nodes[nodes] - middle, ends[0][nodes] - at_once).sum(axis=0)
        moment = turned + ends[1][nodes].sum(axis=0)
        found.append(Reaction(item.where, _three(sum_ - at_once.sum(axis=0)), _three(moment), _three(middle)))
    return tuple(found)


def _at_nodes(mesh: FeaMesh, results: Results, forces: Floats, through: Integers) -> tuple[Floats, Floats]:
    """Force on each node of the mesh, and the couple about it of what the solver puts through the thickness there."""
    force, couple = np.zeros_like(mesh.nodes), np.zeros_like(mesh.nodes)
    for column in (0, 1, 2) if mesh.kind == "shell" else (0,):
        there = np.flatnonzero(through[:, column] >= 0)
        rows = through[there, column]
        force[there] += forces[rows]
        couple[there] += np.cross(results.places[rows] - mesh.nodes[there], forces[rows])
    return force, couple


def _three(values: Floats) -> tuple[float, float, float]:
    return (float(values[0]), float(values[1]), float(values[2]))


def _proved(mesh: FeaMesh, total: Floats, pushed: Floats) -> float:
    """Return the relative deviation of the reaction from the load; refuse a larger one."""
    load, scale = pushed.sum(axis=0), float(np.abs(pushed).sum())
    share = float(np.abs(total + load).max()) / scale if scale else 0.0
    if not share <= ROUNDED_REL:
        problem = f"the reaction {total} N is not equal and opposite to the load {load} N"
        raise FileProofError(f"deck of {mesh.body.name}", problem)
    return share


_NUMBER: Final = r"[-+]?\d\.\d+E[-+]\d+"


def _eigenvalues(text: str) -> tuple[float, ...]:
    """
    The table of eigenvalues: number, eigenvalue, rad/s, cycles/s, and the imaginary part.

    A rigid motion's eigenvalue is nought but for rounding, and may be negative: its frequency is then given as nought.
    """
    head = text.split("P A R T I C I P A T I O N")[0]
    rows = re.findall(rf"^\s*\d+((?:\s+{_NUMBER}){{4}})\s*$", head, re.MULTILINE)
    return tuple(float(row.split()[2]) for row in rows)


def _factors(text: str) -> tuple[float, ...]:
    """The table of buckling factors: number and factor."""
    head = text.partition("B U C K L I N G")[2]
    return tuple(float(row) for row in re.findall(rf"^\s*\d+\s+({_NUMBER})\s*$", head, re.MULTILINE))
