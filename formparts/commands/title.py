"""What the title block of a drawing says: from the recipe, a file, single fields, and what changed since a version."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.commands.compare import read_version
from formparts.errors import InputError

if TYPE_CHECKING:
    from formparts.comparison import Change
    from formparts.drawings import TitleData
    from formparts.recipe_functions import Recipe

_LETTERS = "ABCDEFGHJKLMNPRTUVWY"
"""Letters of revisions: those that are taken for figures or each other are left out (common practice, no source)."""


def add_title_options(parser: argparse.ArgumentParser) -> None:
    """The options that say what stands in the title block."""
    parser.add_argument("--title", metavar="FILE", help="TOML file of what the title block says")
    parser.add_argument(
        "--since", metavar="FILE", default="",
        help="a part's JSON file of an earlier version: what changed becomes a row of the revision table",
    )  # fmt: skip
    parser.add_argument(
        "--field", metavar="NAME=TEXT", action="extend", nargs="+", default=[], dest="fields",
        help="a field of the title block, as number=FP-1001; it goes before the file",
    )  # fmt: skip


def given_title(options: argparse.Namespace, own: Mapping[str, str], where: str) -> TitleData:
    """The title data: the recipe's own, then those of the file, then those of single fields."""
    from formparts.drawings import TitleData, read_title
    from formparts.drawings.title_files import with_fields

    data = read_title(options.title) if options.title else TitleData()
    data = with_fields(data, {name: text for name, text in own.items() if not getattr(data, name, "")}, where)
    return with_fields(data, _fields(options.fields), "--field")


def _fields(parts: list[str]) -> dict[str, str]:
    found = dict[str, str]()
    for part in parts:
        name, equals, text = (piece.strip() for piece in part.partition("="))
        if not equals or not name:
            raise InputError("--field", "field", repr(part), "is not NAME=TEXT", "write it as number=FP-1001")
        found[name] = text
    return found


def with_changes(
    data: TitleData, recipe: Recipe, resolved: Mapping[str, Any], since: str, name: str
) -> TitleData:
    """
    The title data with one revision more: what changed since a version, a part's JSON file or a STEP file.

    The revision is that of the title block, or the letter after the last one of the table; `name` is what the recipe
    was called by.
    """
    from formparts.comparison import compare, compare_parameters
    from formparts.recipe_functions import find_recipe
    from formparts.recipe_functions.step_parts import STEP_ENDS

    changes: tuple[Change, ...] = ()
    if since.lower().endswith(STEP_ENDS):
        before, was = find_recipe(since), dict[str, Any]()
    else:
        given, before = read_version(Path(since), name, {}, "formparts draw --since")
        was = before.resolved(**given)
        changes = compare_parameters(was, resolved)
    changes = changes or compare(before(**was), recipe.built(resolved))
    words = "; ".join(str(change).replace("->", "→") for change in changes)
    return _with_row(data, words) if changes else data


def _with_row(data: TitleData, words: str) -> TitleData:
    from formparts.drawings import Revision
    from formparts.drawings.title import with_revision
    from formparts.export.dates import date_shown

    known = [row.revision for row in data.revisions]
    letter = data.revision if data.revision and data.revision not in known else next_revision(known)
    row = Revision(letter, words, data.date or date_shown(), data.author)
    return with_revision(data, row)


def next_revision(known: list[str]) -> str:
    """The letter or number after the last of some revisions."""
    last = known[-1] if known else ""
    if last.isdecimal():
        return str(int(last) + 1)
    at = _LETTERS.find(last.upper()) if last else -1
    return _LETTERS[at + 1] if at + 1 < len(_LETTERS) else f"{last}A"
