"""
The one writer of SVG: figures, places, paths and elements as text, the same for the same picture.

Points have y upwards, as in the model; SVG has it downwards from `top`, the upper border of a page.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Sequence

from formparts.outline import Arc, Edge, Loop, Point

_DECLARED = '<?xml version="1.0" encoding="UTF-8"?>\n'


def figure(value: float) -> str:
    """Return a coordinate: nine digits, no negative zero, no trailing zeros."""
    text = f"{value:.9g}"
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Text that is allowed in XML: markup escaped, control characters replaced."""
    return html.escape(re.sub("[^\t -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]", "?", text))


# --- paths ---


def place(point: Point, top: float = 0.0) -> str:
    """Return a point for SVG, to a millionth of a millimetre."""
    return f"{figure(round(point[0], 6))} {figure(round(top - point[1], 6))}"


def line_path(points: Sequence[Point], top: float = 0.0, closed: bool = False) -> str:
    """Straight lines from point to point."""
    return f"M {' L '.join(place(point, top) for point in points)}{' Z' if closed else ''}"


def loop_path(loop: Loop) -> str:
    """Return one closed subpath, with true arcs."""
    return f"M {place(loop.edges[0].start)} {' '.join(map(_step, loop.edges))} Z"


def _step(edge: Edge) -> str:
    """One edge; an arc of at most half a turn, whose sense is seen from above as in the model."""
    if isinstance(edge, Arc):
        r = figure(edge.radius)
        return f"A {r} {r} 0 0 {0 if edge.ccw else 1} {place(edge.end)}"
    return f"L {place(edge.end)}"


# --- elements ---


def element(kind: str, *inside: str, **marks: str | float | None) -> str:
    """An element; `class_` is class, `stroke_width` is stroke-width; a mark without a value is left out."""
    told = "".join(_mark(name, value) for name, value in marks.items() if value not in (None, ""))
    return f"<{kind}{told}>{''.join(inside)}</{kind}>" if inside else f"<{kind}{told}/>"


def _mark(name: str, value: str | float | None) -> str:
    shown = clean(value) if isinstance(value, str) else figure(value or 0.0)
    return f' {name.rstrip("_").replace("_", "-")}="{shown}"'


def path(data: str, kind: str = "", said: str = "", **marks: str | float | None) -> str:
    """A path of a kind that the style sheet knows; its title is shown where it is pointed at."""
    return element("path", *title(said), class_=kind, **marks, d=data)


def line(start: Point, end: Point, kind: str = "", said: str = "", **marks: str | float | None) -> str:
    """A straight line, with the arguments of `path`."""
    (x0, y0), (x1, y1) = start, end
    return element("line", *title(said), class_=kind, x1=x0, y1=-y0, x2=x1, y2=-y1, **marks)


def circle(centre: Point, radius: float, kind: str = "", said: str = "", **marks: str | float | None) -> str:
    """A circle, with the arguments of `path`."""
    return element("circle", *title(said), class_=kind, cx=centre[0], cy=-centre[1], r=radius, **marks)


def rectangle(
    corner: Point, wide: float, high: float, kind: str = "", said: str = "", **marks: str | float | None
) -> str:
    """A rectangle from its upper left corner, with the arguments of `path`."""
    x, y = corner
    return element("rect", *title(said), class_=kind, x=x, y=-y, width=wide, height=high, **marks)


def text(
    words: str,
    at: Point,
    kind: str = "",
    turned: bool = False,
    top: float = 0.0,
    markup: str = "",
    **marks: str | float | None,
) -> str:
    """Words on one line from a point on, or their markup; `turned` reads upwards."""
    x, y = figure(round(at[0], 6)), figure(round(top - at[1], 6))
    turn = f"rotate(-90 {x} {y})" if turned else None
    return element("text", markup or clean(words), class_=kind, x=x, y=y, **marks, transform=turn)


def title(words: str) -> tuple[str, ...]:
    """Return the tooltip of a shape; nothing for an empty text."""
    return (element("title", clean(words)),) if words else ()


# --- pictures ---


def picture(
    inside: Iterable[str],
    box: tuple[float, float, float, float],
    *,
    name: str = "",
    rules: str = "",
    **marks: str | float | None,
) -> str:
    """A picture for a page or a file; `box` is left, top, width and height, y downwards; `rules` its style sheet."""
    return element(
        "svg",
        "\n",
        *(f"{each}\n" for each in (*title(name), *([element("style", rules)] if rules else []), *inside)),
        xmlns="http://www.w3.org/2000/svg",
        **marks,
        viewBox=" ".join(map(figure, box)),
    )


def file_text(drawn: str) -> str:
    """The whole file of a picture."""
    return f"{_DECLARED}{drawn}\n"
