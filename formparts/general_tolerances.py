"""General tolerances of lengths and angles: ISO 2768-1."""

from __future__ import annotations

from typing import Final

from formparts.errors import InputError

CLASSES: Final = {"f": "fine", "m": "medium", "c": "coarse", "v": "very coarse"}
"""Classes of ISO 2768-1."""

UP_TO: Final = (3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
"""Ends of the ranges of nominal lengths [mm]; the first begins at 0.5, each other above the one before."""
SMALLEST: Final = 0.5

_LINEAR: Final = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, None),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
    "v": (None, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
}

LEGS_UP_TO: Final = (10.0, 50.0, 120.0, 400.0)
"""Ends of the ranges of the shorter leg of an angle [mm]; a last range is open."""

_ANGULAR: Final = {
    "f": (60, 30, 20, 10, 5),
    "m": (60, 30, 20, 10, 5),
    "c": (90, 60, 30, 15, 10),
    "v": (180, 120, 60, 30, 20),
}
"""In minutes of arc."""


def linear_tolerance(size: float, tolerance_class: str) -> float | None:
    """
    Permissible deviation of a length, to either side.

    Parameters
    ----------
    size : float [mm]
        Nominal length.
    tolerance_class : "f", "m", "c" or "v"
        Fine, medium, coarse or very coarse.

    Returns
    -------
    float or None [mm]
        None where the standard wants it stated beside the length.

    Raises
    ------
    InputError
        There is no such class.

    Source
    ------
    ISO 2768-1:1989, table 1.
    """
    row = _LINEAR[known_class(tolerance_class)]
    if size < SMALLEST:
        return None
    return next((value for end, value in zip(UP_TO, row, strict=True) if size <= end), None)


def angular_tolerance(leg: float, tolerance_class: str) -> float:
    """
    Permissible deviation of an angle, to either side.

    Parameters
    ----------
    leg : float [mm]
        Length of the shorter leg of the angle.
    tolerance_class : "f", "m", "c" or "v"
        Fine, medium, coarse or very coarse.

    Returns
    -------
    float [deg]

    Raises
    ------
    InputError
        There is no such class.

    Source
    ------
    ISO 2768-1:1989, table 3 (from memory).
    """
    row = _ANGULAR[known_class(tolerance_class)]
    place = next((n for n, end in enumerate(LEGS_UP_TO) if leg <= end), len(LEGS_UP_TO))
    return row[place] / 60.0


def known_class(word: str) -> str:
    """The class itself; any other word is refused."""
    if word not in CLASSES:
        known = ", ".join(f"{letter} ({name})" for letter, name in CLASSES.items())
        raise InputError(
            "general tolerances", "class", word, "is not a class of ISO 2768-1", f"choose of {known}"
        )
    return word


def excerpt(largest: float, tolerance_class: str) -> str:
    """The rows of the table of lengths that a part of a size needs, in one line."""
    begin, rows = SMALLEST, dict[float, float]()
    for end, value in zip(UP_TO, _LINEAR[tolerance_class], strict=True):
        if value is None:
            begin = end
        else:
            rows[value] = end
        if end >= largest:
            break
    said = [f"≤{end:g}: ±{value:g}" for value, end in rows.items()]
    return " | ".join([f"{begin:g}–{said[0].removeprefix('≤')}", *said[1:]]) if said else ""


def angular_excerpt(largest: float, tolerance_class: str) -> str:
    """The same of the table of angles, by the shorter leg."""
    parts = []
    for end, minutes in zip((*LEGS_UP_TO, None), _ANGULAR[tolerance_class], strict=True):
        parts.append(f"{'≤' if end else '>'}{end or LEGS_UP_TO[-1]:g}: ±{_degrees(minutes)}")
        if end is None or end >= largest:
            break
    return " | ".join(parts)


def _degrees(minutes: int) -> str:
    whole, rest = divmod(minutes, 60)
    return f"{whole}°" + (f"{rest}′" if rest else "")
