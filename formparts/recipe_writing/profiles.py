"""Recognise profiles: a row of rectangles of one width, bend after bend."""

from __future__ import annotations

import itertools

from formparts.body import Bend, Body, bends_on
from formparts.recipe_writing.expressions import Call, Literal, Node, decimals
from formparts.recipe_writing.flanges import how_bent
from formparts.recipe_writing.found_parameters import FoundParameters
from formparts.recipe_writing.lugs import StripEnd, strip_end
from formparts.shapes.profiles import datums_at, setback
from formparts.tolerances import REDRAWN, TURN_DEG

RUNS = ("web", "leg", "lip", "return_leg")


def chain_of(body: Body) -> list[str] | None:
    """Return the flats of a profile from end to end, drawn as flanges are; None when the part is not a profile."""
    if len(body.flats) < 2:
        return None
    ends = [flat.name for flat in body.flats if len(bends_on(body, flat.name)) == 1]
    if len(ends) != 2 or any(len(bends_on(body, flat.name)) > 2 for flat in body.flats):
        return None
    order, last = [ends[0]], ""
    while order[-1] != ends[1]:
        here = order[-1]
        beyond = next(bend.child for bend in bends_on(body, here) if bend.child != last)
        last = here
        order.append(beyond)
    return order


def runs_of(body: Body, order: list[str]) -> list[float] | None:
    """Lengths of the straight runs, if all are rectangles of one width with their bends along whole sides."""
    width = body.bends[0].width
    found = []
    for name in order:
        flat = body.flat(name)
        x0, y0, x1, y1 = flat.net.outer.bounds
        area = (x1 - x0) * (y1 - y0)
        if flat.outline.holes or abs(abs(flat.net.outer.signed_area) - area) > REDRAWN * (x1 - x0 + y1 - y0):
            return None
        lines = [bend.parent_line for bend in bends_on(body, name)]
        upright = abs(lines[0][0][0] - lines[0][1][0]) < REDRAWN
        across, along = (y1 - y0, x1 - x0) if upright else (x1 - x0, y1 - y0)
        if abs(across - width) > REDRAWN or any(abs(_width(line) - width) > REDRAWN for line in lines):
            return None
        found.append(along)
    return found


def _width(line: tuple[tuple[float, float], tuple[float, float]]) -> float:
    (x0, y0), (x1, y1) = line
    return float(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)


def profile_node(
    body: Body, order: list[str], runs: list[float], name: str, figures: FoundParameters
) -> tuple[Node, list[str]]:
    """`profile(...)` and the names of its runs."""
    bends = [_between(body, one, other) for one, other in itertools.pairwise(order)]
    pieces: list[Node] = []
    names = []
    for number, straight in enumerate(runs):
        beside = [bend for k, bend in enumerate(bends) if k in (number - 1, number)]
        datum, long = _to(straight, beside, body.sheet.thickness, figures)
        off = min(abs(2 * number - (len(runs) - 1)) // 2, len(RUNS) - 1)
        role = RUNS[off] if len(runs) % 2 else RUNS[min(off + 1, len(RUNS) - 1)]
        to = {} if datum == "outside" else {"to": Literal(datum)}
        pieces.append(
            Call(
                "run",
                (figures.length(role, long, f"length of the {role.replace('_', ' ')}, to the {datum}"),),
                to,
            )
        )
        names.append(f"{name}.run[{number + 1}]")
        if number < len(bends):
            pieces.append(_turn(bends[number], figures))
    root = order.index(body.flats[0].name) + 1
    named: dict[str, Node] = {"name": Literal(name)}
    if root != 1:
        named["root"] = Literal(root)
    width = figures.length("width", body.bends[0].width, "along the bends")
    return Call("profile", (figures.sheet, width, *pieces), named), names


def _turn(bend: Bend, figures: FoundParameters) -> Node:
    parts: list[Node] = [
        Literal(90) if abs(bend.angle - 90.0) < TURN_DEG else figures.angle("bend_angle", bend.angle)
    ]
    radius = figures.length("inside_radius", bend.inside_radius)
    if radius.text() != "inside_radius":
        parts.append(radius)
    return Call(bend.side, tuple(parts), how_bent(bend))


def _to(straight: float, beside: list[Bend], thickness: float, figures: FoundParameters) -> tuple[str, float]:
    """The datum that makes the length of a run round."""
    found = []
    for number, datum in enumerate(datums_at(max(bend.angle for bend in beside))):
        long = straight + sum(setback(datum, b.angle, b.inside_radius, thickness) for b in beside)
        found.append((decimals(figures.tidy(long)), number, datum, long))
    places, _, datum, long = min(found)
    return (datum, long) if places < 6 else (found[0][2], found[0][3])


def _between(body: Body, one: str, other: str) -> Bend:
    return next(bend for bend in bends_on(body, one) if bend.child == other)


__all__ = ["StripEnd", "strip_end"]
