"""A drawing as SVG: one unit is one millimetre of paper, arcs are arcs; sheets stand below each other."""

from __future__ import annotations

import math

from formparts.drawings.curves import PENS, Conic, Curve, Filled, PenLine, Straight, Words, flattened
from formparts.drawings.letter_widths import CAPITAL
from formparts.drawings.sheet import Drawing
from formparts.export.svg_marks import clean, figure
from formparts.outline import Point


def svg_text(drawing: Drawing) -> str:
    """The whole file, the same for the same drawing."""
    width, one = drawing.size
    height = one * len(drawing.pages)
    return "\n".join(
        [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
            f'viewBox="0 0 {width:g} {height:g}">',
            f"<title>{clean(drawing.name)}: drawing</title>",
            f"<style>{_style()}</style>",
            f'<rect width="{width:g}" height="{height:g}" fill="#fff"/>',
            *(
                _mark(mark, one * (number + 1))
                for number, page in enumerate(drawing.pages)
                for mark in flattened(page)
            ),
            "</svg>",
            "",
        ]
    )


def _style() -> str:
    rules = ["path{fill:none;stroke:#000;stroke-linecap:round}", ".head{fill:#000;stroke:none}"]
    rules.append("text{font-family:DejaVu Sans,Verdana,Arial,sans-serif;fill:#000}")
    for pen in PENS:
        dashes = f";stroke-linecap:butt;stroke-dasharray:{_dashes(pen.pattern)}" if pen.pattern else ""
        rules.append(f".{pen.layer}{{stroke-width:{figure(pen.width)}{dashes}}}")
    return "".join(rules)


def _mark(mark: PenLine | Words | Filled, height: float) -> str:
    if isinstance(mark, Words):
        return _words(mark, height)
    if isinstance(mark, Filled):
        return f'<path class="head" d="{head_path(mark, height)}"/>'
    own = f' style="stroke-dasharray:{_dashes(mark.pattern)}"' if mark.stretch != 1.0 else ""
    return f'<path class="{mark.pen.layer}"{own} d="{curve_path(mark.curve, height)}"/>'


def _dashes(pattern: tuple[float, ...]) -> str:
    return " ".join(figure(round(part, 4)) for part in pattern)


def head_path(head: Filled, height: float) -> str:
    """The head of an arrow as the data of a path."""
    return f"M {' L '.join(_at(corner, height) for corner in head.corners)} Z"


def _at(point: Point, height: float) -> str:
    """A point as SVG has it: y runs downwards there."""
    return f"{figure(round(point[0], 6))} {figure(round(height - point[1], 6))}"


def curve_path(curve: Curve, height: float) -> str:
    """A curve as the data of a path, on a page of a height."""
    if isinstance(curve, Conic):
        return _arc(curve, height)
    corners = [curve.start, curve.end] if isinstance(curve, Straight) else list(curve.corners)
    return f"M {' L '.join(_at(corner, height) for corner in corners)}"


def _arc(curve: Conic, height: float) -> str:
    """In pieces of at most half a turn; anticlockwise on paper is sweep 0, as y runs downwards there."""
    turn = -math.degrees(math.atan2(curve.major[1], curve.major[0]))
    radii = f"{figure(curve.radius)} {figure(curve.radius * curve.ratio)} {figure(turn)}"
    count = 2 if curve.end - curve.start > math.pi - 1e-9 else 1
    step = (curve.end - curve.start) / count
    ends = [_at(curve.at(curve.start + step * n), height) for n in range(count + 1)]
    return f"M {ends[0]} " + " ".join(f"A {radii} 0 0 {end}" for end in ends[1:])


def _words(words: Words, height: float) -> str:
    """Words whose capitals have their height in the face that room was made for."""
    x, y = words.at
    place = f"{figure(x)} {figure(height - y)}"
    turn = f' transform="rotate(-90 {place})"' if words.turned else ""
    anchor = {"left": "start", "middle": "middle", "right": "end"}[words.anchor]
    size = figure(words.height * 1000.0 / CAPITAL)
    left, top = place.split()
    return (
        f'<text x="{left}" y="{top}" font-size="{size}" text-anchor="{anchor}"{turn}>'
        f"{clean(words.text)}</text>"
    )
