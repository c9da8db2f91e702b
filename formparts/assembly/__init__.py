"""Parts that stand together: named frames, exact places, bill of materials, interference, STEP and GLB."""

from formparts.assembly.bill import BillRow, bill, write_bill
from formparts.assembly.files import write_assembly_glb, write_assembly_step
from formparts.assembly.interference import Interference, interferences
from formparts.assembly.placing import Assembly, Placed, part_frames, place
from formparts.assembly.turned import Turned

__all__ = [
    "Assembly",
    "BillRow",
    "Interference",
    "Placed",
    "Turned",
    "bill",
    "interferences",
    "part_frames",
    "place",
    "write_assembly_glb",
    "write_assembly_step",
    "write_bill",
]
