"""Reports of a part: the shaded picture, the page, the hand calculation and the summary."""

from __future__ import annotations

from formparts.report.arrays import EdgeLines, Mesh
from formparts.report.pictures import VIEW, picture, picture_png, write_picture
from formparts.report.png_file import png

__all__ = ["VIEW", "EdgeLines", "Mesh", "picture", "picture_png", "png", "write_picture"]
