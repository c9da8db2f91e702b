"""The files of a region: its places and its bounds as tables, and its picture."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from formparts.export.csv_text import spreadsheet
from formparts.export.files import written
from formparts.families.region_svg import region_picture
from formparts.families.regions import Region
from formparts.recipe_functions import Recipe

REGION_FILES: Final = ("region.csv", "region-bounds.csv", "region.svg")
"""Map, bounds, picture."""


def write_region(recipe: Recipe, found: Region, folder: Path) -> tuple[Path, Path, Path]:
    """Write the map as `region.csv`, its bounds as `region-bounds.csv`, and a picture of it as `region.svg`."""
    units = {p.name: f"{p.name} [{p.unit}]" if p.unit else p.name for p in recipe.parameters}
    across, up = units[found.across], units[found.up]
    places = [(p.across, p.up, "no" if p.failing else "yes", p.failing, p.why) for p in found.places]
    bounds = [(b.up, b.side, b.across, b.failing, b.why) for b in found.bounds]
    return (
        written(
            folder / REGION_FILES[0], spreadsheet([(across, up, "can be made", "check", "why"), *places])
        ),
        written(folder / REGION_FILES[1], spreadsheet([(up, "side", across, "check", "why"), *bounds])),
        written(folder / REGION_FILES[2], region_picture(recipe.name, found, across, up)),
    )
