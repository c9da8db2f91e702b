"""Plain data as a JSON file, proved to read back equal."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

from formparts.errors import FileProofError
from formparts.export.files import delivered


def write_json(data: Any, path: str | os.PathLike[str]) -> Path:
    """
    Write plain data as JSON, in its own order, and prove that it reads back equal.

    Parameters
    ----------
    data : dict or list of plain values
        Names should carry the units (`volume_mm3`).
    path : path
        The file to write.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        It cannot be written there.
    FileProofError
        A figure is not finite or a value is not plain; nothing was delivered.
    """
    try:
        text = json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    except (TypeError, ValueError) as error:
        raise FileProofError(str(path), str(error)) from error
    return delivered(path, text, lambda draft: _same_json(draft, data))[0]


def _same_json(draft: Path, data: Any) -> None:
    """Read back what was written, and compare."""
    if json.loads(draft.read_text(encoding="utf-8")) != _listed(data):
        raise FileProofError(str(draft), "the figures read back differ from those that were written")


def _listed(data: Any) -> Any:
    """The same data with tuples as lists, which is how JSON gives them back."""
    if isinstance(data, dict):
        return {name: _listed(value) for name, value in data.items()}
    return [_listed(value) for value in data] if isinstance(data, (list, tuple)) else data
