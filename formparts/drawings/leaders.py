"""Annotations that point at a feature of a view: leaders with text, datum letters, balloons, names of views."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from formparts.drawings.board import Board, frame
from formparts.drawings.curves import LEADER, Filled, Words, box_of, circle, line, text_width
from formparts.drawings.positions import control_frame, control_size
from formparts.outline import Point
from formparts.outline.edges import Bounds
from formparts.tolerances import ROUNDING

_TURNS = tuple(
    math.radians(angle)
    for angle in (
        45,
        135,
        315,
        225,
        60,
        120,
        300,
        240,
        30,
        150,
        330,
        210,
        75,
        105,
        255,
        285,
        15,
        165,
        345,
        195,
        90,
        270,
        0,
        180,
    )
)
_REACHES = (6.0, 8.0, 11.0, 15.0, 20.0, 27.0, 36.0, 47.0, 60.0, 76.0, 95.0, 120.0, 150.0)

End = Literal["arrow", "dot", "none"]
"""What a leader ends in."""
_TARGETS, _TRIALS = 6, 4
"""Numbers of points at a feature, and of equal features, that are tried for a leader."""
_BACK = 8.0
"""Cost to the leader of a datum of running back over its feature."""


@dataclass(frozen=True)
class _Way:
    """A candidate leader: its cost, its target, its elbow and its direction [rad]."""

    cost: float
    crossed: float
    """The part of the cost due to the slanted line."""
    target: Point
    elbow: Point
    heading: float


def leader(
    board: Board,
    targets: Sequence[Point],
    radius: float,
    words: str,
    end: End = "arrow",
    away: Point = (0.0, 0.0),
    enough: float = 0.0,
) -> Words:
    """Write text with a leader to a circle about one of the targets, where the paper is emptiest.

    `away` from its feature.
    """
    return _drawn_leader(
        board, _best_way(board, targets, radius, words, away, enough=enough), radius, words, end
    )


def pointed(board: Board, trials: Sequence[tuple[Sequence[Point], str]], end: End) -> int:
    """Write text with the cheapest of a few leaders to one of the targets; return the number of that candidate."""
    number, best = 0, _best_way(board, trials[0][0], 0.0, trials[0][1])
    for at, (targets, words) in enumerate(trials[1:_TRIALS], 1):
        found = _best_way(board, targets, 0.0, words, under=best.cost)
        number, best = (at, found) if found.cost < best.cost else (number, best)
    _drawn_leader(board, best, 0.0, trials[number][1], end)
    return number


def _best_way(
    board: Board,
    targets: Sequence[Point],
    radius: float,
    words: str,
    away: Point = (0.0, 0.0),
    room: tuple[float, float] | None = None,
    enough: float = 0.0,
    under: float = math.inf,
) -> _Way:
    """Return the best leader for text (and what hangs below it) of a width and height, or one that is good enough.

    Leaders that cost more than the given limit are not searched for.
    """
    wide, low = room or (text_width(words, board.height), 0.0)
    best = start = _Way(under, 0.0, targets[0], targets[0], 0.0)
    floors: dict[tuple[int, float], float] = {}  # a longer line crosses everything that a shorter one does
    for number, reach in enumerate(_REACHES):
        for at, target in enumerate(targets[:_TARGETS]):
            for heading in _TURNS:
                back = math.cos(heading) * away[0] + math.sin(heading) * away[1] < -ROUNDING
                less = 0.8 * number + 0.3 * at + (_BACK if back else 0.0)
                if less + floors.get((at, heading), 0.0) < best.cost:
                    trial = _way(board, target, radius, (wide, low), reach, heading, less, best.cost)
                    floors[at, heading] = trial.crossed
                    if trial.cost < best.cost or (best is start and math.isinf(under)):
                        best = trial
                    if best.cost < enough:
                        return best
        if best.cost < 0.8 * (number + 1):
            break
    return best


def _way(
    board: Board,
    target: Point,
    radius: float,
    room: tuple[float, float],
    reach: float,
    heading: float,
    less: float,
    most: float,
) -> _Way:
    """Return a leader and its cost: lines that it crosses or covers, and its length; stop counting at `most`."""
    cos, sin = math.cos(heading), math.sin(heading)
    x, y = target[0] + (radius + reach) * cos, target[1] + (radius + reach) * sin
    wide, low = room
    left = x + 2.5 if cos > ROUNDING else x - 2.5 - wide
    box = (left, y - 0.65 * board.height - low, left + wide, y + 0.6 * board.height)
    tip = (target[0] + radius * cos, target[1] + radius * sin)
    elbow = (x + (1.8 if cos > ROUNDING else -1.8), y)
    crossed = board.crossed((x, y), tip)
    cost = less + crossed
    cost += board.crossed((x, y), elbow) if cost < most else 0.0
    cost += board.cost(box) if cost < most else 0.0
    return _Way(cost, crossed, target, (x, y), heading)


def _drawn_leader(board: Board, best: _Way, radius: float, words: str, kind: End) -> Words:
    cos, sin = math.cos(best.heading), math.sin(best.heading)
    tip = (best.target[0] + radius * cos, best.target[1] + radius * sin)
    way = 1.0 if cos > ROUNDING else -1.0
    x, y = best.elbow
    board.add([line(tip, best.elbow, LEADER), line(best.elbow, (x + way * 1.8, y), LEADER)])
    if kind != "none":
        board.add([circle(tip, 0.5, LEADER) if kind == "dot" else board.head(tip, (-cos, -sin))])
    mark = Words(words, (x + way * 2.5, y - 0.4 * board.height), board.height, "left" if way > 0 else "right")
    board.add([mark])
    return mark


def datum(board: Board, places: Sequence[tuple[Point, Point]], letter: str) -> None:
    """
    Draw a datum: a triangle on the feature, square to it, and a framed letter (ISO 5459, from memory).

    The first of the candidate points (each with its outward direction) is taken where the triangle covers no text.
    """
    trials = [(_triangle(board, tip, away), away) for tip, away in places]
    chosen, off = next((each for each in trials if board.cost(box_of(each[:1])) < math.inf), trials[0])
    board.add([chosen])
    framed(board, leader(board, [chosen.corners[2]], 0.0, letter, "none", off))


def _triangle(board: Board, tip: Point, away: Point) -> Filled:
    """Return the triangle: its base on the feature, its apex last."""
    apex = (tip[0] + 0.85 * board.arrow * away[0], tip[1] + 0.85 * board.arrow * away[1])
    (ux, uy), half = away, 0.5 * board.arrow
    base = [(tip[0] + sign * half * uy, tip[1] - sign * half * ux) for sign in (1.0, -1.0)]
    return Filled((base[0], base[1], apex))


def framed(board: Board, words: Words) -> None:
    """Write text in a frame."""
    x0, y0, x1, y1 = words.box
    board.add(frame((x0 - 0.7, y0 - 0.5, x1 + 0.7, y1 + 0.5)))


def controlled(
    board: Board, targets: Sequence[Point], radius: float, words: str, cells: Sequence[str]
) -> None:
    """Write text at a leader, with the frame of a tolerance of position below it."""
    wide, tall = control_size(cells, board.height)
    room = (max(wide, text_width(words, board.height)), tall + 0.8)
    best = _best_way(board, targets, radius, words, room=room)
    x0, y0, x1, _ = _drawn_leader(board, best, radius, words, "arrow").box
    left = x0 if math.cos(best.heading) > ROUNDING else x1 - wide
    board.add(control_frame(cells, (left, y0 - 0.4 - tall), board.height))


def view_name(board: Board, words: str, box: Bounds) -> None:
    """Write the name of a view beside it, where it takes no extra space if possible."""
    wide, high, before = text_width(words, board.height), board.height, board.bounds
    rows = [(y, x) for y in (box[3] + 1.5, box[1] - 1.5 - high) for x in _steps(box[0], box[2] - wide)]
    rows += [(y, x) for x in (box[0] - 2.0 - wide, box[2] + 2.0) for y in _steps(box[1], box[3] - high)]
    rows.append((before[3] + 1.5, before[0]))  # beyond everything, always free
    best: tuple[float, Words] | None = None
    for number, (y, x) in enumerate(rows):
        mark = Words(words, (x, y), high)
        x0, y0, x1, y1 = mark.box
        grown = max(before[0] - x0, 0.0) + max(x1 - before[2], 0.0)
        grown += max(before[1] - y0, 0.0) + max(y1 - before[3], 0.0)
        cost = board.cost(mark.box) + 4.0 * grown + 0.01 * number
        if best is None or cost < best[0]:
            best = (cost, mark)
    assert best is not None
    board.add([best[1]])


def _steps(low: float, high: float) -> list[float]:
    """Return positions along a side, from its start."""
    return [low + 4.0 * n for n in range(max(1, math.ceil((high - low) / 4.0)))]


def balloon(board: Board, targets: Sequence[Point], words: str, others: Sequence[Point] = ()) -> None:
    """Draw a number in a circle with a line to one of the targets, where the paper nearby is empty."""
    size = max(0.5 * text_width(words, board.height) + 0.6, 1.1 * board.height)
    best: tuple[float, Point, Point] | None = None
    floors: dict[tuple[int, int], float] = {}
    for place, target in enumerate(targets):
        for number, reach in enumerate((5.5, 8.0, 11.0, 15.0, 20.0, 27.0, 40.0, 60.0)):
            # Never level or upright: it would look like part of the bend line that it points at.
            for step in (n for n in range(16) if n % 4):
                cos, sin = math.cos(step * math.pi / 8.0), math.sin(step * math.pi / 8.0)
                x, y = target[0] + (reach + size) * cos, target[1] + (reach + size) * sin
                if best is not None and place + 0.6 * number + floors.get((place, step), 0.0) >= best[0]:
                    continue
                near = any(math.dist((x, y), other) < 2.0 * size for other in others)
                # The end of the line is left out of the check: it touches its own bend line.
                crossed = board.crossed((x, y), (target[0] + 1.5 * cos, target[1] + 1.5 * sin))
                floors[place, step] = crossed
                cost = board.cost((x - size, y - size, x + size, y + size)) + crossed
                cost += place + 0.6 * number + (50.0 if near else 0.0)
                if best is None or cost < best[0]:
                    best = (cost, (x, y), target)
        if best is not None and best[0] < 2.0 + place:
            break
    assert best is not None
    _, (x, y), target = best
    share = size / math.dist(target, (x, y))
    start = (x + share * (target[0] - x), y + share * (target[1] - y))
    ring = circle((x, y), size, LEADER)
    words_ = Words(words, (x, y - 0.5 * board.height), board.height, "middle")
    board.add([ring, line(start, target, LEADER), words_])
