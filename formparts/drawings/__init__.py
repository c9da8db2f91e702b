"""The dimensioned drawing: one sheet with views, blank, bend table and title block, as PDF, DXF and SVG."""

from formparts.drawings.assembled import assembly_drawing
from formparts.drawings.listing import dimension_list
from formparts.drawings.naming import dimension_names
from formparts.drawings.picture import line_picture, write_line_picture
from formparts.drawings.rebuilding import missing, rebuilt
from formparts.drawings.sheet import SCALES, Drawing, drawing
from formparts.drawings.sketch import Dimension, DimensionList, list_from
from formparts.drawings.title import SHEETS, Revision, TitleData
from formparts.drawings.title_files import read_title
from formparts.drawings.writing import FORMATS, KINDS, write_drawing
from formparts.general_tolerances import CLASSES, angular_tolerance, linear_tolerance

__all__ = [
    "CLASSES",
    "FORMATS",
    "KINDS",
    "SCALES",
    "SHEETS",
    "Dimension",
    "DimensionList",
    "Drawing",
    "Revision",
    "TitleData",
    "angular_tolerance",
    "assembly_drawing",
    "dimension_list",
    "dimension_names",
    "drawing",
    "line_picture",
    "linear_tolerance",
    "list_from",
    "missing",
    "read_title",
    "rebuilt",
    "write_drawing",
    "write_line_picture",
]
