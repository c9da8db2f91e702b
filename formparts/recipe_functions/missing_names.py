"""Where to import a name from that `formparts` itself does not export."""

from __future__ import annotations

import difflib
import re
from importlib import import_module
from typing import Final

ROOMS: Final = (
    "formparts", "formparts.shapes", "formparts.outline", "formparts.bending", "formparts.forming",
    "formparts.materials", "formparts.assembly", "formparts.fea",
)  # fmt: skip
"""Modules that a recipe may need, the nearest first."""
OTHER_WORDS: Final = {
    "slot": "obround", "circle": "disc", "round_hole": "disc", "square": "rectangle", "fillet": "round_corners",
    "flange": "add_flange", "hem": "add_hem", "curl": "add_curl", "tab": "add_tab", "joggle": "add_joggle",
    "lug": "offset_lug", "pattern": "array_about",
    "array": "array_about", "bend": "add_flange", "hole_pattern": "grid", "path": "closed_path", "move": "translate",
}  # fmt: skip
"""Words of the trade for things that have another name here."""
_WANTED = re.compile(r"cannot import name '(\w+)' from 'formparts(?:[.\w]*)'")


def where_it_is(said: str) -> str:
    """State where the name that could not be imported is, or which one is similar.

    Parameters
    ----------
    said : str
        The text of an ImportError.

    Returns
    -------
    str
        The way out, or nothing where there is none.
    """
    wanted = _WANTED.search(said)
    if wanted is None:
        return ""
    homes = {name: room for room in reversed(ROOMS) for name in import_module(room).__all__}
    name = wanted[1]
    found = [name] if name in homes else [OTHER_WORDS[name]] if name in OTHER_WORDS else []
    found = found or difflib.get_close_matches(name, homes, 1, 0.75)
    return f"write from {homes[found[0]]} import {found[0]}" if found else ""
