"""The format of figures on a sheet: unit, decimal places, tolerance and name."""

from __future__ import annotations

from dataclasses import dataclass

from formparts.drawings.sketch import Dimension
from formparts.export.svg_marks import shown
from formparts.tolerances import LENGTH


@dataclass(frozen=True)
class Numbers:
    """The format of figures: unit, decimal places, and what is written beside them."""

    unit: str = "mm"
    both: bool = False

    def text(self, dimension: Dimension, value: float | None = None) -> str:
        """Return a figure as written on the sheet."""
        amount = dimension.value if value is None else value
        if dimension.letter:
            words = dimension.letter
        elif dimension.unit == "deg":
            words = f"{amount:.6g}°"
        else:
            words = self.length(amount)
        if dimension.tolerance:
            words = f"{words} {dimension.tolerance}"
        if dimension.name:
            words = f"{words} [{dimension.name}]"
        return f"({words})" if dimension.reference else words

    @property
    def unit_text(self) -> str:
        """The unit as the title block and the tables name it."""
        return f"{self.unit} [mm]" if self.both else self.unit

    def signed(self, amount: float) -> str:
        """Return a length that may lie on the other side of the zero, with a minus sign at each figure."""
        if amount > -LENGTH:
            return self.length(amount)
        return f"−{self.length(-amount)}".replace("[", "[−")

    def length(self, amount: float) -> str:
        """Return a length in the unit of the sheet, and in the other unit if both are asked for."""
        if self.unit == "mm":
            return shown(amount)
        inches = f"{amount / 25.4:.3f}"
        return f"{inches} [{shown(amount)}]" if self.both else inches

    def fine(self, amount: float) -> str:
        """Return a length that others are worked out from: a micrometre or a ten-thousandth of an inch."""
        if self.unit == "mm":
            return f"{amount:.3f}"
        inches = f"{amount / 25.4:.4f}"
        return f"{inches} [{amount:.3f}]" if self.both else inches
