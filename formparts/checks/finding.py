"""The finding of a check."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from formparts.outline.edges import Point
from formparts.short_repr import short_repr

Severity: TypeAlias = Literal["error", "warning", "note"]
Place: TypeAlias = tuple[float, float, float]

RANK: Final = {"error": 0, "warning": 1, "note": 2}
"""Worst first."""


@short_repr
@dataclass(frozen=True)
class Finding:
    """
    One thing that a check found.

    Parameters
    ----------
    code : str
        Stable for ever; one for each rule.
    severity : "error", "warning" or "note"
        An error means that the part cannot be made as it is; a warning, that it may fail or cost more; a note
        says what to know.
    where : str
        Names of the flats, bends and features.
    message : str
        What was found, in one line.
    measured, limit : float [unit]
        The figure, and what it may be.
    unit : str
        Unit of both.
    source : str
        What the limit is from.
    fix : str
        What would clear it.
    on_blank : (x, y) or None [mm]
        The place on the blank; none when it is on no place of it.
    on_part : (x, y, z) or None [mm]
        The place on the folded part; none when only the blank is known.

    Examples
    --------
    >>> body = cut_opening(plate(Sheet(2, 2.5), rectangle(40, 25)), disc(8), places=[(15, 0)], name="bore")
    >>> finding = Part(body).findings()[0]
    >>> finding.severity, finding.measured, finding.limit
    ('warning', 1.0, 2.0)
    """

    code: str
    severity: Severity
    where: str
    message: str
    measured: float
    limit: float
    unit: str
    source: str
    fix: str
    on_blank: Point | None = None
    on_part: Place | None = None

    def __str__(self) -> str:
        return f"{self.severity}: {self.message}; {self.fix}"


def worst_first(found: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """
    Errors before warnings before notes; among these by rule, and by how far the limit is missed.

    Parameters
    ----------
    found : tuple of Finding
        In any order.

    Returns
    -------
    tuple of Finding
    """
    first = {finding.code: place for place, finding in reversed(list(enumerate(found)))}
    return tuple(
        sorted(found, key=lambda finding: (RANK[finding.severity], first[finding.code], -_missed(finding)))
    )


def _missed(finding: Finding) -> float:
    """Return by how much of the limit it is missed [-], insensitive to rounding."""
    return round(abs(finding.measured - finding.limit) / max(abs(finding.limit), 1.0), 9)
