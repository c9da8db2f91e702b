"""The dimensioned drawing."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.writers.table import writer

if TYPE_CHECKING:
    from formparts.part import Part

_OPTIONS = ("sheet", "projection", "tolerance_class")


@writer("-drawing.pdf", "drawing", "the dimensioned drawing as PDF", _OPTIONS, by_default=False)
@writer("-drawing.dxf", "drawing", "the dimensioned drawing as DXF", _OPTIONS, by_default=False)
@writer("-drawing.svg", "drawing", "the dimensioned drawing as SVG", _OPTIONS, by_default=False)
def write_sheet(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write the drawing in the format that the name asks for."""
    from formparts.drawings import write_drawing

    write_drawing(part.drawing(**{name: options[name] for name in _OPTIONS if name in options}), path)
