"""An assembly under load from end to end: one mesh, its cases, the solver's answers, stress by item, and the files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from formparts.arguments import takes
from formparts.assembly import Assembly
from formparts.body import Body
from formparts.errors import InputError
from formparts.export.files import written
from formparts.fea.arrays import np
from formparts.fea.assembled import (
    AssemblyMesh,
    assembly_deck,
    assembly_mesh,
    assembly_solved,
    touches,
    write_assembly_deck,
)
from formparts.fea.case import LoadCase
from formparts.fea.orders import FeaOrder
from formparts.fea.peaks import Peak, stressed_most
from formparts.fea.solver import solver_version
from formparts.fea.studies import CAUTIONS, CaseSolution, large_words, with_large
from formparts.fea.study_records import answer_record, mode_record, peak_record
from formparts.fea.vtu import write_vtu
from formparts.short_repr import short_repr


@dataclass(frozen=True)
class ItemStress:
    """
    The greatest equivalent stress in one item.

    Parameters
    ----------
    item : str
        Its name.
    peak : Peak
        The stress and its place.
    yield_strength : float [MPa], optional
        Of its material.
    """

    item: str
    peak: Peak
    yield_strength: float | None

    @property
    def ratio(self) -> float | None:
        """Share of the yield strength [-]."""
        return self.peak.von_mises / self.yield_strength if self.yield_strength else None


@short_repr
@dataclass(frozen=True, eq=False)
class AssemblyStudy:
    """
    The mesh of an assembly with its cases and their results.

    Parameters
    ----------
    made : AssemblyMesh
        Bent parts and joints.
    solutions : tuple of Solution
        One for each case.
    solver : str
        Its name and version; empty when it was not run.
    """

    made: AssemblyMesh
    solutions: tuple[CaseSolution, ...]
    solver: str = ""

    @property
    def cautions(self) -> tuple[str, ...]:
        """What the answers do not cover."""
        return tuple(dict.fromkeys([*CAUTIONS, *_cautions(self)]))


@takes(assembly="Assembly", order="FeaOrder")
def assembly_study(assembly: Assembly, order: FeaOrder) -> AssemblyStudy:
    """
    Mesh the bent parts of an assembly, and solve its cases on request; nothing is written.

    Parameters
    ----------
    assembly : Assembly
        With its joints.
    order : FeaOrder
        Kind, size, cases, and whether the solver is run.

    Returns
    -------
    AssemblyStudy

    Raises
    ------
    InputError
        A request that assemblies do not support, a wrong name or load, or no solver.
    FileProofError
        The solver failed, or the reaction is not the load.
    """
    for name, given in (("converge", order.converge), ("deck", order.flavours)):
        if given:
            problem = "is not made for assemblies"
            raise InputError(assembly.name, f"--{name}", "given", problem, "ask it of a part")
    made = assembly_mesh(assembly, order.kind, order.size, order.layers, order.local)
    for case in order.cases:
        assembly_deck(made, case)  # errors are reported before the solver starts
    found = tuple(_solution(made, case, order.solve) for case in order.cases)
    return AssemblyStudy(made, found, solver_version() if order.solve else "")


def _solution(made: AssemblyMesh, case: LoadCase, solve: bool) -> CaseSolution:
    if not solve:
        return CaseSolution(made.mesh, case)
    found = CaseSolution(made.mesh, case, assembly_solved(made, case))
    return found if touches(made) else with_large(found, lambda case: assembly_solved(made, case))


def stress_by_item(made: AssemblyMesh, found: CaseSolution) -> tuple[ItemStress, ...]:
    """Return the greatest stress of each item of a case."""
    return tuple(_item_stresses(made, found))


def _item_stresses(made: AssemblyMesh, found: CaseSolution) -> Iterator[ItemStress]:
    for item in made.items:
        among = np.zeros(len(made.mesh.nodes), dtype=bool)
        for block in made.mesh.blocks:
            own = [owner.startswith(f"{item.name}: ") for owner in block.owners]
            among[block.cells[own]] = True
        peak = None if found.answer is None else stressed_most(made.mesh, found.answer, among)
        assert isinstance(item.part, Body)
        if peak is not None:
            yield ItemStress(item.name, peak, item.part.sheet.material.yield_strength)


def _cautions(study: AssemblyStudy) -> Iterator[str]:
    if study.made.left_out:
        names = ", ".join(study.made.left_out)
        yield f"Round parts are not in the mesh ({names}), nor is their mass: bolted joints stand for bolts."
    for found in study.solutions:
        if not touches(study.made):  # with contact displacements are large in any case
            yield from large_words(found)
        for stress in stress_by_item(study.made, found):
            if stress.ratio is not None and stress.ratio > 1.0:
                times = f"{stress.ratio:.3g} times the yield strength"
                yield f"The greatest stress of {stress.item} is {times}: this elastic answer does not hold there."


def assembly_study_endings(order: FeaOrder) -> list[str]:
    """Return how the names of all files of a study end, after the assembly's own."""
    ends = []
    for case in order.cases:
        base = f"-{order.kind}-{case.name}" if case.name else f"-{order.kind}"
        ends += [f"{base}.inp", f"{base}.vtu"]
        modes = [f"{base}-mode-{number}.png" for number in range(1, case.frequencies + case.buckling + 1)]
        pictures = [f"{base}-deflected.png", f"{base}-stress.png"] if case.static else modes
        ends += pictures if order.solve else []
    return ends


def write_assembly_study(study: AssemblyStudy, base: Path) -> None:
    """Write for each case deck, VTU and pictures, called `base`, the kind, the case's name and their own ending."""
    for found in study.solutions:
        stem = f"{base.name}-{study.made.mesh.kind}" + (f"-{found.case.name}" if found.case.name else "")
        write_assembly_deck(study.made, found.case, base.with_name(f"{stem}.inp"))
        write_vtu(study.made.mesh, base.with_name(f"{stem}.vtu"), found.answer)
        modes = enumerate(found.mode_pictures, 1)
        pictures = [("deflected", found.picture), ("stress", found.stress_picture)]
        for name, content in [*pictures, *((f"mode-{number}", content) for number, content in modes)]:
            if content:
                written(base.with_name(f"{stem}-{name}.png"), content)


def assembly_study_record(study: AssemblyStudy) -> dict[str, Any]:
    """All figures of the study of an assembly as plain data, as the schema says under `fea`."""
    mesh = study.made.mesh
    return {
        "kind": mesh.kind,
        "size_mm": mesh.size,
        "nodes": len(mesh.nodes),
        "elements": study.made.elements,
        "solver": study.solver,
        "joints": [
            {"kind": joint.kind, "first": joint.first, "second": joint.second}
            for joint in study.made.assembly.joints
        ],
        "left_out": list(study.made.left_out),
        "cases": [_case(study.made, found) for found in study.solutions],
        "cautions": list(study.cautions),
    }


def _case(made: AssemblyMesh, found: CaseSolution) -> dict[str, Any]:
    stresses = [
        {
            "item": each.item,
            **peak_record(each.peak),
            "yield_strength_mpa": each.yield_strength,
            "ratio_to_yield": each.ratio,
        }
        for each in stress_by_item(made, found)
    ]
    return {**answer_record(found), **mode_record(found), "stress_by_item": stresses}
