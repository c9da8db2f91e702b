"""The model: Sheet, Flat, Bend, Body. Frozen data, and where it stands in space; nothing else."""

from formparts.body.frame import Frame, frame_across, mirror_frame
from formparts.body.model import Bend, Body, Flat, Opening, Sheet, Side, bends_on, frames

__all__ = [
    "Bend", "Body", "Flat", "Frame", "Opening", "Sheet", "Side",
    "bends_on", "frame_across", "frames", "mirror_frame",
]
