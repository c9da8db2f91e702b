"""The title block's contents: from the recipe, a file, single fields, and the changes since a version."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.commands.compare import read_version
from formparts.errors import InputError
from formparts.quantities import shown_value

if TYPE_CHECKING:
    from formparts.comparison import Change
    from formparts.drawings import TitleData
    from formparts.recipe_functions import Recipe

_LETTERS = "ABCDEFGHJKLMNPRTUVWY"
"""Letters of revisions, without those that can be confused with figures or each other (common practice, no source)."""


def add_title_options(parser: argparse.ArgumentParser) -> None:
    """The options for the contents of the title block."""
    parser.add_argument("--title", metavar="FILE", help="TOML file of what the title block says")
    parser.add_argument(
        "--since", metavar="FILE", default="",
        help="a part's JSON file of an earlier version: what changed becomes a row of the revision table",
    )  # fmt: skip
    add_field_option(parser)


def add_field_option(parser: argparse.ArgumentParser, also: str = "") -> None:
    """The option of single fields: number, revision, author, owner and date go into the STEP file too."""
    parser.add_argument(
        "--field", metavar="NAME=TEXT", action="extend", nargs="+", default=[], dest="fields",
        help=f"a field of the title block, as number=FP-1001; it goes before a file's and the recipe's{also}",
    )  # fmt: skip


def with_title(recipe: Recipe, given: list[str]) -> Recipe:
    """The recipe, with single fields of its title block given anew."""
    fields = _fields(given)
    check_fields(fields)
    return replace(recipe, title={**recipe.title, **fields})


def check_fields(fields: Mapping[str, str]) -> None:
    """Refuse a field that no title block has, and a date that is none of the calendar."""
    if not fields:
        return  # what draws is not loaded for nothing
    from formparts.drawings import TitleData
    from formparts.drawings.title_files import with_fields
    from formparts.export.step_title import calendar_date

    with_fields(TitleData(), fields, "--field")
    if fields.get("date") and calendar_date(fields["date"]) is None:
        problem = "is not a date of the calendar"
        raise InputError("--field", "date", shown_value(fields["date"]), problem, "write it as 2026-11-30")


def fields_by_part(given: list[str]) -> dict[str, dict[str, str]]:
    """Fields of an assembly's title under an empty name, `PART.field=TEXT` under the part's."""
    found: dict[str, dict[str, str]] = {}
    for name, text in _fields(given).items():
        part, _, field = name.rpartition(".")
        found.setdefault(part, {})[field] = text
    for fields in found.values():
        check_fields(fields)
    return found


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
