"""
`python -m tests.foreign_corpus FOLDER`: every STEP file under a folder through the unfolder, with one table.

A maker's flat pattern beside a file (its name with "flat" in it, or the same name as DXF) is held against the blank
by the sizes of its box. The files themselves never come into the project.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

from formparts.bending import bend_rule
from formparts.unfolded_files import Wishes
from formparts.unfolding_runs import UnfoldedSolid, table, unfold_files

STEP_ENDS = (".step", ".stp")


def main(arguments: list[str]) -> int:
    """Print the table of a folder; exit 0 whatever came of it."""
    if len(arguments) != 1 or not Path(arguments[0]).is_dir():
        sys.stderr.write("python -m tests.foreign_corpus FOLDER\n")
        return 2
    paths = sorted(path for path in Path(arguments[0]).rglob("*") if path.suffix.lower() in STEP_ENDS)
    found = unfold_files(paths, None, Wishes(bend_rule(0.44)))
    lines = table(found)
    bent = [each for each in found if each.bends]
    lines.append(
        f"{len(bent)} of the unfolded have bends; processor time {sum(e.seconds for e in found):.1f} s"
    )
    lines.extend(compared(paths, found))
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    return 0


def compared(paths: list[Path], found: tuple[UnfoldedSolid, ...]) -> list[str]:
    """Each blank beside the flat DXF of its maker, where one of the same name is there."""
    by_name = {each.file: each for each in found if not each.refusal}
    lines = []
    for path in paths:
        flat = next((p for p in path.parent.rglob("*") if _is_flat_of(p, path)), None)
        if flat is not None and path.name in by_name:
            mine, theirs = sorted(by_name[path.name].size), sorted(dxf_size(flat))
            off = max(abs(a - b) for a, b in zip(mine, theirs, strict=True))
            lines.append(f"  compared   {path.name} with {flat.name}: sizes differ by up to {off:.3g} mm")
    return lines


def _is_flat_of(flat: Path, path: Path) -> bool:
    return flat.suffix.lower() == ".dxf" and flat.stem.lower().startswith(path.stem.lower())


def dxf_size(path: Path) -> tuple[float, float]:
    """Sizes of the box round all that a DXF draws [mm]."""
    import ezdxf
    from ezdxf import bbox

    box = bbox.extents(ezdxf.readfile(path).modelspace())
    size = box.size if box.has_data else (math.nan, math.nan)
    return (float(size[0]), float(size[1]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
