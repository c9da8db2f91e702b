"""Sections through bends, and the marks of their planes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from formparts.body import Bend, frames
from formparts.body.frame import bend_frame
from formparts.drawings.board import Board
from formparts.drawings.curves import PLANE, Plain, Words, box_of, line, text_width
from formparts.drawings.cuts import Cut, clear_share, cut_across, cut_pen_lines
from formparts.drawings.dimension_writer import DimensionWriter
from formparts.drawings.flats_in_view import FlatInView
from formparts.drawings.plans import Group, Plan, PlannedSection, Style, captioned, carrier_of
from formparts.drawings.sketch import Dimension
from formparts.outline import Point
from formparts.outline.edges import Bounds
from formparts.tolerances import LENGTH, MEETING, ROUNDING

SECTION_SCALES = (
    10.0,
    5.0,
    2.0,
    1.0,
    *(1.0 / n for n in (2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)),
)
"""Scales of sections and details [-]; ISO 5455."""
_BESIDE = 7.0
"""Distance of a dimension line from its slanted leg [mm]."""
_LONG_SECTION = 110.0
"""A section longer than this on paper is shortened to what is near its bends [mm]."""


def section_scales(plan: Plan, scale: float) -> tuple[float, ...]:
    """Return scales of a section, the largest first, large enough for the sheet thickness to be visible."""
    return tuple(s for s in SECTION_SCALES if 0.4 * scale < s <= max(scale, 4.0 / plan.body.sheet.thickness))


def shortened(plan: Plan, section: PlannedSection, scale: float) -> PlannedSection:
    """Return the section, or only what is near its bends when the rest is long and has no dimension."""
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


def section_view(plan: Plan, section: PlannedSection, scale: float, style: Style, caption: str) -> Group:
    """Draw a section with the bends, legs and rises that it shows."""
    section = shortened(plan, section, scale)
    board = Board(style.height)
    board.add(cut_pen_lines(section.cut, scale))
    box = box_of(board.marks)
    writer = DimensionWriter(board, box, style.numbers)
    bends = {bend.name: bend for bend in plan.body.bends}
    leading = {bend.child: bend for bend in plan.body.bends}
    half = plan.body.sheet.thickness / 2.0
    said: set[str] = set()
    for one in _halved(plan, section.dimensions):
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
            low, high = _rise_points(plan, section, one, scale)
            if abs(low[0] - high[0]) < MEETING:
                low, high = (_outmost(section.cut, point, scale) for point in (low, high))
                writer.sorted.spans["right"].append((low, high, _counted(one, style)))
            else:
                writer._span(low, high, _counted(one, style))
        else:
            _leg(plan, section, one, writer, leading, half, scale, style)
    writer.finish()
    captioned(board, caption, style)
    return board.marks


def _halved(plan: Plan, dimensions: Sequence[Dimension]) -> list[Dimension]:
    """Return the dimensions; of a symmetrical section only those of the first half, with their count."""
    bends = [one for one in dimensions if one.what in ("bend angle", "inside radius")]
    order = {flat.name: at for at, flat in enumerate(plan.body.flats)}
    legs = sorted((one for one in dimensions if one not in bends), key=lambda one: order[one.flat])
    told = [(one.what, round(one.value, 6), one.count, one.tolerance, one.name, one.letter) for one in legs]
    if told != told[::-1]:
        return [*bends, *legs]
    half = [replace(one, count=2 * one.count) for one in legs[: len(legs) // 2]]
    return [*bends, *half, *legs[len(legs) // 2 : (len(legs) + 1) // 2]]


def _counted(one: Dimension, style: Style) -> str:
    words = style.numbers.text(one)
    return f"{one.count}× {words}" if one.count > 1 else words


def _bend_leader(
    plan: Plan,
    section: PlannedSection,
    bend: Bend,
    dimensions: Sequence[Dimension],
    scale: float,
    style: Style,
) -> tuple[list[Point], float, str]:

    line_ = frames(plan.body)[bend.parent].moved_in_plane(bend_frame(*bend.parent_line))
    turn, side = math.radians(bend.angle) / 2.0, 1.0 if bend.side == "up" else -1.0
    middle, radius = (
        bend.inside_radius + plan.body.sheet.thickness / 2.0,
        bend.inside_radius + plan.body.sheet.thickness,
    )
    place = line_.point((0.0, -radius * math.sin(turn)), side * (middle - radius * math.cos(turn)))
    x, y = section.cut.at(place)
    figures = {one.what: style.numbers.text(one) for one in dimensions}
    how = "" if bend.process == "air bend" else f"{bend.process} "
    words = how + " ".join([figures["bend angle"], f"R{figures['inside radius']}"])
    count = f"{dimensions[0].count}× " if dimensions[0].count > 1 else ""
    return [(x * scale, y * scale)], 0.0, count + words


def _rise_points(plan: Plan, section: PlannedSection, one: Dimension, scale: float) -> tuple[Point, Point]:
    """Return the lower faces of the two level flats of an offset, one below the other in the section."""
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


def _outmost(cut: Cut, point: Point, scale: float) -> Point:
    """Return the end of a point's level face, so that an extension line does not run along the part."""
    ends = [x * scale for area in cut.areas for x, y in area if abs(y * scale - point[1]) < LENGTH]
    return (max([point[0], *ends]), point[1])


def _leg(
    plan: Plan,
    section: PlannedSection,
    one: Dimension,
    writer: DimensionWriter,
    leading: dict[str, Bend],
    half: float,
    scale: float,
    style: Style,
) -> None:
    """Draw the length of a leg, on the outer face of its bend, or where the first flat's bend ends."""
    drawn = plan.drawn[one.flat]
    number = carrier_of(one)
    carrier, at = drawn.sketch.carriers[number], drawn.carriers.figures[number][0]
    axes = drawn.axes[carrier.axes]
    shift = carrier.outward * drawn.setbacks[carrier.outside] if carrier.outside else 0.0
    sign = float(one.targets[0].partition(":")[2] or 1.0)
    tip, base = at + shift, at + shift - sign * one.value
    bend = leading.get(one.flat)
    low = bend is None or bend.side == "up"
    if bend is None and carrier.outside:
        low = next(each.side for each in plan.body.bends if each.name == carrier.outside) == "up"
    place = FlatInView(
        drawn, plan.standing[one.flat], section.cut.origin, section.cut.right, section.cut.up, scale
    )
    height = -half if low else half
    level = carrier.kind == "level"
    a, b = (place.at(axes.back((0.0, v) if level else (v, 0.0)), height) for v in (base, tip))
    inside = place.at(axes.back((0.0, tip) if level else (tip, 0.0)), 0.0)
    words = _counted(one, style)
    if min(abs(a[0] - b[0]), abs(a[1] - b[1])) < MEETING:
        writer._span(a, b, words)
        return
    out = (b[0] - inside[0], b[1] - inside[1])
    left = (b[0] - a[0]) * out[1] - (b[1] - a[1]) * out[0] > 0
    writer.sorted.slanted.append((*((a, b) if left else (b, a)), words, _BESIDE))


def plane_marks(
    board: Board, plan: Plan, section: PlannedSection, box: Bounds, scale: float, style: Style
) -> None:
    """Draw where a section runs: two thick lines at the ends of its plane with its letter."""
    right = section.cut.right
    along = (
        sum(a * b for a, b in zip(right, plan.axes.x, strict=True)),
        sum(a * b for a, b in zip(right, plan.axes.y, strict=True)),
    )
    frame, line_ = plan.standing[section.bend.parent], section.bend.parent_line
    motion = plan.drawn[section.bend.parent].measured.motion
    share = clear_share(section.bend)
    middle = motion(tuple(a + share * (b - a) for a, b in zip(*line_, strict=True)))  # type: ignore[arg-type]
    place = FlatInView(
        plan.drawn[section.bend.parent], frame, plan.axes.origin, plan.axes.x, plan.axes.y, scale
    )
    x, y = place.at(middle)
    for way in (1.0, -1.0):
        out = (way * along[0], way * along[1])
        first = _to_the_border((x, y), out, box) + 2.0
        trials = [
            _plane_end(
                board, (x + reach * out[0], y + reach * out[1]), out, along, (section.letter, past), style
            )
            for past in (False, True)
            for reach in (first + 3.0 * n for n in range(40))
        ]
        board.add(min(trials, key=lambda trial: trial[0])[1])


def _plane_end(
    board: Board, end: Point, out: Point, along: Point, letter: tuple[str, bool], style: Style
) -> tuple[float, list[Plain]]:
    """Return an end of a section plane (thick line, arrow, letter behind the arrow or past the line), and its cost."""
    look = (-along[1], along[0])
    far = (end[0] + 5.0 * out[0], end[1] + 5.0 * out[1])
    mid = ((end[0] + far[0]) / 2.0, (end[1] + far[1]) / 2.0)
    tip = (mid[0] - 0.6 * look[0], mid[1] - 0.6 * look[1])
    tail = (mid[0] - 5.0 * look[0], mid[1] - 5.0 * look[1])
    tall = 1.4 * style.height
    start, way = (far, out) if letter[1] else (tail, (-look[0], -look[1]))
    off = 1.2 + 0.5 * text_width(letter[0], tall) * abs(way[0]) + 0.63 * tall * abs(way[1])
    at = (start[0] + off * way[0], start[1] + off * way[1] - 0.38 * tall)
    words = Words(letter[0], at, tall, "middle")
    cost = (
        board.cost(words.box)
        + 2.0 * letter[1]
        + 0.1 * board.crossed(end, far)
        + board.crossed(tail, tip)
        + 0.02 * math.dist(end, (0, 0))
    )
    return cost, [line(end, far, PLANE), line(tail, tip), board.head(tip, look), words]


def _to_the_border(start: Point, along: Point, box: Bounds) -> float:
    """Return the distance of a point inside a box from its border."""
    reaches = []
    for n in (0, 1):
        if abs(along[n]) > ROUNDING:
            far = box[n + 2] if along[n] > 0 else box[n]
            reaches.append((far - start[n]) / along[n])
    return max(0.0, min(reaches))
