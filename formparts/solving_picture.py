"""The picture of a search under load: mass against the target figure, the lightest part that meets it marked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from formparts import svg
from formparts.families.region_svg import text
from formparts.solving_under_load import LOADED_TARGETS, LoadedSolution, Tried

LEFT, TOP, WIDE, HIGH = 80.0, 60.0, 480.0, 320.0
_TICKS: Final = 4
_LINE, _WELL, _SHORT = "#2f6690", "#3a9d5d", "#b23a48"


def search_picture(title: str, found: LoadedSolution) -> str:
    """
    Draw what was tried as SVG: mass across, figure up; green meets the target, red does not.

    Parameters
    ----------
    title : str
        The heading above it.
    found : LoadedSolution
        Of `solve_under_load`.

    Returns
    -------
    str
    """
    unit = LOADED_TARGETS[found.target]
    parts = [
        text(LEFT, 22, title, 16),
        text(LEFT, 40, found.text),
        text(LEFT + WIDE - 60, TOP + HIGH + 44, "mass [kg]"),
        text(8, TOP - 8, f"{found.target} [{unit}]"),
        *_drawn(found),
    ]
    box = (0.0, 0.0, LEFT + WIDE + 60, TOP + HIGH + 60)
    return svg.picture(parts, box, font_family="sans-serif") + "\n"


def _drawn(found: LoadedSolution) -> Iterator[str]:
    """Axes with their figures, the line of the target, the curve, and a point for each value that was tried."""
    rows = sorted(found.tried, key=lambda row: row.mass)
    across = _Axis([row.mass for row in rows], LEFT, WIDE)
    up = _Axis([*(row.figure for row in rows), found.wanted, 0.0], TOP + HIGH, -HIGH)
    yield _path([(LEFT, TOP), (LEFT, TOP + HIGH), (LEFT + WIDE, TOP + HIGH)], "#222")
    for step in range(_TICKS + 1):
        x, y = across.tick(step), up.tick(step)
        yield text(across.at(x) - 14, TOP + HIGH + 18, f"{x:.3g}", 11)
        yield text(LEFT - 44, up.at(y) + 4, f"{y:.3g}", 11)
    level = up.at(found.wanted)
    yield _path([(LEFT, level), (LEFT + WIDE, level)], _SHORT, "6 4")
    yield _path([(across.at(row.mass), up.at(row.figure)) for row in rows], _LINE)
    for row in rows:
        yield from _point(found, row, across.at(row.mass), up.at(row.figure))


def _point(found: LoadedSolution, row: Tried, x: float, y: float) -> Iterator[str]:
    chosen, colour = row.value == found.value, _WELL if found.meets(row) else _SHORT
    said = (
        f"{found.varied} {row.value:.5g}: {row.figure:.4g} {LOADED_TARGETS[found.target]}, {row.mass:.4g} kg"
    )
    yield svg.circle((x, -y), 7 if chosen else 4, said=said, fill=colour)
    if chosen:
        words, beyond = f"the least that meets it: {said}" if found.reached else said, x > LEFT + WIDE / 2.0
        place, side = (x - 10 if beyond else x + 10, 8.0 - y), "end" if beyond else "start"
        yield svg.text(words, place, font_size=12, text_anchor=side)


class _Axis:
    """From a figure to its place along one side of the picture."""

    def __init__(self, values: Sequence[float], start: float, length: float) -> None:
        self.least, self.most, self.start, self.length = min(values), max(values), start, length

    def at(self, value: float) -> float:
        return self.start + self.length * (value - self.least) / ((self.most - self.least) or 1.0)

    def tick(self, step: int) -> float:
        return self.least + (self.most - self.least) * step / _TICKS


def _path(points: Sequence[tuple[float, float]], colour: str, dashes: str = "") -> str:
    data = svg.line_path([(x, -y) for x, y in points])
    return svg.path(data, fill="none", stroke=colour, stroke_width=1.5, stroke_dasharray=dashes)
