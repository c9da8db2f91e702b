"""Frames by hand: the position of the default one, and that what is moved there and back has not moved."""

from __future__ import annotations

import math

import pytest

from formparts.body import Frame
from formparts.body.frame import bend_frame, frame_across, inverse, mirror_frame, opposite
from formparts.outline import Motion

TURNED = Frame((10.0, 20.0, 30.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
"""x to the east becomes north, y up: the upper face looks east."""


def test_the_default_frame_is_that_of_the_space() -> None:
    frame = Frame()
    assert frame.point((3.0, 5.0)) == (3.0, 5.0, 0.0)
    assert frame.point((3.0, 5.0), 7.0) == (3.0, 5.0, 7.0)
    assert frame.direction(3.0, 5.0) == (3.0, 5.0, 0.0)
    assert frame.local((3.0, 5.0, 7.0)) == (3.0, 5.0, 7.0)


def test_a_turned_frame_by_hand() -> None:
    """Two along x is two to the north, three along y is three up, four above the face is four to the east."""
    assert TURNED.point((2.0, 3.0), 4.0) == (14.0, 22.0, 33.0)
    assert TURNED.direction(2.0, 3.0, 4.0) == (4.0, 2.0, 3.0)
    assert TURNED.local((14.0, 22.0, 33.0)) == (2.0, 3.0, 4.0)


def test_a_frame_within_another_by_hand() -> None:
    inner = Frame((1.0, 2.0, 3.0), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    found = inner.inside(TURNED)
    assert found.origin == (13.0, 21.0, 32.0)
    assert (found.x, found.y, found.z) == ((0.0, 0.0, 1.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
    assert found.point((5.0, 6.0), 7.0) == TURNED.point(inner.point((5.0, 6.0), 7.0)[:2], 10.0)


def test_moved_in_its_plane() -> None:
    """Shifted by (2, 3) and turned by a quarter; turned over, its upper face looks the other way."""
    quarter = Frame().moved_in_plane(Motion(0.0, -1.0, 1.0, 0.0, 2.0, 3.0))
    assert quarter.point((5.0, 0.0)) == (2.0, 8.0, 0.0)
    assert (quarter.x, quarter.y, quarter.z) == ((0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    over = Frame().moved_in_plane(Motion(1.0, 0.0, 0.0, -1.0, 2.0, 3.0))
    assert over.point((5.0, 4.0), 6.0) == (7.0, -1.0, -6.0)


def test_mirrored_in_a_plane_that_misses_the_origin() -> None:
    """In the plane x = 4 a place at x = 10 has its image at x = -2; (u, v) has its image at (u, -v)."""
    mirrored = mirror_frame(TURNED, (4.0, 0.0, 0.0), (1.0, 0.0, 0.0))
    x, y, z = TURNED.point((2.0, 3.0), 4.0)
    assert mirrored.point((2.0, -3.0), 4.0) == (8.0 - x, y, z)
    slanted = (0.6, 0.0, 0.8)
    frame = mirror_frame(TURNED, (4.0, 0.0, 0.0), slanted)
    away = 0.6 * (x - 4.0) + 0.8 * z
    assert frame.point((2.0, -3.0), 4.0) == pytest.approx((x - 1.2 * away, y, z - 1.6 * away), abs=1e-12)
    across = [frame.x[i - 2] * frame.y[i - 1] - frame.x[i - 1] * frame.y[i - 2] for i in range(3)]
    assert across == pytest.approx(frame.z, abs=1e-15)


def test_the_frame_of_a_bend_line() -> None:
    """From (1, 2) to (4, 6), five long: five along its x axis is the far end; its y axis is to the left."""
    motion = bend_frame((1.0, 2.0), (4.0, 6.0))
    assert motion((0.0, 0.0)) == pytest.approx((1.0, 2.0))
    assert motion((5.0, 0.0)) == pytest.approx((4.0, 6.0))
    assert motion((0.0, 5.0)) == pytest.approx((-3.0, 5.0))
    assert inverse(motion)((4.0, 6.0)) == pytest.approx((5.0, 0.0), abs=1e-12)
    assert inverse(motion)((-3.0, 5.0)) == pytest.approx((0.0, 5.0), abs=1e-12)


@pytest.mark.parametrize("up", [True, False])
def test_a_bend_of_60_by_hand(up: bool) -> None:
    """
    A parent to the north of y = 0, a mid-surface radius of 10: the bend leaves to the south.

    It comes 10 sin 60 far, and 10 (1 - cos 60) = 5 up or down; the child goes on at 60 deg to the ground.
    """
    across = frame_across(Frame(), ((0.0, 0.0), (30.0, 0.0)), ((0.0, 0.0), (30.0, 0.0)), 60.0, 10.0, up)
    sign = 1.0 if up else -1.0
    sine = math.sqrt(3.0) / 2.0
    assert across.origin == pytest.approx((0.0, -10.0 * sine, sign * 5.0), abs=1e-12)
    # The child lies to the right of its own line: seven beyond the line is at v = -7.
    assert across.point((2.0, -7.0)) == pytest.approx(
        (2.0, -(10.0 + 7.0 / 2.0 / sine) * sine, sign * (5.0 + 7.0 * sine)), abs=1e-12
    )
    assert across.z == pytest.approx((0.0, sign * sine, 0.5), abs=1e-15)


def test_directions_of_a_tilted_frame() -> None:
    """Each unit of a frame is its axis, and three of them add up: 2 x + 3 y + 6 z has length 7."""
    third = 1.0 / 3.0
    axes = ((2 * third, third, 2 * third), (-2 * third, 2 * third, third), (-third, -2 * third, 2 * third))
    frame = Frame((1.0, 2.0, 3.0), *axes)
    for number, units in enumerate(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))):
        assert frame.direction(*units) == pytest.approx(axes[number], abs=1e-12)
    found = frame.direction(2.0, 3.0, 6.0)
    assert found == pytest.approx([2 * a + 3 * b + 6 * c for a, b, c in zip(*axes, strict=True)], abs=1e-12)
    assert math.hypot(*found) == pytest.approx(7.0)
    place = frame.point((2.0, 3.0), 6.0)
    assert place == pytest.approx(
        [one + off for one, off in zip(found, frame.origin, strict=True)], abs=1e-12
    )
    assert frame.local(place) == pytest.approx((2.0, 3.0, 6.0), abs=1e-12)


def test_the_other_way() -> None:
    assert opposite((1.0, -2.0, 3.0)) == (-1.0, 2.0, -3.0)
