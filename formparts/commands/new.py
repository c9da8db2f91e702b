"""
`new`: a small recipe that works, to start from.

    $ formparts new cable_tray
    $ formparts make cable_tray.py:cable_tray
"""

from __future__ import annotations

import argparse
import keyword
import re
from typing import Any, Final

from formparts.errors import InputError

START: Final = '''from typing import Annotated

from formparts import Body, Length, Sheet, add_flange, cut_opening, disc, plate, recipe, rectangle


@recipe
def NAME(
    # Each parameter: what it is and its limits [mm], then the value that it has when none is given.
    length: Annotated[float, Length("of the plate", 40, 500)] = 80,
    width: Annotated[float, Length("of the plate, to the outside of its flange", 40, 500)] = 50,
    height: Annotated[float, Length("of the flange, to the outside", 12, 200)] = 30,
    thickness: Annotated[float, Length("of the sheet", 0.5, 4)] = 2,
) -> Body:
    """Plate with two holes and a flange along its back edge."""
    # The stock: every bend has this inside radius and this rule for its developed length.
    sheet = Sheet(thickness, inside_radius=1.25 * thickness, material="DC01", bend_rule="DIN 6935")
    # A plate about its origin, with an upright flange along its back edge.
    body = plate(sheet, rectangle(length, width), name="plate")
    body = add_flange(body, "back", height, name="flange")
    # Two holes in a row along the middle of the plate.
    return cut_opening(body, disc(7), "plate", [(-length / 4, 0), (length / 4, 0)], name="hole")
'''
"""The recipe, before it has a name."""


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("new", help="write a small recipe to start from")
    parser.description = (
        "Write NAME.py in this folder: a recipe that works, with comments, to be made into your own. A file that is "
        "there already is left as it is."
    )
    parser.add_argument("name", metavar="NAME", help="of the recipe, and of its file: bracket, cable_tray")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Write it, and say how to make the part."""
    from pathlib import Path

    from formparts.export.files import written

    name = _checked(options.name)
    path = Path(f"{name}.py")
    if path.exists() or path.is_symlink():
        raise InputError("formparts new", "NAME", name, f"{path} is there already", "take another name")
    written(path, START.replace("NAME", name))
    print(f"{path}: a recipe that works; make its part, then change it to your own")
    print(f"  formparts make {path}:{name}")
    print(f"  formparts watch {path}:{name}")
    return 0


def _checked(name: str) -> str:
    """The name of a recipe is that of a function."""
    if not (name.isascii() and name.isidentifier()) or keyword.iskeyword(name) or len(name) > 60:
        fix = "letters, figures and underscores, not beginning with a figure: cable_tray"
        raise InputError("formparts new", "NAME", name, "cannot be the name of a recipe", fix)
    if name in re.findall(r"\w+", START.partition("@recipe")[0]):
        raise InputError("formparts new", "NAME", name, "is a name of formparts itself", "take another name")
    return name
