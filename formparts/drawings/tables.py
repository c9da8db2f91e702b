"""Tables of text on a sheet: rows of cells between narrow lines."""

from __future__ import annotations

from collections.abc import Sequence

from formparts.drawings.board import Exact, frame
from formparts.drawings.curves import TABLE, Mark, Words, line, text_width

ROW = 1.9
"""Height of a row, in heights of letters."""
_WITH_FRAMES = 2.4
"""Height of a row of a table with framed figures, in heights of letters."""


def table_marks(
    rows: Sequence[Sequence[str]], height: float, left: float = 0.0, up: bool = False
) -> tuple[list[Mark], float]:
    """
    Return a table and its width: the first row on top with its upper edge at y = 0, or with `up` lowest on y = 0.

    Each column is as wide as its longest text; exact figures are framed.
    """
    count = len(rows[0])
    widths = [max(text_width(row[n], height) for row in rows) + 3.0 for n in range(count)]
    lefts = [left + sum(widths[:n]) for n in range(count + 1)]
    frames = any(isinstance(words, Exact) for row in rows for words in row)
    tall, base = (_WITH_FRAMES, 0.825) if frames else (ROW, 0.45)
    step = (1.0 if up else -1.0) * tall * height
    marks: list[Mark] = []
    for number, row in enumerate(rows):
        y = min(number * step, (number + 1) * step) + base * height
        cells = [
            Words(words, (x + 1.5, y), height, framed=isinstance(words, Exact))
            for words, x in zip(row, lefts, strict=False)
            if words
        ]
        marks += [*cells, *(side for cell in cells if cell.framed for side in frame(cell.box))]
    ends = [n * step for n in range(len(rows) + 1)]
    marks += [line((lefts[0], y), (lefts[-1], y), TABLE) for y in ends]
    marks += [line((x, 0.0), (x, ends[-1]), TABLE) for x in lefts]
    return marks, lefts[-1] - lefts[0]
