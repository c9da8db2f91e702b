"""A part under load from end to end: mesh, cases, the solver's answers, and a beam calculated by hand beside them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Final

from formparts.arguments import takes
from formparts.body import Body, sunk_volume
from formparts.errors import FileProofError, InputError
from formparts.export.files import written
from formparts.fea.arrays import np
from formparts.fea.case import LoadCase
from formparts.fea.convergence import RATIO, Converged, extrapolated
from formparts.fea.decks import CAUTION, check_case, write_deck
from formparts.fea.mesh import FeaMesh, mesh_of
from formparts.fea.mode_picture import mode_png
from formparts.fea.msh import write_msh
from formparts.fea.orders import FeaOrder
from formparts.fea.peaks import Peak, PeakPlace, away_from_supports, place_of, stressed_most
from formparts.fea.picture import deflected_png, exaggeration, stress_png
from formparts.fea.quality import WELL_SHAPED, quality
from formparts.fea.solver import Answer, solved, solver_version
from formparts.fea.vtu import write_vtu
from formparts.sections import Section, section
from formparts.short_repr import short_repr
from formparts.tolerances import REACTION_REL

CAUTIONS: Final = (f"{CAUTION[0].upper()}{CAUTION[1:]}.",)
_DECKS: Final = {"abaqus": "-abaqus.inp", "nastran": ".bdf"}
LARGE_IN_PLATES: Final = 0.5
"""Of the thickness: above it a plate held all round stretches as well as bends, and is stiffer than a linear answer.

Large displacements are used then. S. Timoshenko, S. Woinowsky-Krieger, Theory of Plates and Shells (from
memory).
"""


@short_repr
@dataclass(frozen=True, eq=False)
class CaseSolution:
    """
    One load case and its results.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    case : LoadCase
        What holds it and what loads it.
    answer : Answer, optional
        Of the solver, when it was run.
    converged : tuple of Converged
        Figures at three sizes of element, when that was asked for.
    linear : float [mm], optional
        The largest displacement of the linear answer, where it asked for this one with large displacements.
    """

    mesh: FeaMesh
    case: LoadCase
    answer: Answer | None = None
    converged: tuple[Converged, ...] = ()
    linear: float | None = None

    @cached_property
    def deflection(self) -> tuple[float, PeakPlace] | None:
        """The largest displacement [mm], and where it is."""
        if self.answer is None or not len(self.answer.displacements):
            return None
        lengths = np.linalg.norm(self.answer.displacements, axis=1)
        return float(lengths.max()), place_of(self.mesh, int(lengths.argmax()))

    @cached_property
    def scale(self) -> float:
        """The factor by which displacements are exaggerated."""
        return 1.0 if self.deflection is None or self.answer is None else exaggeration(self.mesh, self.answer)

    @cached_property
    def picture(self) -> bytes:
        """The deflected shape as PNG; empty when there is none."""
        if self.deflection is None or self.answer is None:
            return b""
        return deflected_png(self.mesh, self.answer)[0]

    @cached_property
    def stress_picture(self) -> bytes:
        """The equivalent stress as PNG; empty when there is none."""
        if self.peak is None or self.answer is None:
            return b""
        return stress_png(self.mesh, self.answer, self.scale)

    @cached_property
    def mode_pictures(self) -> tuple[bytes, ...]:
        """Every mode as an animated PNG; none when none were sought."""
        modes = () if self.answer is None else self.answer.modes
        return tuple(mode_png(self.mesh, shape) for shape in modes)

    @cached_property
    def peak(self) -> Peak | None:
        """The greatest equivalent stress anywhere."""
        return None if self.answer is None else stressed_most(self.mesh, self.answer)

    @cached_property
    def peak_away(self) -> Peak | None:
        """The greatest equivalent stress away from supports, whose corners in the mesh are sharper than in reality."""
        if self.answer is None:
            return None
        return stressed_most(self.mesh, self.answer, away_from_supports(self.mesh, self.case))

    @property
    def cautions(self) -> tuple[str, ...]:
        """What the answer does not cover."""
        return tuple(_cautions(self))


@short_repr
@dataclass(frozen=True, eq=False)
class Study:
    """
    A mesh with its cases and their results.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    solutions : tuple of Solution
        One for each case.
    solver : str
        Its name and version; empty when it was not run.
    by_hand : Section, optional
        The section across the bends; none for a part that is bent in two directions.
    flavours : tuple of str
        Other solvers that decks are written for.
    """

    mesh: FeaMesh
    solutions: tuple[CaseSolution, ...]
    solver: str = ""
    by_hand: Section | None = None
    flavours: tuple[str, ...] = ()

    @property
    def first(self) -> CaseSolution:
        """The solution of the first case."""
        return self.solutions[0]

    @property
    def cautions(self) -> tuple[str, ...]:
        """What the answers do not cover: general cautions, and those on the results."""
        return tuple(
            dict.fromkeys(
                [
                    *CAUTIONS,
                    *_of_the_mesh(self.mesh),
                    *(words for each in self.solutions for words in each.cautions),
                ]
            )
        )


@takes(body="Body", order="FeaOrder")
def study(body: Body, order: FeaOrder) -> Study:
    """
    Mesh a part, and solve its cases on request; nothing is written.

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
    mesh = mesh_of(body, order.kind, order.size, order.layers, order.local)
    for case in order.cases:
        check_case(mesh, case)  # a wrong name or load is reported before the solver starts
    finer = _finer(mesh, order) if order.converge else ()
    found = tuple(_solution(mesh, case, order, finer) for case in order.cases)
    solver = solver_version() if order.solve else ""
    return Study(mesh, found, solver, _by_hand(body), order.flavours)


def _finer(mesh: FeaMesh, order: FeaOrder) -> tuple[FeaMesh, ...]:
    """Return two finer meshes, each with elements shorter by one ratio."""
    return tuple(
        mesh_of(
            mesh.body,
            order.kind,
            mesh.size / RATIO**step,
            mesh.layers if mesh.kind != "shell" else None,
            tuple((name, size / RATIO**step) for name, size in order.local),
        )
        for step in (1, 2)
    )


def _solution(mesh: FeaMesh, case: LoadCase, order: FeaOrder, finer: tuple[FeaMesh, ...]) -> CaseSolution:
    if not order.solve:
        return CaseSolution(mesh, case)
    found = with_large(CaseSolution(mesh, case, solved(mesh, case)), lambda case: solved(mesh, case))
    assert found.answer is not None
    return replace(found, converged=_converged(mesh, found.case, found.answer, finer))


def with_large(found: CaseSolution, solve: Callable[[LoadCase], Answer]) -> CaseSolution:
    """Solve again with large displacements where the linear ones require it; unchanged where that fails."""
    if found.case.large or found.deflection is None or not _asks_for_large(found):
        return found
    case = replace(found.case, large=True)
    try:
        return CaseSolution(found.mesh, case, solve(case), linear=found.deflection[0])
    except FileProofError:
        return found


def _asks_for_large(found: CaseSolution) -> bool:
    return (
        found.deflection is not None
        and found.deflection[0] > LARGE_IN_PLATES * found.mesh.body.sheet.thickness
    )


def _converged(
    mesh: FeaMesh, case: LoadCase, answer: Answer, finer: tuple[FeaMesh, ...]
) -> tuple[Converged, ...]:
    """Return every relevant figure at three sizes of element."""
    if not finer:
        return ()
    meshes = (mesh, *finer)
    answers = (answer, *(solved(each, case) for each in finer))
    rows = [_figures(CaseSolution(m, case, a)) for m, a in zip(meshes, answers, strict=True)]
    sizes = [each.size for each in meshes]
    return tuple(
        extrapolated(name, unit, sizes, [row[name, unit] for row in rows])
        for name, unit in rows[0]
        if all((name, unit) in row for row in rows)
    )


def _figures(found: CaseSolution) -> dict[tuple[str, str], float]:
    """The figures of one answer that should settle as elements get smaller."""
    figures = {}
    if found.deflection is not None:
        figures["largest displacement", "mm"] = found.deflection[0]
    if found.peak_away is not None:
        figures["von Mises stress away from supports", "MPa"] = found.peak_away.von_mises
    if found.answer is not None:
        for number, value in enumerate(found.answer.frequencies, 1):
            figures[f"natural frequency {number}", "Hz"] = value
        for number, value in enumerate(found.answer.buckling, 1):
            figures[f"buckling factor {number}", "-"] = value
    return figures


def _of_the_mesh(mesh: FeaMesh) -> Iterator[str]:
    """Return notes on features that the mesh lacks, and on poorly shaped elements."""
    least = quality(mesh)
    if least < WELL_SHAPED:
        other = "bricks" if mesh.kind == "solid" else "a smaller size"
        yield (
            f"The worst element has a scaled Jacobian of {least:.2g}, below {WELL_SHAPED:g}: stress beside it is less "
            f"sure; take {other}."
        )
    sunk = sunk_volume(mesh.body)
    if sunk:
        yield f"countersinks and counterbores ({sunk:.4g} mm3) are meshed as straight holes: stress beside them is low"
    if any(mark.height for flat in mesh.body.flats for mark in flat.marks):
        yield "beads, dimples and louvres are meshed as flat sheet: the part may be stiffer, and a louvre weaker"


def _cautions(found: CaseSolution) -> Iterator[str]:
    """Of one solution: large displacements, yielding, rounding, figures that do not settle."""
    answer, sheet = found.answer, found.mesh.body.sheet
    if answer is None:
        return
    yield from large_words(found)
    if found.peak is not None and sheet.material.yield_strength is not None:
        ratio = found.peak.von_mises / sheet.material.yield_strength
        if ratio > 1.0:
            yield (
                f"The greatest von Mises stress is {ratio:.3g} times the yield strength of {sheet.material.name}: this "
                "elastic answer does not hold there."
            )
    if answer.imbalance > REACTION_REL:
        share = 100.0 * answer.imbalance
        yield f"The reaction is {share:.2g} % off the load: a slender part, figures are off by about as much."
    if found.mesh.kind == "bricks" and found.mesh.layers == 1:
        yield "One layer of bricks can move without stress where a strip is one element wide: use two."
    for figure in found.converged:
        if not figure.converges:
            yield (
                f"The {figure.figure} does not settle as elements get smaller: a re-entrant corner or a sharp edge "
                "of a support; judge it by other means."
            )


def large_words(found: CaseSolution) -> Iterator[str]:
    """Return how large displacements were treated, where the linear ones exceeded half the thickness."""
    if found.linear is not None:
        yield (
            f"The largest displacement of the linear answer, {found.linear:.4g} mm, is more than half the thickness: "
            "solved with large displacements (NLGEOM), under loads that keep their direction."
        )
    elif found.deflection is not None and not found.case.large and _asks_for_large(found):
        extent = float(np.ptp(found.mesh.nodes, axis=0).max())
        share = 100 * found.deflection[0] / extent
        yield (
            f"The largest displacement is more than half the thickness, {share:.3g} % of the part's greatest extent, "
            "and the solver found no answer with large displacements: this linear one does not hold; take less load."
        )


def _by_hand(body: Body) -> Section | None:
    """The section across the bends; a part that is bent in two directions has none."""
    try:
        return section(body)
    except InputError:
        return None


def file_endings(order: FeaOrder) -> list[str]:
    """How the names of all files of a study end, behind the part's own."""
    kind = f"-{order.kind}"
    ends = [f"{kind}.msh"]
    for case in order.cases:
        base = f"{kind}-{case.name}" if case.name else kind
        ends += [f"{base}.inp", f"{base}.vtu"]
        ends += [f"{base}{_DECKS[flavour]}" for flavour in order.flavours]
        if order.solve and case.static:
            ends += [f"{base}-deflected.png", f"{base}-stress.png"]
    return ends


def write_study(made: Study, base: Path) -> tuple[Path, ...]:
    """Write MSH, and for each case deck, VTU and pictures, called `base`, the case's name and their own ending."""
    paths = [write_msh(made.mesh, base.with_name(f"{base.name}.msh"))]
    for found in made.solutions:
        stem = f"{base.name}-{found.case.name}" if found.case.name else base.name
        paths += _written(found, base.with_name(stem), made.flavours)
    return tuple(paths)


def _written(found: CaseSolution, base: Path, flavours: tuple[str, ...]) -> list[Path]:
    from formparts.fea.nastran import write_nastran

    paths = [
        write_deck(found.mesh, found.case, base.with_name(f"{base.name}.inp")),
        write_vtu(found.mesh, base.with_name(f"{base.name}.vtu"), found.answer),
    ]
    for flavour in flavours:
        path = base.with_name(f"{base.name}{_DECKS[flavour]}")
        if flavour == "nastran":
            paths.append(write_nastran(found.mesh, found.case, path))
        else:
            paths.append(write_deck(found.mesh, found.case, path, "abaqus"))
    for name, content in (("deflected", found.picture), ("stress", found.stress_picture)):
        if content:
            paths.append(written(base.with_name(f"{base.name}-{name}.png"), content))
    return paths
