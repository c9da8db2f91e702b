"""`make --fea`: a mesh of the part with its load case, for a solver, and the solver's answer when it is asked for."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from formparts.errors import InputError

if TYPE_CHECKING:
    from formparts.fea import FeaOrder, Study


def add_options(made: argparse.ArgumentParser) -> None:
    """The options of `make` that are about decks."""
    decks = made.add_argument_group("finite elements")
    decks.add_argument(
        "--fea", metavar="KIND", help="also a solver deck (.inp), .msh and .vtu: shell, solid or bricks"
    )
    decks.add_argument("--size", metavar="LENGTH", help="length of an element (twice the thickness, or more)")
    decks.add_argument(
        "--fix", metavar="NAMES", action="append", default=[], help="what is held, as 'ear_*.hole'"
    )
    decks.add_argument(
        "--load", metavar="NAMES=FORCE[@X,Y,Z]", action="append", default=[],
        help="a force on all that is named, pressing or in a direction, as 'lug[*].tip.upper=500N'",
    )  # fmt: skip
    decks.add_argument(
        "--frequencies", metavar="N", type=int, default=0, help="seek natural frequencies instead"
    )
    decks.add_argument(
        "--solve", action="store_true", help="run CalculiX (Debian: calculix-ccx) and draw the answer"
    )


def check_options(options: argparse.Namespace) -> None:
    """Refuse, before anything is made, what means nothing without a deck."""
    wanted = [name for name in ("size", "fix", "load", "frequencies", "solve") if getattr(options, name)]
    if wanted and not options.fea:
        raise InputError("make", f"--{wanted[0]}", "given", "means nothing without --fea", "add --fea shell")
    if options.frequencies < 0:
        raise InputError("make", "--frequencies", options.frequencies, "is less than none", "give 1 or more")
    if options.solve and not options.fix:
        raise InputError(
            "make", "--solve", "given", "nothing is held", "say what is fixed, as --fix 'ear_*.hole'"
        )


def order_of(options: argparse.Namespace) -> FeaOrder | None:
    """What is asked for; None without `--fea`."""
    if not options.fea:
        return None
    from formparts.fea import FeaOrder, LoadCase, read_load
    from formparts.quantities import length

    size = None if options.size is None else length(options.size, "--size", "formparts make")
    case = LoadCase(tuple(options.fix), tuple(map(read_load, options.load)), options.frequencies)
    return FeaOrder(options.fea, size, case, options.solve)


def lines(made: Study) -> Iterator[str]:
    """What is printed of a study."""
    mesh, answer = made.mesh, made.answer
    kinds = ", ".join(f"{len(block.cells)} {block.type}" for block in mesh.blocks)
    yield f"{len(mesh.nodes)} nodes, {kinds}, size {mesh.size:g} mm; mass {mesh.mass:.6g} kg"
    if answer is not None:
        yield f"solved by {made.solver}"
        if answer.frequencies:
            yield "natural frequencies " + ", ".join(f"{value:.5g}" for value in answer.frequencies) + " Hz"
    if answer is not None and made.deflection is not None:
        x, y, z = answer.reaction
        yield f"largest displacement {made.deflection[0]:.4g} mm (drawn {made.scale:g} times as large)"
        yield f"reaction {x:.6g}, {y:.6g}, {z:.6g} N: the load turned about"
    yield from _by_hand(made)
    yield from made.cautions


def _by_hand(made: Study) -> Iterator[str]:
    """The section across the bends, for a beam by hand."""
    cut = made.by_hand
    if cut is not None:
        yield (
            f"by hand: section across the bends {cut.area:.5g} mm2, I {cut.inertia_u:.5g} and {cut.inertia_v:.5g} mm4, "
            f"W {cut.modulus_u:.5g} and {cut.modulus_v:.5g} mm3, torsion {cut.torsion:.5g} mm4"
        )
