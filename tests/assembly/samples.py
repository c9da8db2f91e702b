"""A bolt, a spacer, an angle with two holes, and the three together."""

from __future__ import annotations

from formparts.assembly import (
    Assembly,
    Placed,
    Turned,
    place,
)
from formparts.body import Body, Sheet
from formparts.outline import Motion, disc
from formparts.shapes import cut_opening, profile, run, up

BOLT = Turned("bolt", ((8, 20), (13, 5)), "steel")


SPACER = Turned("spacer", ((20, 15),), "steel", bore=8.5)


def bracket() -> Body:
    """An angle with a hole in each leg: 40 and 30 mm to the outside, 2 mm thick, 25 mm wide."""
    body = profile(Sheet(2, 3), 25, run(40), up(90), run(30), name="bracket")
    body = cut_opening(body, disc(9), "bracket.run[1]", [Motion.shift(15, 12.5)], "foot_hole")
    return cut_opening(body, disc(9), "bracket.run[2]", [Motion.shift(12, 12.5)], "wall_hole")


def stack() -> Assembly:
    """A bolt down through the foot of a bracket into a spacer below it."""
    foot = Placed("bracket", bracket())
    below = place(SPACER, "top", foot.at("foot_hole[1].lower"), name="spacer")
    return Assembly(
        "stack", (foot, below, place(BOLT, "shoulder[1]", foot.at("foot_hole[1].upper"), name="bolt"))
    )
