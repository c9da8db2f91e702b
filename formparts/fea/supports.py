"""Supports of a part: names, and directions in which they are held. `foot.hole` is clamped, `foot.lower@z` slides."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from formparts.errors import InputError
from formparts.quantities import shown_value
from formparts.short_repr import short_repr

_AXES: Final = {"x": 0, "y": 1, "z": 2, "rx": 3, "ry": 4, "rz": 5}
_MOVE: Final = re.compile(r"([-+]?[\d.]+(?:[eE][-+]?\d+)?)\s*(mm|)")


@short_repr
@dataclass(frozen=True)
class Support:
    """
    Names of a part that are held.

    Parameters
    ----------
    where : str
        Names; `*` stands for any text.
    directions : tuple of int [-]
        0, 1, 2 for x, y, z, and 3, 4, 5 for turning about them (shells only).
    clamped : bool
        Held in all directions; a shell may not turn there either.
    displacement : float [mm]
        What is moved along the one direction given, in place of being held.
    """

    where: str
    directions: tuple[int, ...] = (0, 1, 2)
    clamped: bool = True
    displacement: float = 0.0


def read_support(text: str) -> Support:
    """
    Read a support as written in the command.

    Parameters
    ----------
    text : str
        `NAMES` is clamped; `NAMES@xyz` is held and may turn; `NAMES@z` slides; `NAMES@xryrz` also keeps shells from
        turning about y and z, as in a plane of symmetry; `NAMES@z=-0.5mm` is moved.

    Returns
    -------
    Support

    Raises
    ------
    InputError
        The text has another form.
    """
    where, at, rest = text.rpartition("@") if "@" in text else (text, "", "")
    if not at:
        return Support(where.strip())
    letters, equals, amount = rest.partition("=")
    words = re.findall(r"r?[xyz]", letters)
    moved = _MOVE.fullmatch(amount.strip()) if equals else None
    if not words or "".join(words) != letters.strip() or (equals and (moved is None or len(words) > 1)):
        fix = "write it as NAMES, NAMES@xyz, NAMES@z, NAMES@xryrz or NAMES@z=-0.5mm"
        raise InputError("--fix", "fix", shown_value(text), "cannot be read as a support", fix)
    directions = tuple(sorted({_AXES[word] for word in words}))
    return Support(where.strip(), directions, False, float(moved[1]) if moved else 0.0)
