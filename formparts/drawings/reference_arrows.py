"""Reference arrows: the viewing direction of a flat shown in its true shape, with the letter of that view."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from formparts.body import frames
from formparts.body.frame import combined, dot
from formparts.drawings.board import Board
from formparts.drawings.curves import PenLine, Plain, Words, box_of, line, text_width
from formparts.drawings.plans import Plan, Style
from formparts.drawings.sketching import extents
from formparts.drawings.views import View
from formparts.outline import Point

_LONG = 6.0
"""Length of an arrow [mm on paper]."""
_SHARES = (0.5, 0.3, 0.7, 0.15, 0.85)
"""Positions of an arrow across a flat, as fractions."""
_OFF = (0.8, 2.0, 4.0, 7.0, 11.0, 16.0, 22.0, 30.0, 40.0, 55.0)
"""How far in front of its flat an arrow may end [mm on paper]."""


def arrows_by_view(plan: Plan, views: Mapping[str, View]) -> dict[str, list[tuple[str, str]]]:
    """Return, for each of the three views, the flats whose arrow it has: those that it sees most edge-on."""
    found: dict[str, list[tuple[str, str]]] = {"front": [], "side": [], "top": []}
    standing = frames(plan.body)
    for letter, name, _ in plan.flats:
        normal = standing[name].z
        best = max(found, key=lambda view: round(_long(_across(normal, views[view])), 6))
        found[best].append((letter, name))
    return found


def draw_arrows(
    board: Board, plan: Plan, view: View, flats: list[tuple[str, str]], scale: float, style: Style
) -> None:
    """Draw the arrow of each flat where the paper in front of its upper face is emptiest."""
    for letter, name in flats:
        trials = [_arrow(board, end, way, letter, style) for end, way in _ends(plan, view, name, scale)]
        costs = [_cost(board, marks) + 0.05 * number for number, marks in enumerate(trials)]
        board.add(trials[costs.index(min(costs))])


def _ends(plan: Plan, view: View, name: str, scale: float) -> Iterator[tuple[Point, Point]]:
    """Return where an arrow may end, and the direction from its flat to the viewer on paper; the nearest first."""
    normal = frames(plan.body)[name].z
    across = _across(normal, view)
    way = (across[0] / _long(across), across[1] / _long(across))
    drawn, half = plan.drawn[name], plan.body.sheet.thickness / 2.0
    x0, y0, x1, y1 = extents(drawn.measured)
    for off in _OFF:
        for v in _SHARES:
            for u in _SHARES:
                place = plan.standing[name].point((x0 + u * (x1 - x0), y0 + v * (y1 - y0)), 0.0)
                face = combined(place, (half, normal), (-1.0, plan.axes.origin))
                x, y = (scale * part for part in _across(face, view))
                yield (x + off * way[0], y + off * way[1]), way


def _arrow(board: Board, tip: Point, way: Point, letter: str, style: Style) -> list[Plain]:
    tail = (tip[0] + _LONG * way[0], tip[1] + _LONG * way[1])
    tall = 1.4 * style.height
    off = 1.2 + 0.5 * text_width(letter, tall) * abs(way[0]) + 0.63 * tall * abs(way[1])
    at = (tail[0] + off * way[0], tail[1] + off * way[1] - 0.38 * tall)
    return [line(tail, tip), board.head(tip, (-way[0], -way[1])), Words(letter, at, tall, "middle")]


def _cost(board: Board, marks: list[Plain]) -> float:
    """Return the cost of a position: what is drawn there, and by how much the view grows [mm]."""
    words = next(mark for mark in marks if isinstance(mark, Words))
    x0, y0, x1, y1 = board.bounds
    a0, b0, a1, b1 = box_of(marks)
    grown = max(x0 - a0, 0.0) + max(a1 - x1, 0.0) + max(y0 - b0, 0.0) + max(b1 - y1, 0.0)
    start, end = next(mark.curve.points() for mark in marks if isinstance(mark, PenLine))
    return board.cost(words.box) + 3.0 * board.crossed(start, end) + 2.0 * grown


def _across(vector: tuple[float, float, float], view: View) -> Point:
    return (dot(vector, view.right), dot(vector, view.up))


def _long(across: Point) -> float:
    return math.hypot(*across)
