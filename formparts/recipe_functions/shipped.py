"""Where the shipped recipes are."""

from __future__ import annotations

from pathlib import Path

from formparts.errors import InputError

_PACKAGE = Path(__file__).resolve().parents[1]


def shipped_folder() -> Path:
    """The folder of the shipped recipes: inside the installed package, or beside it in a clone."""
    inside = _PACKAGE / "recipes"
    if inside.is_dir():
        return inside
    beside = _PACKAGE.parent / "recipes"
    if beside.is_dir() and (_PACKAGE.parent / "pyproject.toml").is_file():
        return beside
    raise InputError(
        "recipe", "folder", str(inside), "the shipped recipes are missing", "install formparts again"
    )
