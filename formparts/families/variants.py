"""From rows to variants: every value converted and held against its limits, every bad row reported at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from formparts.errors import InputError
from formparts.families.names import clash_key, folder_of
from formparts.families.table import NAME, Row
from formparts.quantities import shown_value
from formparts.recipe_functions import Recipe
from formparts.short_repr import short_repr

MOST_SAID = 20
"""Number of bad rows named in the line of one error."""


@short_repr
@dataclass(frozen=True)
class Variant:
    """
    One member of a family: a name, and all parameters in house units.

    Parameters
    ----------
    name : str
        As in the table.
    folder : str
        Name of its folder, safe on every system.
    parameters : mapping of str to float, int, str or bool [house unit]
        All of them, defaults too.
    """

    name: str
    folder: str
    parameters: Mapping[str, Any]


@short_repr
@dataclass(frozen=True)
class Fault:
    """
    A row that cannot be built.

    Parameters
    ----------
    number : int [-]
        Its place in its table.
    name : str
        What it is called there.
    reason : str
        What is wrong, in one line.
    """

    number: int
    name: str
    reason: str

    def __str__(self) -> str:
        return f"row {self.number} ({shown_value(self.name)}): {self.reason}"


def checked(recipe: Recipe, rows: Iterable[Row]) -> tuple[list[Variant], list[Fault]]:
    """
    Convert all rows, and hold them against the recipe's limits and against each other.

    Parameters
    ----------
    recipe : Recipe
        What is to be built.
    rows : iterable of Row
        As they were read.

    Returns
    -------
    (list of Variant, list of Fault)
        Each in the order of the rows.
    """
    if any(parameter.name == NAME for parameter in recipe.parameters):
        problem = "a row's column of that name is what its variant is called"
        raise InputError(recipe.name, "parameter", NAME, problem, "call the recipe's parameter otherwise")
    variants: list[Variant] = []
    faults: list[Fault] = []
    taken: dict[str, Row] = {}
    for row in rows:
        reason = row.fault or _bad_name(row, taken)
        found: Variant | str = reason or _variant(recipe, row)
        if isinstance(found, Variant):
            variants.append(found)
        else:
            faults.append(Fault(row.number, row.name, found))
    return variants, faults


def _variant(recipe: Recipe, row: Row) -> Variant | str:
    """The variant of a row, or what is wrong with it."""
    try:
        return Variant(row.name, folder_of(row.name), recipe.resolved(**row.values))
    except InputError as error:
        return " ".join(str(error).split())


def _bad_name(row: Row, taken: dict[str, Row]) -> str:
    """Return what is wrong with a row's name; nothing when it is accepted."""
    if not row.name.strip():
        return "it has no name; give each variant one of its own"
    key = clash_key(row.name)
    other = taken.setdefault(key, row)
    if other is row:
        return ""
    how = (
        "it has the name" if other.name == row.name else f"its name differs only by case from {other.name!r}"
    )
    return f"{how} of row {other.number}; call one of them otherwise"


def refused(recipe: Recipe, faults: list[Fault], total: int) -> InputError:
    """All bad rows in one error."""
    said = "; ".join(str(fault) for fault in faults[:MOST_SAID])
    more = f"; and {len(faults) - MOST_SAID} more" if len(faults) > MOST_SAID else ""
    return InputError(
        recipe.name,
        "rows",
        f"{len(faults)} of {total} bad",
        f"{said}{more}",
        "fix them, or keep going without",
    )
