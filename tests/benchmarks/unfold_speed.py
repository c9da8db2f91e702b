"""
How the unfolder's time grows with the part, and how it compares with the writing of a STEP file.

Accordions of 10 to 1,000 bends and plates of 10 to 5,000 holes: the exponent of time over faces must stay below 1.3.
A riser is unfolded in less time than the kernel takes to write its STEP file three times over.
"""

from __future__ import annotations

import gc
import math
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from formparts.unfolder import unfold
from tests.benchmarks.rounds import in_turn
from tests.unfolder.foreign import by_k, extruded

LARGEST_EXPONENT = 1.3
BENDS = (10, 100, 1000)
HOLES = (10, 100, 1000, 5000)
REPEATS = 3


def accordion(bends: int) -> Any:
    """A staircase: straights of 6, bends of 90 deg up and down in turn, inside radius 1, t 1, 20 wide."""
    turns = [(90.0 if number % 2 == 0 else -90.0, 1.0) for number in range(bends)]
    return extruded([(6.0,), *(step for turn in turns for step in (turn, (6.0,)))], t=1.0, w=20.0)


def pierced_plate(holes: int) -> Any:
    """A plate of 2 mm with round holes of 4 mm, 8 mm apart."""
    import cadquery as cq

    columns = math.ceil(math.sqrt(holes))
    wide, high = 8 * columns, 8 * math.ceil(holes / columns)
    outer = cq.Wire.makePolygon(
        [cq.Vector(x, y) for x, y in ((0, 0), (wide, 0), (wide, high), (0, high))], close=True
    )
    centres = [(8 * (n % columns) + 4, 8 * (n // columns) + 4) for n in range(holes)]
    inner = [cq.Wire.makeCircle(2, cq.Vector(x, y), cq.Vector(0, 0, 1)) for x, y in centres]
    return cq.Workplane(cq.Solid.extrudeLinear(outer, inner, cq.Vector(0, 0, 2)))


def seconds(solid: Any) -> float:
    """Least time of a few runs."""
    best = math.inf
    for _ in range(REPEATS):
        gc.collect()
        start = time.perf_counter()
        unfold(solid, by_k)
        best = min(best, time.perf_counter() - start)
    return best


def exponent(rows: list[tuple[int, float]]) -> float:
    """Slope of log time over log faces, by least squares."""
    xs, ys = [math.log(faces) for faces, _ in rows], [math.log(spent) for _, spent in rows]
    mx, my = sum(xs) / len(xs), sum(ys) / len(ys)
    return sum((x - mx) * (y - my) for x, y in zip(xs, ys, strict=True)) / sum((x - mx) ** 2 for x in xs)


def growth(kind: str, make: Callable[[int], Any], sizes: tuple[int, ...]) -> Iterator[dict[str, object]]:
    """Time per face for each size, and the exponent over all of them."""
    rows = []
    for size in sizes:
        solid = make(size)
        faces = solid.faces().size()
        rows.append((faces, seconds(solid)))
        spent = rows[-1][1]
        name = f"unfold: {kind} of {size}"
        yield {"benchmark": name, "faces": faces, "least_s": spent, "us_per_face": 1e6 * spent / faces}
    found = exponent(rows)
    assert found < LARGEST_EXPONENT, f"{kind}: time grows with faces to the power of {found:.3g}"
    yield {"benchmark": f"unfold: {kind}", "exponent": found, "target_exponent": LARGEST_EXPONENT}


def riser() -> dict[str, object]:
    """A riser with two lugs against the kernel's plain writing of its STEP file, three times over."""
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    from formparts import find_recipe
    from formparts.kernel import silence
    from formparts.solids import solid

    body = find_recipe("ring_riser")(lug_count=2)
    made = solid(body)

    def thrice() -> None:
        with tempfile.TemporaryDirectory() as folder, silence():
            for number in range(3):
                writer = STEPControl_Writer()
                writer.Transfer(made.shape, STEPControl_AsIs)
                writer.Write(str(Path(folder, f"{number}.step")))

    timed = in_turn(lambda: unfold(made, body.sheet.bend_rule), thrice)
    ratio = float(str(timed["ratio"]))
    assert ratio > 1.0, (
        f"unfolding takes {1 / ratio:.3g} times as long as three times the writing of the file"
    )
    return {
        "benchmark": "unfold: ring_riser, 2 lugs",
        "reference": "three times the kernel's writing of its STEP file",
        "faces": len(made.faces),
        **timed,
        "target_ratio": 1.0,
    }


def run() -> Iterator[dict[str, object]]:
    yield from growth("accordion, bends", accordion, BENDS)
    yield from growth("plate, holes", pierced_plate, HOLES)
    yield riser()
