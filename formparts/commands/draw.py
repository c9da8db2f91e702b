"""`formparts draw`: a dimensioned drawing of a part, and a line picture."""

from __future__ import annotations

import argparse
from typing import Any

from formparts.commands.title import add_title_options, given_title, with_changes
from formparts.commands.values import add_out_option, add_set_option, given_values
from formparts.errors import InputError

WELL, NOT_WELL = 0, 1


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("draw", help="draw a part on a dimensioned sheet, as PDF, DXF and SVG")
    parser.description = (
        "Draw a part from which it can be made and measured: three views, sections through its bends, flats in their "
        "true shape, the blank with its bends, bend table and title block, on as many sheets as it takes; and a line "
        "picture of it. Exits 1 when the part cannot be made as it is drawn."
    )
    parser.add_argument(
        "recipe",
        metavar="RECIPE",
        help="a recipe's or assembly's name, path/to/file.py:function, or a STEP file of a sheet-metal part",
    )
    add_set_option(parser)
    add_out_option(parser)
    parser.add_argument(
        "--sheet", metavar="SIZE", help="A4 to A0; a larger one when it must be (A3; A2 with --names)"
    )
    parser.add_argument("--projection", metavar="ANGLE", default="first", help="first or third angle (first)")
    parser.add_argument(
        "--general",
        metavar="CLASS",
        default="m",
        help="class of general tolerances, ISO 2768-1: f, m, c, v (m)",
    )
    parser.add_argument(
        "--as",
        metavar="KINDS",
        default="pdf,dxf,svg",
        dest="kinds",
        help="of pdf,dxf,svg and json, the list of dimensions (pdf,dxf,svg)",
    )
    add_title_options(parser)
    parser.add_argument(
        "--units", metavar="UNIT", default="mm", help="mm, in, or in+mm for both figures (mm)"
    )
    parser.add_argument(
        "--names", action="store_true", help="write at each dimension the parameter that moves it"
    )
    parser.add_argument(
        "--family",
        metavar="TABLE",
        help="rows of parameters: one drawing for all, letters at the sizes that differ and a table of them",
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Draw, and say what was written, and why the part cannot be made if it cannot."""
    from formparts.assembly_recipes import names_assembly

    if names_assembly(options.recipe):
        return _run_assembly(options)
    return _run_family(options) if options.family else _run_part(options)


def _run_family(options: argparse.Namespace) -> int:
    """Draw all variants of a table on one drawing."""
    from formparts.drawings import drawing, write_drawing
    from formparts.export import delivery, require_free
    from formparts.families import checked, read_table
    from formparts.recipe_functions import find_recipe

    recipe = find_recipe(options.recipe)
    _refuse_with_family(options)
    drawings = [f"{recipe.name}-family-drawing.{kind}" for kind in _kinds(options.kinds)]
    how = (options.out, "draw", drawings, options.overwrite)
    require_free(*how)
    title = given_title(options, recipe.title, recipe.name)
    variants, faults = checked(recipe, read_table(options.family))
    if faults or not variants:
        problem = str(faults[0]) if faults else "has no row"
        raise InputError("formparts draw", "--family", options.family, problem, "fix the table")
    bodies = {one.name: recipe.built(one.parameters) for one in variants}
    first = bodies[variants[0].name]
    drawn = drawing(
        first, options.sheet or "A3", options.projection, options.general, title, options.units, family=bodies
    )
    with delivery(*how) as drafts:
        for name in drawings:
            write_drawing(drawn, drafts / name)
    print(
        f"{recipe.name}: {len(bodies)} sizes, {len(drawn.pages)} of {drawn.sheet}, scale {drawn.scale_text}"
    )
    print(f"  files      {options.out}/: {', '.join(drawings)}")
    return WELL


def _refuse_with_family(options: argparse.Namespace) -> None:
    """What is said of one part only cannot be asked for with a table."""
    for name, given in (("--set", options.values), ("--since", options.since), ("--names", options.names)):
        if given:
            problem = "is of one part, and --family draws all of a table"
            raise InputError("formparts draw", name, "given", problem, "leave one of them out")


def _run_assembly(options: argparse.Namespace) -> int:
    """Draw an assembly: views, balloons, overall sizes, bill."""
    from formparts.assembly_recipes import find_assembly
    from formparts.drawings import assembly_drawing, write_drawing
    from formparts.export import delivery, require_free

    recipe = find_assembly(options.recipe)
    drawings = [f"{recipe.name}-drawing.{kind}" for kind in _kinds(options.kinds)]
    how = (options.out, "draw", drawings, options.overwrite)
    require_free(*how)
    title = given_title(options, {}, recipe.name)
    made = recipe(**given_values(options.values))
    drawn = assembly_drawing(
        made, options.sheet or "A3", options.projection, options.general, title, options.units
    )
    with delivery(*how) as drafts:
        for name in drawings:
            write_drawing(drawn, drafts / name)
    print(f"{recipe.name}: {drawn.sheet}, scale {drawn.scale_text}, {len(made.items)} parts")
    print(f"  files      {options.out}/: {', '.join(drawings)}")
    return WELL


def _run_part(options: argparse.Namespace) -> int:
    """Draw a part."""
    from formparts.drawings import write_drawing, write_line_picture
    from formparts.export import delivery, require_free
    from formparts.recipe_functions import find_recipe
    from formparts.report.grouping import grouped, message_of

    kinds = _kinds(options.kinds)
    recipe = find_recipe(options.recipe)
    drawings, lines = [f"{recipe.name}-drawing.{kind}" for kind in kinds], f"{recipe.name}-lines.svg"
    how = (options.out, "draw", [*drawings, lines], options.overwrite)
    require_free(*how)
    title = given_title(options, recipe.title, recipe.name)
    part = recipe.part(**given_values(options.values))
    if options.since:
        title = with_changes(title, recipe, part.parameters, options.since, options.recipe)
    size = options.sheet or ("A2" if options.names else "A3")
    drawn = part.drawing(
        size, options.projection, options.general, title=title, units=options.units, names=options.names
    )
    with delivery(*how) as drafts:
        for name in drawings:
            write_drawing(drawn, drafts / name)
        write_line_picture(part.solid, drafts / lines)
    paper = " x ".join(f"{side:g}" for side in drawn.size)
    sheets = f"{len(drawn.pages)} sheets" if len(drawn.pages) > 1 else "1 sheet"
    print(f"{recipe.name}: {sheets} {drawn.sheet}, {paper} mm, scale {drawn.scale_text}")
    for lacking in drawn.missing:
        print(f"  missing    {lacking}")
    print(f"  files      {options.out}/: {', '.join([*drawings, lines])}")
    errors = [finding for finding in part.findings() if finding.severity == "error"]
    for group in grouped(errors):
        print(f"  error: {message_of(group)}; {group[0].fix}")
    return NOT_WELL if errors else WELL


def _kinds(text: str) -> list[str]:
    """What is to be written; an unknown word is refused before anything is."""
    from formparts.drawings import KINDS

    kinds = [word.strip().lower() for word in text.split(",") if word.strip()]
    for kind in kinds:
        if f".{kind}" not in KINDS:
            known = ", ".join(end[1:] for end in KINDS)
            raise InputError("draw", "--as", f".{kind}", "is not a format of a drawing", f"choose of {known}")
    return kinds
