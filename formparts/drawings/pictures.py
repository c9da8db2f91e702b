"""The pictures of a part with their dimensions: three views, sections through bends, flats in their true shape."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from string import ascii_uppercase

from formparts.body import Bend, Body, Frame, frames
from formparts.body.frame import Vector
from formparts.drawings.board import Board
from formparts.drawings.choosing import listed
from formparts.drawings.curves import (
    OUTSIDE,
    PLANE,
    TANGENT,
    VISIBLE,
    Mark,
    Stroke,
    Words,
    box_of,
    line,
    of_edge,
    of_loop,
    placed,
    shifted,
)
from formparts.drawings.cuts import Cut, cut_across, cut_strokes
from formparts.drawings.figures import Numbers, Place, Writer, flat_frame, hole_centres
from formparts.drawings.measuring import setback
from formparts.drawings.sketch import Dimension, DimensionList
from formparts.drawings.sketching import Drawn
from formparts.drawings.views import Projection, View, scaled, strokes
from formparts.outline import Loop, Point
from formparts.outline.edges import Bounds

GAP = 7.0
"""Between one block of the sheet and the next [mm]."""

SECTION_SCALES = (
    10.0,
    5.0,
    2.0,
    1.0,
    *(1.0 / n for n in (2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)),
)
"""Scales of sections and details [-]; ISO 5455."""
_LONG_SECTION = 110.0
"""A section longer than this on paper is shortened to what is near its bends [mm]."""

Group = list[Mark]
Block = list[Group]
"""Groups of marks that keep their places to each other; between them other blocks may stand."""


@dataclass(frozen=True)
class Section:
    """A section and what is dimensioned in it."""

    letter: str
    bend: Bend
    cut: Cut
    dimensions: tuple[Dimension, ...]


@dataclass(frozen=True)
class Plan:
    """What is to be drawn: the list, the flats, and which picture shows which dimension."""

    body: Body
    list: DimensionList
    drawn: dict[str, Drawn]
    standing: dict[str, Frame]
    axes: Frame
    top: tuple[Dimension, ...]
    sections: tuple[Section, ...]
    flats: tuple[tuple[str, str, tuple[Dimension, ...]], ...]
    """Letter and name of each flat that is shown in its true shape, with its dimensions."""


def planned(body: Body) -> Plan:
    """Choose the dimensions of a part and the pictures that show them."""
    found, drawn = listed(body)
    placed_ = frames(body)
    standing = {name: flat_frame(one, placed_[name]) for name, one in drawn.items()}
    root = body.flats[0].name
    letters = iter(ascii_uppercase.replace("I", "").replace("O", "") + "".join(ascii_uppercase.lower()))
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
        if name == root:
            slanted = [at for at in dimensions if _is_off_paper(found.dimensions[at], drawn[name], body)]
            for at in slanted:
                bend = drawn[name].sketch.carriers[_carrier(found.dimensions[at])].outside
                cut_dims.setdefault(bend, []).append(at)
            top += [at for at in dimensions if at not in slanted]
        elif drawn[name].sketch.plan:
            top += dimensions
        elif all(_is_leg(found.dimensions[at], drawn[name]) for at in dimensions):
            cut_dims.setdefault(leading[name], []).extend(dimensions)
        else:
            flats.append((name, dimensions))
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
    )  # fmt: skip


def _carrier(dimension: Dimension) -> int:
    head = dimension.targets[0].partition("|")[2].partition(":")[0]
    return int(head[1:]) if head.startswith("c") and "." not in head else -1


def _is_leg(dimension: Dimension, drawn: Drawn) -> bool:
    """True for the length of a leg, square to the bend that leads to it: a section shows it."""
    number = _carrier(dimension)
    return dimension.what == "distance" and number >= 0 and drawn.sketch.carriers[number].kind == "level"


def _is_off_paper(dimension: Dimension, drawn: Drawn, body: Body) -> bool:
    """True for a mould line that no view from above shows, as its bend is not square."""
    number = _carrier(dimension)
    if dimension.what != "distance" or number < 0 or not drawn.sketch.carriers[number].outside:
        return False
    bend = next(one for one in body.bends if one.name == drawn.sketch.carriers[number].outside)
    return abs(bend.angle - 90.0) > 1e-9


def _sections(
    body: Body, found: DimensionList, wanted: dict[str, list[int]], origin: Vector, letters
) -> list[tuple[Section, list[int]]]:  # type: ignore[no-untyped-def]
    """As few sections as show all bends that have something to be said of."""
    fresh = {bend.name for bend in found.bends if not bend.same}
    waiting = [bend for bend in body.bends if bend.name in wanted]
    out = []
    while waiting:
        first = waiting[0]
        cut = cut_across(body, first, origin)
        shown = [bend for bend in waiting if bend.name in cut.bends and bend.name in fresh] or [first]
        numbers = [at for bend in shown for at in wanted[bend.name]]
        out.append((Section(next(letters), first, cut, ()), numbers))
        waiting = [bend for bend in waiting if bend not in shown]
    return out


# --- blocks ---


@dataclass(frozen=True)
class Style:
    """Height of letters [mm] and how figures are written."""

    height: float = 2.5
    numbers: Numbers = Numbers()


def three_views(
    plan: Plan, views: dict[str, View], scale: float, projection: Projection, style: Style
) -> Block:
    """Front, side to its right, top below it (first angle) or above it (third angle), all in line."""
    front = _plain_view(views["front"], scale, style, ("right",))
    side = _plain_view(views["side"], scale, style, ())
    top = _top_view(plan, views["top"], scale, style)
    boxes = [box_of(marks) for marks in (front, side, top)]
    beside = (boxes[0][2] - boxes[1][0] + GAP, 0.0)
    down = projection == "first"
    lift = boxes[0][1] - boxes[2][3] - GAP if down else boxes[0][3] - boxes[2][1] + GAP
    return [front, [shifted(mark, beside) for mark in side], [shifted(mark, (0.0, lift)) for mark in top]]


def _plain_view(view: View, scale: float, style: Style, overall: Sequence[str]) -> Group:
    """A view with its overall sizes as reference."""
    board = Board(style.height)
    board.add(strokes(view, scale))
    _overall(board, view, scale, style, overall)
    return board.marks


def _overall(
    board: Board, view: View, scale: float, style: Style, sides: Sequence[str], said: Sequence[float] = ()
) -> None:
    """Overall sizes in parentheses, unless a dimension says the same."""
    x0, y0, x1, y1 = view.box
    box = scaled(view.box, scale)
    ends = {"right": ((box[2], box[1]), (box[2], box[3])), "above": ((box[0], box[3]), (box[2], box[3]))}
    for side, size in (("right", y1 - y0), ("above", x1 - x0)):
        if side in sides and not any(abs(size - other) < 5e-3 for other in said):
            one, two = ends[side]
            edge = box[2] if side == "right" else box[3]
            board.spans(
                "right" if side == "right" else "above", edge, [(one, two, f"({style.numbers.length(size)})")]
            )


def _top_view(plan: Plan, view: View, scale: float, style: Style) -> Group:
    board = Board(style.height)
    board.add(strokes(view, scale))
    box = scaled(view.box, scale)
    writer = Writer(board, box, style.numbers)
    root = plan.body.flats[0].name
    writer.zero_x = writer.zero_y = 0.0
    shown = [name for name, drawn in plan.drawn.items() if name == root or drawn.sketch.plan]
    for name in shown:
        place = Place(
            plan.drawn[name], plan.standing[name], plan.axes.origin, plan.axes.x, plan.axes.y, scale
        )
        for centre, reach in hole_centres(place):
            board.centre_lines(centre, reach)
        dimensions = [one for one in plan.top if one.flat == name]
        writer.write(place, dimensions, ((0.0, 0.0), (1.0, 0.0)), 0.0)
    writer.finish()
    _overall(board, view, scale, style, ("above", "right"), [one.value for one in plan.top])
    for section in plan.sections:
        if section.bend.parent == root:
            _plane_marks(board, plan, section, box, scale, style)
    return board.marks


def _plane_marks(board: Board, plan: Plan, section: Section, box: Bounds, scale: float, style: Style) -> None:
    """Where a section runs: two strokes at the ends of its plane with its letter."""
    right = section.cut.right
    along = (
        sum(a * b for a, b in zip(right, plan.axes.x, strict=True)),
        sum(a * b for a, b in zip(right, plan.axes.y, strict=True)),
    )
    frame, line_ = plan.standing[section.bend.parent], section.bend.parent_line
    motion = plan.drawn[section.bend.parent].measured.motion
    middle = motion(((line_[0][0] + line_[1][0]) / 2.0, (line_[0][1] + line_[1][1]) / 2.0))
    place = Place(plan.drawn[section.bend.parent], frame, plan.axes.origin, plan.axes.x, plan.axes.y, scale)
    x, y = place.at(middle)
    for way in (1.0, -1.0):
        out = (way * along[0], way * along[1])
        first = _to_the_border((x, y), out, box) + 2.0
        trials = [
            _plane_end(board, (x + reach * out[0], y + reach * out[1]), out, along, section.letter, style)
            for reach in (first + 3.0 * n for n in range(40))
        ]
        board.add(min(trials, key=lambda trial: trial[0])[1])


def _plane_end(
    board: Board, end: Point, out: Point, along: Point, letter: str, style: Style
) -> tuple[float, list[Mark]]:
    """One end of the plane of a section: a stroke, an arrow the way one looks, the letter; and what the place costs."""
    look = (-along[1], along[0])
    far = (end[0] + 5.0 * out[0], end[1] + 5.0 * out[1])
    mid = ((end[0] + far[0]) / 2.0, (end[1] + far[1]) / 2.0)
    tip = (mid[0] - 0.6 * look[0], mid[1] - 0.6 * look[1])
    tail = (mid[0] - 5.0 * look[0], mid[1] - 5.0 * look[1])
    at = (mid[0] - 7.5 * look[0], mid[1] - 7.5 * look[1] - 0.7 * style.height)
    words = Words(letter, at, 1.4 * style.height, "middle")
    cost = (
        board.cost(words.box)
        + 0.1 * board.crossed(end, far)
        + board.crossed(tail, tip)
        + 0.02 * math.dist(end, (0, 0))
    )
    return cost, [line(end, far, PLANE), line(tail, tip), board.head(tip, look), words]


def _to_the_border(start: Point, along: Point, box: Bounds) -> float:
    """How far it is from a point inside a box to its border."""
    reaches = []
    for n in (0, 1):
        if abs(along[n]) > 1e-9:
            far = box[n + 2] if along[n] > 0 else box[n]
            reaches.append((far - start[n]) / along[n])
    return max(0.0, min(reaches))


def section_scales(plan: Plan, section: Section, scale: float) -> tuple[float, ...]:
    """Scales of a section, the largest first: so large that the thickness of the sheet can be seen."""
    return tuple(s for s in SECTION_SCALES if 0.4 * scale < s <= max(scale, 4.0 / plan.body.sheet.thickness))


def shortened(plan: Plan, section: Section, scale: float) -> Section:
    """The section, or only what is near its bends when the rest is long and has nothing said of it."""
    root = plan.body.flats[0].name
    legs = {one.flat for one in section.dimensions if one.what == "distance"}
    if root in legs or section.cut.width * scale < _LONG_SECTION:
        return section
    bends = {one.flat for one in section.dimensions if one.what in ("bend angle", "inside radius")}
    bends |= {bend.name for bend in plan.body.bends if bend.child in {one.flat for one in section.dimensions}}
    bends |= {
        bend.name for bend in plan.body.bends if bend.parent in {one.flat for one in section.dimensions}
    }
    cut = cut_across(plan.body, section.bend, plan.axes.origin, bends & set(section.cut.bends))
    return replace(section, cut=cut)


def section_view(plan: Plan, section: Section, scale: float, style: Style, caption: str) -> Group:
    """A section with the bends, legs and rises that it shows."""
    section = shortened(plan, section, scale)
    board = Board(style.height)
    board.add(cut_strokes(section.cut, scale))
    box = box_of(board.marks)
    writer = Writer(board, box, style.numbers)
    bends = {bend.name: bend for bend in plan.body.bends}
    leading = {bend.child: bend for bend in plan.body.bends}
    half = plan.body.sheet.thickness / 2.0
    said: set[str] = set()
    for one in section.dimensions:
        if one.what in ("bend angle", "inside radius"):
            if one.flat not in said:
                said.add(one.flat)
                both = [
                    other
                    for other in section.dimensions
                    if other.flat == one.flat and other.what in ("bend angle", "inside radius")
                ]
                writer.sorted.pointed.append(_bend_leader(plan, section, bends[one.flat], both, scale, style))
        elif one.what == "rise":
            writer._span(*_rise_points(plan, section, one, scale), _counted(one, style))
        else:
            _leg(plan, section, one, writer, leading, half, scale, style)
    writer.finish()
    _captioned(board, caption, style)
    return board.marks


def _counted(one: Dimension, style: Style) -> str:
    words = style.numbers.text(one)
    return f"{one.count}× {words}" if one.count > 1 else words


def _bend_leader(
    plan: Plan, section: Section, bend: Bend, dimensions: Sequence[Dimension], scale: float, style: Style
) -> tuple[Point, float, str]:
    from formparts.body.frame import bend_frame

    line_ = frames(plan.body)[bend.parent].moved_in_plane(bend_frame(*bend.parent_line))
    turn, side = math.radians(bend.angle) / 2.0, 1.0 if bend.side == "up" else -1.0
    middle, radius = (
        bend.inside_radius + plan.body.sheet.thickness / 2.0,
        bend.inside_radius + plan.body.sheet.thickness,
    )
    place = line_.point((0.0, -radius * math.sin(turn)), side * (middle - radius * math.cos(turn)))
    x, y = section.cut.at(place)
    figures = {one.what: style.numbers.text(one) for one in dimensions}
    words = " ".join([figures["bend angle"], f"R{figures['inside radius']}"])
    count = f"{dimensions[0].count}× " if dimensions[0].count > 1 else ""
    return ((x * scale, y * scale), 0.0, count + words)


def _rise_points(plan: Plan, section: Section, one: Dimension, scale: float) -> tuple[Point, Point]:
    """The lower faces of the two level flats of an offset, one below the other in the section."""
    first = next(bend for bend in plan.body.bends if bend.child == one.flat)
    second = next(bend for bend in plan.body.bends if bend.parent == one.flat)
    placed_, half = frames(plan.body), plan.body.sheet.thickness / 2.0
    low = section.cut.at(placed_[first.parent].point(first.parent_line[0], -half))
    high = section.cut.at(placed_[second.child].point(second.child_line[0], -half))
    level = section.cut.at(placed_[first.parent].point(first.parent_line[0], half))
    nx, ny = level[0] - low[0], level[1] - low[1]
    long = math.hypot(nx, ny)
    far = ((high[0] - low[0]) * nx + (high[1] - low[1]) * ny) / long
    foot = (high[0] - far * nx / long, high[1] - far * ny / long)
    return (foot[0] * scale, foot[1] * scale), (high[0] * scale, high[1] * scale)


def _leg(
    plan: Plan,
    section: Section,
    one: Dimension,
    writer: Writer,
    leading: dict[str, Bend],
    half: float,
    scale: float,
    style: Style,
) -> None:
    """The length of a leg, on the outer face of the bend that leads to it, or where the first flat's bend ends."""
    drawn = plan.drawn[one.flat]
    number = _carrier(one)
    carrier, at = drawn.sketch.carriers[number], drawn.carriers.figures[number][0]
    axes = drawn.axes[carrier.axes]
    shift = carrier.outward * drawn.setbacks[carrier.outside] if carrier.outside else 0.0
    sign = float(one.targets[0].partition(":")[2] or 1.0)
    tip, base = at + shift, at + shift - sign * one.value
    bend = leading.get(one.flat)
    low = bend is None or bend.side == "up"
    if bend is None and carrier.outside:
        low = next(each.side for each in plan.body.bends if each.name == carrier.outside) == "up"
    place = Place(
        drawn, plan.standing[one.flat], section.cut.origin, section.cut.right, section.cut.up, scale
    )
    height = -half if low else half
    level = carrier.kind == "level"
    a, b = (place.at(axes.back((0.0, v) if level else (v, 0.0)), height) for v in (base, tip))
    inside = place.at(axes.back((0.0, tip) if level else (tip, 0.0)), 0.0)
    words = _counted(one, style)
    if min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 1e-5:
        writer._span(a, b, words)
        return
    out = (b[0] - inside[0], b[1] - inside[1])
    left = (b[0] - a[0]) * out[1] - (b[1] - a[1]) * out[0] > 0
    writer.sorted.slanted.append((a, b, words) if left else (b, a, words))


def flat_view(
    plan: Plan, name: str, dimensions: Sequence[Dimension], scale: float, style: Style, caption: str
) -> Group:
    """One flat in its true shape, its bends as narrow lines, the outside of the bend that leads to it dashed."""
    drawn = plan.drawn[name]
    board = Board(style.height)
    words = {hole.name for hole in drawn.sketch.holes}
    for loop in drawn.measured.loops:
        whole = Loop(tuple(side.edge for side in loop))
        if whole.circle is not None:
            board.add(Stroke(placed(curve, scale), VISIBLE) for curve in of_loop(whole))
            continue
        for side in loop:
            board.add([Stroke(placed(of_edge(side.edge), scale), TANGENT if side.bend else VISIBLE)])
    del words
    bend = drawn.measured.bend
    if bend is not None:
        low = -setback(bend.angle, bend.inside_radius, plan.body.sheet.thickness) * scale
        wide = drawn.measured.width * scale
        board.add(
            [
                line((0.0, 0.0), (0.0, low), OUTSIDE),
                line((0.0, low), (wide, low), OUTSIDE),
                line((wide, low), (wide, 0.0), OUTSIDE),
            ]
        )
    box = box_of(board.marks)
    writer = Writer(board, box, style.numbers)
    place = Place(drawn, Frame(), (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), scale)
    for centre, reach in hole_centres(place):
        board.centre_lines(centre, reach)
    writer.write(place, dimensions, ((0.0, 0.0), (1.0, 0.0)), 0.0)
    writer.finish()
    _captioned(board, caption, style)
    return board.marks


def _captioned(board: Board, caption: str, style: Style) -> None:
    left, _, _, high = box_of(board.marks)
    board.add([Words(caption, (left, high + 4.0), 1.4 * style.height)])
