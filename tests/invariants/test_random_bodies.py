"""
DESIGN 5 on random bodies: 60 in every run, 20,000 in the long one (`pytest -m soak`, one process or many: `-n 2`).

SOAK_SEED and SOAK_COUNT give another seed and number. Volume, surface, centroid, envelope, blank, unfolder, union,
validity, census, mirror, scale and copies are held on every body; one in 100 is also written (STEP, DXF, SVG, JSON,
twice), read back, audited and meshed. What cannot be made is counted, and shows in the line that the long run prints.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from zlib import crc32

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis.strategies import SearchStrategy

from formparts.errors import InputError
from tests.growing import Growth, grown
from tests.invariants.holds import assert_all_holds, methods
from tests.invariants.subjects import RANDOM
from tests.strategies import growths, long_chains

SEED, COUNT = int(os.environ.get("SOAK_SEED", "1")), int(os.environ.get("SOAK_COUNT", "20000"))
BATCH = 250


def is_filed(growth: Growth, every: int) -> bool:
    """True for one in so many, and for the same ones each time."""
    return crc32(repr(growth).encode()) % every == 0


def held(growth: Growth, folder: Path | None, tally: Counter[str]) -> None:
    """Grow a body and hold it to everything; count what came of it."""
    made = grown(growth)
    body = made.body
    tally["steps"] += len(growth.steps)
    tally["steps refused"] += made.refused
    try:
        made_of = methods(body)
    except InputError:
        tally["bodies refused"] += 1
        return
    assert_all_holds(body, made_of, folder)
    tally["bodies made"] += 1
    tally["of them bent"] += bool(body.bends)
    tally["of them filed and meshed"] += folder is not None
    tally["of them lying on themselves when flat"] += bool(made_of[1].overlaps)
    tally["most flats"] = max(tally["most flats"], len(body.flats))
    tally["most faces"] = max(tally["most faces"], len(made_of[0].faces))


def holding(
    folder: Path, tally: Counter[str], bodies: SearchStrategy[Growth], every: int
) -> Callable[[], None]:
    @given(bodies)
    def all_holds(growth: Growth) -> None:
        held(growth, folder if is_filed(growth, every) else None, tally)

    return all_holds


FEWEST_BENT = 8
"""What Hypothesis draws changes with the numbers in the sources: of 200 bodies 98 to 156 are bent over nine
seeds, with a spread (one standard deviation) of 18 about 129, so of 60 bodies 10 about 38; three of it are left."""

FEWEST_FLATS = 4
"""The richest of 60 bodies has 5 flats in the poorest draw seen; a body of two bends has three."""


def test_everything_holds_on_random_bodies(tmp_path: Path) -> None:
    """And nearly all of them can be made: a strategy that is refused tests nothing."""
    tally: Counter[str] = Counter()
    settings(RANDOM, max_examples=60)(holding(tmp_path, tally, growths(12), every=10))()
    assert tally["bodies made"] >= 57
    assert tally["of them bent"] >= FEWEST_BENT
    assert tally["of them filed and meshed"] >= 1
    assert tally["most flats"] >= FEWEST_FLATS


@pytest.mark.soak
@pytest.mark.parametrize("batch", range(-(-COUNT // BATCH)))
def test_everything_holds_in_the_long_run(
    batch: int, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    tally: Counter[str] = Counter()
    long = settings(
        max_examples=min(BATCH, COUNT - batch * BATCH), deadline=None, database=None, print_blob=True,
        derandomize=False, phases=[Phase.generate, Phase.shrink], suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    try:
        # One batch in eight grows large bodies, which take most of the time; one in eight is of long chains. In every
        # second one hems, curls and openings across bends grow too.
        bodies = {0: growths(40), 1: long_chains()}.get(batch % 8, growths(20, pressed=bool(batch % 2)))
        seed(SEED * 1_000_003 + batch)(long(holding(tmp_path, tally, bodies, every=100)))()
    finally:
        record_property("soak", {"seed": SEED, **tally})
