"""All figures of an assembly as plain data: the contents of its JSON file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from formparts import __version__
from formparts.assembly.bill_of_materials import BillRow
from formparts.assembly.interference import Interference
from formparts.assembly.mating import Mating
from formparts.assembly.placing import Assembly, Placed
from formparts.records import CAUTIONS

SCHEMA: Final = "formparts.assembly.1"
"""Name and version of the schema; written in the file."""


def assembly_record(
    assembly: Assembly,
    recipe: str,
    parameters: Mapping[str, Any],
    bill: Sequence[BillRow],
    interferences: Sequence[Interference],
    matings: Sequence[Mating],
    fea: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """The figures as plain data, names with their units; data/assembly.schema.json describes them."""
    return {
        "schema": SCHEMA,
        "formparts_version": __version__,
        "name": assembly.name,
        "recipe": recipe,
        "parameters": dict(parameters),
        "title": dict(assembly.titles.get(assembly.name, {})),
        "mass_kg": assembly.mass,
        "centroid_mm": list(assembly.centroid),
        "items": [_item(item) for item in assembly.items],
        "bill": [_row(row, assembly.titles.get(row.part, {})) for row in bill],
        "interferences": [_interference(found) for found in interferences],
        "holes": [_mating(found) for found in matings],
        **({} if fea is None else {"fea": dict(fea)}),
        "cautions": list(CAUTIONS),
    }


def _item(item: Placed) -> dict[str, Any]:
    frame = item.frame
    return {
        "name": item.name,
        "part": item.part.name,
        "origin_mm": list(frame.origin),
        "x_axis": list(frame.x),
        "y_axis": list(frame.y),
        "z_axis": list(frame.z),
    }


def _row(row: BillRow, title: Mapping[str, str]) -> dict[str, Any]:
    return {
        "part": row.part,
        "title": dict(title),
        "material": row.material,
        "count": row.count,
        "mass_kg": row.mass,
        "total_kg": row.total,
        "items": list(row.items),
    }


def _interference(found: Interference) -> dict[str, Any]:
    return {
        "first": found.first,
        "second": found.second,
        "volume_mm3": found.volume,
        "place_mm": list(found.place),
    }


def _mating(found: Mating) -> dict[str, Any]:
    return {
        "first": found.first,
        "second": found.second,
        "pin": found.pin,
        "offset_mm": found.offset,
        "tolerance_mm": found.tolerance,
        "clear_mm": found.clear,
        "place_mm": list(found.place),
        "ok": found.ok,
    }
