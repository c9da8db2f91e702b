"""The files that are handed over, one module for each format; every file is proved before it is delivered."""

from formparts.export.dxf import DXF_VERSIONS, write_blank_dxf
from formparts.export.dxf_proof import DxfFigures, proved_blank_dxf
from formparts.export.files import delivered, file_date, write_json, written

__all__ = [
    "DXF_VERSIONS",
    "DxfFigures",
    "delivered",
    "file_date",
    "proved_blank_dxf",
    "write_blank_dxf",
    "write_json",
    "written",
]
