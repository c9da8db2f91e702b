"""Parts in one assembly: named frames, places, bill of materials, interference, holes that align, STEP, GLB.

A recipe needs only what places parts; modules that write files and search for interference are loaded on demand.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from formparts.assembly.joints import Joint
from formparts.assembly.placing import Assembly, Placed, part_frames, place
from formparts.assembly.turned import Turned

if TYPE_CHECKING:
    from formparts.assembly.assembly_files import write_assembly_glb, write_assembly_step
    from formparts.assembly.bill_of_materials import BillRow, bill, write_bill
    from formparts.assembly.in_cadquery import cadquery_assembly
    from formparts.assembly.interference import Interference, interferences
    from formparts.assembly.mating import Mating, matings

__all__ = [
    "Assembly",
    "BillRow",
    "Interference",
    "Joint",
    "Mating",
    "Placed",
    "Turned",
    "bill",
    "cadquery_assembly",
    "interferences",
    "matings",
    "part_frames",
    "place",
    "write_assembly_glb",
    "write_assembly_step",
    "write_bill",
]

_LATER = {
    **dict.fromkeys(("BillRow", "bill", "write_bill"), "bill_of_materials"),
    **dict.fromkeys(("write_assembly_glb", "write_assembly_step"), "assembly_files"),
    "cadquery_assembly": "in_cadquery",
    **dict.fromkeys(("Interference", "interferences"), "interference"),
    **dict.fromkeys(("Mating", "matings"), "mating"),
}


def __getattr__(name: str) -> Any:
    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_LATER[name]}"), name)
