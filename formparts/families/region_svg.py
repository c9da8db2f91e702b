"""The picture of a region: a map in cells, coloured by the check that fails, with its bounds and a key."""

from __future__ import annotations

import math

from formparts import svg
from formparts.families.regions import END, Region

COLOURS = ("#b23a48", "#c77d2e", "#7a5195", "#2f6690", "#8d6e63", "#5c677d", "#a63d8f", "#6b7a1e")
GOOD = "#3a9d5d"
LEFT, TOP, WIDE, HIGH = 90.0, 64.0, 480.0, 360.0


def region_picture(title: str, found: Region, across: str, up: str) -> str:
    """The map as SVG: a cell for each place, its colour by the check that fails, and a key."""
    xs, ys = sorted({p.across for p in found.places}), sorted({p.up for p in found.places})
    failing = [*(place.failing for place in found.places), *(bound.failing for bound in found.bounds)]
    checks = sorted({*failing} - {"", END})
    colour = {"": GOOD, **{check: COLOURS[n % len(COLOURS)] for n, check in enumerate(checks)}}
    wide, high = WIDE / len(xs), HIGH / len(ys)
    parts = [
        _rectangle(LEFT + xs.index(p.across) * wide, TOP + HIGH - (ys.index(p.up) + 1) * high, wide, high,
                   colour[p.failing], f"{p.across:g}, {p.up:g}: {p.why or 'can be made'}")
        for p in found.places
    ]  # fmt: skip
    parts += [
        text(LEFT, 24, title, 16),
        text(LEFT + WIDE / 2, TOP + HIGH + 44, across),
        text(8, TOP - 12, up),
    ]
    parts += [text(LEFT + (n + 0.5) * wide - 8, TOP + HIGH + 18, f"{xs[n]:g}") for n in _few(len(xs))]
    parts += [text(LEFT - 46, TOP + HIGH - (n + 0.5) * high + 4, f"{ys[n]:g}") for n in _few(len(ys))]
    parts += _bound_marks(found, colour, xs, ys)
    for number, (check, shade) in enumerate(colour.items()):
        parts.append(_rectangle(LEFT + WIDE + 20, TOP + 22 * number, 14, 14, shade, ""))
        parts.append(text(LEFT + WIDE + 40, TOP + 22 * number + 12, _key_text(found, check)))
    high_ = max(TOP + HIGH + 60, TOP + 22 * len(colour))
    return svg.picture(parts, (0.0, 0.0, LEFT + WIDE + 340, high_), font_family="sans-serif") + "\n"


def _bound_marks(found: Region, colour: dict[str, str], xs: list[float], ys: list[float]) -> list[str]:
    """A bar at each end of a row of the region, in the colour of the check that ends it; it says where and why."""
    wide, high = WIDE / len(xs), HIGH / len(ys)
    marks = []
    for bound in found.bounds:
        if bound.failing in colour:
            # The last place of the grid at or before the bound: the cell of the bar.
            inside = [
                n
                for n, x in enumerate(xs)
                if (x >= bound.across if bound.side == "least" else x <= bound.across)
            ]
            cell = inside[0] if bound.side == "least" else inside[-1] + 1
            said = f"{found.up} {bound.up:g}: {found.across} at {bound.side} {bound.across:.6g}, by {bound.failing}"
            top = TOP + HIGH - (ys.index(bound.up) + 1) * high
            marks.append(_bar(LEFT + cell * wide, top, high, colour[bound.failing], said))
    return marks


def _key_text(found: Region, check: str) -> str:
    """Return the text of a colour in the key: the check, and the sides of the region that it bounds."""
    sides = sorted({bound.side for bound in found.bounds if bound.failing == check})
    where = f": bounds {found.across} at its {' and '.join(sides)}" if check and sides else ""
    return f"{check}{where}" or "can be made"


def _few(count: int) -> range:
    """Return which ticks have room for their figure."""
    return range(0, count, max(1, math.ceil(count / 10)))


def _rectangle(x: float, y: float, wide: float, high: float, colour: str, said: str) -> str:
    return svg.rectangle((x, -y), wide, high, said=said, fill=colour, stroke="#fff", stroke_width=0.5)


def _bar(x: float, top: float, high: float, colour: str, said: str) -> str:
    return svg.line((x, -top), (x, -top - high), said=said, stroke=colour, stroke_width=6)


def text(x: float, y: float, words: str, size: int = 12) -> str:
    """Return text at a position, y downwards, from its left end."""
    return svg.text(words, (x, -y), font_size=size)
