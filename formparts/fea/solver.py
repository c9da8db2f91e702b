"""Running CalculiX on a deck, and reading what it says. A deck whose reaction is not the load is refused."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from formparts.errors import FileProofError, InputError
from formparts.fea.arrays import Floats, np
from formparts.fea.case import LoadCase, held, loaded
from formparts.fea.decks import deck
from formparts.fea.mesh import FeaMesh

SOLVER: Final = "ccx"
DEBIAN_PACKAGE: Final = "calculix-ccx"
REACTION_REL: Final = 1e-4
"""How far the reaction may be from the load, relative: the solver prints seven digits for each node."""
_LONGEST_RUN: Final = 3600.0
"""Seconds after which a run is given up."""


@dataclass(frozen=True, eq=False)
class Answer:
    """
    What the solver found.

    Parameters
    ----------
    displacements : (n, 3) array [mm]
        Of every node of the mesh; none when frequencies were sought.
    reaction : (x, y, z) [N]
        Sum of the forces at all supports.
    frequencies : tuple of float [Hz]
        The lowest natural frequencies, when they were sought.
    """

    displacements: Floats
    reaction: tuple[float, float, float]
    frequencies: tuple[float, ...]


def solver_there() -> bool:
    """True when the solver can be run on this machine."""
    return shutil.which(SOLVER) is not None


def solver_version() -> str:
    """Name and version of the solver, as it says itself."""
    said = subprocess.run([SOLVER, "-v"], capture_output=True, text=True, timeout=60.0, check=False)
    found = re.search(r"Version\s+(\S+)", said.stdout + said.stderr)
    return f"CalculiX {found[1]}" if found else "CalculiX"


def solved(mesh: FeaMesh, case: LoadCase) -> Answer:
    """
    Solve a case, and prove that what comes out holds what goes in.

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
    program = shutil.which(SOLVER)
    if program is None:
        fix = f"install the Debian package {DEBIAN_PACKAGE}, or take the deck elsewhere"
        raise InputError(mesh.body.name, "solver", SOLVER, "is not on this machine", fix)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "job.inp").write_text(deck(mesh, case), encoding="ascii")
        said = _run(program, folder, mesh.body.name)
        printed = Path(folder) / "job.dat"
        text = printed.read_text(encoding="ascii", errors="replace") if printed.exists() else ""
    if not text.strip():
        raise FileProofError(f"deck of {mesh.body.name}", f"the solver gave no answer: {_last_words(said)}")
    return _frequencies(text) if case.frequencies else _static(text, mesh, case)


def _run(program: str, folder: str, part: str) -> str:
    try:
        run = subprocess.run(
            [program, "job"], cwd=folder, capture_output=True, text=True, timeout=_LONGEST_RUN, check=False
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise FileProofError(f"deck of {part}", f"the solver could not be run: {error}") from error
    return run.stdout + run.stderr


def _last_words(said: str) -> str:
    lines = [line.strip() for line in said.splitlines() if "ERROR" in line] or said.split("\n")[-3:]
    return " ".join(lines[:2])[:300]


def _static(text: str, mesh: FeaMesh, case: LoadCase) -> Answer:
    number = r"([-+]?\d\.\d+E[-+]\d+)"
    totals = re.search(rf"total force[^\n]*\n\s*{number}\s+{number}\s+{number}", text)
    moved = np.zeros_like(mesh.nodes)
    for row in re.findall(rf"^\s*(\d+)\s+{number}\s+{number}\s+{number}\s*$", text, re.MULTILINE):
        moved[int(row[0]) - 1] = [float(value) for value in row[1:]]
    if totals is None:
        raise FileProofError(f"deck of {mesh.body.name}", "the solver printed no reaction")
    pushed = loaded(mesh, case)
    # What acts on a node that is held goes into the support at once, and the solver does not print it.
    at_once = pushed[held(mesh, case)].sum(axis=0)
    reaction = np.array([float(value) for value in totals.groups()]) - at_once
    size = float(np.abs(pushed).sum())
    if not np.abs(reaction + pushed.sum(axis=0)).max() <= REACTION_REL * size:
        problem = f"the reaction {reaction} N is not the load {pushed.sum(axis=0)} N turned about"
        raise FileProofError(f"deck of {mesh.body.name}", problem)
    return Answer(moved, (float(reaction[0]), float(reaction[1]), float(reaction[2])), ())


def _frequencies(text: str) -> Answer:
    """The table of eigenvalues: number, eigenvalue, rad/s, cycles/s."""
    rows = re.findall(
        r"^\s*\d+\s+\S+\s+\S+\s+(\S+)\s+\S+\s*$", text.split("P A R T I C I P A T I O N")[0], re.MULTILINE
    )
    values = [float(value) for value in rows if re.fullmatch(r"[-+]?\d\.\d+E[-+]\d+", value)]
    return Answer(np.zeros((0, 3)), (0.0, 0.0, 0.0), tuple(values))
