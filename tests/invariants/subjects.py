"""What the invariants are held against: the cast, the recipes over a grid of parameters, and random bodies."""

from __future__ import annotations

from functools import cache
from typing import Any

from hypothesis import HealthCheck, settings

from formparts.blanks import blank
from formparts.body import Body
from formparts.closed_forms import Properties, properties
from formparts.kernel import KernelMeasures, measured
from formparts.layout import Blank
from formparts.recipe_functions import find_recipe
from formparts.solids import Solid, solid
from tests.parts import CAST

GRID: dict[str, list[dict[str, Any]]] = {
    "ring_riser": [
        {},
        {"lug_count": 1, "slope": 90, "rise": 30},
        {"lug_count": 6, "slope": 35, "lug_width": 18, "thickness": 1, "inside_radius": 1.2, "material": "1.4301"},
        {"corner_radius": 0, "bend_rule": "DIN 6935", "relief_depth": 2, "flange_height": "1.5 in"},
        {"lug_count": 9},
    ],
    "angle_bracket": [{}, {"wall_slots": 0, "shelf_slots": 0}, {"width": 200, "wall_slots": 6, "thickness": 1.5}],
    "z_clip": [{}, {"bend_angle": 15, "rise": 6}, {"bend_angle": 60, "thickness": 3, "inside_radius": 5}],
    "u_channel": [
        {},
        {"hole_count": 1, "thickness": "1/16 in"},
        {"inside_radius": 8, "width": 80, "bend_rule": "K 0.5"},
    ],
    "hat_section": [{}, {"bend_angle": 120, "crown": 80}, {"bend_angle": 90, "thickness": 3, "inside_radius": 0.5}],
    "corner_tray": [{}, {"corner_relief": 11, "height": 60}, {"thickness": 0.5, "inside_radius": 0.2}],
    "stepped_seat": [{}, {"lug_count": 11, "slope": 90}, {"screw_count": 1, "tip_radius": 9.9, "bend_rule": "Groover"}],
}  # fmt: skip

RECIPES = {
    f"{name}-{place}": (name, values) for name, grid in GRID.items() for place, values in enumerate(grid)
}
SUBJECTS = (*CAST, *RECIPES)

RANDOM = settings(
    max_examples=120,
    deadline=None,
    derandomize=True,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
"""The same random bodies each time: a failure is met by everybody."""


@cache
def body_of(subject: str) -> Body:
    if subject in CAST:
        return CAST[subject]()
    name, values = RECIPES[subject]
    return find_recipe(name)(**values)


@cache
def solid_of(subject: str) -> Solid:
    return solid(body_of(subject))


@cache
def measured_of(subject: str) -> KernelMeasures:
    return measured(solid_of(subject).shape)


@cache
def blank_of(subject: str) -> Blank:
    return blank(body_of(subject))


@cache
def figures_of(subject: str) -> Properties:
    return properties(body_of(subject))
