"""K by material: the value of each published rule for one sheet and radius, each selectable by its name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from formparts.bending.lengths import k_factor_from_allowance
from formparts.bending.rule_lines import bend_rule
from formparts.bending.rules import BendRule
from formparts.errors import InputError
from formparts.materials import Material
from formparts.materials import material as find_material

PROCESSES: Final = ("air", "bottoming", "coining")
"""The bending processes that the table of K-factors distinguishes."""

SOFT, HARD = 275.0, 450.0
"""Greatest least tensile strength of a soft material, and of a medium one [MPa]; common practice, no source."""


@dataclass(frozen=True, slots=True)
class KByRule:
    """
    The K-factor that one published rule gives.

    Parameters
    ----------
    rule : str
        By this `bend_rule` finds it.
    k : float [-]
        Position of the neutral fibre from the inside face, in thicknesses.
    source : str
        Where the rule is from.
    """

    rule: str
    k: float
    source: str


def k_by_rule(
    material: Material | str,
    inside_radius: float,
    thickness: float,
    process: str = "air",
    angle: float = 90.0,
) -> tuple[KByRule, ...]:
    """
    K-factors of one bend by every published rule that is for its material and process.

    Parameters
    ----------
    material : Material or str
        What the sheet is made of.
    inside_radius : float [mm]
        Inside radius of the bend.
    thickness : float [mm]
        Thickness of the sheet.
    process : str
        `air`, `bottoming` or `coining`.
    angle : float [deg]
        Bend angle, 0 for flat.

    Returns
    -------
    tuple of KByRule

    Raises
    ------
    InputError
        There is no such process or material, or a figure is outside its range.

    Source
    ------
    As each rule says: DIN 6935, Machinery's Handbook, FAA, Groover, Wikipedia.

    Examples
    --------
    >>> [(one.rule, round(one.k, 3)) for one in k_by_rule("DC01", 2, 2)][:2]
    [('DIN 6935', 0.325), ("Machinery's Handbook hard", 0.451)]
    """
    if process not in PROCESSES:
        known = ", ".join(PROCESSES)
        raise InputError("k_by_rule", "process", str(process), "is not a process", f"one of {known}")
    grade = find_material(material)
    return tuple(
        KByRule(name, _k(bend_rule(name), inside_radius, thickness, angle), bend_rule(name).source)
        for name in _rules(grade, process)
    )


def _rules(grade: Material, process: str) -> Iterator[str]:
    if grade.family == "carbon steel" and process == "air":
        yield "DIN 6935"
    temper = _temper(grade)
    if temper:
        yield f"Machinery's Handbook {temper}"
    if grade.family == "aluminium":
        yield "aircraft handbook"
    yield "Groover"
    yield f"K table {process} {_class(grade)}"


def _temper(grade: Material) -> str:
    """The handbook's table for a material; none where it names no such material."""
    if grade.family in ("copper", "brass"):
        soft, half = "soft (" in grade.description, "half hard" in grade.description
        return "soft" if soft else "medium" if half else "hard"
    if grade.family == "carbon steel":
        return "hard" if grade.product.startswith("cold-rolled") else "medium"
    return {"aluminium": "medium", "bronze": "hard"}.get(grade.family, "")


def _class(grade: Material) -> str:
    """Soft, medium or hard, by the least tensile strength."""
    strength = grade.tensile_strength_min or grade.tensile_strength_max or HARD
    return "soft" if strength <= SOFT else "medium" if strength <= HARD else "hard"


def _k(rule: BendRule, inside_radius: float, thickness: float, angle: float) -> float:
    allowance = rule.allowance(angle, inside_radius, thickness)
    return float(k_factor_from_allowance(angle, inside_radius, thickness, allowance))
