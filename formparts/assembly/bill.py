"""What an assembly is made of: each part once, with its count and mass; and parts that run into each other."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Any, Final

from formparts.assembly.placing import Assembly, Part, Placed, box_of, part_mass
from formparts.assembly.turned import Turned, turned_solid
from formparts.body import Frame
from formparts.export import written
from formparts.kernel import guard
from formparts.solid import Solid, solid

TOUCH: Final = 1e-3
"""Parts that share less than this only touch [mm3]: a contact of a square metre a millionth of a millimetre deep."""


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
    """Parts that are equal, in the order of their first."""
    groups: list[tuple[Part, list[Placed]]] = []
    for item in assembly.items:
        own = next((placed for part, placed in groups if part == item.part), None)
        if own is None:
            groups.append((item.part, [item]))
        else:
            own.append(item)
    return groups


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


def write_bill(assembly: Assembly, path: str | os.PathLike[str]) -> Path:
    """
    Write the bill of materials as CSV, the whole mass in its last line.

    Parameters
    ----------
    assembly : Assembly
        What is counted.
    path : path
        Where the file is to stand.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The file cannot be written there.
    """
    stream = io.StringIO()
    rows = csv.writer(stream, lineterminator="\n")
    rows.writerow(["part", "material", "count", "mass_kg", "total_kg", "items"])
    for row in bill(assembly):
        figures = [f"{row.mass:.6f}", f"{row.total:.6f}"]
        rows.writerow([row.part, row.material, row.count, *figures, " ".join(row.items)])
    rows.writerow([assembly.name, "", len(assembly.items), "", f"{assembly.mass:.6f}", ""])
    return written(path, stream.getvalue())


def part_solid(part: Part) -> Solid:
    """The solid of a part, in its own coordinates."""
    return turned_solid(part) if isinstance(part, Turned) else solid(part)


def location(frame: Frame) -> Any:
    """A frame as a rigid motion of the kernel."""
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.TopLoc import TopLoc_Location

    motion = gp_Trsf()
    motion.SetTransformation(gp_Ax3(gp_Pnt(*frame.origin), gp_Dir(*frame.z), gp_Dir(*frame.x)), gp_Ax3())
    return TopLoc_Location(motion)


@dataclass(frozen=True)
class Interference:
    """
    Two parts that run into each other.

    Parameters
    ----------
    first, second : str
        Names of the two.
    volume : float [mm3]
        What they share.
    """

    first: str
    second: str
    volume: float


def interferences(assembly: Assembly) -> tuple[Interference, ...]:
    """
    Find parts that run into each other; parts that touch do not.

    Parameters
    ----------
    assembly : Assembly
        What is looked at.

    Returns
    -------
    tuple of Interference

    Raises
    ------
    KernelError
        The solid kernel failed.
    """
    with guard(f"interference of {assembly.name}"):
        solids = {id(part): part_solid(part).shape for part, _ in alike(assembly)}
        whose = {item.name: solids[id(part)] for part, items in alike(assembly) for item in items}
        return tuple(_found(assembly, whose))


def _found(assembly: Assembly, shapes: dict[str, Any]) -> Iterator[Interference]:
    boxes = {item.name: box_of(item) for item in assembly.items}
    for one, two in combinations(assembly.items, 2):
        if _apart(boxes[one.name], boxes[two.name]):
            continue
        first, second = (shapes[item.name].Moved(location(item.frame)) for item in (one, two))
        volume = _shared(first, second)
        if volume > TOUCH:
            yield Interference(one.name, two.name, volume)


def _apart(one: Any, two: Any) -> bool:
    """True when two boxes do not overlap by more than touching."""
    return any(one[1][axis] <= two[0][axis] or two[1][axis] <= one[0][axis] for axis in range(3))


def _shared(first: Any, second: Any) -> float:
    """Volume that two solids of the kernel share."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    common, figures = BRepAlgoAPI_Common(first, second), GProp_GProps()
    BRepGProp.VolumeProperties_s(common.Shape(), figures)
    return float(figures.Mass())
