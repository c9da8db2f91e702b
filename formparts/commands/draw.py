"""
`formparts draw`: a dimensioned drawing of a part, and a line picture.

    $ formparts draw angle_bracket --names
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from formparts.commands.title import add_title_options, given_title, with_changes
from formparts.commands.values import add_out_option, add_set_option, add_thickness_option, given_values
from formparts.errors import InputError

if TYPE_CHECKING:
    from formparts.drawings import Drawing
    from formparts.families.variants import Variant
    from formparts.part import Part
    from formparts.recipe_functions import Recipe

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
    add_thickness_option(parser)
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
    """Draw, and print what was written, and why the part cannot be made if it cannot."""
    from formparts.assembly_recipes import names_assembly

    if names_assembly(options.recipe):
        _refuse(options, ("family", "since", "names"), "is of a part, and this is an assembly")
        return _run_assembly(options)
    if options.family:
        _refuse(options, ("values", "since", "names"), "is of one part, and --family draws all of a table")
        return _run_family(options)
    return _run_part(options)


def _refuse(options: argparse.Namespace, names: Sequence[str], problem: str) -> None:
    """Refuse options that do not fit what is drawn."""
    for name in names:
        if getattr(options, name):
            option = "--set" if name == "values" else f"--{name}"
            raise InputError("formparts draw", option, "given", problem, "leave it out")


def _run_family(options: argparse.Namespace) -> int:
    """Draw all variants of a table on one drawing."""
    from formparts.families import checked, read_table
    from formparts.part.drawn import drawn
    from formparts.recipe_functions import find_recipe

    recipe = find_recipe(options.recipe)
    files = _Files(options, f"{recipe.name}-family-drawing")
    title = given_title(options, recipe.title, recipe.name)
    variants, faults = checked(recipe, read_table(options.family))
    if faults:
        problem = str(faults[0])
        raise InputError("formparts draw", "--family", options.family, problem, "correct the table")
    parts = {one.name: _variant(recipe, one) for one in variants}
    how = (options.sheet or "A3", options.projection, options.general, title, options.units)
    found = drawn(next(iter(parts.values())), *how, family=parts)
    files.write(found)
    _say(f"{recipe.name}: {len(parts)} sizes on", found)
    files.say()
    return max([_say_errors(part, f" {name}:") for name, part in parts.items()])


def _variant(recipe: Recipe, row: Variant) -> Part:
    """The part of a row; one that cannot be built is refused with the name of its row."""
    try:
        return recipe.part(**row.parameters)
    except InputError as error:
        raise InputError("formparts draw", "--family", f"row {row.name}", str(error), "correct it") from None


def _run_assembly(options: argparse.Namespace) -> int:
    """Draw an assembly: views, balloons, overall sizes, bill."""
    from formparts.assembly_recipes import find_assembly
    from formparts.drawings import assembly_drawing

    recipe = find_assembly(options.recipe)
    files = _Files(options, f"{recipe.name}-drawing")
    made = recipe(**given_values(options.values))
    title = given_title(options, made.titles.get(made.name, {}), recipe.name)
    how = (options.sheet or "A3", options.projection, options.general, title, options.units)
    found = assembly_drawing(made, *how)
    files.write(found)
    print(f"{recipe.name}: {found.sheet}, scale {found.scale_text}, {len(made.items)} parts")
    files.say()
    return WELL


def _run_part(options: argparse.Namespace) -> int:
    """Draw a part."""
    from formparts.recipe_functions import find_recipe

    recipe = find_recipe(options.recipe)
    files = _Files(options, f"{recipe.name}-drawing", f"{recipe.name}-lines.svg")
    title = given_title(options, recipe.title, recipe.name)
    part = recipe.part(**given_values(options.values))
    if options.since:
        title = with_changes(title, recipe, part.parameters, options.since, options.recipe)
    size = options.sheet or ("A2" if options.names else "A3")
    found = part.drawing(
        size, options.projection, options.general, title=title, units=options.units, names=options.names
    )
    files.write(found, part)
    _say(f"{recipe.name}:", found)
    for lacking in found.missing:
        print(f"  missing    {lacking}")
    files.say()
    return _say_errors(part)


class _Files:
    """The files of a drawing, refused before anything is built where other files are in the way."""

    def __init__(self, options: argparse.Namespace, stem: str, lines: str = "") -> None:
        from formparts.export import require_free

        self.drawings = [f"{stem}.{kind}" for kind in _kinds(options.kinds)]
        self.lines = [lines] if lines else []
        self.how = (options.out, "draw", [*self.drawings, *self.lines], options.overwrite)
        require_free(*self.how)

    def write(self, found: Drawing, part: Part | None = None) -> None:
        """Write all of them, or none."""
        from formparts.drawings import write_drawing, write_line_picture
        from formparts.export import delivery

        with delivery(*self.how) as drafts:
            for name in self.drawings:
                write_drawing(found, drafts / name)
            if part:
                write_line_picture(part.solid, drafts / self.lines[0])

    def say(self) -> None:
        """Print where they are."""
        print(f"  files      {self.how[0]}/: {', '.join([*self.drawings, *self.lines])}")


def _say(of: str, found: Drawing) -> None:
    """Print how many sheets there are, and how large."""
    paper = " x ".join(f"{side:g}" for side in found.size)
    sheets = f"{len(found.pages)} sheets" if len(found.pages) > 1 else "1 sheet"
    print(f"{of} {sheets} {found.sheet}, {paper} mm, scale {found.scale_text}")


def _say_errors(part: Part, of: str = "") -> int:
    """Print why a part cannot be made, if it cannot."""
    from formparts.report.grouping import grouped, message_of

    errors = [finding for finding in part.findings() if finding.severity == "error"]
    for group in grouped(errors):
        print(f"  error:{of} {message_of(group)}; {group[0].fix}")
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
