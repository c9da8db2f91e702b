"""
`recipe`: the recipe of a part in a STEP file, as Python text.

    $ formparts make angle_bracket
    $ formparts recipe out/angle_bracket.step
"""

from __future__ import annotations

import argparse
import sys
from typing import Any

WELL, NOT_WELL = 0, 1


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("recipe", help="write the recipe of a part in a STEP file, whoever made it")
    parser.description = (
        "Find plates, flanges, offset lugs, ears and openings by pattern in a solid, and write the recipe that builds "
        "it, with parameters and limits: formparts recipe FILE.step > part.py. Healing and assumptions are listed, and "
        "the solid of the recipe is held against that of the file. Exits 1 when the two differ."
    )
    parser.add_argument("file", metavar="FILE.step", help="a STEP file of one part")
    parser.add_argument("--name", metavar="NAME", default="", help="of the recipe (that of the part)")
    parser.add_argument("--material", metavar="NAME", default="S235JR", help="of the sheet (S235JR)")
    parser.add_argument(
        "--bend-rule", metavar="RULE", default="K 0.44", help="for developed lengths (K 0.44)"
    )
    parser.add_argument("--solid", metavar="NAME", help="this solid alone, of a file that holds several")
    parser.add_argument(
        "--inside-radius", metavar="MM", help="inside radius of bends drawn without one (one thickness)"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Write the recipe, and say what was assumed and whether it gives the solid."""
    from pathlib import Path

    from formparts.quantities import number
    from formparts.recipe_writing import recipe_text
    from formparts.recognition import recognised
    from formparts.unfolder import read_solid

    radius = options.inside_radius
    solid = read_solid(options.file, solid=options.solid)
    found = recognised(
        solid,
        options.bend_rule,
        options.material,
        inside_radius=None if radius is None else number(radius, "inside_radius", "recipe"),
    )
    text = recipe_text(found.body, options.name, Path(options.file).name, found.found.loose_by)
    sys.stdout.write(text)
    lines = [f"note: {note}" for note in found.found.notes]
    lines += [f"not in the recipe: {feature.what}" for feature in found.left_out]
    lines += [f"{row.figure} DISAGREES: {row.methods}" for row in found.audit if not row.agrees]
    sys.stderr.write("".join(f"{line}\n" for line in lines))
    return WELL if found.ok else NOT_WELL
