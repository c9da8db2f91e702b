"""How many equal lugs fit in a ring: by closed form, and by what the overlap check finds."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator

import pytest

from formparts import Body, InputError
from formparts.blanks import blank
from formparts.checks import RuleInput, part_findings, rule_of
from tests.checks.samples import lug_ring

SEED = 20260301
WANTED = 30


def fitting(lug_width: float, inner_radius: float) -> float:
    """
    How many square-ended lugs fit, as a real number; exact geometry.

    Neighbours meet first at the corners of their ends, which lie atan(w / 2r) to either side of the lug's middle.
    """
    return math.pi / math.atan(lug_width / (2.0 * inner_radius))


def inner_radius(bore: float, rise: float, reach: float) -> float:
    """
    Radius on the blank at which an upright lug of 1 mm sheet, R = 1 mm and K = 0.44 ends; by hand.

    From its first bend, 8 mm inside the bore, it is two allowances pi/2 (1 + 0.44), a wall of rise - 2 (1 + 1/2) and
    a tip of reach - 2 (1 + 1/2) long.
    """
    return bore / 2.0 - 8.0 - (math.pi * 1.44 + (rise - 3.0) + (reach - 3.0))


def rings() -> Iterator[dict[str, float]]:
    """Random rings in which 3 to 8 lugs fit, clear of the limit by more than rounding."""
    chance = random.Random(SEED)
    while True:
        ring = {
            "bore": round(chance.uniform(60.0, 300.0), 2),
            "rise": round(chance.uniform(8.0, 40.0), 2),
            "reach": round(chance.uniform(6.0, 40.0), 2),
            "lug_width": round(chance.uniform(6.0, 60.0), 2),
        }
        inside = inner_radius(ring["bore"], ring["rise"], ring["reach"])
        if inside > 2.0 and 3.0 < fitting(ring["lug_width"], inside) < 8.9:
            yield ring


def built(ring: dict[str, float], count: int) -> Body | None:
    """The ring with so many lugs, or None when lugs already meet in the folded part."""
    try:
        return lug_ring(**ring, lug_count=count)
    except InputError:
        return None


def overlaps(body: Body) -> list[str]:
    part = RuleInput(blank(body), body.sheet.material, body=body)
    return [item.where for item in part_findings(part, (rule_of("blank-overlap"),))]


def test_as_many_lugs_fit_as_geometry_says() -> None:
    """Closed form and overlap check agree on the greatest number, on every ring that can be folded with one more."""
    tried = 0
    for ring in rings():
        most = math.floor(fitting(ring["lug_width"], inner_radius(ring["bore"], ring["rise"], ring["reach"])))
        with_one_more = built(ring, most + 1)
        if with_one_more is None:
            continue
        body = built(ring, most)
        assert body is not None, ring
        assert blank(body).overlaps == (), ring
        assert len(blank(with_one_more).overlaps) >= most + 1, ring  # each lug lies on both its neighbours
        tried += 1
        if tried == WANTED:
            break


@pytest.mark.parametrize("count", [5, 6])
def test_the_finding_says_it_as_the_blank_does(count: int) -> None:
    """In the ring of the sample 5 lugs fit: pi / atan(10 / 15.48) = 5.48."""
    ring = {"bore": 120.0, "rise": 20.0, "reach": 18.0, "lug_width": 20.0}
    assert fitting(20.0, inner_radius(120.0, 20.0, 18.0)) == pytest.approx(5.48, abs=0.005)
    body = built(ring, count)
    assert body is not None
    assert len(overlaps(body)) == (0 if count == 5 else 6)
