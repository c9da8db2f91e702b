"""A picture of the equivalent stress on the deflected part, in bands of colour with their scale."""

from __future__ import annotations

from formparts.fea.arrays import Floats, np
from formparts.report.arrays import Bytes, EdgeLines, Mesh
from formparts.report.letters import lettering, text_width
from formparts.report.paint import averaged, composed, drawn, lines, shaded
from formparts.report.pen_lines import dots, inked
from formparts.report.pictures import VIEW
from formparts.report.raster import planes

BANDS = 9
_LOW, _MIDDLE, _HIGH = (0.16, 0.32, 0.75), (0.95, 0.93, 0.70), (0.75, 0.10, 0.12)
_FINE = 3
_BOX, _HEIGHT, _EDGE, _STRIP = 26, 11.0, 24, 120
"""Side of a box of the scale, height of its figures, white beside it, and width of all of it [picture points]."""


def banded(mesh: Mesh, edges: list[EdgeLines], values: Floats, top: float, size: tuple[int, int]) -> Bytes:
    """The picture as (height, width, 3) bytes; `values` are those at the corners of each triangle."""
    sight, small = drawn(mesh, (size[0] - _STRIP, size[1]), VIEW, True)
    grey = shaded(sight, mesh, (1.0, 1.0, 1.0))
    field = planes(sight.corners, values[sight.towards])
    row, column = np.nonzero(sight.seen >= 0)
    band = np.clip(field.at(sight.seen[row, column], column, row) / top * BANDS, 0, BANDS - 1).astype(
        np.int64
    )
    tint = np.ones((*sight.seen.shape, 3))
    tint[row, column] = palette()[band]
    paint = grey * np.stack([averaged(tint[:, :, part]) for part in range(3)], axis=2)
    ink = lines(sight, mesh, edges, small)
    paint = np.pad(paint, ((0, 0), (0, _STRIP), (0, 0)), constant_values=1.0)
    ink = np.pad(ink, ((0, 0), (0, _STRIP)))
    boxes, written = _scale(top, size)
    for (left, low, right, high), colour in boxes:
        paint[low:high, left:right] = colour
    return composed(paint, np.maximum(ink, written))


def palette() -> Floats:
    """Colours from little stress to much: dark blue, straw, dark red."""
    share = np.linspace(0.0, 1.0, BANDS)[:, None]
    low, middle, high = (np.array(colour) for colour in (_LOW, _MIDDLE, _HIGH))
    return np.asarray(
        np.where(share < 0.5, low + (middle - low) * 2 * share, middle + (high - middle) * (2 * share - 1))
    )


def _scale(
    top: float, size: tuple[int, int]
) -> tuple[list[tuple[tuple[int, int, int, int], Floats]], Floats]:
    """Boxes of the scale with their colours, and the ink of the figures at their edges [MPa]."""
    left = size[0] - _EDGE - _BOX
    first = _EDGE + BANDS * _BOX
    boxes = [
        ((left, first - (n + 1) * _BOX, left + _BOX, first - n * _BOX), colour)
        for n, colour in enumerate(palette())
    ]
    pen_lines = []
    for n in range(0, BANDS + 1, 3):
        text = f"{float(f'{top * n / BANDS:.3g}'):.6g}"
        start = left - 6.0 - text_width(text, _HEIGHT)
        base = first - n * _BOX + _HEIGHT / 2.0
        pen_lines += [
            np.pad(np.array(s) * _FINE, ((0, 0), (0, 1))) for s in lettering(text, start, base, _HEIGHT)
        ]
    written = np.zeros(size[::-1])
    row, column, cover = inked(dots(pen_lines), 1.2 * _FINE, (size[0] * _FINE, size[1] * _FINE), _FINE)
    written[row, column] = cover
    return boxes, written
