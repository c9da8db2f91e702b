"""Load cases from a TOML file: one table `[[case]]` for each, with a name, supports and loads."""

from __future__ import annotations

import difflib
import os
from pathlib import Path
from typing import Any, Final

from formparts import toml
from formparts.errors import InputError
from formparts.fea.case import LoadCase
from formparts.fea.loads import read_load
from formparts.fea.supports import read_support
from formparts.quantities import shown_value

_KINDS: Final[dict[str, type]] = {
    "name": str, "fix": list, "load": list, "gravity": list, "frequencies": int, "buckling": int, "large": bool,
}  # fmt: skip


def read_cases(path: str | os.PathLike[str]) -> tuple[LoadCase, ...]:
    """
    Read load cases from a file.

    Parameters
    ----------
    path : path
        A TOML file of tables `[[case]]` with `name`, `fix`, `load`, `gravity`, `frequencies`, `buckling` and `large`.

    Returns
    -------
    tuple of LoadCase

    Raises
    ------
    InputError
        The file cannot be read, or a key or a value in it is wrong.
    """
    try:
        data = toml.loads(Path(path).read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(
            "--cases", "file", str(path), f"cannot be read: {reason}", "check the file"
        ) from error
    tables = data.get("case")
    if set(data) != {"case"} or not isinstance(tables, list) or not tables:
        raise InputError("--cases", "file", str(path), "holds no load cases", "write tables [[case]]")
    cases = tuple(_case(table, number) for number, table in enumerate(tables, 1))
    names = [case.name for case in cases]
    double = next((name for name in names if names.count(name) > 1), None)
    if double is not None:
        raise InputError("--cases", "name", double, "is the name of two cases", "give each a name of its own")
    return cases


def _case(table: Any, number: int) -> LoadCase:
    where = f"case {number}"
    if not isinstance(table, dict):
        raise InputError(where, "case", shown_value(table), "is not a table", "write [[case]]")
    for word, value in table.items():
        if word not in _KINDS:
            near = difflib.get_close_matches(word, _KINDS, 1)
            fix = f"did you mean {near[0]}?" if near else f"known are {', '.join(_KINDS)}"
            raise InputError(where, word, shown_value(value), "is not a word of a load case", fix)
        if not isinstance(value, _KINDS[word]) or (isinstance(value, bool) and _KINDS[word] is not bool):
            problem = f"is not {_KINDS[word].__name__}"
            raise InputError(where, word, shown_value(value), problem, "see the example in the manual")
    gravity = table.get("gravity", [0, 0, 0])
    if len(gravity) != 3 or not all(isinstance(part, (int, float)) for part in gravity):
        raise InputError(where, "gravity", shown_value(gravity), "is not x, y, z", "write [0, 0, -1]")
    held, loads = (_texts(table, word, where) for word in ("fix", "load"))
    for text in held:
        read_support(text)
    name = table.get("name", str(number))
    if not name or not all(letter.isalnum() or letter in "-_" for letter in name):
        raise InputError(
            where, "name", shown_value(name), "cannot be part of a file's name", "use letters, digits, -"
        )
    x, y, z = map(float, gravity)
    return LoadCase(
        tuple(held), tuple(map(read_load, loads)), table.get("frequencies", 0), (x, y, z),
        table.get("buckling", 0), table.get("large", False), name,
    )  # fmt: skip


def _texts(table: dict[str, Any], word: str, where: str) -> list[str]:
    found: list[str] = table.get(word, [])
    for item in found:
        if not isinstance(item, str):
            raise InputError(where, word, shown_value(item), "is not text", "write it in quotes")
    return found
