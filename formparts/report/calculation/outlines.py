"""Area of an outline in the hand calculation: simple shapes by their formulas, all others corner by corner."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from formparts.body import Flat
from formparts.outline import Arc, Line, Loop
from formparts.report.calculation.lines import Step, Table, digits
from formparts.tolerances import ROUNDING

_SHOELACE = "Gauss's area formula; segment of a circle r²/2 (φ − sin φ); exact mathematics"
_PLANE = "plane geometry; exact mathematics"


@dataclass(frozen=True)
class Figure:
    """The area of one loop: formula in symbols and in numbers, and the table that it adds up, if any."""

    kind: str
    symbols: str
    numbers: str
    area: float
    source: str = _PLANE
    table: Table | None = None

    def lines(self, what: str) -> Iterator[Step | Table]:
        """The table, if any, and then the step."""
        if self.table is not None:
            yield self.table
        yield Step(what, self.symbols, self.numbers, self.area, "mm²", self.source)


def loop_figure(loop: Loop) -> Figure:
    """Return the simple shape that the loop is, or the loop corner by corner."""
    for known in _KNOWN:
        figure = known(loop)
        if figure is not None and math.isclose(figure.area, abs(loop.signed_area), rel_tol=ROUNDING):
            return figure
    return _by_corners(loop)


def flat_figures(flat: Flat) -> tuple[Figure, ...]:
    """The outer loop of a flat, then its openings."""
    return tuple(loop_figure(loop) for loop in flat.net.loops)


def _circle(loop: Loop) -> Figure | None:
    found = loop.circle
    if found is None:
        return None
    diameter = 2.0 * found[1]
    area = math.pi / 4.0 * diameter**2
    return Figure(f"circle ⌀ {digits(diameter)}", "A = π/4 · d²", f"π / 4 · {digits(diameter)}²", area)


def _sides(loop: Loop) -> tuple[float, float]:
    """Return the extent of a loop along its first straight edge, and square to it."""
    first = next(edge for edge in loop.edges if isinstance(edge, Line))
    (x0, y0), (x1, y1) = first.start, first.end
    ux, uy = (x1 - x0) / first.length, (y1 - y0) / first.length
    along = [x * ux + y * uy for x, y in loop.vertices]
    across = [y * ux - x * uy for x, y in loop.vertices]
    return max(along) - min(along), max(across) - min(across)


def _counts(loop: Loop) -> tuple[int, int, set[float]]:
    """Return the numbers of straight edges and arcs, and the radii of these."""
    arcs = [edge for edge in loop.edges if isinstance(edge, Arc)]
    return len(loop.edges) - len(arcs), len(arcs), {round(arc.radius, 6) for arc in arcs}


def _rectangle(loop: Loop) -> Figure | None:
    if _counts(loop)[:2] != (4, 0):
        return None
    a, b = _sides(loop)
    return Figure("rectangle", "A = a · b", f"{digits(a)} · {digits(b)}", a * b)


def _rounded_rectangle(loop: Loop) -> Figure | None:
    lines, arcs, radii = _counts(loop)
    if (lines, arcs, len(radii)) != (4, 4, 1):
        return None
    a, b = _sides(loop)
    r = next(iter(radii))
    area = a * b - (4.0 - math.pi) * r**2
    numbers = f"{digits(a)} · {digits(b)} − (4 − π) · {digits(r)}²"
    return Figure("rectangle with rounded corners", "A = a · b − (4 − π) · r²", numbers, area)


def _slot(loop: Loop) -> Figure | None:
    lines, _, radii = _counts(loop)
    if lines != 2 or len(radii) != 1:
        return None
    straight = next(edge.length for edge in loop.edges if isinstance(edge, Line))
    d = 2.0 * next(iter(radii))
    numbers = f"{digits(straight)} · {digits(d)} + π / 4 · {digits(d)}²"
    area = straight * d + math.pi / 4.0 * d**2
    return Figure("slot with round ends", "A = l · d + π/4 · d²", numbers, area)


_KNOWN: tuple[Callable[[Loop], Figure | None], ...] = (_circle, _rectangle, _rounded_rectangle, _slot)


def _by_corners(loop: Loop) -> Figure:
    """Return half the sum of cross products from corner to corner, and the segments between arcs and chords."""
    crosses, segments = _crosses(loop), _segments(loop)
    doubled, bulges = math.fsum(crosses), math.fsum(segments)
    # Openings run clockwise, so that their sum is negative: its absolute value is subtracted.
    area = abs(doubled / 2.0 + bulges)
    numbers = f"|{digits(doubled)} / 2 + {digits(bulges)}|".replace("+ −", "− ")
    return Figure(
        f"outline of {len(loop.edges)} edges", "A = |½ Σ (x_i y_i+1 − x_i+1 y_i) + Σ s|", numbers, area,
        _SHOELACE, _corner_table(loop, crosses, segments),
    )  # fmt: skip


def _crosses(loop: Loop) -> list[float]:
    corners = [*loop.vertices, loop.vertices[0]]
    return [x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise(corners)]


def _segments(loop: Loop) -> list[float]:
    """Area between each arc and its chord: to be added where the arc runs anticlockwise."""
    return [_segment(edge) if isinstance(edge, Arc) else 0.0 for edge in loop.edges]


def _segment(arc: Arc) -> float:
    sweep = arc.sweep_rad
    return (1.0 if arc.ccw else -1.0) * arc.radius**2 / 2.0 * (sweep - math.sin(sweep))


def _corner_table(loop: Loop, crosses: list[float], segments: list[float]) -> Table:
    rows = []
    for number, (edge, crossed, segment) in enumerate(zip(loop.edges, crosses, segments, strict=True), 1):
        x, y = edge.start
        last = ("", "", "")
        if isinstance(edge, Arc):
            last = (digits(edge.radius), f"{math.degrees(edge.sweep_rad):.6g}°", digits(segment))
        rows.append((str(number), digits(x), digits(y), digits(crossed), *last))
    heading = ("i", "x [mm]", "y [mm]", "x_i y_i+1 − x_i+1 y_i [mm²]", "arc r [mm]", "φ", "s [mm²]")
    return Table(heading, tuple(rows))
