"""One parameter of a recipe: its name, its kind and its default."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from formparts.parameters.kinds import ParameterKind
from formparts.short_repr import short_repr


@short_repr
@dataclass(frozen=True)
class Parameter:
    """
    One parameter of a recipe.

    Parameters
    ----------
    name : str
        As in the function.
    kind : Length, Angle, Count, Number, Choice, MaterialName, BendRuleName or Yes
        What it can be, with its limits and its line of text.
    default : float, int, str or bool [house unit]
        What it is when nothing is given.
    """

    name: str
    kind: ParameterKind
    default: Any

    @property
    def text(self) -> str:
        """Its meaning, in one line."""
        return self.kind.text

    @property
    def unit(self) -> str:
        """Its house unit, or nothing."""
        return self.kind.unit

    @property
    def limits(self) -> str:
        """Its limits, as text."""
        return self.kind.limits

    @property
    def default_text(self) -> str:
        """The default with its unit."""
        return self.kind.shown(self.default)
