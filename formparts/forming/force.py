"""Force and work of bending: the handbook formulas as one table, and their evaluation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from formparts.bending.ranges import elementwise, figures
from formparts.errors import InputError
from formparts.short_repr import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class ForceRule:
    """
    A formula of the form F = (c + d t/V) S l t^2 / V.

    Parameters
    ----------
    name : str
        By this it is chosen.
    factor : float [-]
        c of the formula.
    ratio_factor : float [-]
        d of the formula; 0 where the narrowness of the die does not count.
    process : str
        What is done: `V die`, `U die` or `wiping`.
    strength : str
        Which strength S is meant: `tensile_strength` or `yield_strength`.
    source : str
        Where it is from.
    """

    name: str
    factor: float
    ratio_factor: float
    process: str
    strength: str
    source: str


_OEHLER = "Lange, Umformtechnik, volume 3, bending force by Oehler"
_GROOVER = "Groover, Fundamentals of Modern Manufacturing, section on bending"
_KALPAKJIAN = "Kalpakjian and Schmid, section on bending force"
FORCE_RULES: Final = {
    rule.name: rule
    for rule in (
        ForceRule("Oehler", 1.0, 4.0, "V die", "tensile_strength", _OEHLER),
        ForceRule("Groover", 1.33, 0.0, "V die", "tensile_strength", _GROOVER),
        ForceRule("Groover wiping", 0.33, 0.0, "wiping", "tensile_strength", _GROOVER),
        ForceRule("Kalpakjian", 1.3, 0.0, "V die", "yield_strength", _KALPAKJIAN),
        ForceRule("Kalpakjian U", 0.7, 0.0, "U die", "yield_strength", _KALPAKJIAN),
        ForceRule("Kalpakjian wiping", 0.3, 0.0, "wiping", "yield_strength", _KALPAKJIAN),
    )
}
"""Every formula for the force, once, by its name. The first is the one that is taken when none is named."""


def force_rule(name: str) -> ForceRule:
    """Find a formula for the force by its name, ignoring case.

    Parameters
    ----------
    name : str
        One of `FORCE_RULES`.

    Returns
    -------
    ForceRule

    Raises
    ------
    InputError
        There is no such formula.
    """
    for rule in FORCE_RULES.values():
        if rule.name.lower() == " ".join(str(name).split()).lower():
            return rule
    known = ", ".join(FORCE_RULES)
    raise InputError("force", "rule", str(name), "there is no such formula", f"one of {known}")


@elementwise
def bending_force(
    thickness: float, length: float, die_opening: float, strength: float, rule: str = "Oehler"
) -> Any:
    """
    Force that bends a sheet over a die: (c + d t/V) S l t^2 / V, by the figures of a handbook.

    The greatest force, in the middle of the stroke; bottoming and coining need several times as much.

    Parameters
    ----------
    thickness : float or array [mm]
        Thickness t of the sheet.
    length : float or array [mm]
        Length l of the bend line.
    die_opening : float or array [mm]
        Opening V of the die.
    strength : float or array [MPa]
        Tensile or yield strength, as the rule says.
    rule : str
        `Oehler` (c = 1, d = 4), `Groover` (c = 1.33), `Kalpakjian` (c = 1.3, by the yield strength); with
        `wiping` or `U` behind the last two for those dies.

    Returns
    -------
    float or array [N]

    Raises
    ------
    InputError
        A figure is outside its range, or there is no such rule.

    Source
    ------
    As the rule says: Oehler (Lange, Umformtechnik, vol. 3), Groover, or Kalpakjian and Schmid.

    Examples
    --------
    >>> round(bending_force(1, 100, 10, 310))
    4340
    """
    by = force_rule(rule)
    figures("bending_force", thickness=thickness, length=length, die_opening=die_opening, strength=strength)
    ratio = thickness / die_opening
    return (by.factor + by.ratio_factor * ratio) * strength * length * thickness * ratio


@elementwise
def force_per_length(thickness: float, die_opening: float, strength: float, rule: str = "Oehler") -> Any:
    """
    Bending force for each millimetre of bend line.

    Parameters
    ----------
    thickness : float or array [mm]
        Thickness of the sheet.
    die_opening : float or array [mm]
        Opening of the die.
    strength : float or array [MPa]
        Tensile or yield strength, as the rule says.
    rule : str
        As of `bending_force`.

    Returns
    -------
    float or array [N/mm]

    Raises
    ------
    InputError
        A figure is outside its range, or there is no such rule.

    Source
    ------
    `bending_force` over the length.
    """
    return bending_force(thickness, 1.0, die_opening, strength, rule)


@elementwise
def bending_work(force: float, stroke: float, share: float = 0.75) -> Any:
    """
    Work of one bend: greatest force times stroke times the mean share of it.

    Parameters
    ----------
    force : float or array [N]
        The greatest force.
    stroke : float or array [mm]
        Cutout of the punch under load.
    share : float or array [-]
        Mean force over the greatest force.

    Returns
    -------
    float or array [J]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    Oehler, in Lange, Umformtechnik, vol. 3: share 0.75 in the worked example.

    Examples
    --------
    >>> round(bending_work(4340, 15), 3)
    48.825
    """
    figures("bending_work", force=force, stroke=stroke, share=share)
    return force * stroke * share / 1000.0
