"""`make --fea`: a mesh of the part with its load case, for a solver, and the solver's answer when it is asked for."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from formparts.errors import InputError

if TYPE_CHECKING:
    from formparts.body import Body
    from formparts.fea import Answer, FeaMesh, LoadCase


def add_options(made: argparse.ArgumentParser) -> None:
    """The options of `make` that are about decks."""
    decks = made.add_argument_group("finite elements")
    decks.add_argument(
        "--fea", metavar="KIND", help="also a solver deck (.inp), .msh and .vtu: shell, solid or bricks"
    )
    decks.add_argument("--size", metavar="LENGTH", help="length of an element (twice the thickness)")
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


def written_decks(body: Body, stem: str, options: argparse.Namespace) -> list[str]:
    """Write mesh and deck; give the lines that say so."""
    from formparts.fea import LoadCase, mesh_of, read_load
    from formparts.quantities import length

    size = None if options.size is None else length(options.size, "--size", "formparts make")
    case = LoadCase(tuple(options.fix), tuple(map(read_load, options.load)), options.frequencies)
    mesh = mesh_of(body, options.fea, size)
    return [
        f"  fea        {line}"
        for line in _said(mesh, case, Path(options.out) / f"{stem}-{mesh.kind}", options)
    ]


def _said(mesh: FeaMesh, case: LoadCase, base: Path, options: argparse.Namespace) -> Iterator[str]:
    from formparts.fea import solved, write_deck, write_msh, write_vtu
    from formparts.fea.deck import CAUTION

    answer = solved(mesh, case) if options.solve else None
    paths = [
        write_deck(mesh, case, base.with_name(f"{base.name}.inp")),
        write_msh(mesh, base.with_name(f"{base.name}.msh")),
        write_vtu(mesh, base.with_name(f"{base.name}.vtu"), answer),
    ]
    kinds = ", ".join(f"{len(block.cells)} {block.type}" for block in mesh.blocks)
    yield f"{len(mesh.nodes)} nodes, {kinds}, size {mesh.size:g} mm; mass {mesh.mass:.6g} kg"
    if answer is not None:
        if case.frequencies:
            yield "natural frequencies " + ", ".join(f"{value:.5g}" for value in answer.frequencies) + " Hz"
        else:
            yield from _deflection(mesh, answer, base, paths)
    yield from _by_hand(mesh.body)
    yield f"{paths[0].parent}/: {', '.join(path.name for path in paths)}"
    yield CAUTION


def _by_hand(body: Body) -> Iterator[str]:
    """The section across the bends, for a beam by hand; a part that is bent in two directions has none."""
    from formparts.section import section

    try:
        cut = section(body)
    except InputError:
        return
    yield (
        f"by hand: section across the bends {cut.area:.5g} mm2, I {cut.inertia_u:.5g} and {cut.inertia_v:.5g} mm4, "
        f"W {cut.modulus_u:.5g} and {cut.modulus_v:.5g} mm3, torsion {cut.torsion:.5g} mm4"
    )


def _deflection(mesh: FeaMesh, answer: Answer, base: Path, paths: list[Path]) -> Iterator[str]:
    from formparts.fea.picture import write_deflected

    path, scale = write_deflected(mesh, answer, base.with_name(f"{base.name}-deflected.png"))
    paths.append(path)
    largest = max(sum(part * part for part in row) ** 0.5 for row in answer.displacements.tolist())
    x, y, z = answer.reaction
    yield f"largest displacement {largest:.4g} mm (drawn {scale:g} times as large)"
    yield f"reaction {x:.6g}, {y:.6g}, {z:.6g} N: the load turned about"
