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
    cut_opening,
    disc,
    find_recipe,
    fuse,
    grid,
    hole,
    offset_lug,
    pierced,
    plate,
    rectangle,
    rotate,
    translate,
)
from formparts.blanks import blank
from formparts.body import Body
from formparts.clash import clashes
from formparts.closed_forms import properties
from formparts.kernel import measured
from formparts.solids import solid

LUGS = (25, 50, 100, 200)
HOLES = (250, 2000)
ROUNDS = 5
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


def least(ways: list[Callable[[], object]]) -> list[float]:
    """
    Least processor time of each way in a few rounds [s]; no garbage is collected meanwhile, as in timeit.

    The ways take turns, so that a machine's changing speed hits all of them.
    """
    spent = [math.inf for _ in ways]
    for _ in range(ROUNDS):
        for number, way in enumerate(ways):
            gc.collect()
            gc.disable()
            start = time.process_time()
            way()
            spent[number] = min(spent[number], time.process_time() - start)
            gc.enable()
    return spent


STEPS: dict[str, Callable[[Body], object]] = {
    "recipe": lambda body: body,
    "figures": properties,
    "blank": blank,
    "solid and volume": lambda body: measured(solid(body).shape),
    "clashes": clashes,
}
"""From the recipe to the measured solid; each begins at the recipe, so that nothing noted on a body serves the next."""


def run() -> Iterator[dict[str, object]]:
    """Each step's times and the exponents between sizes, and a tray against one with an eighth of the holes."""
    for name, step in STEPS.items():
        spent = least([lambda lugs=lugs, step=step: step(ring(lugs)) for lugs in LUGS])
        grown = [
            math.log(large_s / small_s) / math.log(large / small)
            for (small, small_s), (large, large_s) in pairwise(zip(LUGS, spent, strict=True))
        ]
        yield {
            "benchmark": f"ring of {', '.join(map(str, LUGS))} lugs: {name}",
            "s": spent,
            "exponents": grown,
            "over_all": sum(grown) / len(grown),
            "at most": LARGEST_EXPONENT,
        }
    for name in ("solid and volume", "blank"):
        few, many = least([lambda holes=holes, name=name: STEPS[name](tray(holes)) for holes in HOLES])
        yield {
            "benchmark": f"tray of {HOLES[1]} holes against one of {HOLES[0]}: {name}",
            "times": many / few,
            "below": 8.0,
            "s": [few, many],
        }
