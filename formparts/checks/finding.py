"""What a check says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Finding:
    """
    One thing that a check found.

    Parameters
    ----------
    code : str
        Stable for ever; one for each rule.
    severity : "error", "warning" or "note"
        An error means that the part cannot be made as it is.
    where : str
        Names of the pieces and the place.
    message : str
        What was found, in one line.
    measured, limit : float [unit]
        The figure, and what it may be.
    unit : str
        Unit of both.
    source : str
        What the limit is from.
    mend : str
        What would clear it.
    """

    code: str
    severity: Literal["error", "warning", "note"]
    where: str
    message: str
    measured: float
    limit: float
    unit: str
    source: str
    mend: str

    def __str__(self) -> str:
        return f"{self.severity}: {self.message}; {self.mend}"
