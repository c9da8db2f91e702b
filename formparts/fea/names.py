"""Names of a part chosen by patterns: `*` stands for any text."""

from __future__ import annotations

from collections.abc import Sequence

from formparts.errors import InputError
from formparts.quantities import shown_value


def named(names: Sequence[str], pattern: str, part: str, option: str) -> list[str]:
    """Return the names that a pattern matches, or an error that lists the names there are."""
    found = [name for name in names if _meant(name, pattern.strip())]
    if not found:
        near = [name for name in names if pattern.strip("*") in name] or list(names)
        shown = ", ".join(near[:12]) + (", ..." if len(near) > 12 else "")
        raise InputError(
            part, option, shown_value(pattern), "names nothing of the part", f"there are: {shown}"
        )
    return found


def _meant(name: str, pattern: str) -> bool:
    """Return whether a name matches a pattern with `*` for any text; each part is matched where it first occurs."""
    first, *others = pattern.split("*")
    if not others:
        return name == pattern
    place, (*middle, last) = len(first), others
    if not name.startswith(first) or not name.endswith(last):
        return False
    for piece in middle:
        found = name.find(piece, place)
        if found < 0:
            return False
        place = found + len(piece)
    return place + len(last) <= len(name)
