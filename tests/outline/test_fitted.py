"""Short arcs whose ends were put together with others keep both on their circle, by the least change."""

from __future__ import annotations

import math

import pytest

from formparts.outline.edges import Arc, fitted

CENTRE, RADIUS = (30.0, -20.0), 5.0


def at(angle: float, radius: float = RADIUS) -> tuple[float, float]:
    turn = math.radians(angle)
    return (CENTRE[0] + radius * math.cos(turn), CENTRE[1] + radius * math.sin(turn))


@pytest.mark.parametrize("start", [0.0, 50.0, 130.0, 200.0, 300.0])
@pytest.mark.parametrize("sweep", [5.0, 40.0, 59.0, -5.0, -40.0, -59.0])
@pytest.mark.parametrize("off", [(1e-6, 0.0), (0.0, -1e-6), (-5e-7, 8e-7), (3e-7, 3e-7)])
def test_both_ends_come_to_lie_on_the_circle(start: float, sweep: float, off: tuple[float, float]) -> None:
    """The ends stay, and so do radius and sense; the middle moves by no more than the ends were off."""
    loose = Arc(at(start, RADIUS + off[0]), at(start + sweep, RADIUS + off[1]), CENTRE, RADIUS, sweep > 0)
    found = fitted(loose)
    assert (found.start, found.end, found.radius, found.ccw) == (loose.start, loose.end, RADIUS, sweep > 0)
    for end in (found.start, found.end):
        assert math.dist(end, found.centre) == pytest.approx(RADIUS, abs=1e-12)
    assert math.dist(found.middle, at(start + sweep / 2.0)) < 1.2e-6


def test_what_fits_or_is_long_stays_as_it_is() -> None:
    exact = Arc(at(10.0), at(40.0), CENTRE, RADIUS, True)
    longer = Arc(at(10.0, RADIUS + 1e-6), at(71.0), CENTRE, RADIUS, True)
    tiny = Arc(at(10.0, RADIUS + 5e-7), at(10.0), CENTRE, RADIUS, True)
    for arc in (exact, longer, tiny):
        assert fitted(arc) is arc
