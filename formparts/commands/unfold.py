"""
`formparts unfold`: the blank of a STEP file that anybody made.

    $ formparts make angle_bracket --out from_customer
    $ formparts unfold from_customer/angle_bracket.step --out flat
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.commands.values import add_out_option

if TYPE_CHECKING:
    from formparts.unfolded_files import UnfoldedFile

WELL, NOT_WELL = 0, 1


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("unfold", help="the blank of a solid in a STEP file, whoever made it")
    parser.description = (
        "Find the thickness, flats and bends of a solid, lay it flat, and write the blank as DXF and SVG and all "
        "figures as JSON. Exits 1 when the blank overlaps or the methods disagree, 2 when it cannot be unfolded; "
        "then a picture of the solid is written with the face marked that is meant."
    )
    parser.add_argument(
        "files",
        metavar="FILE.step",
        nargs="+",
        help="STEP files of parts and assemblies: every solid is unfolded",
    )
    parser.add_argument("--solid", metavar="NAME", help="this solid alone, of a file that holds several")
    parser.add_argument(
        "--inside-radius", metavar="MM", help="inside radius of bends drawn without one (one thickness)"
    )
    parser.add_argument("--jobs", metavar="N", type=int, help="so many files at once (one for each core)")
    parser.add_argument("--material", metavar="NAME", help="what it is made of (none: no mass)")
    parser.add_argument(
        "--bend-rule", metavar="RULE", default="K 0.44",
        help="a K-factor such as 0.44, din6935, another rule, or a CSV of your own allowances (K 0.44)",
    )  # fmt: skip
    parser.add_argument("--fixed", metavar="FLAT", help="name of the flat that stays put (the largest)")
    parser.add_argument(
        "--up",
        metavar="X,Y,Z",
        help="direction in the file that faces you on the blank (0,0,1 as far as may be)",
    )
    parser.add_argument("--dxf", metavar="VERSION", default="R2000", help="version of the DXF file (R2000)")
    add_out_option(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Unfold the files in processes of their own, and print what was found."""
    from formparts.apart import one_apart

    if len(options.files) > 1:
        lines, code = _many(options)
    else:
        given = argparse.Namespace(**{name: value for name, value in vars(options).items() if name != "run"})
        lines, code = one_apart(partial(_all_of, given), Path(options.files[0]))
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    return code


def _all_of(options: argparse.Namespace, path: Path) -> tuple[list[str], int]:
    """Return the text for the one solid of a file, or for all that it holds."""
    from formparts.errors import InputError

    try:
        return _one(options, path)
    except InputError as refusal:
        if refusal.parameter != "solids" or options.solid is not None or not isinstance(refusal.value, int):
            raise
        if refusal.value < 2:
            raise
    return _many(options)


def _one(options: argparse.Namespace, path: Path) -> tuple[list[str], int]:
    """Unfold the one solid of a file, and print all that was found."""
    from formparts.quantities import number
    from formparts.unfolded_files import unfold_file

    radius = options.inside_radius
    made = unfold_file(
        path,
        options.out,
        material=options.material,
        bend_rule=options.bend_rule,
        dxf_version=options.dxf,
        fixed=options.fixed,
        up=None if options.up is None else _direction(options.up),
        solid=options.solid,
        inside_radius=None if radius is None else number(radius, "inside_radius", "unfold"),
        overwrite=options.overwrite,
    )
    return list(_lines(made)), WELL if made.ok else NOT_WELL


def _many(options: argparse.Namespace) -> tuple[list[str], int]:
    """Unfold every solid of every file, and print one table."""
    from formparts.bending import bend_rule
    from formparts.materials import material
    from formparts.quantities import number
    from formparts.records import CAUTIONS
    from formparts.unfolded_files import Wishes
    from formparts.unfolding_runs import table, unfold_files

    radius = options.inside_radius
    how = Wishes(
        bend_rule(options.bend_rule),
        None if options.material is None else material(options.material),
        options.dxf,
        None,
        None if options.up is None else _direction(options.up),
        None if radius is None else number(radius, "inside_radius", "unfold"),
        options.overwrite,
    )
    found = unfold_files(options.files, options.out, how, options.jobs)
    lines = [*table(found), *(f"  caution    {caution}" for caution in CAUTIONS)]
    return lines, WELL if all(each.ok for each in found) else NOT_WELL


def _direction(text: str) -> tuple[float, float, float]:
    """Three figures with commas between them, not all zero."""
    from formparts.errors import InputError
    from formparts.quantities import number

    parts = text.split(",")
    if len(parts) == 3:
        x, y, z = (number(part, "up", "unfold") for part in parts)
        if (x, y, z) != (0.0, 0.0, 0.0):
            return (x, y, z)
    raise InputError("unfold", "up", text, "is not a direction", "give three figures, as 0,0,1")


def _lines(made: UnfoldedFile) -> Iterator[str]:
    from formparts.records import CAUTIONS
    from formparts.report.grouping import grouped, message_of
    from formparts.report.summary import bend_lines, mass_text

    found, blank = made.found, made.found.blank
    x, y, z = made.envelope
    yield f"{found.name}: {round(found.thickness, 4):g} mm thick, {made.bend_rule.name}, file in {made.unit.lower()}"
    if made.material is not None and made.mass is not None:
        yield f"  mass       {mass_text(made.mass)} as {made.material.name}, {made.material.density:g} kg/m3"
    yield f"  volume     {found.volume:.1f} mm3"
    yield f"  envelope   {x:.2f} x {y:.2f} x {z:.2f} mm"
    yield f"  blank      {blank.length:.2f} x {blank.width:.2f} mm, area {blank.area:.1f} mm2"
    yield f"  cut        {blank.cut_length:.1f} mm, pierces: {blank.pierces}"
    stays = f": {found.flats[0].name} stays put" if found.flats else ", the part is rolled throughout"
    yield f"  flats      {len(found.flats)}{stays}"
    yield from bend_lines(blank)
    yield from (f"  not cut    {each.what}" for each in found.features)
    yield from (f"  note       {note}" for note in found.notes)
    for row in made.audit:
        word = "agrees" if row.agrees else "DISAGREES"
        yield f"  audit      {row.figure} {word} by {' and '.join(row.methods)}, to {row.spread:.2g}"
    for group in grouped(made.findings):
        yield f"  {group[0].severity}: {message_of(group)}; {group[0].fix}"
    yield f"  files      {made.files[0].parent}/: {', '.join(path.name for path in made.files)}"
    yield from (f"  caution    {caution}" for caution in CAUTIONS)
