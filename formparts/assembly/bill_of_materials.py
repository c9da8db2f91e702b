"""The bill of materials of an assembly: each part once, with its count and mass."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from formparts.arguments import takes
from formparts.assembly.placing import Assembly, Part, Placed, part_mass
from formparts.assembly.turned import Turned
from formparts.export import written
from formparts.export.csv_text import csv_text
from formparts.short_repr import short_repr


@short_repr
@dataclass(frozen=True)
class BillRow:
    """
    One line of a bill of materials.

    Parameters
    ----------
    part : str
        Name of the part.
    material : str
        What it is made of.
    count : int [-]
        How many there are.
    mass : float [kg]
        Of one.
    items : tuple of str
        What they are called in the assembly.
    """

    part: str
    material: str
    count: int
    mass: float
    items: tuple[str, ...]

    @property
    def total(self) -> float:
        """Mass of all of them [kg]."""
        return self.count * self.mass


def alike(assembly: Assembly) -> list[tuple[Part, list[Placed]]]:
    """Return groups of equal parts, in the order of their first."""
    groups: list[tuple[Part, list[Placed]]] = []
    for item in assembly.items:
        own = next((placed for part, placed in groups if part == item.part), None)
        if own is None:
            groups.append((item.part, [item]))
        else:
            own.append(item)
    return groups


@takes(assembly="Assembly")
def bill(assembly: Assembly) -> tuple[BillRow, ...]:
    """
    The bill of materials: equal parts counted once.

    Parameters
    ----------
    assembly : Assembly
        What is counted.

    Returns
    -------
    tuple of BillRow
    """
    return tuple(
        BillRow(part.name, _material(part), len(items), part_mass(part), tuple(item.name for item in items))
        for part, items in alike(assembly)
    )


def _material(part: Part) -> str:
    return part.material.name if isinstance(part, Turned) else part.sheet.material.name


@takes(assembly="Assembly", path=("str", "os.PathLike"))
def write_bill(assembly: Assembly, path: str | os.PathLike[str]) -> Path:
    """
    Write the bill of materials as CSV, the whole mass in its last line.

    Parameters
    ----------
    assembly : Assembly
        What is counted.
    path : path
        The file to write.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The file cannot be written there.
    """
    rows = [
        (row.part, row.material, row.count, f"{row.mass:.6f}", f"{row.total:.6f}", " ".join(row.items))
        for row in bill(assembly)
    ]
    heading = ("part", "material", "count", "mass_kg", "total_kg", "items")
    whole = (assembly.name, "", len(assembly.items), "", f"{assembly.mass:.6f}", "")
    return written(path, csv_text([heading, *rows, whole]))
