"""The shaded picture."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.writers.table import writer

if TYPE_CHECKING:
    from formparts.part import Part


@writer(".png", "picture", "a shaded picture", rank=3)
def write_png(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write the picture."""
    from formparts.export import written

    del options
    written(path, part.picture)
