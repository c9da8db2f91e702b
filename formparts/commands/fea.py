"""`make --fea`: a mesh of the part with its load cases, for a solver, and the solver's answer on request."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from formparts.errors import FormpartsError, InputError
from formparts.tolerances import SOLVER_DIGITS

if TYPE_CHECKING:
    from formparts.fea import FeaOrder, LoadCase, Study
    from formparts.fea.assembly_studies import AssemblyStudy
    from formparts.fea.studies import CaseSolution

_ALONE: Final = (
    "size", "fix", "load", "gravity", "frequencies", "buckling", "large", "cases", "layers", "converge", "deck",
    "solve",
)  # fmt: skip
FLAVOURS: Final = ("abaqus", "nastran")


def add_options(made: argparse.ArgumentParser, of_parts: bool = True) -> None:
    """The options that are about decks; what only parts have is left out for assemblies."""
    made.set_defaults(command=made.prog.rpartition(" ")[2], deck=[], converge=False)
    decks = made.add_argument_group("finite elements")
    kinds = "a solver deck (.inp), .msh and .vtu: shell, solid or bricks"
    whole = "one deck (.inp) and .vtu of all bent parts: bricks or solid; names are 'ITEM: NAME'"
    decks.add_argument("--fea", metavar="KIND", help=f"also {kinds if of_parts else whole}")
    decks.add_argument(
        "--size", metavar="[NAMES=]LENGTH", action="append", default=[],
        help="length of an element (twice the thickness, or more); shorter where named, as 'lug[*].bend*=1.5'",
    )  # fmt: skip
    decks.add_argument("--layers", metavar="N", type=int, help="elements through the thickness of a solid")
    decks.add_argument(
        "--fix", metavar="NAMES[@xyz]", action="append", default=[],
        help="what is clamped, as 'ear_*.hole', or held in some directions, as 'foot.lower@z', or moved: @z=-0.5mm",
    )  # fmt: skip
    decks.add_argument(
        "--load", metavar="NAMES=LOAD[@X,Y,Z]", action="append", default=[],
        help="500N pressing, 50N@0,0,-1, 0.02MPa, 3Nm@1,0,0 about an axis, or a bolt in its hole: 500N@bearing:1,0,0",
    )  # fmt: skip
    decks.add_argument("--gravity", metavar="X,Y,Z", help="multiples of standard gravity on the mass")
    decks.add_argument(
        "--frequencies", metavar="N", type=int, default=0, help="seek natural frequencies instead"
    )
    decks.add_argument(
        "--buckling", metavar="N", type=int, default=0, help="seek buckling factors on the load instead"
    )
    decks.add_argument(
        "--large",
        action="store_true",
        help="let displacements change the equilibrium (NLGEOM); else only where the linear ones ask for it",
    )
    decks.add_argument("--cases", metavar="FILE", help="several named load cases from a TOML file")
    decks.add_argument(
        "--solve", action="store_true", help="run CalculiX (Debian: calculix-ccx) and draw the answer"
    )
    if of_parts:
        decks.add_argument(
            "--deck", metavar="FLAVOUR", action="append", help="also a deck for others: abaqus or nastran"
        )
        decks.add_argument(
            "--converge", action="store_true", help="solve two finer meshes as well, and extrapolate"
        )


def check_options(options: argparse.Namespace) -> None:
    """Refuse, before anything is made, options that have no meaning without a deck."""
    command = options.command
    wanted = [name for name in _ALONE if getattr(options, name)]
    if wanted and not options.fea:
        fix = f"add --fea {'bricks' if command == 'assemble' else 'shell'}"
        raise InputError(command, f"--{wanted[0]}", "given", "means nothing without --fea", fix)
    for name in ("frequencies", "buckling"):
        if getattr(options, name) < 0:
            raise InputError(
                command, f"--{name}", getattr(options, name), "is less than none", "give 1 or more"
            )
    for flavour in options.deck:
        if flavour not in FLAVOURS:
            raise InputError(
                command, "--deck", flavour, "is not a flavour of deck", f"choose {', '.join(FLAVOURS)}"
            )
    if options.converge and not options.solve:
        raise InputError(command, "--converge", "given", "means nothing without --solve", "add --solve")
    if options.solve and not (options.fix or options.cases or options.frequencies):
        raise InputError(
            command, "--solve", "given", "nothing is held", "say what is fixed, as --fix 'ear_*.hole'"
        )


def order_of(options: argparse.Namespace) -> FeaOrder | None:
    """Return what is ordered; None without `--fea`."""
    if not options.fea:
        return None
    from formparts.fea import FeaOrder, read_cases

    size, local = _sizes(options)
    cases = read_cases(options.cases) if options.cases else (_case(options),)
    return FeaOrder(
        options.fea, size, cases, options.solve, options.layers, local, options.converge, tuple(options.deck)
    )


def order_or_refusal(options: argparse.Namespace) -> tuple[FeaOrder | None, FormpartsError | None]:
    """Return what is ordered, or what is wrong with it: the part's other files are made all the same."""
    try:
        return order_of(options), None
    except InputError as refused:
        return None, refused


def _case(options: argparse.Namespace) -> LoadCase:
    from formparts.fea import LoadCase, read_load

    loads = tuple(map(read_load, options.load))
    gravity = _gravity(options)
    return LoadCase(tuple(options.fix), loads, options.frequencies, gravity, options.buckling, options.large)


def _gravity(options: argparse.Namespace) -> tuple[float, float, float]:
    text: str | None = options.gravity
    if text is None:
        return (0.0, 0.0, 0.0)
    try:
        x, y, z = (float(part) for part in text.split(","))
    except ValueError as error:
        raise InputError(
            options.command, "--gravity", text, "is not x, y, z", "write it as 0,0,-1"
        ) from error
    return (x, y, z)


def _sizes(options: argparse.Namespace) -> tuple[float | None, tuple[tuple[str, float], ...]]:
    """The length for the part, and those for names of it."""
    from formparts.quantities import length

    size, local = None, []
    for text in options.size:
        names, equals, amount = text.rpartition("=")
        value = length(amount, "--size", f"formparts {options.command}")
        if equals:
            local.append((names.strip(), value))
        else:
            size = value
    return size, tuple(local)


def lines(made: Study) -> Iterator[str]:
    """What is printed of a study."""
    mesh = made.mesh
    kinds = ", ".join(f"{len(block.cells)} {block.type}" for block in mesh.blocks)
    layers = "" if mesh.kind == "shell" else f" in {mesh.layers} layer{'s' if mesh.layers > 1 else ''}"
    yield f"{len(mesh.nodes)} nodes, {kinds}{layers}, size {mesh.size:g} mm; mass {mesh.mass:.6g} kg"
    if made.solver:
        yield f"solved by {made.solver}"
    for found in made.solutions:
        yield from _solution(found)
    yield from _by_hand(made)
    yield from made.cautions


def assembly_lines(made: AssemblyStudy) -> Iterator[str]:
    """What is printed of an assembly under load."""
    from formparts.fea.assembly_studies import stress_by_item

    mesh = made.made.mesh
    kinds = ", ".join(f"{count} {kind}" for kind, count in made.made.elements.items())
    yield f"{len(mesh.nodes)} nodes, {kinds}, size {mesh.size:g} mm; joints: {len(made.made.assembly.joints)}"
    if made.solver:
        yield f"solved by {made.solver}"
    for found in made.solutions:
        head = f"{found.case.name}: " if found.case.name else ""
        yield from _modes(found, head)
        yield from _static(found, head)
        for stress in stress_by_item(made.made, found):
            share = "" if stress.ratio is None else f", {stress.ratio:.3g} of the yield strength"
            where = _named(stress.peak.place.names)
            yield f"{head}von Mises stress {stress.peak.von_mises:.4g} MPa at {where}{share}"
    yield from made.cautions


def _solution(found: CaseSolution) -> Iterator[str]:
    """The figures of one case."""
    head = f"{found.case.name}: " if found.case.name else ""
    yield from _modes(found, head)
    yield from _static(found, head)
    if found.deflection is not None:
        yield from _stress(found, head)
    for figure in found.converged:
        value, error = f"{figure.extrapolated:.4g}", f"{figure.error:.2g}"
        said = (
            f"tends to {value} {figure.unit}, the last within {error}"
            if figure.converges
            else "does not settle"
        )
        values = ", ".join(f"{each:.4g}" for each in figure.values)
        yield f"{head}{figure.figure} {values} at {', '.join(f'{size:.3g}' for size in figure.sizes)} mm: {said}"


def _modes(found: CaseSolution, head: str) -> Iterator[str]:
    """Natural frequencies and buckling factors, where they were sought."""
    if found.answer is not None and found.answer.frequencies:
        yield f"{head}natural frequencies {', '.join(f'{each:.5g}' for each in found.answer.frequencies)} Hz"
    if found.answer is not None and found.answer.buckling:
        yield f"{head}buckles at {', '.join(f'{each:.5g}' for each in found.answer.buckling)} times the load"


def _static(found: CaseSolution, head: str) -> Iterator[str]:
    """Displacement and reactions."""
    if found.deflection is None or found.answer is None:
        return
    largest, place = found.deflection
    where = f"{largest:.4g} mm at {_named(place.names)}"
    yield f"{head}largest displacement {where} (drawn {found.scale:g} times as large)"
    yield f"{head}reaction {_three(found.answer.reaction, 6)} N: equal and opposite to the load"
    for item in found.answer.reactions:
        force, moment = _three(item.force, 5), _three(item.moment, 5)
        yield f"{head}  {item.where}: {force} N; {moment} Nmm about its middle"


def _three(values: tuple[float, ...], digits: int) -> str:
    """Three figures; the solver prints seven digits, so that less than that of the largest is rounding."""
    least = SOLVER_DIGITS * max(map(abs, values))
    return ", ".join(f"{value if abs(value) > least else 0.0:.{digits}g}" for value in values)


def _stress(found: CaseSolution, head: str) -> Iterator[str]:
    """The greatest stress, where it is, and its share of the yield strength."""
    for peak, what in ((found.peak, ""), (found.peak_away, " away from supports")):
        if peak is not None:
            skin = f", {peak.place.skin} skin" if peak.place.skin else ""
            limit = found.mesh.body.sheet.material.yield_strength
            share = f", {peak.von_mises / limit:.3g} of the yield strength" if limit else ""
            yield f"{head}von Mises stress{what} {peak.von_mises:.4g} MPa at {_named(peak.place.names)}{skin}{share}"


def _named(names: tuple[str, ...]) -> str:
    return ", ".join(names[:3]) + (", ..." if names[3:] else "")


def _by_hand(made: Study) -> Iterator[str]:
    """The section across the bends, for a beam by hand."""
    cut = made.by_hand
    if cut is not None:
        yield (
            f"by hand: section across the bends {cut.area:.5g} mm2, I {cut.inertia_u:.5g} and {cut.inertia_v:.5g} mm4, "
            f"W {cut.modulus_u:.5g} and {cut.modulus_v:.5g} mm3, torsion {cut.torsion:.5g} mm4"
        )
