"""The companion unfolder: develops the blank of any solid of one thickness, whoever made it.

It shares no code with the method from the model to the blank, so that the two can be compared.
"""

from formparts.unfolder.results import FoundBend, FoundFeature, FoundFlat, Unfolded
from formparts.unfolder.step import StepSolid, read_solid, read_solids
from formparts.unfolder.unfolding import unfold

__all__ = [
    "FoundBend",
    "FoundFeature",
    "FoundFlat",
    "StepSolid",
    "Unfolded",
    "read_solid",
    "read_solids",
    "unfold",
]
