"""
`assemble`: parts in one assembly, as STEP, GLB and a bill of materials.

    $ formparts assemble riser_stack
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from formparts.commands import fea
from formparts.commands.title import add_field_option, fields_by_part
from formparts.commands.values import add_out_option, add_set_option, given_values
from formparts.tolerances import ALIGNED

if TYPE_CHECKING:
    from formparts.assembly import Mating
    from formparts.assembly_recipes import Assembled

WELL, CLASHES = 0, 1


def add_parser(commands: Any) -> None:
    """Put the command among the others."""
    put = commands.add_parser("assemble", help="put parts together: STEP, GLB, bill of materials")
    put.description = (
        "Put an assembly together: STEP with an instance for each place, GLB, bill of materials, figures as JSON. "
        "Exits 1 when two parts run into each other, or holes that lie on one another do not align."
    )
    put.add_argument("assembly", metavar="ASSEMBLY", help="a shipped one's name, or path/to/file.py:function")
    add_set_option(put)
    add_out_option(put)
    put.add_argument("--step", metavar="SCHEMA", default="AP242", help="AP214 or AP242 (AP242)")
    put.add_argument(
        "--chord", metavar="LENGTH", default="0.05", help="greatest distance of the GLB's triangles (0.05 mm)"
    )
    put.add_argument(
        "--align", metavar="LENGTH", default=f"{ALIGNED:g}",
        help=f"how far apart the axes of holes that take one bolt may lie ({ALIGNED:g} mm)",
    )  # fmt: skip
    add_field_option(put, "; PART.number=FP-2 is that of a part")
    fea.add_options(put, of_parts=False)
    put.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Build the assembly, print the result, and return the exit code."""
    from formparts.assembly_recipes import assemble, find_assembly

    fea.check_options(options)
    order, refused = fea.order_or_refusal(options)
    values = given_values(options.values)
    titles = fields_by_part(options.fields)
    made = assemble(
        find_assembly(options.assembly), options.out, options.step, options.chord, options.overwrite, titles,
        options.align, order, **values,
    )  # fmt: skip
    print("\n".join(lines(made)))
    if refused is not None or made.refused is not None:  # the other files are kept; this line is printed last
        raise refused or made.refused  # type: ignore[misc]
    return WELL if made.ok else CLASHES


def lines(made: Assembled) -> Iterator[str]:
    """What is printed."""
    yield f"{made.assembly.name}: {len(made.assembly.items)} parts, {made.assembly.mass:.4g} kg"
    yield f"  centroid   {_place(made.assembly.centroid)}"
    for row in made.bill:
        yield f"  {row.count:>3} x {row.part:<20} {row.material:<12} {row.mass:.4g} kg each, {row.total:.4g} kg"
    for found in made.interferences:
        shared = "a volume not found in time" if found.volume is None else f"{found.volume:.4g} mm3"
        words = f"{found.first} and {found.second} run into each other: {shared}"
        yield f"  ERROR      {words}, at {_place(found.place)}"
    if not made.interferences:
        yield "  clear      no two parts run into each other"
    yield from _holes(made)
    if made.study is not None:
        yield from (f"  fea        {line}" for line in fea.assembly_lines(made.study))
    yield f"  files      {made.files[0].parent}/: {', '.join(path.name for path in made.files)}"


def _holes(made: Assembled) -> Iterator[str]:
    """Holes that do not align, one by one; of the others how many, and the closest."""
    for found in made.matings:
        if not found.ok:
            yield f"  ERROR      {_fault(found)}, at {_place(found.place)}"
    good = [found for found in made.matings if found.ok]
    if good:
        pairs = f"{len(good)} pair{'s' if len(good) > 1 else ''} of holes or bolt in hole"
        least = min((found.clear for found in good if found.pin), default=None)
        room = "" if least is None else f"; the tightest bolt has {least:.3g} mm of clearance in diameter"
        yield f"  aligned    {pairs}: axes within {good[0].tolerance:g} mm{room}"


def _fault(found: Mating) -> str:
    """Return what is wrong with a pair, and its fix."""
    pair = f"{found.first} and {found.second}"
    if found.pin and found.clear < 0.0:
        return f"{pair}: the pin is {-found.clear:.3g} mm too thick for the hole, with axes {found.offset:.3g} mm apart"
    room = (
        f"{found.clear:.4g} mm of clearance left"
        if found.pin
        else f"a pin of {found.clear:.4g} mm goes through"
    )
    return (
        f"{pair}: the axes lie {found.offset:.3g} mm apart, {found.tolerance:g} mm is the tolerance; {room}"
    )


def _place(place: tuple[float, float, float]) -> str:
    """Return a position as printed; a zero has no sign."""
    return ", ".join(f"{round(value, 2) + 0.0:.2f}" for value in place) + " mm"
