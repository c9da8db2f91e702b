"""
How the time of every stage grows with the part: openings in a flat, bends in a profile, lugs round a ring.

    python -m tests.benchmarks growth

Each stage is timed for a sixteenth and a quarter of the part and for the whole; a size is left out when the one before
says that it would take more than `PATIENCE`, and the line says so. The exponent is that of the two largest sizes.
"""

from __future__ import annotations

import gc
import math
import time
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from formparts import (
    Z_AXIS,
    Sheet,
    array_about,
    cut_opening,
    disc,
    fuse,
    grid,
    hole,
    offset_lug,
    pierced,
    plate,
    rectangle,
    rotate,
    shapes,
    translate,
)
from formparts.body import Body
from formparts.checks.rule_input import RuleInput
from formparts.checks.rules import RULES, part_findings
from formparts.clash import clashes
from formparts.export.step import PLAIN_STEEL, delivered_step, step_bytes
from formparts.fea import mesh_of
from formparts.kernel import measured
from formparts.part import Part
from formparts.report.pictures import picture
from formparts.report.scene import scene
from formparts.triangulation import facets
from formparts.unfolder import unfold

LARGEST_EXPONENT = 1.3
PATIENCE = 10.0
"""Most processor time that a stage is given [s]."""


def panel(holes: int) -> Body:
    """A panel with so many round holes, as many in a row as there are rows."""
    side = math.isqrt(holes)
    sheet = plate(Sheet(2, 2), rectangle(10 * side + 4, 10 * side + 4), "panel")
    return cut_opening(sheet, disc(6.6), places=grid(side, side, 10, 10), name="hole")


def corrugated(bends: int) -> Body:
    """A profile that goes up and down by 30 deg."""
    runs = [shapes.run(30)]
    for number in range(bends):
        runs += [shapes.up(30) if number % 4 in (0, 3) else shapes.down(30), shapes.run(40)]
    return shapes.profile(Sheet(2.0, 2.0, "S235JR", 0.44), 100, *runs, name=f"corrugated_{bends}")


def ring(lugs: int) -> Body:
    """A plate with an opening that has room for all its lugs, each 12 wide and 14 high."""
    radius = 4.0 * lugs + 40.0
    sheet = Sheet(2, 2.5, "S235JR")
    seat = plate(sheet, pierced(rectangle(2 * radius + 80, 2 * radius + 80), disc(2 * radius)))
    lug = offset_lug(sheet, width=12, rise=14, reach=34, foot=12, slope=60, hole=hole(4))
    lug = translate(rotate(lug, 180), (radius - 6, 0, 0))
    return fuse(seat, array_about(lug, Z_AXIS, lugs), name="ring")


PARTS: dict[str, tuple[Callable[[int], Body], int]] = {
    "openings": (panel, 70**2),
    "bends": (corrugated, 300),
    "lugs": (ring, 60),
}
"""What grows, and the largest part."""


def _checks(part: Part) -> None:
    """All rules but the one that looks for an order of bends, which has a line of its own: the plan's."""
    rules = tuple(rule for rule in RULES if "no-bend-order" not in rule.codes)
    list(part_findings(RuleInput(part.blank, part.material, body=part.body), rules))


def _step(part: Part) -> None:
    step_bytes(part.solid, "a.step", "AP214", PLAIN_STEEL, datetime(1970, 1, 1))


def _proof(part: Part) -> None:
    with TemporaryDirectory() as folder:
        delivered_step(part.solid, Path(folder, "a.step"), volume=part.properties.volume)


def _written(ending: str) -> Callable[[Part], None]:
    def write(part: Part) -> None:
        with TemporaryDirectory() as folder:
            part.write(Path(folder, f"a{ending}"))

    return write


STAGES: dict[str, tuple[tuple[str, ...], Callable[[Part], object]]] = {
    "blank": ((), lambda part: part.blank),
    "closed forms": ((), lambda part: part.properties),
    "clashes": ((), lambda part: clashes(part.body)),
    "checks": (("blank",), _checks),
    "plan": (("blank",), lambda part: part.plan),
    "solid and volume": ((), lambda part: measured(part.solid.shape)),
    "STEP text": (("solid",), _step),
    "STEP text and its proof": (("solid",), _proof),
    "unfold": (("solid",), lambda part: unfold(part.solid, part.sheet.bend_rule)),
    "triangles": ((), lambda part: facets(part.body, 0.05)),
    "picture": ((), lambda part: picture(*scene(part.body))),
    "blank as DXF": (("numbered_blank",), _written("-blank.dxf")),
    "report": (("numbered_blank",), _written(".html")),
    "drawing": ((), lambda part: part.drawing()),
    "finite elements": ((), lambda part: mesh_of(part.body, "shell")),
}
"""Each with what of the part is worked out before the clock starts."""


def seconds(work: Callable[[], object]) -> float:
    """Processor time; no garbage is collected meanwhile, as in timeit."""
    gc.collect()
    gc.disable()
    start = time.process_time()
    work()
    spent = time.process_time() - start
    gc.enable()
    return spent


def timed(stage: str, make: Callable[[int], Body], count: int) -> float:
    """Time of one stage for a part of a size; the lesser of two, where it is short."""
    needed, work = STAGES[stage]
    spent = []
    while not spent or (len(spent) < 2 and spent[0] < 2.0):
        part = Part(make(count))
        for name in needed:
            getattr(part, name)
        spent.append(seconds(lambda part=part: work(part)))
    return min(spent)


def grown(name: str, measure: Callable[[int], float], largest: int) -> dict[str, object]:
    """One line: the sizes that were timed, their times, and the exponent of the last step."""
    sizes: list[int] = []
    spent: list[float] = []
    for count in (largest // 16, largest // 4, largest):
        if spent and spent[-1] * 4.0**LARGEST_EXPONENT > PATIENCE:
            break
        sizes.append(count)
        spent.append(measure(count))
    line: dict[str, object] = {"benchmark": name, "sizes": sizes, "s": spent}
    if len(spent) > 1:
        line["value"] = math.log(spent[-1] / spent[-2]) / math.log(sizes[-1] / sizes[-2])
        line["at most"] = LARGEST_EXPONENT
    return line if len(sizes) == 3 else {**line, "left out": largest}


def run() -> Iterator[dict[str, object]]:
    """Every stage with every kind of part."""
    for kind, (make, largest) in PARTS.items():
        yield grown(f"{kind}: recipe", lambda count, make=make: seconds(lambda: make(count)), largest)
        for stage in STAGES:
            name = f"{kind}: {stage}"
            yield grown(name, lambda count, stage=stage, make=make: timed(stage, make, count), largest)
