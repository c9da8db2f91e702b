"""Title block contents, read from a TOML file and from single fields."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import fields, replace
from difflib import get_close_matches
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

from formparts.drawings.title import Revision, TitleData
from formparts.errors import InputError
from formparts.quantities import shown_value
from formparts.toml import TOMLDecodeError, loads

_TABLES: Final = ("general", "revisions")
TEXTS: Final = tuple(field.name for field in fields(TitleData) if field.name not in _TABLES)
"""Fields of the title block that hold text."""


def read_title(path: str | os.PathLike[str]) -> TitleData:
    """Read the title block's contents from a TOML file.

    Parameters
    ----------
    path : path
        The fields of `TitleData` as keys; revisions as an array of tables; `general` as a list of [up_to, tolerance].

    Returns
    -------
    TitleData

    Raises
    ------
    InputError
        The file cannot be read, is not TOML, or has a field that is unknown or of the wrong type.
    """
    where = f"title file {Path(path).name}"
    data = _loaded(Path(path), where)
    texts = {key: value for key, value in data.items() if key not in _TABLES}
    return replace(
        with_fields(TitleData(), texts, where),
        general=_general(where, data.get("general", [])),
        revisions=tuple(_revision(where, row) for row in _rows_of(where, data.get("revisions", []))),
    )


def _loaded(path: Path, where: str) -> dict[str, Any]:
    """Return the contents of the file."""
    fix = "give the path of a TOML file"
    try:
        return loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise InputError(where, "path", str(path), "there is no such file", fix) from error
    except UnicodeDecodeError as error:
        raise InputError(where, "path", str(path), "is not a text file in UTF-8", fix) from error
    except TOMLDecodeError as error:
        problem = f"is not TOML: {str(error).splitlines()[0].lower()}"
        raise InputError(where, "path", str(path), problem, 'write lines as number = "FP-1001"') from error
    except OSError as error:
        problem = f"cannot be read ({(error.strerror or 'refused').lower()})"
        raise InputError(where, "path", str(path), problem, fix) from error


def with_fields(data: TitleData, texts: Mapping[str, Any], where: str) -> TitleData:
    """Return the title data with some of its texts replaced; refuse an unknown field or a value that is not text."""
    for key, value in texts.items():
        if key not in TEXTS:
            near = get_close_matches(key, TEXTS, n=1)
            hint = f"did you mean {near[0]}? " if near else ""
            fix = f"{hint}there are: {', '.join((*TEXTS, *_TABLES))}"
            raise InputError(where, "field", shown_value(key), "there is no such field", fix)
        if isinstance(value, bool) or not isinstance(value, str | int):
            raise InputError(where, key, shown_value(value), "is not a text", f'write {key} = "..."')
    said: dict[str, Any] = {key: str(value) for key, value in texts.items()}
    return replace(data, **said)


def _rows_of(where: str, rows: Any) -> list[Any]:
    if not isinstance(rows, list):
        raise InputError(where, "revisions", str(rows), "is not an array of tables", "write [[revisions]]")
    return rows


def _general(where: str, rows: Any) -> tuple[tuple[float, float], ...]:
    """Return your own table of general tolerances, in rising order of length."""
    wanted = "write general = [[30, 0.2], [120, 0.3]]: up to a length, plus and minus"
    try:
        found = tuple((float(end), float(value)) for end, value in rows)
    except (TypeError, ValueError):
        raise InputError(where, "general", str(rows), "is not a table of tolerances", wanted) from None
    rising = all(one[0] < two[0] for one, two in pairwise(found))
    if not rising or any(not 0.0 < value < 1e6 or not 0.0 < end < 1e7 for end, value in found):
        raise InputError(where, "general", str(rows), "has lengths that do not rise, or no tolerance", wanted)
    return found


def _revision(where: str, row: Any) -> Revision:
    known = [field.name for field in fields(Revision)]
    if not isinstance(row, dict) or set(row) - set(known) or not {"revision", "change"} <= set(row):
        fix = f"give {', '.join(known)}"
        raise InputError(where, "revisions", str(row), "is not a row of the revision table", fix)
    return Revision(**{key: str(value) for key, value in row.items()})
