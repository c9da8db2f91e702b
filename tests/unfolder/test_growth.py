"""Accordions and pierced plates of the benchmark come out right, and their time does not run away."""

from __future__ import annotations

import math

import pytest

from formparts.unfolder import unfold
from tests.benchmarks.unfold_speed import accordion, exponent, growth, pierced_plate
from tests.unfolder.foreign import by_k


def test_an_accordion_of_100_bends() -> None:
    """101 straights of 6 and 100 arcs of pi/2 (1 + 0.44); 20 wide."""
    found = unfold(accordion(100), by_k).blank
    assert sorted((found.length, found.width)) == pytest.approx([20, 606 + 50 * math.pi * 1.44], abs=1e-6)
    assert len(found.bends) == 100
    assert found.overlaps == ()
    assert len(found.outline.outer.edges) == 4


def test_a_plate_of_400_holes() -> None:
    """160 x 160 less 400 holes of 4."""
    found = unfold(pierced_plate(400), by_k).blank
    assert found.area == pytest.approx(160 * 160 - 400 * math.pi * 4, rel=1e-11)
    assert found.pierces == 401


def test_the_exponent_is_that_of_a_power_law() -> None:
    """Time of 3 n^1.7 has the exponent 1.7."""
    assert exponent([(n, 3 * n**1.7) for n in (10, 100, 1000)]) == pytest.approx(1.7)


def test_the_benchmark_fails_when_time_runs_away(monkeypatch: pytest.MonkeyPatch) -> None:
    times = iter([0.001, 0.1])
    monkeypatch.setattr("tests.benchmarks.unfold_speed.seconds", lambda _: next(times))
    with pytest.raises(AssertionError, match="to the power of"):
        list(growth("accordion", accordion, (2, 20)))
