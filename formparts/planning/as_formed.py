"""Use the radius that the chosen V forms as the radius of the part, so that blank and solid match the bent part."""

from __future__ import annotations

from collections.abc import Callable

from formparts.arguments import takes
from formparts.blanks import blank
from formparts.body import Body
from formparts.body.bends import RADII
from formparts.body.flats import refuse_other
from formparts.errors import InputError
from formparts.planning.radius import FormedRadius
from formparts.planning.stand import part_model
from formparts.planning.tasks import radii_of
from formparts.planning.tool_files import tool_table
from formparts.planning.tools import ToolTable
from formparts.quantities import LengthLike, length
from formparts.tolerances import LENGTH

MOST_ROUNDS = 8
"""Number of times that a part is rebuilt before the radii count as not converging."""


@takes(build="Callable", tools=("ToolTable", "None"))
def radius_as_formed(
    build: Callable[[float], Body], radius: LengthLike, tools: ToolTable | None = None
) -> float:
    """
    Return the inside radius that the chosen dies form; a part built with it comes off the press as drawn.

    Parameters
    ----------
    build : callable of float [mm]
        Builds the part with an inside radius.
    radius : object [mm]
        The drawing's: bare number in mm, text with a unit, or pint quantity. The V that forms nearest is taken.
    tools : ToolTable, optional
        Tools and machine; the shipped ones when none are given.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        No die fits, no natural radius is known, no bend has the radius, bends get different ones, or the
        radius does not converge.
    """
    table, wanted = tools or tool_table(), length(radius, "radius", "radius_as_formed", RADII)
    for _ in range(MOST_ROUNDS):
        body = build(wanted)
        refuse_other("radius_as_formed", "build", body, Body)
        formed = _formed(body, wanted, table)
        if abs(formed - wanted) <= LENGTH:
            return wanted
        wanted = formed
    raise _refusal(body, wanted, "stays when the part is built with it", "give the radius yourself")


def _formed(body: Body, drawn: float, table: ToolTable) -> float:
    """Return the one radius of all bends drawn with a radius."""
    asked = {b.name for b in body.bends if b.process == "air bend" and abs(b.inside_radius - drawn) <= LENGTH}
    found = [each for each in radii_of(part_model(body, blank(body)), table) if each.bend in asked]
    if not found:
        raise _refusal(body, drawn, "is the radius of no air bend", "give it to the bends")
    problem = next((f"is not formed at {each.bend}: {why}" for each in found if (why := _why_not(each))), "")
    if problem:
        raise _refusal(body, drawn, problem, "change bend, tools or material, or measure a test strip")
    least, most = (pick(found, key=_radius) for pick in (min, max))
    if most.formed_radius - least.formed_radius > LENGTH:
        words = " and ".join(f"R {each.formed_radius:.2f} at {each.bend}" for each in (least, most))
        raise _refusal(body, drawn, f"is formed as {words}", "draw these bends with radii of their own")
    return least.formed_radius


def _why_not(each: FormedRadius) -> str:
    if each.chosen is None:
        return each.why_none
    return "no natural radius is known for the material" if each.chosen.natural_radius is None else ""


def _radius(each: FormedRadius) -> float:
    return each.formed_radius


def _refusal(body: Body, radius: float, problem: str, way: str) -> InputError:
    return InputError(body.name, "inside_radius", round(radius, 4), problem, way, "mm")
