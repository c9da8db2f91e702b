"""Narrow places of the blank: webs of material, and gaps that the cut must pass."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.distance import Narrow
from formparts.checks.finding import Finding, Severity
from formparts.checks.part import Part, at_blank
from formparts.tolerances import MET

_HARD = 500.0
"""A sheet with this tensile strength or more counts as hard to punch [MPa]; common practice, no source."""


def narrow_web(part: Part) -> Iterator[Finding]:
    """A web of material within one outline that is narrower than its limit."""
    openings = {way.number for way in part.openings}
    for narrow in _places(part, material=True):
        apart = narrow.loops[0] != narrow.loops[1]
        if not (apart and openings.intersection(narrow.loops)):
            yield from _narrow(part, narrow, "narrow-web", "warning", "web", "web")


def narrow_cut(part: Part) -> Iterator[Finding]:
    """A gap that is narrower than the cut that has to make it."""
    for narrow in _places(part, material=False):
        yield from _narrow(part, narrow, "narrow-cut", "error", "kerf", "gap")
    kerf = part.limit("kerf")
    for way in part.openings:
        if way.width < kerf - MET:
            message = (
                f"blank: {way.name} is {way.width:.3g} mm wide, less than the cut of {kerf:.3g} mm, "
                f"{at_blank(part, way.middle)}"
            )
            yield Finding(
                "narrow-cut", "error", way.name, message, way.width, kerf, "mm", part.source("kerf"),
                "make the opening wider", way.middle, part.on_part(way.middle),
            )  # fmt: skip


def openings_apart(part: Part) -> Iterator[Finding]:
    """Two openings with too little between their edges."""
    ways = {way.number: way for way in part.openings}
    for (one, two), narrow in _worst(part).items():
        if one in ways and two in ways:
            wide = [ways[one].width, ways[two].width]
            names = (ways[one].name, ways[two].name)
            yield from _between(part, narrow, "opening-near-opening", "opening_to_opening", wide, names)


def openings_inside(part: Part) -> Iterator[Finding]:
    """An opening too near to the edge of its flat."""
    ways = {way.number: way for way in part.openings}
    for (one, two), narrow in _worst(part).items():
        if (one in ways) != (two in ways):
            way = ways[one] if one in ways else ways[two]
            tag = narrow.tags[1] if narrow.loops[0] == way.number else narrow.tags[0]
            names = (way.name, f"the edge of {part.edge_piece(tag, narrow.span.middle)}")
            yield from _between(part, narrow, "opening-near-edge", "opening_to_edge", [way.width], names)


def opening_size(part: Part) -> Iterator[Finding]:
    """An opening too small for the thickness of the sheet."""
    name = "opening_size_hard" if _is_hard(part) else "opening_size"
    limit = part.limit(name)
    for way in part.openings:
        if way.width < limit - MET:
            message = (
                f"{way.name} is {way.width:.4g} mm wide, and {limit:.4g} mm is the least for a sheet of "
                f"{part.thickness:g} mm"
            )
            yield Finding(
                "opening-small", "warning", way.name, message, way.width, limit, "mm", part.source(name),
                "make the opening wider, or drill it", way.middle, part.on_part(way.middle),
            )  # fmt: skip


def _is_hard(part: Part) -> bool:
    """High-tensile and stainless sheet."""
    return part.material is not None and (part.material.tensile_strength_min or 0.0) >= _HARD


def _places(part: Part, material: bool) -> list[Narrow]:
    """Narrow places of one kind; of those side by side only the narrowest."""
    groups: list[list[Narrow]] = []
    for narrow in part.narrows:
        if narrow.material == material:
            near = [group for group in groups if any(narrow.is_beside(other) for other in group)]
            apart = [group for group in groups if group not in near]
            groups = [*apart, [narrow, *(other for group in near for other in group)]]
    return [min(group, key=lambda narrow: narrow.span.length) for group in groups]


def _worst(part: Part) -> dict[tuple[int, int], Narrow]:
    """For each two loops the narrowest place between them."""
    worst: dict[tuple[int, int], Narrow] = {}
    for narrow in part.narrows:
        one, two = narrow.loops
        if one != two and (narrow.loops not in worst or narrow.span.length < worst[narrow.loops].span.length):
            worst[narrow.loops] = narrow
    return worst


def _between(
    part: Part, narrow: Narrow, code: str, name: str, widths: list[float], names: tuple[str, str]
) -> Iterator[Finding]:
    """What is between an opening and something else, when it is less than its limit."""
    limit, measured = max(part.limit(name, diameter=width) for width in widths), narrow.span.length
    if limit < part.limit("web"):
        name, limit = "web", part.limit("web")
    if measured < limit - MET:
        place = narrow.span.middle
        message = (
            f"{measured:.4g} mm between {names[0]} and {names[1]}, and {limit:.4g} mm is the least, "
            f"{at_blank(part, place)}"
        )
        yield Finding(
            code, "warning", " and ".join(names), message, measured, limit, "mm", part.source(name),
            "move the opening, or make it smaller", place, part.on_part(place),
        )  # fmt: skip


def _narrow(
    part: Part, narrow: Narrow, code: str, severity: Severity, name: str, word: str
) -> Iterator[Finding]:
    """A narrow place of one outline."""
    limit, measured = part.limit(name), narrow.span.length
    if measured >= limit - MET:
        return
    names = list(dict.fromkeys(part.piece(tag) for tag in narrow.tags))
    where, place = " and ".join(names), narrow.span.middle
    least = f"{limit:.3g} mm is the least"
    message = f"blank: a {word} of {measured:.3g} mm at {where}, and {least}, {at_blank(part, place)}"
    yield Finding(
        code, severity, where, message, measured, limit, "mm", part.source(name),
        f"make the {word} wider", place, part.on_part(place),
    )  # fmt: skip
