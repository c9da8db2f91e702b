"""
How the unfolder's time grows: accordions of 10 to 1,000 bends, plates of 10 to 5,000 holes.

Prints one JSON line for each solid (faces, seconds, microseconds per face), and one for each kind with the exponent
of its growth; ends with 1 if an exponent is 1.3 or more. Run it as `python tests/benchmarks/unfold_speed.py`.
"""

from __future__ import annotations

import json
import math
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from formparts.unfold import unfold
from tests.unfold.foreign import extruded

LARGEST_EXPONENT = 1.3
BENDS = (10, 100, 1000)
HOLES = (10, 100, 1000, 5000)
REPEATS = 3


def allowance(angle: float, inside_radius: float, thickness: float) -> float:
    return math.radians(angle) * (inside_radius + 0.44 * thickness)


def accordion(bends: int) -> Any:
    """A staircase: straights of 6, bends of 90 deg up and down in turn, inside radius 1, t 1, 20 wide."""
    turns = [(90.0 if number % 2 == 0 else -90.0, 1.0) for number in range(bends)]
    return extruded([(6.0,), *(step for turn in turns for step in (turn, (6.0,)))], t=1.0, w=20.0)


def pierced_plate(holes: int) -> Any:
    """A plate of 2 mm with round holes of 4 mm, 8 mm apart."""
    import cadquery as cq

    columns = math.ceil(math.sqrt(holes))
    rows = math.ceil(holes / columns)
    outer = cq.Wire.makePolygon(
        [cq.Vector(x, y) for x, y in ((0, 0), (8 * columns, 0), (8 * columns, 8 * rows), (0, 8 * rows))],
        close=True,
    )
    centres = [(8 * (n % columns) + 4, 8 * (n // columns) + 4) for n in range(holes)]
    inner = [cq.Wire.makeCircle(2, cq.Vector(x, y), cq.Vector(0, 0, 1)) for x, y in centres]
    return cq.Workplane(cq.Solid.extrudeLinear(outer, inner, cq.Vector(0, 0, 2)))


def seconds(solid: Any) -> float:
    """Least time of a few runs."""
    best = math.inf
    for _ in range(REPEATS):
        start = time.perf_counter()
        unfold(solid, allowance)
        best = min(best, time.perf_counter() - start)
    return best


def exponent(rows: list[tuple[int, float]]) -> float:
    """Slope of log time over log faces, by least squares."""
    xs, ys = [math.log(faces) for faces, _ in rows], [math.log(spent) for _, spent in rows]
    mx, my = sum(xs) / len(xs), sum(ys) / len(ys)
    return sum((x - mx) * (y - my) for x, y in zip(xs, ys, strict=True)) / sum((x - mx) ** 2 for x in xs)


def main() -> int:
    worst = 0.0
    for kind, make, sizes in (("accordion", accordion, BENDS), ("pierced plate", pierced_plate, HOLES)):
        rows = []
        for size in sizes:
            solid = make(size)
            faces = solid.faces().size()
            spent = seconds(solid)
            rows.append((faces, spent))
            line = {
                "solid": kind,
                "size": size,
                "faces": faces,
                "s": spent,
                "us_per_face": 1e6 * spent / faces,
            }
            print(json.dumps(line), flush=True)
        grown = exponent(rows)
        worst = max(worst, grown)
        print(json.dumps({"solid": kind, "exponent": grown, "limit": LARGEST_EXPONENT}), flush=True)
    return 0 if worst < LARGEST_EXPONENT else 1


if __name__ == "__main__":
    sys.exit(main())
