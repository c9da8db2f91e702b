"""The two parts that `hand` works by hand."""

from __future__ import annotations

from typing import Annotated

from formparts import Body, Length, Sheet, add_flange, plate, recipe, rectangle


@recipe
def jogged(length: Annotated[float, Length("of the strip", 10, 5000)] = 60) -> Body:
    """A strip with a flange up along its back and one down along its front."""
    sheet = Sheet(2, inside_radius=3, material="S235JR", bend_rule="K 0.4")
    body = add_flange(plate(sheet, rectangle(length, 40), name="base"), "back", 16, name="rear")
    return add_flange(body, "front", 21, side="down", name="fore")


@recipe
def heavy(length: Annotated[float, Length("of the plate", 10, 5000)] = 500) -> Body:
    """A plate with a flange, of more than a kilogram."""
    sheet = Sheet(3, inside_radius=3, material="S235JR", bend_rule="K 0.4")
    return add_flange(plate(sheet, rectangle(length, 200), name="base"), "back", 60, name="rear")
