"""The blank as DXF for the cutter and as SVG for the bench, and the bends as CSV for the press brake."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.writers.table import writer

if TYPE_CHECKING:
    from formparts.part import Part


@writer("-blank.dxf", "blank", "the blank for the cutter, 1:1 in mm", ("version",))
def write_dxf(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write the blank for the cutter."""
    from formparts.export import write_blank_dxf

    write_blank_dxf(part.numbered_blank, path, options.get("version", "R2000"))


@writer("-blank.svg", "blank", "the blank to look at, bends numbered and said in words", rank=1)
def write_svg(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write the blank for the bench."""
    from formparts.export import write_blank_svg

    del options
    write_blank_svg(part.numbered_blank, path)


@writer("-bends.csv", "bends", "the bend schedule for the press brake", rank=2)
def write_bends(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write the bend schedule."""
    from formparts.export import write_schedule

    del options
    write_schedule(part.schedule(), path)
