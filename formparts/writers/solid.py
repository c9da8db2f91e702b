"""The solid as STEP, for CAD, FEA and assembly."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.writers.table import writer

if TYPE_CHECKING:
    from formparts.part import Part


@writer(".step", "solid", "the solid for CAD, FEA and assembly: AP214 or AP242", ("schema",), rank=4)
def write_solid(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write the STEP file; what was measured on it serves the audit too."""
    part.write_step(path, options.get("schema", "AP214"))
