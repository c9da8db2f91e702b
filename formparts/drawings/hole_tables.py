"""Hole tables: a label at each of many openings of a flat, and a table of positions and sizes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from formparts.body import HoleFeature
from formparts.drawings.board import Board, Exact
from formparts.drawings.curves import Mark, Words, text_width
from formparts.drawings.leaders import leader
from formparts.drawings.numbers import Numbers
from formparts.drawings.sketch import Dimension, SketchHole
from formparts.drawings.sketching import Drawn, extents
from formparts.drawings.tables import table_marks
from formparts.outline import Point

MOST_AT_THE_VIEW = 10
"""More openings than this that are located one by one are put in a table."""
_LABEL = 4.0
"""Area of a label for letters of height 1."""
_GOOD = 6.0
"""A leader to a label that costs less than this is taken without searching further."""
_ROWS = 24
"""Rows after which a table continues in a second block beside the first."""
_BESIDE = 3
"""Number of table blocks kept side by side; further ones may be placed elsewhere."""


@dataclass(frozen=True)
class Tabled:
    """An opening in a table, and its label: a letter for its size and a number."""

    label: str
    hole: SketchHole


def tabled(drawn: Drawn) -> dict[str, Tabled]:
    """Return the openings of a flat that are put in its table, by name; none when they are few."""
    owned = {name for one in drawn.sketch.patterns for name in one.members}
    alone = [
        hole
        for hole in drawn.sketch.holes
        if hole.name not in owned and not hole.concentric and not hole.outer and not _is_zero(hole, drawn)
    ]
    if len(alone) <= MOST_AT_THE_VIEW:
        return {}
    letters = _letters(dict.fromkeys(hole.size for hole in alone))
    found: dict[str, Tabled] = {}
    for size, letter in letters.items():
        same = sorted((hole for hole in alone if hole.size == size), key=lambda hole: _place(hole, drawn))
        found |= {hole.name: Tabled(f"{letter}{n}", hole) for n, hole in enumerate(same, 1)}
    return found


def is_crowded(drawn: Drawn, scale: float, height: float) -> bool:
    """True when the labels of a flat's openings would cover a sixth of it: a larger sheet is taken then."""
    x0, y0, x1, y1 = extents(drawn.measured)
    return 6.0 * len(tabled(drawn)) * _LABEL * height**2 > (x1 - x0) * (y1 - y0) * scale**2


def _is_zero(hole: SketchHole, drawn: Drawn) -> bool:
    """True for the opening at the zero."""
    return {f"{hole.name}.u", f"{hole.name}.v"} <= set(drawn.sketch.zeros)


def _letters(sizes: dict[str, None]) -> dict[str, str]:
    plain = ascii_uppercase.replace("I", "").replace("O", "")
    names = [*plain, *(f"{one}{two}" for one in plain for two in plain)]
    return dict(zip(sizes, names, strict=False))


def _place(hole: SketchHole, drawn: Drawn) -> tuple[float, float]:
    return (round(drawn.figures[f"{hole.name}.u"], 4), round(drawn.figures[f"{hole.name}.v"], 4))


def in_table(dimension: Dimension, drawn: Drawn, names: Mapping[str, Tabled]) -> bool:
    """True when a dimension gives position, angle or size only of openings in the table."""
    keys = [_key(target) for target in dimension.targets]
    if not names or not keys:
        return False
    sizes = {hole.size for hole in drawn.sketch.holes if hole.name not in names}
    heads = [key.partition(".")[0] for key in keys]
    return all(head in names or (head.startswith("s") and head not in sizes) for head in heads)


def _key(target: str) -> str:
    return target.partition("|")[2].partition(":")[0]


def label_openings(board: Board, places: Sequence[tuple[str, Point, float]]) -> None:
    """Write the label of each opening beside it where the paper is empty, else with a leader."""
    for label, (x, y), radius in places:
        wide, high, off = text_width(label, board.height), board.height, radius + 0.8
        corners = [
            (x + sign * (far * off + (wide / 2.0)), y + up * (far * off + high / 2.0) - high / 2.0)
            for far in (0.8, 1.1, 1.5)
            for up in (1.0, -1.0)
            for sign in (1.0, -1.0)
        ]
        corners += [(x, y + off), (x, y - off - high), (x + off + wide / 2.0, y - high / 2.0)]
        trials = [Words(label, corner, high, "middle") for corner in corners]
        costs = [(board.cost(trial.box), number) for number, trial in enumerate(trials)]
        cost, number = min(costs)
        if cost < 30.0:
            board.add([trials[number]])
        else:
            leader(board, [(x, y)], radius, label, enough=_GOOD)


def hole_tables(
    drawn: Drawn, dimensions: Sequence[Dimension], numbers: Numbers, height: float, where: str
) -> Iterator[list[Mark]]:
    """Return the table of a flat's openings, in blocks with their upper left corners at the origin; none if few."""
    names = tabled(drawn)
    said = {_key(target): (one, target) for one in dimensions for target in one.targets}
    rows = [
        (each.label, *(_figure(each.hole, axis, drawn, said, numbers) for axis in ("u", "v")),
         _size(each.hole, drawn, said, numbers))
        for each in names.values()
    ]  # fmt: skip
    head = ("no.", "x", "y", "opening")
    unit = numbers.unit
    caption = Words(f"Openings of {drawn.sketch.name}, from the zero of {where} [{unit}]", (0.0, 1.5), height)
    for block in range(0, len(rows), _BESIDE * _ROWS):
        marks: list[Mark] = [caption]
        left = 0.0
        for begin in range(block, min(len(rows), block + _BESIDE * _ROWS), _ROWS):
            part, wide = table_marks([head, *rows[begin : begin + _ROWS]], height, left)
            marks += part
            left += wide + 3.0
        yield marks


def _figure(
    hole: SketchHole, axis: str, drawn: Drawn, said: dict[str, tuple[Dimension, str]], numbers: Numbers
) -> str:
    """Return an ordinate as dimensioned: by its own dimension, 0, or on the centre line."""
    key = f"{hole.name}.{axis}"
    if key in said:
        one, target = said[key]
        factor = float(target.partition(":")[2] or 1.0)
        words = numbers.text(one, abs(factor) * one.value)
        words = f"−{words}" if factor < 0.0 else words
        return Exact(words) if one.exact else words
    return numbers.length(drawn.measured.width / 2.0) if axis == "u" and hole.middle else "0"


def _size(hole: SketchHole, drawn: Drawn, said: dict[str, tuple[Dimension, str]], numbers: Numbers) -> str:
    """Return the text of an opening; an upright slot states it, as no picture is beside its row."""
    words = opening_words(hole, dict(_stated_sizes(hole, drawn, said, numbers)), drawn, numbers)
    for part in ("d", "a"):
        one = said.get(f"{hole.size}.{part}")
        words += f", position Ø{numbers.length(one[0].position)}" if one and one[0].position else ""
    return (
        f"{words}, upright" if hole.kind != "circle" and hole.turned % 2 == 1 and hole.turned > 0 else words
    )


def _stated_sizes(
    hole: SketchHole, drawn: Drawn, said: dict[str, tuple[Dimension, str]], numbers: Numbers
) -> Iterator[tuple[str, str]]:
    for part in ("d", "a", "b", "r"):
        key = f"{hole.size}.{part}"
        if key in drawn.figures:
            value = drawn.figures[key]
            yield part, numbers.text(said[key][0], value) if key in said else numbers.length(value)


def opening_words(hole: SketchHole, said: dict[str, str], drawn: Drawn, numbers: Numbers) -> str:
    """Return the size of an opening, its hole feature, and its angle where that is not a quarter turn."""
    words = {
        "circle": f"Ø{said.get('d', '')}",
        "slot": f"slot {said.get('b', '')} × {said.get('a', '')}",
        "rectangle": f"{said.get('b', '')} × {said.get('a', '')}"
        + (f", R{said['r']}" if "r" in said else ""),
    }[hole.kind]
    if hole.kind != "circle" and hole.turned < 0:
        words += f", turned {drawn.figures[f'{hole.name}.turn']:.6g}°"
    words = words if hole.feature is None else _featured(words, hole.feature, numbers)
    return f"{words}, after bending" if hole.later else words


def _featured(hole: str, feature: HoleFeature, numbers: Numbers) -> str:
    """Return the text of a feature; every flat is drawn from its upper side, so its lower side is the far side."""
    wide, deep = numbers.length(feature.diameter), numbers.length(feature.depth)
    words = {
        "countersunk": f"{hole}, countersunk Ø{wide} × {feature.angle:.6g}°",
        "counterbored": f"{hole}, counterbored Ø{wide}, {deep} deep",
        "tapped": f"{feature.callout}, drill {hole}",
        "pressed": f"{hole} for {feature.callout}",
        "extruded": f"{feature.callout}, pierced {hole}, collar Ø{wide}, {numbers.length(feature.height)} high",
    }[feature.kind]
    return words if feature.face == "upper" else f"{words}, far side"
