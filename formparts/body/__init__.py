"""The model: Sheet, Flat, Bend, Body. Frozen data, and where it stands in space; nothing else."""

from formparts.body.edges_beside_bends import Rim, RimEdge, first_lost, flat_rims, rims
from formparts.body.frame import Frame, frame_across, front_first, mirror_frame
from formparts.body.model import BEND_ANGLES, RADII, Bend, Body, Flat, Opening, Sheet, Side, bends_on, frames

__all__ = [
    "BEND_ANGLES",
    "RADII",
    "Bend",
    "Body",
    "Flat",
    "Frame",
    "Opening",
    "Rim",
    "RimEdge",
    "Sheet",
    "Side",
    "bends_on",
    "first_lost",
    "flat_rims",
    "frame_across",
    "frames",
    "front_first",
    "mirror_frame",
    "rims",
]
