"""Two small recipes for the tests of decorator, discovery and description."""

# ruff: noqa: ARG001  a declaration of each kind is wanted here, not a part that uses them all

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from formparts.bending import KFactor
from formparts.body import Sheet
from formparts.materials import material as material_named
from formparts.outline import rectangle
from formparts.parameters import Angle, BendRuleName, Choice, Count, Length, MaterialName, Number, Yes
from formparts.recipe_functions import recipe
from formparts.shapes import plate, tongue

if TYPE_CHECKING:
    from formparts.body import Body


@recipe
def cover_strip(
    length: Annotated[float, Length("along the strip", minimum=5, maximum=2000)] = 120,
    width: Annotated[float, Length("across the strip", minimum="5 mm", maximum="500 mm")] = "40 mm",
    thickness: Annotated[float, Length("of the sheet", minimum=0.5, maximum=6)] = 1.5,
    bend_angle: Annotated[
        float, Angle("of the bends that it will have, from flat", minimum=1, maximum=170)
    ] = 90,
    lug_count: Annotated[int, Count("lugs along the edge", minimum=1, maximum=60)] = 4,
    k_factor: Annotated[float, Number("position of the neutral fibre", minimum=0.2, maximum=0.6)] = 0.44,
    strength: Annotated[float, Number("tensile strength", minimum=100, maximum=2000, unit="MPa")] = 360,
    material: Annotated[str, MaterialName("of the sheet")] = "1.0038",
    tip: Annotated[str, Choice("shape of the tip", ("round", "square", "chamfered"))] = "round",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length")] = 0.44,
    painted: Annotated[bool, Yes("painted on both faces")] = False,
) -> Body:
    """A flat strip that covers a slot.

    Its weight is length x width x thickness x density.
    """
    sheet = Sheet(thickness, 2.0, material_named(material), KFactor(k_factor))
    return plate(sheet, rectangle(length, width), "strip")


@recipe
def long_tongue(
    length: Annotated[float, Length("overall", minimum=1, maximum=500)] = 60,
    width: Annotated[float, Length("across", minimum=1, maximum=500)] = 20,
) -> Body:
    """A tongue with a round end, which its builder refuses when it is wider than long."""
    return tongue(Sheet(2.0, 2.0, material_named("DC01"), KFactor(0.44)), length, width)


def no_recipe() -> None:
    """A plain function that sits beside the recipes."""
