"""The small axes in a corner of the picture, which also show its scale: the length of an arm is stated."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from formparts.report.camera import Camera
from formparts.report.letters import lettering, text_width
from formparts.tolerances import ROUNDING

if TYPE_CHECKING:
    from formparts.report.arrays import Floats, Integers

_ARM = 60.0
"""Longest arm, seen in its full length [picture points]."""
_LETTER, _LINE, _BORDER, _MARGIN = 9.0, 15.0, 15.0, 8.0
"""Height of a figure, from line to line, room for the name of an arm, and from the frame [picture points]."""
_SHORTEST_ARM = 0.2
"""An arm that points at the viewer more squarely than this gets no name: it would overlap the others'."""
SMALLEST_PICTURE = 300
"""A picture narrower or lower than this has no room for axes [picture points]."""


@dataclass(frozen=True, eq=False)
class Legend:
    """The small axes as projected lines, the width they take, how much of the part they hide [samples]."""

    pen_lines: list[Floats]
    width: float
    hidden: int


def round_figure(largest: float) -> float:
    """Return the largest of 1, 2 and 5 times a power of ten that is at most a given figure."""
    power: float = 10.0 ** math.floor(math.log10(largest))
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= largest * (1.0 + ROUNDING))


def legend(camera: Camera, seen: Integers, fine: int) -> Legend:
    """Return the axes, their names and the length of an arm, in the corner that hides the least of the part."""
    import numpy as np

    length = round_figure(_ARM * fine / camera.scale)
    directions = camera.axes[:2].T * np.array([1.0, -1.0])
    captions = ("each arm", f"{length:.10g} mm")
    low, high = _extent(directions * _ARM * fine, captions, fine)
    place = _emptiest(seen, low, high, _MARGIN * fine)
    arms = directions * length * camera.scale
    lines = [np.array([place, place + arm]) for arm in arms]
    for name, direction in zip("xyz", directions, strict=True):
        lines += _named(name, place, direction, length * camera.scale, fine)
    lines += _captions(captions, place + low, place + high, fine)
    flat = [np.column_stack([line, np.zeros(len(line))]) for line in lines]
    return Legend(flat, float(high[0] - low[0]) + _MARGIN * fine, _covered(seen, place + low, place + high))


def _named(name: str, place: Floats, direction: Floats, long: float, fine: int) -> list[Floats]:
    """The letter behind the end of an arm of a length [samples]."""
    import numpy as np

    shown = math.hypot(direction[0], direction[1])
    if shown < _SHORTEST_ARM:
        return []
    x, y = place + direction * (long + _LETTER * fine / shown)
    size = _LETTER * fine
    return [np.array(line) for line in lettering(name, x - 0.28 * size, y + 0.37 * size, size)]


def _captions(captions: tuple[str, ...], low: Floats, high: Floats, fine: int) -> list[Floats]:
    """Lines of text, centred at the foot of the legend."""
    import numpy as np

    size, pen_lines = _LETTER * fine, []
    for number, text in enumerate(reversed(captions)):
        left = (low[0] + high[0] - text_width(text, size)) / 2.0
        pen_lines += lettering(text, left, high[1] - number * _LINE * fine, size)
    return [np.array(line) for line in pen_lines]


def _extent(arms: Floats, captions: tuple[str, ...], fine: int) -> tuple[Floats, Floats]:
    """Least and greatest x and y of the whole legend, seen from where the arms meet."""
    import numpy as np

    low = np.minimum(arms.min(axis=0), 0.0) - _BORDER * fine
    high = np.maximum(arms.max(axis=0), 0.0) + _BORDER * fine
    high[1] += len(captions) * _LINE * fine
    widest = max(text_width(text, _LETTER * fine) for text in captions)
    short = max(widest - (high[0] - low[0]), 0.0) / 2.0
    aside = np.array([short, 0.0])
    return low - aside, high + aside


def _emptiest(seen: Integers, low: Floats, high: Floats, margin: float) -> Floats:
    """Return the origin of the arms in the corner that hides the least of the part, by preference bottom left."""
    import numpy as np

    rows, columns = seen.shape
    left, right = margin - low[0], columns - margin - high[0]
    top, bottom = margin - low[1], rows - margin - high[1]
    places = [np.array(p) for p in ((left, bottom), (right, bottom), (left, top), (right, top))]
    return min(places, key=lambda place: _covered(seen, place + low, place + high))


def _covered(seen: Integers, low: Floats, high: Floats) -> int:
    """Samples of the part inside a rectangle."""
    x0, y0, x1, y1 = (max(int(value), 0) for value in (*low, *high))
    return int((seen[y0:y1, x0:x1] >= 0).sum())
