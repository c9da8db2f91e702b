"""Limits of parts: profiles with a source for each figure, and a shop's own file over them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any, Final

from formparts import toml
from formparts.arguments import takes
from formparts.errors import InputError
from formparts.quantities import NOT_NEGATIVE, length, number, shown_value
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH

GENERAL: Final = "thin sheet general"
_FILE: Final = Path(__file__).parent.parent / "data" / "limits.toml"

_LENGTHS: Final = {
    "web": ("thicknesses",),
    "kerf": ("thicknesses",),
    "stock_length": (),
    "stock_width": (),
    "inside_radius": ("thicknesses",),
    "offset_web": ("thicknesses", "die_openings"),
    "press_length": (),
    "relief_width": ("thicknesses",),
    "relief_depth": ("thicknesses", "radii"),
    "relief_corner": ("thicknesses", "radii"),
    "hem_leg": ("thicknesses",),
    "hem_radius": ("thicknesses",),
    "opening_to_bend": ("thicknesses", "radii"),
    "opening_in_bend": ("thicknesses",),
    "opening_to_opening": ("thicknesses", "diameters"),
    "opening_to_edge": ("thicknesses", "diameters"),
    "opening_size": ("thicknesses",),
    "opening_size_hard": ("thicknesses",),
    "under_sunk_hole": ("thicknesses",),
    "formed_to_bend": ("thicknesses", "radii"),
    "formed_to_edge": ("thicknesses",),
}
"""Limits that are lengths, and the quantities that each may scale with."""

_NUMBERS: Final = {"press_force": "kN", "rolling_direction": "deg"}
"""Limits that are not lengths, with their unit."""


@short_repr
@dataclass(frozen=True)
class Limit:
    """
    One limit: so many thicknesses, inside radii, opening diameters or die openings, and a plain figure.

    Parameters
    ----------
    name : str
        What is limited.
    unit : str
        Unit of the plain figure: `mm`, `kN` or `deg`.
    source : str
        Where the figures are from.
    value : float [unit]
        The plain figure, added to the others.
    thicknesses, radii, diameters, die_openings : float [-]
        How many of each.
    least : float [unit]
        The limit is never less than this.
    up_to : float [mm]
        Openings up to this diameter count: larger ones hold no bolt or rivet.
    steps : tuple of (float, float) [mm]
        For sheets over the first, thinnest step first, the second replaces `least`.
    """

    name: str
    unit: str
    source: str
    value: float = 0.0
    thicknesses: float = 0.0
    radii: float = 0.0
    diameters: float = 0.0
    die_openings: float = 0.0
    least: float = 0.0
    up_to: float = math.inf
    steps: tuple[tuple[float, float], ...] = ()

    def at(
        self, thickness: float = 0.0, radius: float = 0.0, diameter: float = 0.0, die_opening: float = 0.0
    ) -> float:
        """
        The limit for one sheet, bend or opening.

        Parameters
        ----------
        thickness, radius, diameter, die_opening : float [mm]
            Of the sheet, the inside of the bend, the opening, the die.

        Returns
        -------
        float [unit]
        """
        grown = (
            self.thicknesses * thickness
            + self.radii * radius
            + self.diameters * (diameter if diameter <= self.up_to else 0.0)
            + self.die_openings * die_opening
        )
        least = max([self.least, *(least for over, least in self.steps if thickness > over + LENGTH)])
        return max(least, self.value + grown)


@short_repr
@dataclass(frozen=True)
class LimitProfile:
    """
    A set of limits.

    Parameters
    ----------
    name : str
        `thin sheet general`, `structural`, `aircraft`, or a shop's own.
    text : str
        What it is for.
    limits : mapping of str to Limit
        By name; what is not there is not checked.
    """

    name: str
    text: str
    limits: Mapping[str, Limit] = field(hash=False)

    def get(self, name: str) -> Limit | None:
        """
        The limit of a name, when the profile has it.

        Parameters
        ----------
        name : str
            As in the file.

        Returns
        -------
        Limit or None
        """
        return self.limits.get(name)


def limit_profiles() -> tuple[LimitProfile, ...]:
    """
    The profiles that come with the library.

    Returns
    -------
    tuple of LimitProfile
        The general one first.

    Examples
    --------
    >>> [profile.name for profile in limit_profiles()]
    ['thin sheet general', 'structural', 'aircraft']
    """
    return tuple(_shipped().values())


@takes(name="str")
def limit_profile(name: str) -> LimitProfile:
    """
    A profile by its name, or a shop's own from a TOML file.

    Parameters
    ----------
    name : str
        `thin sheet general`, `structural`, `aircraft`, or the path of a file that ends in `.toml`.

    Returns
    -------
    LimitProfile

    Raises
    ------
    InputError
        There is no such profile, or the file cannot be read or has an entry that is not a limit.

    Examples
    --------
    >>> limits = limit_profile("aircraft")
    >>> limits.name
    'aircraft'
    """
    if name in _shipped():
        return _shipped()[name]
    if name.lower().endswith(".toml"):
        return _from_file(Path(name), ())
    near = get_close_matches(name, _shipped(), n=1)
    hint = f"did you mean {near[0]}? " if near else ""
    known = ", ".join(_shipped())
    problem = "there is no such profile of limits"
    raise InputError("limits", "profile", name, problem, f"{hint}there are: {known}; or give a .toml file")


@cache
def _shipped() -> Mapping[str, LimitProfile]:
    table = toml.loads(_FILE.read_text(encoding="utf-8"))["profile"]
    return {name: _profile(name, row, None, "limits.toml") for name, row in table.items()}


def _from_file(path: Path, above: tuple[Path, ...]) -> LimitProfile:
    """Return the limits of a shop's file; the rest is from the profile it is based on; `above` are based on it."""
    where = path.name
    if path.resolve() in above:
        raise InputError("limits", "based_on", str(path), "is based on itself", "name another profile")
    try:
        table = toml.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise InputError(
            "limits", "file", str(path), f"cannot be read ({error.strerror})", "check its name"
        ) from error
    except ValueError as error:  # no TOML, or no UTF-8
        said = str(error).rstrip(".")
        raise InputError("limits", "file", str(path), f"is not TOML: {said}", "fix that place") from error
    _known(table, ("name", "text", "based_on", "limit"), where, "entry")
    based_on = _text(table.get("based_on", GENERAL), where, "based_on")
    if based_on.lower().endswith(".toml"):
        base = _from_file(Path(based_on), (*above, path.resolve()))
    else:
        base = limit_profile(based_on)
    name = _text(table.get("name", path.stem), where, "name")
    return _profile(name, table, base, where)


def _profile(name: str, row: Mapping[str, Any], base: LimitProfile | None, where: str) -> LimitProfile:
    given = row.get("limit", {})
    if not isinstance(given, dict):
        raise InputError(
            where, "limit", str(given), "is not a table", "write [limit.web] and its figures below"
        )
    _known(given, (*_LENGTHS, *_NUMBERS), where, "limit")
    found = dict(base.limits) if base else {}
    found.update({key: _limit(key, value, where) for key, value in given.items()})
    text = row.get("text", f"limits of {name}" if base is None else f"as {base.name}, with limits of its own")
    return LimitProfile(name, _text(text, where, "text"), found)


def _limit(name: str, row: Any, where: str) -> Limit:
    """One table of a file as a limit."""
    label = f"limit.{name}"
    if not isinstance(row, dict):
        raise InputError(where, label, str(row), "is not a table", f"write [{label}] and its figures below")
    factors = _LENGTHS.get(name, ())
    _known(row, ("value", "least", "up_to", "steps", "source", *factors), where, label)
    if not any(key in row for key in ("value", "least", *factors)):
        allowed = ", ".join(("value", "least", *factors))
        raise InputError(where, label, "none", "it has no figure", f"give one of {allowed}")
    if not str(row.get("source", "")).strip():
        raise InputError(
            where, f"{label}.source", "none", "a limit says where it is from", 'write source = "..."'
        )
    limit = Limit(name, _NUMBERS.get(name, "mm"), _text(row["source"], where, f"{label}.source"))
    figures: dict[str, Any] = {
        key: number(row[key], f"{label}.{key}", where, NOT_NEGATIVE) for key in factors if key in row
    }
    read = number if name in _NUMBERS else length
    for key in ("value", "least"):
        if key in row:
            figures[key] = read(row[key], f"{label}.{key}", where, NOT_NEGATIVE)
    if "up_to" in row:
        figures["up_to"] = length(row["up_to"], f"{label}.up_to", where, NOT_NEGATIVE)
    if "steps" in row:
        figures["steps"] = _steps(row["steps"], f"{label}.steps", where)
    return replace(limit, **figures)


def _steps(given: Any, label: str, where: str) -> tuple[tuple[float, float], ...]:
    """Pairs of a thickness and the least above it."""
    if not isinstance(given, list) or not all(isinstance(pair, list) and len(pair) == 2 for pair in given):
        problem, fix = "is not a list of pairs", "write [[over, least], ...]"
        raise InputError(where, label, shown_value(given), problem, fix)
    pairs = (
        (length(one, label, where, NOT_NEGATIVE), length(two, label, where, NOT_NEGATIVE))
        for one, two in given
    )
    return tuple(pairs)


def _known(row: Mapping[str, Any], allowed: tuple[str, ...], where: str, what: str) -> None:
    """Refuse an unknown key, which would otherwise be ignored silently."""
    for key in row:
        if key not in allowed:
            near = get_close_matches(key, allowed, n=1)
            hint = f"did you mean {near[0]}? " if near else ""
            fix = f"{hint}there are: {', '.join(allowed)}"
            raise InputError(where, what, key, "there is no such name", fix)


def _text(value: object, where: str, parameter: str) -> str:
    if not isinstance(value, str) or not value.strip():
        raise InputError(where, parameter, str(value), "is not a text", 'write it in quotes, as "our shop"')
    return value
