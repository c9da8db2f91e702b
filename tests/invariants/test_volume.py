"""DESIGN 5.1 and 5.2: closed form, solid and blank have one volume, one surface and one centroid."""

from __future__ import annotations

import math

import pytest

from formparts.blanks import blank
from formparts.body import Body
from formparts.closed_forms import properties
from formparts.layout import Blank
from formparts.tolerances import LENGTH, VOLUME_REL
from tests.invariants.subjects import (
    SUBJECTS,
    blank_of,
    body_of,
    figures_of,
    measured_of,
)


def volume_from_blank(body: Body, flat: Blank) -> float:
    """
    V = t A - sum of t w angle (K - 1/2) t, with K read off the allowance: angle (R + K t).

    Of a bend with openings the width is that of what is left of its strip. Less what is sunk beside holes: a frustum
    has pi h (R^2 + R r + r^2) / 3, the hole through it pi h r^2.
    """
    thickness = body.sheet.thickness
    volume = thickness * flat.area
    for mark in flat.bends:
        turn = math.radians(mark.angle)
        k = (mark.allowance / turn - mark.inside_radius) / thickness
        width = mark.strip_area / mark.allowance
        volume -= thickness * width * turn * (k - 0.5) * thickness
    for opening in (one for each in body.flats for one in each.openings):
        if opening.feature and opening.feature.depth:
            circle = opening.outline.outer.circle
            assert circle
            wide, low, hole = opening.feature.diameter / 2, opening.feature.floor / 2, circle[1]
            volume -= math.pi * opening.feature.depth * ((wide**2 + wide * low + low**2) / 3 - hole**2)
    return volume


@pytest.mark.parametrize("subject", SUBJECTS)
def test_solid_has_the_volume_surface_and_centroid_of_the_closed_form(subject: str) -> None:
    closed, made = figures_of(subject), measured_of(subject)
    assert made.volume == pytest.approx(closed.volume, rel=VOLUME_REL)
    assert made.surface == pytest.approx(closed.surface, rel=VOLUME_REL)
    assert made.centroid == pytest.approx(closed.centroid, abs=LENGTH)


@pytest.mark.parametrize("subject", SUBJECTS)
def test_blank_has_the_volume_of_the_part(subject: str) -> None:
    assert volume_from_blank(body_of(subject), blank_of(subject)) == pytest.approx(
        figures_of(subject).volume, rel=VOLUME_REL
    )


def test_blank_loses_volume_only_by_the_place_of_its_fibre() -> None:
    """GE-08: flat less formed is angle (K - 1/2) t^2 w a bend; 60 x 40 x 40, t 2, R 2, K 0.44, by exact mathematics."""
    from formparts.body import Sheet
    from formparts.shapes import profile, run, up

    body = profile(Sheet(2, 2, "steel", 0.44), 40, run(60), up(90), run(40))
    flat = blank(body)
    assert flat.area * 2 == pytest.approx(7721.911, abs=5e-4)
    assert properties(body).volume == pytest.approx(7736.991118, abs=1e-6)
    assert flat.area * 2 - properties(body).volume == pytest.approx(
        math.pi / 2 * (0.44 - 0.5) * 4 * 40, abs=1e-9
    )
