"""
`formparts compare`: what changed from one part to another.

    $ formparts make angle_bracket --out before
    $ formparts make angle_bracket --set shelf=105 --out after
    $ formparts compare before/angle_bracket.json after/angle_bracket.json
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.commands.values import add_out_option, add_set_option, given_values
from formparts.errors import InputError

if TYPE_CHECKING:
    from formparts.comparison import Change
    from formparts.part import Part
    from formparts.recipe_functions import Recipe

WELL, DIFFERENT = 0, 1
PAGE = "compare.html"


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("compare", help="what changed from one part to another")
    parser.description = (
        "Say what changed from part A to part B in the words of the part, from the two models. Exits 0 when the two "
        "are one part, 1 when they differ."
    )
    for letter in ("A", "B"):
        parser.add_argument(
            letter.lower(), metavar=letter, help="a part's JSON file, a variant's folder, or a STEP file"
        )
    parser.add_argument(
        "--recipe", metavar="RECIPE", default="", help="when the files' own cannot be found by name"
    )
    add_set_option(parser)
    parser.add_argument(
        "--report", action="store_true", help=f"write {PAGE} too: both side by side, what changed coloured"
    )
    add_out_option(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Build both models again from their parameters, and print the changes, a line each."""
    from formparts.comparison import compare, compare_parameters

    given = given_values(options.values)
    (first, one), (second, two) = (
        read_version(Path(text), options.recipe, given) for text in (options.a, options.b)
    )
    before, after = one.resolved(**first), two.resolved(**second)
    parts = one.part(**before), two.part(**after)
    changes = [*compare_parameters(before, after), *compare(parts[0].body, parts[1].body)]
    for change in changes:
        print(change)
    if not changes:
        print("no difference")
    if options.report:
        _write_page(options, parts, changes)
    return DIFFERENT if changes else WELL


def _write_page(options: argparse.Namespace, parts: tuple[Part, Part], changes: Sequence[Change]) -> None:
    from formparts.export import delivery
    from formparts.export.files import written
    from formparts.report.html.versions_page import ChangeRow, versions_page

    rows = [ChangeRow(change.what, change.how, change.text) for change in changes]
    text = versions_page(*parts, _names(options.a, options.b), rows)
    with delivery(options.out, "formparts compare", (PAGE,), options.overwrite) as drafts:
        written(drafts / PAGE, text)
    print(f"page {Path(options.out, PAGE)}")


def _names(one: str, two: str) -> tuple[str, str]:
    """What the two are called: their files' own names, or their folders' where these are one."""
    paths = Path(one), Path(two)
    stems = tuple(path.stem for path in paths)
    if stems[0] == stems[1]:
        stems = tuple(f"{path.resolve().parent.name}/{path.stem}" for path in paths)
    return (f"{stems[0]} (A)", f"{stems[1]} (B)")


def read_version(
    path: Path, recipe: str, given: Mapping[str, str], where: str = "formparts compare"
) -> tuple[dict[str, Any], Recipe]:
    """Parameters and recipe of a part's JSON file; of a STEP file, material and rule for the model of its solid."""
    from formparts.recipe_functions import find_recipe, stated_recipe
    from formparts.recipe_functions.stated import trusted_values
    from formparts.recipe_functions.step_parts import STEP_ENDS

    if path.suffix.lower() in STEP_ENDS:
        return dict(given), find_recipe(str(path))
    file = _json_in(path, where) if path.is_dir() else path
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
        parameters, name = _texts(data["parameters"]), str(data["recipe"])
    except OSError as error:
        raise _refused(path, where, f"cannot be read ({error.strerror})") from error
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise _refused(path, where, "is not the JSON file of a part") from error
    # The files in a folder are data, and may come from anybody: no path in it is ever taken for code to run.
    found = find_recipe(recipe) if recipe else stated_recipe(name)
    return trusted_values(found, parameters, given, where, path), found


def _texts(parameters: Any) -> dict[str, Any]:
    """Parameters by their names; a list of pairs is none."""
    if not isinstance(parameters, dict):
        raise TypeError(type(parameters).__name__)
    return parameters


def _json_in(folder: Path, where: str) -> Path:
    """The one JSON file of a variant's folder."""
    found = sorted(folder.glob("*.json"))
    if len(found) != 1:
        raise _refused(folder, where, f"holds {len(found)} JSON files")
    return found[0]


def _refused(path: Path, where: str, problem: str) -> InputError:
    fix = "give a part's JSON file, or the folder of a variant"
    return InputError(where, "part", str(path), problem, fix)
