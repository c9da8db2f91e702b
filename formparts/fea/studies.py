"""A part under load from end to end: mesh, case, answer of the solver, and the beam by hand that stands beside it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from formparts.body import Body
from formparts.errors import InputError
from formparts.export.files import written
from formparts.fea.arrays import np
from formparts.fea.case import LoadCase, loaded
from formparts.fea.decks import CAUTION, deck, write_deck
from formparts.fea.mesh import FeaMesh, mesh_of
from formparts.fea.msh import write_msh
from formparts.fea.picture import deflected_png
from formparts.fea.solver import Answer, solved, solver_version
from formparts.fea.vtu import write_vtu
from formparts.sections import Section, section

CAUTIONS: Final = (f"{CAUTION[0].upper()}{CAUTION[1:]}.",)
_EMPTY: Final = LoadCase()
LARGE_SHARE: Final = 0.1
"""Of the part's greatest extent: above it a linear answer does not hold; common practice, no source."""
LARGE_IN_PLATES: Final = 0.5
"""Of the thickness: above it a plate held all round stretches as well as bends, and is stiffer than a linear one.
S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells (from memory)."""


@dataclass(frozen=True)
class FeaOrder:
    """
    What is asked for beside a part's other files.

    Parameters
    ----------
    kind : str
        `shell`, `solid` or `bricks`.
    size : float [mm], optional
        Length of an element; else twice the thickness, or a hundredth of the longest side if that is more.
    case : LoadCase
        What holds the part and what loads it.
    solve : bool
        Whether the solver is run.
    """

    kind: str
    size: float | None = None
    case: LoadCase = _EMPTY
    solve: bool = False


@dataclass(frozen=True, eq=False)
class Study:
    """
    A mesh with its case, and what was found.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    case : LoadCase
        What holds it and what loads it.
    answer : Answer, optional
        Of the solver, when it was run.
    solver : str
        Its name and version; empty when it was not run.
    by_hand : Section, optional
        The section across the bends; none for a part that is bent in two directions.
    picture : bytes
        The deflected shape as PNG; empty when there is none.
    scale : float [-]
        How many times larger than they are displacements are drawn.
    """

    mesh: FeaMesh
    case: LoadCase
    answer: Answer | None
    solver: str
    by_hand: Section | None
    picture: bytes
    scale: float

    @property
    def deflection(self) -> tuple[float, tuple[float, float, float]] | None:
        """The largest displacement [mm], and where it is on the part as it was made [mm]."""
        if self.answer is None or not len(self.answer.displacements):
            return None
        lengths = np.linalg.norm(self.answer.displacements, axis=1)
        x, y, z = self.mesh.nodes[int(lengths.argmax())].tolist()
        return float(lengths.max()), (x, y, z)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What the answer cannot say: always, and of displacements as large as these."""
        if self.deflection is None:
            return CAUTIONS
        largest, extent = self.deflection[0], float(np.ptp(self.mesh.nodes, axis=0).max())
        if largest > LARGE_SHARE * extent:
            share = (
                f"The largest displacement is {100 * largest / extent:.3g} % of the part's greatest extent"
            )
            return (*CAUTIONS, f"{share}: too large for a linear answer, which holds up to about a tenth.")
        if largest > LARGE_IN_PLATES * self.mesh.body.sheet.thickness:
            return (
                *CAUTIONS,
                "The largest displacement is more than half the thickness: where a flat is held all round, it is "
                "stiffer than this linear answer.",
            )
        return CAUTIONS


def study(body: Body, order: FeaOrder) -> Study:
    """
    Mesh a part, solve its case when that is asked for; nothing is written.

    Parameters
    ----------
    body : Body
        The part.
    order : FeaOrder
        What is asked for.

    Returns
    -------
    Study

    Raises
    ------
    InputError
        The kind, the size, a name or a load is bad, or the solver is not on this machine.
    FileProofError
        The solver failed, or the reaction is not the load.
    """
    mesh = mesh_of(body, order.kind, order.size)
    deck(mesh, order.case)  # a name or a load that is wrong is said before the solver starts
    answer = solved(mesh, order.case) if order.solve else None
    picture, scale = b"", 1.0
    if answer is not None and len(answer.displacements):
        picture, scale = deflected_png(mesh, answer)
    solver = solver_version() if order.solve else ""
    return Study(mesh, order.case, answer, solver, _by_hand(body), picture, scale)


def _by_hand(body: Body) -> Section | None:
    """The section across the bends; a part that is bent in two directions has none."""
    try:
        return section(body)
    except InputError:
        return None


def write_study(made: Study, base: Path) -> tuple[Path, ...]:
    """Write deck, MSH, VTU and the picture, all called `base` and their own ending."""
    paths = [
        write_deck(made.mesh, made.case, base.with_name(f"{base.name}.inp")),
        write_msh(made.mesh, base.with_name(f"{base.name}.msh")),
        write_vtu(made.mesh, base.with_name(f"{base.name}.vtu"), made.answer),
    ]
    if made.picture:
        paths.append(written(base.with_name(f"{base.name}-deflected.png"), made.picture))
    return tuple(paths)


def study_record(made: Study) -> dict[str, Any]:
    """All figures of a study as plain data, names with their units; what was not sought is null or empty."""
    mesh, answer, deflection = made.mesh, made.answer, made.deflection
    static = answer is not None and deflection is not None
    return {
        "kind": mesh.kind,
        "size_mm": mesh.size,
        "nodes": len(mesh.nodes),
        "elements": {block.type: len(block.cells) for block in mesh.blocks},
        "mass_kg": mesh.mass,
        "fixed": list(made.case.fix),
        "loads": [
            {
                "names": load.where,
                "force_n": load.force,
                "direction": None if load.direction is None else list(load.direction),
            }
            for load in made.case.loads
        ],
        "load_n": loaded(mesh, made.case).sum(axis=0).tolist(),
        "solver": made.solver,
        "largest_displacement_mm": None if deflection is None else deflection[0],
        "place_mm": None if deflection is None else list(deflection[1]),
        "reaction_n": list(answer.reaction) if answer is not None and static else None,
        "frequencies_hz": [] if answer is None else list(answer.frequencies),
        "drawn_times": made.scale,
        "by_hand": None if made.by_hand is None else _section_record(made.by_hand),
        "cautions": list(made.cautions),
    }


def _section_record(cut: Section) -> dict[str, Any]:
    return {
        "area_mm2": cut.area,
        "centroid_mm": list(cut.centroid),
        "inertia_u_mm4": cut.inertia_u,
        "inertia_v_mm4": cut.inertia_v,
        "product_mm4": cut.product,
        "greatest_mm4": cut.greatest,
        "least_mm4": cut.least,
        "principal_angle_deg": cut.principal_angle,
        "modulus_u_mm3": cut.modulus_u,
        "modulus_v_mm3": cut.modulus_v,
        "torsion_mm4": cut.torsion,
    }
