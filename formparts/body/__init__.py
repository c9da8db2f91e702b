"""The model: Sheet, Flat, Bend, Body. Frozen data, and its position in space; nothing else."""

from formparts.body.bends import ANGLES, BEND_ANGLES, RADII, Bend, Process, Side, is_contact
from formparts.body.edges_beside_bends import Rim, RimEdge, StripEdge, first_lost, flat_rims, rims, strip_rims
from formparts.body.flats import Flat, Opening
from formparts.body.frame import Frame, frame_across, front_first, mirror_frame
from formparts.body.hole_features import HoleFeature, Sink
from formparts.body.marks import Mark
from formparts.body.model import (
    Body,
    Sheet,
    bends_on,
    developed_length,
    frames,
    laid_out,
    own_rules,
    rules_text,
    sunk_volume,
)

__all__ = [
    "ANGLES",
    "BEND_ANGLES",
    "RADII",
    "Bend",
    "Body",
    "Flat",
    "Frame",
    "HoleFeature",
    "Mark",
    "Opening",
    "Process",
    "Rim",
    "RimEdge",
    "Sheet",
    "Side",
    "Sink",
    "StripEdge",
    "bends_on",
    "developed_length",
    "first_lost",
    "flat_rims",
    "frame_across",
    "frames",
    "front_first",
    "is_contact",
    "laid_out",
    "mirror_frame",
    "own_rules",
    "rims",
    "rules_text",
    "strip_rims",
    "sunk_volume",
]
