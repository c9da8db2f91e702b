"""
`formparts make`: a part and all its files.

    $ formparts make angle_bracket --set thickness=4 --out out
    $ formparts make angle_bracket --set slot_length=90 # refused
"""

from __future__ import annotations

import argparse
from typing import Any

from formparts.commands import as_formed, check, fea, meshes, own_materials
from formparts.commands.progress import Stages
from formparts.commands.title import add_field_option, with_title
from formparts.commands.values import add_out_option, add_set_option, add_thickness_option, given_values
from formparts.errors import FileProofError, InputError
from formparts.tolerances import MESH_CHORD

WELL, CHECK_FAILED = 0, 1


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser(
        "make", help="make a part and write its files", formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.description = "Make a part: STEP, blank as DXF and SVG, bends, picture, and all figures as JSON."
    parser.epilog = _files_text()
    parser.add_argument(
        "recipe", metavar="RECIPE", help="a recipe's name, path/to/file.py:function, or a STEP file"
    )
    add_set_option(parser)
    add_thickness_option(parser)
    add_out_option(parser)
    parser.add_argument(
        "--expect", metavar="FIGURE=VALUE", action="append", default=[],
        help="a figure of the drawing, as mass=0.86kg, or a TOML file of them; exits 1 when the part deviates by more",
    )  # fmt: skip
    parser.add_argument(
        "--tolerance", metavar="SHARE", default="0.5%", help="greatest deviation from it (0.5%%)"
    )
    check.add_limits_option(parser)
    parser.add_argument("--dxf", metavar="VERSION", default="R2000", help="version of the DXF file (R2000)")
    parser.add_argument(
        "--report",
        action="store_true",
        help="also one page to look at, with a 3D view that folds, and the setter's sheet",
    )
    as_formed.add_option(parser)
    own_materials.add_option(parser)
    add_field_option(parser)
    parser.add_argument("--step", metavar="SCHEMA", default="AP214", help="AP214 or AP242 (AP214)")
    fea.add_options(parser)
    meshes.add_options(parser)
    parser.set_defaults(run=run)


def _files_text() -> str:
    """What is written, from the table of writers."""
    from formparts.writers import WRITERS, kinds_of, writers_of

    lines = [f"  NAME{one.ending:<14}{one.text}" for one in writers_of(kinds_of()) if one.ending in WRITERS]
    return "files that can be written:\n" + "\n".join(lines)


def run(options: argparse.Namespace) -> int:
    """Make the part, write its files, and print its main figures."""
    from formparts.recipe_functions import find_recipe

    fea.check_options(options)
    meshes.check_options(options)
    recipe = with_title(find_recipe(options.recipe), options.fields)
    values = own_materials.with_own_materials(recipe, given_values(options.values), options.materials)
    recipe.resolved(**values)  # errors in them are reported before the modules that make a part are loaded
    if options.as_formed:
        values = as_formed.with_radius_as_formed(recipe, values)

    from formparts.checks import limit_profile
    from formparts.report.summary import summary
    from formparts.writers import kinds_of

    expect = check.expected_figures(options.expect, options.tolerance, "formparts make")
    part = recipe.part(**values).with_limits(limit_profile(options.limits)).with_expectations(*expect)
    part = part.with_fix_budget(check.fix_budget(options))
    order, refused = fea.order_or_refusal(options)
    try:
        study = None if order is None else part.study(order)
    except (InputError, FileProofError) as error:
        study, refused = None, error
    kinds = [*kinds_of(by_default=True), *dict.fromkeys(options.mesh)]
    chord = meshes.chord_of(options) if options.mesh else MESH_CHORD
    stages = Stages()
    files = part.write_all(
        options.out, kinds, report=options.report, fea=None if study is None else order, schema=options.step,
        version=options.dxf, chord=chord, overwrite=options.overwrite, progress=stages.told,
    )  # fmt: skip
    stages.end()
    print(summary(part, files))
    if refused is not None:  # the other files are kept; this line is printed last
        raise refused
    if study is not None:
        print("\n".join(f"  fea        {line}" for line in fea.lines(study)))
    return WELL if part.ok and all(row.agrees for row in part.audit()) else CHECK_FAILED
