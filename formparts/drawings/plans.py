"""The plan of a drawing: which picture shows which dimension, and the letter of each picture."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from string import ascii_uppercase

from formparts.body import Bend, Body, Frame, frames
from formparts.body.frame import Vector
from formparts.drawings.board import Board
from formparts.drawings.curves import Mark, Words, box_of
from formparts.drawings.cuts import Cut, cut_across
from formparts.drawings.flats_in_view import flat_frame
from formparts.drawings.listing import listed
from formparts.drawings.numbers import Numbers
from formparts.drawings.positions import with_positions
from formparts.drawings.sketch import Dimension, DimensionList
from formparts.drawings.sketching import Drawn
from formparts.tolerances import ANGLE_DEG

GAP = 7.0
"""Distance between blocks of the sheet [mm]."""

Group = list[Mark]
Block = list[Group]
"""Groups of marks with fixed positions relative to each other; other blocks may lie between them."""


@dataclass(frozen=True)
class PlannedSection:
    """A section and what is dimensioned in it."""

    letter: str
    bend: Bend
    cut: Cut
    dimensions: tuple[Dimension, ...]


@dataclass(frozen=True)
class Plan:
    """What to draw: the list, the flats, and which picture shows which dimension."""

    body: Body
    list: DimensionList
    drawn: dict[str, Drawn]
    standing: dict[str, Frame]
    axes: Frame
    top: tuple[Dimension, ...]
    sections: tuple[PlannedSection, ...]
    flats: tuple[tuple[str, str, tuple[Dimension, ...]], ...]
    """Letter and name of each flat shown in its true shape, with its dimensions."""
    in_bends: tuple[tuple[Drawn, tuple[Dimension, ...]], ...] = ()
    """Openings that lie in bends, with their dimensions: shown on the blank."""


def planned(
    body: Body,
    changed: Callable[[tuple[Dimension, ...]], tuple[Dimension, ...]] | None = None,
    positions: Mapping[str, float] | None = None,
) -> Plan:
    """Choose the dimensions of a part and the pictures that show them; `changed` adds names and tolerances to them."""
    found, drawn, in_bends = listed(body)
    if changed is not None:
        found = replace(found, dimensions=changed(found.dimensions))
    found = with_positions(found, positions or {})
    placed_ = frames(body)
    standing = {name: flat_frame(one, placed_[name]) for name, one in drawn.items()}
    root = body.flats[0].name
    letters = iter(ascii_uppercase[3:].replace("I", "").replace("O", "") + "".join(ascii_uppercase.lower()))
    views: dict[int, str] = {}
    own: dict[str, list[int]] = {}
    cut_dims: dict[str, list[int]] = {}
    leading = {bend.child: bend.name for bend in body.bends}
    for at, one in enumerate(found.dimensions):
        if one.what == "thickness":
            views[at] = "title block"
        elif one.what in ("bend angle", "inside radius"):
            cut_dims.setdefault(one.flat, []).append(at)
        elif one.what == "rise":
            cut_dims.setdefault(leading[one.flat], []).append(at)
        else:
            own.setdefault(one.flat, []).append(at)
    top: list[int] = []
    flats: list[tuple[str, list[int]]] = []
    for name, dimensions in own.items():
        if name in in_bends:
            views |= dict.fromkeys(dimensions, "blank")
        elif name == root:
            slanted = [at for at in dimensions if _is_off_paper(found.dimensions[at], drawn[name], body)]
            for at in slanted:
                bend = drawn[name].sketch.carriers[carrier_of(found.dimensions[at])].outside
                cut_dims.setdefault(bend, []).append(at)
            top += [at for at in dimensions if at not in slanted]
        elif drawn[name].sketch.plan:
            top += dimensions
        elif all(_is_leg(found.dimensions[at], drawn[name]) for at in dimensions):
            cut_dims.setdefault(leading[name], []).extend(dimensions)
        else:
            flats.append((name, dimensions))
    seen = {root, *(name for name, _ in flats), *(name for name, one in drawn.items() if one.sketch.plan)}
    flats += [(name, []) for name, one in drawn.items() if one.measured.marks and name not in seen]
    sections = _sections(body, found, cut_dims, standing[root].origin, letters)
    for section, numbers in sections:
        views |= dict.fromkeys(numbers, f"section {section.letter}-{section.letter}")
    views |= dict.fromkeys(top, "top")
    shown = []
    for name, dimensions in flats:
        letter = next(letters)
        views |= dict.fromkeys(dimensions, f"view {letter}")
        shown.append(
            (letter, name, tuple(replace(found.dimensions[at], view=views[at]) for at in dimensions))
        )
    dims = tuple(replace(one, view=views[at]) for at, one in enumerate(found.dimensions))
    named = replace(found, dimensions=dims)
    return Plan(
        body, named, drawn, standing, standing[root], tuple(dims[at] for at in top),
        tuple(replace(section, dimensions=tuple(dims[at] for at in numbers)) for section, numbers in sections),
        tuple(shown),
        tuple((one, tuple(each for each in dims if each.flat == name and each.view == "blank"))
              for name, one in in_bends.items()),
    )  # fmt: skip


def carrier_of(dimension: Dimension) -> int:
    head = dimension.targets[0].partition("|")[2].partition(":")[0]
    return int(head[1:]) if head.startswith("c") and "." not in head else -1


def _is_leg(dimension: Dimension, drawn: Drawn) -> bool:
    """True for the length of a leg, square to the bend that leads to it: a section shows it."""
    number = carrier_of(dimension)
    return dimension.what == "distance" and number >= 0 and drawn.sketch.carriers[number].kind == "level"


def _is_off_paper(dimension: Dimension, drawn: Drawn, body: Body) -> bool:
    """True for a mould line that the view from above does not show, as its bend is not square."""
    number = carrier_of(dimension)
    if dimension.what != "distance" or number < 0 or not drawn.sketch.carriers[number].outside:
        return False
    bend = next(one for one in body.bends if one.name == drawn.sketch.carriers[number].outside)
    return abs(bend.angle - 90.0) > ANGLE_DEG


def _sections(
    body: Body, found: DimensionList, wanted: dict[str, list[int]], origin: Vector, letters: Iterator[str]
) -> list[tuple[PlannedSection, list[int]]]:
    """Return the fewest sections that show every bend with a dimension."""
    fresh = {bend.name for bend in found.bends if not bend.same}
    waiting = [bend for bend in body.bends if bend.name in wanted]
    out = []
    while waiting:
        first = waiting[0]
        cut = cut_across(body, first, origin)
        shown = [bend for bend in waiting if bend.name in cut.bends and bend.name in fresh] or [first]
        numbers = [at for bend in shown for at in wanted[bend.name]]
        out.append((PlannedSection(next(letters), first, cut, ()), numbers))
        waiting = [bend for bend in waiting if bend not in shown]
    return out


@dataclass(frozen=True)
class Style:
    """Height of letters [mm] and how figures are written."""

    height: float = 2.5
    numbers: Numbers = field(default_factory=Numbers)


def captioned(board: Board, caption: str, style: Style) -> None:
    left, _, _, high = box_of(board.marks)
    board.add([Words(caption, (left, high + 4.0), 1.4 * style.height)])
