"""Narrow places of the blank: webs of material, and gaps that the cut must pass."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.distance import Narrow
from formparts.checks.finding import Finding, Severity
from formparts.checks.rule_input import RuleInput, at_blank
from formparts.tolerances import LIMIT_SLACK

_HARD = 520.0
"""With this tensile strength or more a sheet is hard to punch [MPa], which S355 is not; common practice, no source."""


def narrow_web(part: RuleInput) -> Iterator[Finding]:
    """
    A web of material within one outline that is narrower than its limit.

    Examples
    --------
    >>> corners = [(0, 0), (30, 0), (30, 19), (34, 19), (34, 0), (64, 0), (64, 40)]
    >>> back = [[(34, 40), (34, 19 + web), (30, 19 + web), (30, 40), (0, 40)] for web in (2.0, 1.9)]
    >>> inside, outside = (Part(plate(Sheet(2, 2.5, "DC01"), polygon(corners + rest))) for rest in back)
    >>> [sum(found.code == "narrow-web" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    openings = {cutout.number for cutout in part.openings}
    for narrow in _places(part, material=True):
        apart = narrow.loops[0] != narrow.loops[1]
        if not (apart and openings.intersection(narrow.loops)):
            yield from _narrow(part, narrow, "narrow-web", _severity(part, narrow.span.length), "web", "web")


def narrow_cut(part: RuleInput) -> Iterator[Finding]:
    """
    A gap that is narrower than the cut that has to make it.

    Examples
    --------
    >>> shapes = [cut(rectangle(40, 30), shifted(rectangle(slit, 20), y=8))[0] for slit in (0.31, 0.29)]
    >>> inside, outside = (Part(plate(Sheet(2, 2.5, "DC01"), shape)) for shape in shapes)
    >>> [sum(found.code == "narrow-cut" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    for narrow in _places(part, material=False):
        yield from _narrow(part, narrow, "narrow-cut", "error", "kerf", "gap")
    kerf = part.limit("kerf")
    for cutout in part.openings:
        if cutout.width < kerf - LIMIT_SLACK:
            message = (
                f"blank: {cutout.name} is {cutout.width:.3g} mm wide, less than the cut of {kerf:.3g} mm, "
                f"{at_blank(part, cutout.middle)}"
            )
            yield Finding(
                "narrow-cut", "error", cutout.name, message, cutout.width, kerf, "mm", part.source("kerf"),
                "make the opening wider", cutout.middle, part.on_part(cutout.middle),
            )  # fmt: skip


def openings_apart(part: RuleInput) -> Iterator[Finding]:
    """
    Two openings with too little between their edges.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(hole_pitch=value) for value in (10.6, 10.59))
    >>> [sum(found.code == "opening-near-opening" for found in each.findings()) for each in (inside, outside)]
    [0, 3]
    """
    cutouts = {cutout.number: cutout for cutout in part.openings}
    for (one, two), narrow in _worst(part).items():
        if one in cutouts and two in cutouts:
            wide = [cutouts[one].width, cutouts[two].width]
            names = (cutouts[one].name, cutouts[two].name)
            yield from _between(part, narrow, "opening-near-opening", "opening_to_opening", wide, names)


def openings_inside(part: RuleInput) -> Iterator[Finding]:
    """
    An opening too near to the edge of its flat.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(hole_pitch=value) for value in (96.46, 96.48))
    >>> [sum(found.code == "opening-near-edge" for found in each.findings()) for each in (inside, outside)]
    [0, 2]
    """
    cutouts = {cutout.number: cutout for cutout in part.openings}
    for (one, two), narrow in _worst(part).items():
        if (one in cutouts) != (two in cutouts):
            cutout = cutouts[one] if one in cutouts else cutouts[two]
            tag = narrow.tags[1] if narrow.loops[0] == cutout.number else narrow.tags[0]
            names = (cutout.name, f"the edge of {part.edge_piece(tag, narrow.span.middle)}")
            yield from _between(part, narrow, "opening-near-edge", "opening_to_edge", [cutout.width], names)


def opening_size(part: RuleInput) -> Iterator[Finding]:
    """
    An opening too small for the thickness of the sheet.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(hole_diameter=value) for value in (2.4, 2.39))
    >>> [sum(found.code == "opening-too-small" for found in each.findings()) for each in (inside, outside)]
    [0, 4]
    """
    name = "opening_size_hard" if _is_hard(part) else "opening_size"
    limit = part.limit(name)
    for cutout in part.openings:
        if cutout.width < limit - LIMIT_SLACK and cutout.name not in part.drilled:
            message = (
                f"{cutout.name} is {cutout.width:.4g} mm wide, and {limit:.4g} mm is the least for a sheet of "
                f"{part.thickness:g} mm"
            )
            yield Finding(
                "opening-too-small", "warning", cutout.name, message, cutout.width, limit, "mm", part.source(name),
                "make the opening wider, or drill it", cutout.middle, part.on_part(cutout.middle),
            )  # fmt: skip


def _is_hard(part: RuleInput) -> bool:
    """High-tensile and stainless sheet."""
    return part.material is not None and (part.material.tensile_strength_min or 0.0) >= _HARD


def _places(part: RuleInput, material: bool) -> list[Narrow]:
    """Narrow places of one kind; of those side by side only the narrowest."""
    alike: dict[tuple[int, int], list[Narrow]] = {}
    order = {}
    for number, narrow in enumerate(part.narrows):
        if narrow.material == material:
            alike.setdefault((min(narrow.loops), max(narrow.loops)), []).append(narrow)
            order[id(narrow)] = number
    groups = [group for near in alike.values() for group in _side_by_side(near)]
    groups.sort(key=lambda group: max(order[id(narrow)] for narrow in group))
    return [min(group, key=lambda narrow: narrow.span.length) for group in groups]


def _side_by_side(narrows: list[Narrow]) -> list[list[Narrow]]:
    """Groups of narrow places between the same two loops, each beside another of its group."""
    groups: list[list[Narrow]] = []
    for narrow in narrows:
        near = [group for group in groups if any(narrow.is_beside(other) for other in group)]
        apart = [group for group in groups if group not in near]
        groups = [*apart, [narrow, *(other for group in near for other in group)]]
    return groups


def _worst(part: RuleInput) -> dict[tuple[int, int], Narrow]:
    """For each two loops the narrowest place between them."""
    worst: dict[tuple[int, int], Narrow] = {}
    for narrow in part.narrows:
        one, two = narrow.loops
        if one != two and (narrow.loops not in worst or narrow.span.length < worst[narrow.loops].span.length):
            worst[narrow.loops] = narrow
    return worst


def _severity(part: RuleInput, web: float) -> Severity:
    """Return the severity: a web narrower than the cut beside it would not survive."""
    return "error" if web < part.limit("kerf") - LIMIT_SLACK else "warning"


def _between(
    part: RuleInput, narrow: Narrow, code: str, name: str, widths: list[float], names: tuple[str, str]
) -> Iterator[Finding]:
    """What is between an opening and something else, when it is less than its limit."""
    limit, measured = max(part.limit(name, diameter=width) for width in widths), narrow.span.length
    if limit < part.limit("web"):
        name, limit = "web", part.limit("web")
    if measured < limit - LIMIT_SLACK:
        place = narrow.span.middle
        message = (
            f"{measured:.4g} mm between {names[0]} and {names[1]}, and {limit:.4g} mm is the least, "
            f"{at_blank(part, place)}"
        )
        yield Finding(
            code, _severity(part, measured), " and ".join(names), message, measured, limit, "mm", part.source(name),
            "move the opening, or make it smaller", place, part.on_part(place),
        )  # fmt: skip


def _narrow(
    part: RuleInput, narrow: Narrow, code: str, severity: Severity, name: str, word: str
) -> Iterator[Finding]:
    """A narrow place of one outline."""
    limit, measured = part.limit(name), narrow.span.length
    if measured >= limit - LIMIT_SLACK:
        return
    names = list(dict.fromkeys(part.piece(tag) for tag in narrow.tags))
    where, place = " and ".join(names), narrow.span.middle
    least = f"{limit:.3g} mm is the least"
    message = f"blank: a {word} of {measured:.3g} mm at {where}, and {least}, {at_blank(part, place)}"
    yield Finding(
        code, severity, where, message, measured, limit, "mm", part.source(name),
        f"make the {word} wider", place, part.on_part(place),
    )  # fmt: skip
