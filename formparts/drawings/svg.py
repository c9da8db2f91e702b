"""A drawing as SVG: one unit is one millimetre of paper, arcs are arcs; sheets are placed below each other."""

from __future__ import annotations

import math
from collections.abc import Callable

from formparts.drawings.curves import PENS, Conic, Curve, Filled, PenLine, Straight, Words, flattened
from formparts.drawings.letter_widths import CAPITAL
from formparts.drawings.sheet import Drawing
from formparts.svg import clean, figure, file_text, line_path, path, picture, place, rectangle, text
from formparts.tolerances import ROUNDING


def svg_text(drawing: Drawing) -> str:
    """Return the file, identical for the same drawing."""
    width, one = drawing.size
    height = one * len(drawing.pages)
    marks = (
        mark_as_svg(mark, one * number)
        for number, page in enumerate(drawing.pages, 1)
        for mark in flattened(page)
    )
    return file_text(
        picture(
            (rectangle((0.0, 0.0), width, height, fill="#fff"), *marks),
            (0.0, 0.0, width, height),
            name=f"{drawing.name}: drawing",
            rules=_style(),
            width=f"{figure(width)}mm",
            height=f"{figure(height)}mm",
        )
    )


def _style() -> str:
    rules = ["path{fill:none;stroke:#000;stroke-linecap:round}", ".head{fill:#000;stroke:none}"]
    rules.append("text{font-family:DejaVu Sans,Verdana,Arial,sans-serif;fill:#000}")
    for pen in PENS:
        dashes = f";stroke-linecap:butt;stroke-dasharray:{_dashes(pen.pattern)}" if pen.pattern else ""
        rules.append(f".{pen.layer}{{stroke-width:{figure(pen.width)}{dashes}}}")
    return "".join(rules)


def mark_as_svg(mark: PenLine | Words | Filled, top: float, words: Callable[[str], str] = clean) -> str:
    """Return a mark on a page with its upper border at `top`; `words` makes the markup of text."""
    if isinstance(mark, Words):
        return _words(mark, top, words)
    if isinstance(mark, Filled):
        return path(line_path(mark.corners, top, closed=True), "head")
    own = f"stroke-dasharray:{_dashes(mark.pattern)}" if mark.stretch != 1.0 else None
    return path(_curve_path(mark.curve, top), mark.pen.layer, style=own)


def _dashes(pattern: tuple[float, ...]) -> str:
    return " ".join(figure(round(part, 4)) for part in pattern)


def _curve_path(curve: Curve, top: float) -> str:
    if isinstance(curve, Conic):
        return _arc(curve, top)
    return line_path([curve.start, curve.end] if isinstance(curve, Straight) else curve.corners, top)


def _arc(curve: Conic, top: float) -> str:
    """Return arcs of at most half a turn; anticlockwise on paper is sweep 0, as y runs downwards there."""
    turn = -math.degrees(math.atan2(curve.major[1], curve.major[0]))
    radii = f"{figure(curve.radius)} {figure(curve.radius * curve.ratio)} {figure(turn)}"
    count = 2 if curve.end - curve.start > math.pi - ROUNDING else 1
    step = (curve.end - curve.start) / count
    ends = [place(curve.at(curve.start + step * n), top) for n in range(count + 1)]
    return f"M {ends[0]} " + " ".join(f"A {radii} 0 0 {end}" for end in ends[1:])


def _words(words: Words, top: float, markup: Callable[[str], str]) -> str:
    """Return text with its capital height in the font that room was made for."""
    anchor = {"left": "start", "middle": "middle", "right": "end"}[words.anchor]
    size = round(words.height * 1000.0 / CAPITAL, 6)
    return text(
        "",
        words.at,
        turned=words.turned,
        top=top,
        markup=markup(words.text),
        font_size=size,
        text_anchor=anchor,
    )
