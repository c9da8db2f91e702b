"""Parameters given on the command line."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable, Sequence
from typing import Final

from formparts.errors import InputError

_SEVERAL: Final = ("--set", "--vary", "--grid")
"""Options that take any number of following NAME=VALUE."""


def add_set_option(parser: argparse.ArgumentParser) -> None:
    """The option of all commands that take a recipe's parameters; the given values are in `values`."""
    parser.add_argument(
        "--set", metavar="NAME=VALUE", action="extend", nargs="+", default=[], dest="values",
        help="a parameter: a number in mm or deg, or with its unit, as rise=1/2in",
    )  # fmt: skip


def add_thickness_option(parser: argparse.ArgumentParser) -> None:
    """The option of the commands that take a part, whoever made it; it goes to `values` with the others."""
    parser.add_argument(
        "--thickness", metavar="MM", action="append", dest="values", type="thickness={}".format,
        help="of the sheet, as --set thickness=MM; a STEP file's part keeps its outside dimensions, or with "
        "--set keep=inside its inside ones",
    )  # fmt: skip


def add_out_option(parser: argparse.ArgumentParser, text: str = "folder for the files (out)") -> None:
    """The options of all commands that write files of names that they make up."""
    parser.add_argument("--out", metavar="DIR", default="out", help=text)
    parser.add_argument(
        "--overwrite", action="store_true",
        help="replace files of the same names that formparts did not write, or that were changed since",
    )  # fmt: skip


def arranged(arguments: Sequence[str]) -> list[str]:
    """Return the arguments with a recipe behind NAME=VALUE moved to the front: there it would count as a value."""
    words, taking, taken = _with_negatives(arguments), False, False
    if len(words) < 2 or not words[1].startswith("-"):
        return words
    for number, word in enumerate(words):
        if word.startswith("-"):
            taking, taken = word in _SEVERAL, False
        elif taking and "=" in word:
            taken = True
        elif taking and taken:
            return [words[0], word, *words[1:number], *words[number + 1 :]]
    return words


def _with_negatives(arguments: Sequence[str]) -> list[str]:
    """The words, with a value that begins with a minus put to its option: alone it would be taken for one."""
    words: list[str] = []
    for word in arguments:
        negative = re.match(r"[-−][.0-9]", word) is not None
        option = bool(words) and words[-1].startswith("--") and "=" not in words[-1] and words[-1] != "--"
        if negative and option:
            words[-1] += f"={word}"
        else:
            words.append(word)
    return words


def given_values(parts: Iterable[str]) -> dict[str, str]:
    """NAME=VALUE as a mapping; a name given twice is refused."""
    values: dict[str, str] = {}
    for part in parts:
        name, equals, value = (piece.strip() for piece in part.partition("="))
        if not equals or not name or not value:
            raise InputError("--set", "parameter", repr(part), "is not NAME=VALUE", "write it as rise=20mm")
        if name in values:
            raise InputError(
                "--set", name, value, f"is given twice, before as {values[name]}", "give it once"
            )
        values[name] = value
    return values
