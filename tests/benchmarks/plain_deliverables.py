"""A plain script's deliverables of `ring_riser`: solid, STEP, STL, and the outline of its plate as DXF."""

from __future__ import annotations

import sys
from pathlib import Path

from cadquery import exporters

from tests.benchmarks.plain_ring_riser import plain_ring_riser


def main(folder: Path) -> None:
    """Write them all."""
    part = plain_ring_riser(lug_count=4)
    exporters.export(part, str(folder / "plain.step"))
    exporters.export(part, str(folder / "plain.stl"))
    exporters.export(part.section(1.0), str(folder / "plain.dxf"))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
