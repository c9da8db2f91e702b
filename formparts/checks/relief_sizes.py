"""Bends that do not run the full width of their flat: is there a relief beside each end, wide and deep enough?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from formparts.checks.finding import Finding, Severity
from formparts.checks.rule_input import RuleInput, Strip, at_blank, moved
from formparts.outline.edge_rows import edge_rows
from formparts.outline.edges import Line, Point
from formparts.tolerances import LENGTH, LIMIT_SLACK, SHORTEST_EDGE

_ASIDE = 10.0 * SHORTEST_EDGE
"""Distance beside the end of a bend at which the sheet is tested [mm]: less than any relief."""

_WIDEST = 4.0
"""Width over which the depth of the opening beside a bend is measured, in widths of a relief [-]."""

_SHARES = (0.125, 0.25, 0.5, 0.75, 0.875)
"""Where across a relief its depth is measured, as shares of its width [-]; the deepest counts: it may be round."""

_AROUND = 4.0
"""Distance of the search for a corner with another bend, in outside radii [-]: a setback is less up to 150 deg."""


@dataclass(frozen=True)
class _End:
    """One end of a tangent line: where it is, the way on along it, and the way into its flat."""

    point: Point
    on: Point
    into: Point

    def at(self, on: float, into: float) -> Point:
        return moved(moved(self.point, self.on, on), self.into, into)


def reliefs(part: RuleInput) -> Iterator[Finding]:
    """Report ends of bends beside which the sheet continues, with no relief, or one too narrow or too shallow.

    Examples
    --------
    >>> base = plate(Sheet(2, 2.5, "DC01"), rectangle(80, 50), name="base")
    >>> notches = [relief(2, depth, "square") for depth in (4.5, 4.4)]
    >>> inside, outside = (Part(add_flange(base, "back", 20, width=40, relief=notch)) for notch in notches)
    >>> [sum(found.code == "relief-too-shallow" for found in each.findings()) for each in (inside, outside)]
    [0, 2]
    """
    if part.blank.overlaps:
        return  # an outline that covers itself has no inside to look at
    for strip in part.strips:
        for end in _ends(strip):
            yield from _at_end(part, strip, end)


def _ends(strip: Strip) -> Iterator[_End]:
    (ux, uy) = strip.along
    for line, into in strip.tangent_lines:
        yield _End(line.start, (-ux, -uy), into)
        yield _End(line.end, (ux, uy), into)


def _at_end(part: RuleInput, strip: Strip, end: _End) -> Iterator[Finding]:
    """One end: the sheet beside the bend itself is a tear, beside the flat a relief that is missing or shallow."""
    outline = part.blank.outline
    if edge_rows(outline).contains(end.at(_ASIDE, -_ASIDE)):
        # Where a round opening cuts the bend line, the sheet beside is the bend's own: it is wider there.
        if outline.distance_to_edge(end.at(0.0, -strip.mark.allowance / 2.0)) > _ASIDE:
            yield _finding(part, strip, end, "width", 0.0, part.limit("relief_width"))
        return
    wanted = part.limit("relief_width")
    width = part.edges.first_hit(end.at(0.0, _ASIDE), end.on, clear_of=end.point)
    if width < wanted - LIMIT_SLACK:
        yield _finding(part, strip, end, "width", width, wanted)
    deep = part.limit("relief_depth", radius=strip.mark.inside_radius)
    depth = _depth(part, end, min(width, _WIDEST * wanted))
    if depth < deep - LIMIT_SLACK:
        behind, least = _behind_corner(part, strip, end), part.limit("relief_corner")
        if behind is None:
            yield _finding(part, strip, end, "depth", depth, deep)
        elif behind < least - LIMIT_SLACK:
            yield _finding(part, strip, end, "corner", behind, least)


def _depth(part: RuleInput, end: _End, width: float) -> float:
    """How far the relief reaches into the flat where it is deepest."""
    if edge_rows(part.blank.outline).contains(end.at(_ASIDE, _ASIDE)):
        return 0.0
    aside = (_ASIDE, *(share * width for share in _SHARES))
    return max(part.edges.first_hit(end.at(way, 0.0), end.into) for way in aside)


def _behind_corner(part: RuleInput, strip: Strip, end: _End) -> float | None:
    """
    How far a relief reaches behind the place where the tangent lines of two bends cross; None where none do.

    In such a corner the sheet beside the bend belongs to the other one, and the relief need only hold that place.
    """
    ahead = Line(end.point, end.at(_reach(part, strip), 0.0))
    for other in part.strips:
        for line, _ in other.tangent_lines:
            place = None if other is strip else _crossing(ahead, line, _reach(part, strip))
            if place is not None:
                outline = part.blank.outline
                return 0.0 if outline.contains(place) else outline.distance_to_edge(place)
    return None


def _reach(part: RuleInput, strip: Strip) -> float:
    """How far beside a bend its corner is looked for [mm]."""
    return _AROUND * (strip.mark.inside_radius + part.thickness)


def _crossing(ahead: Line, line: Line, reach: float) -> Point | None:
    """Where a way ahead crosses a tangent line or its continuation at either end."""
    (ax, ay), (bx, by) = ahead.start, ahead.end
    (cx, cy), (dx, dy) = line.start, line.end
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    across = ux * vy - uy * vx
    if abs(across) <= LENGTH * ahead.length:
        return None
    share = ((cx - ax) * vy - (cy - ay) * vx) / across
    place = (ax + share * ux, ay + share * uy)
    near = min(math.dist(place, line.start), math.dist(place, line.end)) <= reach
    return place if 0.0 <= share <= 1.0 and near else None


def _finding(
    part: RuleInput,
    strip: Strip,
    end: _End,
    what: Literal["width", "depth", "corner"],
    measured: float,
    limit: float,
) -> Finding:
    missing = what == "width" and measured == 0.0
    none = measured <= LENGTH
    code = "relief-missing" if missing else f"relief-too-{'narrow' if what == 'width' else 'shallow'}"
    severity: Severity = "error" if missing else "warning"
    name = strip.mark.name
    if missing:
        said = f"{name} ends within the sheet, with no relief beside it: the sheet would tear"
    elif none:
        said = f"there is no relief {_WHERE[what].format(name=name)}, and {limit:.3g} mm is the least"
    else:
        word = _WORDS[what]
        said = f"the relief beside {name} is {measured:.3g} mm {word}, and {limit:.3g} mm is the least"
    return Finding(
        code, severity, name, f"{said}, {at_blank(part, end.point)}", measured, limit, "mm",
        part.source(f"relief_{what}"),
        _fix(what, none),
        end.point, part.on_part(end.point),
    )  # fmt: skip


_WORDS = {
    "width": "wide",
    "depth": "deep, beyond the tangent line",
    "corner": "behind where two tangent lines cross",
}
_WHERE = {
    "width": "beside {name}",
    "depth": "beyond the tangent line beside {name}",
    "corner": "behind where the tangent lines of {name} and its neighbour cross",
}


def _fix(what: str, none: bool) -> str:
    if not none:
        return "make the relief larger"
    return "cut a relief in the corner" if what == "corner" else "add a relief beside the bend"
