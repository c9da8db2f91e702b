"""PNG files: the same picture gives the same bytes."""

from __future__ import annotations

import io
from collections.abc import Sequence
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


def moving_png(frames: Sequence[Bytes], seconds: float) -> bytes:
    """
    Encode pictures of one size as an animated PNG that repeats for ever; a viewer without animation shows the first.

    Parameters
    ----------
    frames : sequence of (height, width, 3) arrays of uint8 [-]
        One after the other.
    seconds : float [s]
        How long each is shown.

    Returns
    -------
    bytes
        The whole file, with no date and no comment in it.

    Source
    ------
    Portable Network Graphics (PNG) Specification (Third Edition), W3C, 2025, by Pillow's writer (from memory)
    """
    from PIL import Image

    first, *others = (Image.fromarray(frame).quantize(64) for frame in frames)
    stream = io.BytesIO()
    first.save(stream, "png", save_all=True, append_images=others, duration=1000.0 * seconds, loop=0)
    return stream.getvalue()
