"""`formparts draw`: a dimensioned drawing of a part, and a line picture."""

from __future__ import annotations

import argparse
from typing import Any

from formparts.commands.values import add_out_option, add_set_option, given_values
from formparts.errors import InputError

WELL, NOT_WELL = 0, 1


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("draw", help="draw a part on a dimensioned sheet, as PDF, DXF and SVG")
    parser.description = (
        "Draw a part on one sheet, at the largest scale that fits: three views with hidden lines, an isometric view, "
        "the blank with its bends, dimensions, bend table and title block; and a line picture of it. Exits 1 when "
        "the part cannot be made as it is drawn."
    )
    parser.add_argument("recipe", metavar="RECIPE", help="a recipe's name, or path/to/file.py:function")
    add_set_option(parser)
    add_out_option(parser)
    parser.add_argument(
        "--sheet", metavar="SIZE", default="A3", help="A4 to A0; a larger one when it must be (A3)"
    )
    parser.add_argument("--projection", metavar="ANGLE", default="first", help="first or third angle (first)")
    parser.add_argument(
        "--general",
        metavar="CLASS",
        default="m",
        help="class of general tolerances, ISO 2768-1: f, m, c, v (m)",
    )
    parser.add_argument(
        "--as", metavar="KINDS", default="pdf,dxf,svg", dest="kinds", help="of pdf,dxf,svg (all)"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Draw, and say what was written, and why the part cannot be made if it cannot."""
    from formparts.blanks import blank
    from formparts.checks import findings
    from formparts.drawings import drawing, write_drawing, write_line_picture
    from formparts.export import delivery, require_free
    from formparts.recipe_functions import find_recipe
    from formparts.report.grouping import grouped, message_of
    from formparts.solids import solid

    kinds = _kinds(options.kinds)
    recipe = find_recipe(options.recipe)
    drawings, lines = [f"{recipe.name}-drawing.{kind}" for kind in kinds], f"{recipe.name}-lines.svg"
    how = (options.out, "draw", [*drawings, lines], options.overwrite)
    require_free(*how)
    body = recipe(**given_values(options.values))
    drawn = drawing(body, options.sheet, options.projection, options.general)
    with delivery(*how) as drafts:
        for name in drawings:
            write_drawing(drawn, drafts / name)
        write_line_picture(solid(body), drafts / lines)
    size = " x ".join(f"{side:g}" for side in drawn.size)
    print(f"{recipe.name}: {drawn.sheet}, {size} mm, scale {drawn.scale_text}")
    print(f"  files      {options.out}/: {', '.join([*drawings, lines])}")
    errors = [finding for finding in findings(body, blank(body)) if finding.severity == "error"]
    for group in grouped(errors):
        print(f"  error: {message_of(group)}; {group[0].fix}")
    return NOT_WELL if errors else WELL


def _kinds(text: str) -> list[str]:
    """What is to be written; an unknown word is refused before anything is."""
    from formparts.drawings import FORMATS

    kinds = [word.strip().lower() for word in text.split(",") if word.strip()]
    for kind in kinds:
        if f".{kind}" not in FORMATS:
            known = ", ".join(end[1:] for end in FORMATS)
            raise InputError("draw", "--as", f".{kind}", "is no format of a drawing", f"choose of {known}")
    return kinds
