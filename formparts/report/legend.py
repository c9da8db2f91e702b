"""The small axes in a corner of the picture, that are its scale as well: each arm has a stated true length."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from formparts.report.camera import Camera
from formparts.report.letters import lettering, text_width

if TYPE_CHECKING:
    from formparts.report.arrays import Floats, Integers

_ARM = 58.0
"""Longest arm, seen in its full length [picture points]."""
_LETTER = 9.0
_SHORTEST_ARM = 0.2
"""An arm that points at the viewer more squarely than this gets no letter: it would stand on the others'."""


def round_length(largest: float) -> float:
    """The largest of 1, 2 and 5 times a power of ten that is not more than a length [mm]."""
    power: float = 10.0 ** math.floor(math.log10(largest))
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= largest * (1.0 + 1e-9))


def axes_strokes(camera: Camera, seen: Integers, fine: int) -> list[Floats]:
    """The axes, their letters and the length of an arm as projected polylines, in the emptiest lower corner."""
    import numpy as np

    length = round_length(_ARM * fine / camera.scale)
    arms = camera.axes[:2].T * np.array([1.0, -1.0]) * length * camera.scale
    caption = f"{length:.10g} mm"
    low, high = _extent(arms, caption, fine)
    place = _emptiest(seen, low, high, 10.0 * fine)
    strokes = [np.array([place, place + arm]) for arm in arms]
    for name, arm in zip("xyz", arms, strict=True):
        strokes += _name_of_arm(name, place, arm, length * camera.scale, fine)
    left = place[0] + (low[0] + high[0] - text_width(caption, _LETTER * fine)) / 2.0
    strokes += [np.array(s) for s in lettering(caption, left, place[1] + high[1], _LETTER * fine)]
    return [np.column_stack([stroke, np.zeros(len(stroke))]) for stroke in strokes]


def _name_of_arm(name: str, place: Floats, arm: Floats, full: float, fine: int) -> list[Floats]:
    """The letter behind the end of an arm."""
    import numpy as np

    long = math.hypot(arm[0], arm[1])
    if long < _SHORTEST_ARM * full:
        return []
    x, y = place + arm * (1.0 + 9.0 * fine / long)
    size = _LETTER * fine
    return [np.array(s) for s in lettering(name, x - 0.28 * size, y + 0.37 * size, size)]


def _extent(arms: Floats, caption: str, fine: int) -> tuple[Floats, Floats]:
    """Least and greatest x and y of the whole legend, seen from where the arms meet."""
    import numpy as np

    border = 14.0 * fine
    low = np.minimum(arms.min(axis=0), 0.0) - border
    high = np.maximum(arms.max(axis=0), 0.0) + border
    high[1] += 1.6 * _LETTER * fine
    short = max(text_width(caption, _LETTER * fine) - (high[0] - low[0]), 0.0) / 2.0
    return low - [short, 0.0], high + [short, 0.0]


def _emptiest(seen: Integers, low: Floats, high: Floats, margin: float) -> Floats:
    """Where the arms meet: in the corner of the picture where the least of the part would be hidden."""
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
