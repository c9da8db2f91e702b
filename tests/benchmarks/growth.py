"""How time grows with the part: lugs round a ring up to 200, and holes in a tray from 250 to 2,000.

A part with twice the lugs takes about twice the time; eight times the holes take less than eight times.
"""

from __future__ import annotations

import gc
import math
import time
from collections.abc import Callable, Iterator
from itertools import pairwise

from formparts import (
    Z_AXIS,
    Sheet,
    array_about,
    blank,
    clashes,
    cut_opening,
    disc,
    find_recipe,
    fuse,
    grid,
    hole,
    offset_lug,
    pierced,
    plate,
    properties,
    rectangle,
    rotate,
    solid,
    translate,
)
from formparts.body import Body
from formparts.kernel import measured

LUGS = (25, 50, 100, 200)
HOLES = (250, 2000)
REPEATS = 3
LARGEST_EXPONENT = 1.25
"""Of time over the number of lugs: 1 is linear, and clashes look at neighbours of neighbours."""


def ring(lugs: int) -> Body:
    """A plate with an opening that has room for all its lugs, each 12 wide and 14 high."""
    radius = 4.0 * lugs + 40.0
    sheet = Sheet(2, 2.5, "S235JR")
    seat = plate(sheet, pierced(rectangle(2 * radius + 80, 2 * radius + 80), disc(2 * radius)))
    lug = offset_lug(sheet, width=12, rise=14, reach=34, foot=12, slope=60, hole=hole(4))
    lug = translate(rotate(lug, 180), (radius - 6, 0, 0))
    return fuse(seat, array_about(lug, Z_AXIS, lugs), name="ring")


def tray(holes: int) -> Body:
    """The tray with round holes of 4 mm in its floor, 8 mm apart, 50 in a row."""
    rows = holes // 50
    body = find_recipe("corner_tray")(length=460, width=8 * rows + 60, drain=1, drain_from_side=12)
    return cut_opening(body, disc(4), "corner_tray", grid(50, rows, 8, 8), "sieve")


def least(way: Callable[[], object]) -> float:
    """Least processor time of a few runs [s]; no garbage is collected meanwhile, as in timeit."""
    spent = math.inf
    for _ in range(REPEATS):
        gc.collect()
        gc.disable()
        start = time.process_time()
        way()
        spent = min(spent, time.process_time() - start)
        gc.enable()
    return spent


def from_recipe(make: Callable[[], Body]) -> dict[str, float]:
    """Time of every step from the recipe to the measured solid [s]; nothing noted on one body serves the next."""
    return {
        "recipe": least(make),
        "figures": least(lambda: properties(make())),
        "blank": least(lambda: blank(make())),
        "solid and volume": least(lambda: measured(solid(make()).shape)),
        "clashes": least(lambda: clashes(make())),
    }


def run() -> Iterator[dict[str, object]]:
    """The steps for each size, the exponents between sizes, and the share of a tray with eight times the holes."""
    rows = {lugs: from_recipe(lambda lugs=lugs: ring(lugs)) for lugs in LUGS}
    for lugs, steps in rows.items():
        yield {"benchmark": f"ring of {lugs} lugs", **{f"{name}_s": spent for name, spent in steps.items()}}
    for step in rows[LUGS[0]]:
        grown = [
            math.log(rows[large][step] / rows[small][step]) / math.log(large / small)
            for small, large in pairwise(LUGS)
        ]
        yield {
            "benchmark": f"lugs: {step}",
            "exponents": grown,
            "over_all": sum(grown) / len(grown),
            "at most": LARGEST_EXPONENT,
        }
    few, many = (least(lambda holes=holes: measured(solid(tray(holes)).shape)) for holes in HOLES)
    yield {
        "benchmark": "tray of 2000 holes against one of 250",
        "times": many / few,
        "below": 8.0,
        "s": [few, many],
    }
    few, many = (least(lambda holes=holes: blank(tray(holes))) for holes in HOLES)
    yield {"benchmark": "their blanks", "times": many / few, "below": 8.0, "s": [few, many]}
