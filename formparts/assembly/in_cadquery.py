"""An assembly as one of CadQuery's: an object for each place, with name, location and colour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from formparts.arguments import takes
from formparts.assembly.bill_of_materials import alike
from formparts.assembly.facts import part_colour
from formparts.assembly.placing import Assembly
from formparts.assembly.solids import location, part_solid
from formparts.errors import InputError

if TYPE_CHECKING:
    from cadquery import Assembly as CadqueryAssembly


@takes(assembly="Assembly")
def cadquery_assembly(assembly: Assembly) -> CadqueryAssembly:
    """
    Give the same parts in the same places as an assembly of CadQuery, with their names and colours.

    Parameters
    ----------
    assembly : Assembly
        The parts in their places; equal parts share one shape.

    Returns
    -------
    cadquery.Assembly [mm]

    Raises
    ------
    InputError
        A part is called as the whole is: CadQuery wants every name once.
    """
    from cadquery import Assembly as CadqueryAssembly
    from cadquery import Color, Location
    from cadquery import Solid as CadquerySolid

    if assembly.name in (item.name for item in assembly.items):
        problem = "a part is called as the whole is, and CadQuery wants every name once"
        raise InputError(assembly.name, "items", assembly.name, problem, "give one of them another name")
    made = CadqueryAssembly(name=assembly.name)
    shared: dict[str, tuple[CadquerySolid, Color]] = {}
    for part, items in alike(assembly):
        pair = (part_solid(part).to_cadquery(), Color(*part_colour(part)))
        shared.update((item.name, pair) for item in items)
    for item in assembly.items:
        shape, colour = shared[item.name]
        made.add(shape, loc=Location(location(item.frame)), name=item.name, color=colour)
    return made
