"""
`formparts region`: where a part can be made, over two of its parameters.

    $ formparts region angle_bracket --grid slot_width=5..25:5 width=20..80:20
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from formparts.commands.values import add_out_option, add_set_option, given_values

WELL = 0


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("region", help="map where a part can be made, over two of its parameters")
    parser.description = (
        "Try every place of a grid of two parameters with all checks, and find which check bounds the region on each "
        "side. Writes region.csv, region-bounds.csv and region.svg."
    )
    parser.add_argument("recipe", metavar="RECIPE", help="a recipe's name, or path/to/file.py:function")
    parser.add_argument(
        "--grid", metavar="NAME=VALUES", nargs=2, required=True, help="as rise=10..40mm:2 lug_count=2..9:1"
    )
    add_set_option(parser)
    add_out_option(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Map the region, write its files, and say how much of the grid can be made."""
    from formparts.export import delivery, require_free
    from formparts.families.region_files import REGION_FILES, write_region
    from formparts.families.regions import region
    from formparts.recipe_functions import find_recipe

    recipe = find_recipe(options.recipe)
    how = (options.out, "formparts region", REGION_FILES, options.overwrite)
    require_free(*how)
    found = region(recipe, options.grid, **given_values(options.values))
    with delivery(*how) as drafts:
        write_region(recipe, found, drafts)
    good = sum(not place.failing for place in found.places)
    print(f"{recipe.name}: {good} of {len(found.places)} places can be made")
    for check in sorted({bound.failing for bound in found.bounds}):
        sides = sorted({bound.side for bound in found.bounds if bound.failing == check})
        print(f"  {check} bounds {found.across} at its {' and its '.join(sides)}")
    print(f"  files {', '.join(str(Path(options.out, name)) for name in REGION_FILES)}")
    return WELL
