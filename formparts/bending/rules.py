"""Bend rules: small values that say how long a bend is along the neutral fibre, each with its source.

`RULES` is the one table of them: their texts and the reader of a rule's name are made from it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar, Final, Protocol

from formparts.bending.din_6935 import din_6935_allowance
from formparts.bending.lengths import bend_allowance
from formparts.bending.ranges import figures, shortened
from formparts.errors import InputError
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH, SHORTEST_EDGE, TURN_DEG


class BendRule(Protocol):
    """The interface of every bend rule; a rule of your own needs no more than this.

    A rule is a frozen value: it can be hashed, compared and pickled.

    Examples
    --------
    >>> bend_rule("DIN 6935").source
    'DIN 6935, correction factor k'
    """

    @property
    def name(self) -> str:
        """Short text for reports."""

    @property
    def source(self) -> str:
        """Where the rule is from."""

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        """Developed length of one bend [mm]: angle counts from flat [deg], lengths in mm."""


@short_repr
@dataclass(frozen=True, slots=True)
class KFactor:
    """
    The neutral fibre at a fixed part of the thickness, counted from the inside face.

    Parameters
    ----------
    k : float [-]
        K-factor, 0 <= k <= 1.

    Raises
    ------
    InputError
        The K-factor is outside its range.

    Source
    ------
    The shop's own figure.

    Examples
    --------
    >>> round(KFactor(0.44).allowance(90, 2.5, 2), 4)
    5.3093
    """

    k: float = 0.44
    source: ClassVar[str] = "K-factor as stated for the part"

    def __post_init__(self) -> None:
        figures("KFactor", k_factor=self.k)
        object.__setattr__(self, "k", float(self.k))

    @property
    def name(self) -> str:
        return f"K-factor {self.k:g}"

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        return bend_allowance(angle, inside_radius, thickness, self.k)


MIDDLE_FIBRE: Final = KFactor(0.5)
"""For what is pressed shut or rolled. Closed: 2 t - pi/2 t = 0.43 t off the outside lengths, as the trade has it."""


def rule_apart(angle: float, inside_radius: float) -> KFactor | None:
    """
    What a bend goes by that no rule was given for: the middle fibre, or None where it goes by its sheet's rule.

    The middle fibre is that of a closed hem (half a turn [deg] about no radius [mm] to speak of) and of what is turned
    beyond half a turn, which is rolled or curled and not bent over a V: Groover's K 0.50 from an inside radius of two
    thicknesses on; in tighter ones common practice, no source.
    """
    is_closed = angle >= 180.0 - TURN_DEG and inside_radius <= SHORTEST_EDGE + LENGTH
    return MIDDLE_FIBRE if is_closed or angle > 180.0 + TURN_DEG else None


@dataclass(frozen=True, slots=True)
class HemsApart:
    """
    The rule of a solid that says none: closed hems and curls by the middle fibre, as in the model, others as given.

    Parameters
    ----------
    others : BendRule
        For every other bend.

    Source
    ------
    Groover, Fundamentals of Modern Manufacturing, from an inside radius of two thicknesses on; tighter ones: common
    practice, no source.

    Examples
    --------
    >>> rule = HemsApart(KFactor(0.44))
    >>> [round(rule.allowance(angle, radius, 1.5), 4) for angle, radius in ((180, 0.001), (180, 1.5), (300, 6))]
    [2.3593, 6.7858, 35.3429]
    """

    others: BendRule
    largest_angle: ClassVar[float] = 360.0
    """Largest angle asked of this rule: whole bends, not shares of 180 deg [deg]."""

    @property
    def name(self) -> str:
        return f"{self.others.name}; closed hems and curls {MIDDLE_FIBRE.name}"

    @property
    def source(self) -> str:
        return self.others.source

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        by = rule_apart(angle, inside_radius) or self.others
        shares = 1 if angle <= 180.0 else 2
        return shares * by.allowance(angle / shares, inside_radius, thickness)


@short_repr
@dataclass(frozen=True, slots=True)
class Din6935:
    """
    DIN 6935 for cold bending of steel: K = k/2, with k = 0.65 + 0.5 log10(r/s) up to r/s = 5, and 1 above.

    For bend angles below 15 deg (opening angles above 165 deg) the standard takes nothing off the legs to the
    mould line, so the allowance steps up there to twice the outside setback. Bends sharper than r/s = 0.0501
    are refused: k would be negative.

    Source
    ------
    DIN 6935 (1975), as reproduced in Tabellenbuch Metall.

    Examples
    --------
    >>> round(Din6935().allowance(90, 2.5, 2), 4)
    5.0241
    """

    name: ClassVar[str] = "DIN 6935"
    source: ClassVar[str] = "DIN 6935, correction factor k"

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        return float(din_6935_allowance(angle, inside_radius, thickness))


@short_repr
@dataclass(frozen=True, slots=True)
class Groover:
    """
    K = 0.33 for an inside radius below two thicknesses, and 0.50 from there on.

    Source
    ------
    M. P. Groover, Fundamentals of Modern Manufacturing, section on bending.

    Examples
    --------
    >>> round(Groover().allowance(90, 2.5, 2), 4)
    4.9637
    """

    name: ClassVar[str] = "Groover"
    source: ClassVar[str] = "Groover, Fundamentals of Modern Manufacturing, section on bending"

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        figures("Groover", angle=angle, inside_radius=inside_radius, thickness=thickness)
        # A radius within LENGTH of 2 t counts as 2 t: 0.6 and 2 x 0.3 need not be equal in floating point.
        k_factor = 0.33 if inside_radius < 2 * thickness - LENGTH else 0.5
        return bend_allowance(angle, inside_radius, thickness, k_factor)


HANDBOOK_FACTORS: Final = {"soft": 0.55, "medium": 0.64, "hard": 0.71}
"""Part of the thickness that the straight length of a 90 degree bend takes, by temper [-]."""


@short_repr
@dataclass(frozen=True, slots=True)
class MachineryHandbook:
    """
    Straight length of a 90 deg bend by temper, L = c T + 1.57 R, in proportion to the angle.

    The coefficients are used as they are printed (1.57, not half pi), so that printed lengths come out.

    Parameters
    ----------
    temper : str
        `soft` (soft brass and copper, c = 0.55), `medium` (half-hard copper and brass, soft steel, aluminium,
        c = 0.64) or `hard` (bronze, hard copper, cold-rolled and spring steel, c = 0.71).

    Raises
    ------
    InputError
        The temper is none of the three.

    Source
    ------
    Machinery's Handbook, Lengths of Straight Stock Required for Bending, tables 1 to 3.

    Examples
    --------
    >>> round(MachineryHandbook("soft").allowance(90, 2.5, 2), 4)
    5.025
    """

    temper: str = "medium"
    source: ClassVar[str] = (
        "Machinery's Handbook, Lengths of Straight Stock Required for Bending, tables 1 to 3"
    )

    def __post_init__(self) -> None:
        if self.temper not in tuple(HANDBOOK_FACTORS):
            known = ", ".join(HANDBOOK_FACTORS)
            raise InputError(
                "MachineryHandbook", "temper", shortened(self.temper), "is not a temper", f"one of {known}"
            )

    @property
    def name(self) -> str:
        return f"Machinery's Handbook, {self.temper}"

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        figures("MachineryHandbook", angle=angle, inside_radius=inside_radius, thickness=thickness)
        return (HANDBOOK_FACTORS[self.temper] * thickness + 1.57 * inside_radius) * angle / 90


@short_repr
@dataclass(frozen=True, slots=True)
class AircraftHandbook:
    """
    Empirical formula of the aircraft trade: (0.01743 R + 0.0078 T) a degree, K = 0.447.

    The coefficients are used as they are printed (0.01743, not pi/180).

    Source
    ------
    FAA AC 43.13-1B, chapter 4, and FAA-H-8083-31, chapter 4.

    Examples
    --------
    >>> round(AircraftHandbook().allowance(90, 2.5, 2), 4)
    5.3258
    """

    name: ClassVar[str] = "aircraft handbook"
    source: ClassVar[str] = "FAA AC 43.13-1B, chapter 4; FAA-H-8083-31, chapter 4"

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        figures("AircraftHandbook", angle=angle, inside_radius=inside_radius, thickness=thickness)
        return (0.01743 * inside_radius + 0.0078 * thickness) * angle


K_TABLE_LIMITS: Final = (1.0, 3.0, math.inf)
"""The columns of the table of K-factors: inside radius over thickness, up to and with these [-]."""

K_TABLE: Final = {
    ("air", "soft"): (0.33, 0.40, 0.50),
    ("air", "medium"): (0.38, 0.43, 0.50),
    ("air", "hard"): (0.40, 0.45, 0.50),
    ("bottoming", "soft"): (0.42, 0.46, 0.50),
    ("bottoming", "medium"): (0.44, 0.47, 0.50),
    ("bottoming", "hard"): (0.46, 0.48, 0.50),
    ("coining", "soft"): (0.38, 0.44, 0.50),
    ("coining", "medium"): (0.41, 0.46, 0.50),
    ("coining", "hard"): (0.44, 0.47, 0.50),
}
"""K-factors by process and class of material, for the columns of `K_TABLE_LIMITS` [-]."""


@short_repr
@dataclass(frozen=True, slots=True)
class KTable:
    """
    K by process, class of material and inside radius over thickness, from a widely copied table.

    Other sources disagree with it by up to 0.1; it is there for comparison, and no first choice.

    Parameters
    ----------
    process : str
        `air`, `bottoming` or `coining`.
    material_class : str
        `soft`, `medium` or `hard`.

    Raises
    ------
    InputError
        There is no such process or class.

    Source
    ------
    Wikipedia, Bending (metalworking), table of K-factors, which names no source of its own.

    Examples
    --------
    >>> round(KTable("air", "soft").allowance(90, 2.5, 2), 4)
    5.1836
    """

    process: str = "air"
    material_class: str = "medium"
    source: ClassVar[str] = "Wikipedia, Bending (metalworking), table of K-factors"

    def __post_init__(self) -> None:
        if (self.process, self.material_class) not in tuple(K_TABLE):
            given = shortened(f"{self.process} {self.material_class}")
            known = ", ".join(" ".join(key) for key in K_TABLE)
            raise InputError("KTable", "process", given, "is not in the table", f"one of {known}")

    @property
    def name(self) -> str:
        return f"K table {self.process} {self.material_class}"

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        figures("KTable", angle=angle, inside_radius=inside_radius, thickness=thickness)
        factors = zip(K_TABLE_LIMITS, K_TABLE[self.process, self.material_class], strict=True)
        k_factor = next(k for limit, k in factors if inside_radius <= limit * thickness + LENGTH)
        return bend_allowance(angle, inside_radius, thickness, k_factor)
