"""The dimensioned drawing: one sheet with views, blank, bend table and title block, as PDF, DXF and SVG."""

from formparts.drawings.files import FORMATS, write_drawing
from formparts.drawings.general_tolerances import CLASSES, linear_tolerance
from formparts.drawings.picture import line_picture, write_line_picture
from formparts.drawings.sheet import SCALES, Drawing, drawing
from formparts.drawings.title import SHEETS

__all__ = [
    "CLASSES",
    "FORMATS",
    "SCALES",
    "SHEETS",
    "Drawing",
    "drawing",
    "line_picture",
    "linear_tolerance",
    "write_drawing",
    "write_line_picture",
]
