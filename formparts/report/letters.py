"""Letters and figures made of a few straight strokes, for the little that a picture has to say."""

from __future__ import annotations

Stroke = tuple[tuple[float, float], ...]

_STROKES: dict[str, tuple[Stroke, ...]] = {
    "0": (((0.5, 0), (3.5, 0), (4, 1), (4, 5), (3.5, 6), (0.5, 6), (0, 5), (0, 1), (0.5, 0)),),
    "1": (((0.6, 4.8), (2, 6), (2, 0)), ((0.6, 0), (3.4, 0))),
    "2": (((0, 5), (0.7, 6), (3.3, 6), (4, 5), (4, 3.8), (0, 0), (4, 0)),),
    "3": (
        ((0, 5.2), (0.8, 6), (3.2, 6), (4, 5.2), (4, 3.9), (3.2, 3.2), (1.4, 3.2)),
        ((3.2, 3.2), (4, 2.4), (4, 0.8), (3.2, 0), (0.8, 0), (0, 0.8)),
    ),
    "4": (((3, 0), (3, 6), (0, 1.8), (4, 1.8)),),
    "5": (((3.8, 6), (0.4, 6), (0.2, 3.5), (3, 3.5), (4, 2.5), (4, 1), (3, 0), (0.8, 0), (0, 0.8)),),
    "6": (((3.6, 6), (1.6, 6), (0, 3.6), (0, 1), (0.8, 0), (3.2, 0), (4, 1), (4, 2.6), (3.2, 3.5), (0, 3.5)),),
    "7": (((0, 6), (4, 6), (1.4, 0)),),
    "8": (
        ((0.8, 3.2), (0, 4), (0, 5.2), (0.8, 6), (3.2, 6), (4, 5.2), (4, 4), (3.2, 3.2), (0.8, 3.2)),
        ((0.8, 3.2), (0, 2.4), (0, 0.8), (0.8, 0), (3.2, 0), (4, 0.8), (4, 2.4), (3.2, 3.2)),
    ),
    "9": (((0.4, 0), (2.4, 0), (4, 2.4), (4, 5), (3.2, 6), (0.8, 6), (0, 5), (0, 3.4), (0.8, 2.5), (4, 2.5)),),
    ".": (((1.8, 0), (2.2, 0), (2.2, 0.4), (1.8, 0.4), (1.8, 0)),),
    "m": (((0, 0), (0, 4)), ((0, 3.2), (0.8, 4), (1.6, 4), (2, 3.4), (2, 0)),
          ((2, 3.2), (2.8, 4), (3.6, 4), (4, 3.4), (4, 0))),
    "x": (((0, 0), (3.4, 4.4)), ((0, 4.4), (3.4, 0))),
    "y": (((0, 4.4), (1.8, 0.2)), ((3.6, 4.4), (1.3, -1.6), (0.4, -1.6))),
    "z": (((0, 4.4), (3.4, 4.4), (0, 0), (3.4, 0)),),
    " ": (),
}  # fmt: skip
_WIDE, _PITCH, _TALL = 4.0, 5.6, 6.0


def lettering(text: str, left: float, base: float, height: float) -> list[Stroke]:
    """Strokes of a text in samples: it starts at `left`, stands on `base` (y down), figures `height` high."""
    size = height / _TALL
    strokes = []
    for number, letter in enumerate(text):
        shift = number * _PITCH
        for stroke in _STROKES[letter]:
            strokes.append(tuple((left + (x + shift) * size, base - y * size) for x, y in stroke))
    return strokes


def text_width(text: str, height: float) -> float:
    """Width of a text of that height, in the same unit."""
    return ((len(text) - 1) * _PITCH + _WIDE) * height / _TALL
