"""PNG files: the same picture gives the same bytes."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from formparts.report.arrays import Bytes


def png(pixels: Bytes) -> bytes:
    """
    Encode a picture of eight bits a channel as a PNG file.

    Parameters
    ----------
    pixels : (height, width, 3) array of uint8 [-]
        Red, green and blue, the top row first.

    Returns
    -------
    bytes
        The whole file, with no date and no comment in it.

    Source
    ------
    Portable Network Graphics (PNG) Specification, ISO/IEC 15948:2004, by Pillow's writer
    """
    from PIL import Image

    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, "png")
    return stream.getvalue()
