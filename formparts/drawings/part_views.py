"""The pictures of a part with their dimensions: three views, and flats in their true shape."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from formparts.body import Frame, frames
from formparts.body.frame import combined, dot, inverse
from formparts.drawings.bands import Side
from formparts.drawings.board import Board, Span
from formparts.drawings.curves import (
    CENTRE,
    OUTSIDE,
    TANGENT,
    VISIBLE,
    PenLine,
    box_of,
    line,
    of_edge,
    of_loop,
    placed,
    shifted,
)
from formparts.drawings.details import Detail, detail_view, details_of, mark_detail
from formparts.drawings.dimension_writer import DimensionWriter
from formparts.drawings.flats_in_view import FlatInView
from formparts.drawings.leaders import datum, view_name
from formparts.drawings.marking import call_marks, draw_marks, hole_centres, sunk_marks, thread_marks
from formparts.drawings.measuring import measured_flats, setback
from formparts.drawings.plans import GAP, Block, Group, Plan, Style, captioned
from formparts.drawings.rebuilding import mirror_images
from formparts.drawings.reference_arrows import arrows_by_view, draw_arrows
from formparts.drawings.section_views import plane_marks
from formparts.drawings.sketch import Dimension
from formparts.drawings.sketching import Drawn, extents
from formparts.drawings.views import Projection, View, pen_lines, scaled
from formparts.drawings.words import holes_of
from formparts.outline import Loop, Point
from formparts.outline.edges import Bounds
from formparts.tolerances import LENGTH, ROUNDING

_SHARES = (0.7, 0.8, 0.6, 0.88, 0.5, 0.4, 0.2)
"""Positions of a datum along its edge, as fractions."""


def three_views(
    plan: Plan,
    views: dict[str, View],
    scale: float,
    projection: Projection,
    style: Style,
    overall: bool = True,
    details: Sequence[Detail] = (),
) -> Block:
    """Draw front, side to its right, top below (first angle) or above it (third angle), in line, with overall sizes."""
    down = projection == "first"
    above = ("above", "right") if overall else ()
    front = _plain_view(plan, views, "front", "front", scale, style, above[1:])
    side = _plain_view(plan, views, "side", "from the left" if down else "from the right", scale, style, ())
    top = _top_view(plan, views, scale, style, above, details)
    boxes = [box_of(marks) for marks in (front, side, top)]
    beside = (boxes[0][2] - boxes[1][0] + GAP, 0.0)
    lift = boxes[0][1] - boxes[2][3] - GAP if down else boxes[0][3] - boxes[2][1] + GAP
    return [front, [shifted(mark, beside) for mark in side], [shifted(mark, (0.0, lift)) for mark in top]]


def _plain_view(
    plan: Plan,
    views: Mapping[str, View],
    which: str,
    name: str,
    scale: float,
    style: Style,
    overall: Sequence[str],
) -> Group:
    """Draw a view with overall sizes for reference, reference arrows, and on the front view the first datum letter."""
    board, view = Board(style.height), views[which]
    board.add(pen_lines(view, scale))
    for side, edge, span in _overall(view, scale, style, overall):
        board.spans(side, edge, [span])
    if which == "front":
        # On the lower face of the first flat, which is seen edge-on here, off its middle.
        x0, _, x1, _ = extents(plan.drawn[plan.body.flats[0].name].measured)
        low = -plan.body.sheet.thickness / 2.0
        places = [((x0 + share * (x1 - x0)) * scale, low * scale) for share in (0.3, *_SHARES)]
        datum(board, [(at, (0.0, -1.0)) for at in places], plan.list.datums[0][0])
    draw_arrows(board, plan, view, arrows_by_view(plan, views)[which], scale, style)
    view_name(board, name, scaled(view.box, scale))
    return board.marks


def _overall(
    view: View, scale: float, style: Style, sides: Sequence[str], said: Sequence[float] = ()
) -> Iterator[tuple[Side, float, Span]]:
    """Write overall sizes in parentheses, unless a dimension already gives them."""
    x0, y0, x1, y1 = view.box
    box = scaled(view.box, scale)
    right, above = (box[2], (box[2], box[1])), (box[3], (box[0], box[3]))
    rows: tuple[tuple[Side, float, tuple[float, Point]], ...] = (
        ("right", y1 - y0, right), ("above", x1 - x0, above)
    )  # fmt: skip
    for side, size, (edge, one) in rows:
        if side in sides and not any(abs(size - other) < 5e-3 for other in said):
            yield side, edge, (one, (box[2], box[3]), f"({style.numbers.length(size)})")


def _top_view(
    plan: Plan,
    views: Mapping[str, View],
    scale: float,
    style: Style,
    overall: Sequence[str],
    details: Sequence[Detail],
) -> Group:
    board, view = Board(style.height), views["top"]
    board.add(pen_lines(view, scale))
    box = scaled(view.box, scale)
    writer = DimensionWriter(board, box, style.numbers, [letter for letter, _ in plan.list.datums])
    root = plan.body.flats[0].name
    writer.zero_x = writer.zero_y = 0.0
    for centre, reach in _all_centres(plan, scale):
        board.centre_lines(centre, reach)
    board.add(_symmetry_lines(plan, scale, box))
    shown = [name for name, drawn in plan.drawn.items() if name == root or drawn.sketch.plan]
    for name in shown:
        place = _seen(plan, name, scale)
        board.add(thread_marks(place))
        draw_marks(board, place)
        elsewhere = [one for detail in details for one in detail.dimensions]
        dimensions = [one for one in plan.top if one.flat == name and one not in elsewhere]
        writer.write(place, dimensions)
    said = [one.value for one in plan.top]
    for side, _, span in _overall(view, scale, style, overall, said):
        writer.sorted.spans[side].append(span)
    writer.finish()
    for detail in details:
        mark_detail(board, detail)
    for name in shown:
        call_marks(board, _seen(plan, name, scale), style.numbers)
    for letter, _ in plan.list.datums[1:]:
        datum(board, list(_datum_places(plan, letter, scale)), letter)
    for section in plan.sections:
        if section.bend.parent == root:
            plane_marks(board, plan, section, box, scale, style)
    draw_arrows(board, plan, view, arrows_by_view(plan, views)["top"], scale, style)
    view_name(board, "from above", box)
    return board.marks


def _symmetry_lines(plan: Plan, scale: float, box: Bounds) -> Iterator[PenLine]:
    """Draw lines between bends of the first flat that lead to mirror images of each other."""
    drawn = plan.drawn[plan.body.flats[0].name]
    lines = {
        bend.name: [drawn.measured.motion(end) for end in bend.parent_line]
        for bend in plan.body.bends
        if bend.parent == drawn.sketch.name
    }
    found = set()
    for one, two in mirror_images(plan.list).items():
        if one in lines and two in lines:
            (a, b), (c, d) = lines[one], lines[two]
            for axis in (0, 1):
                across = abs(a[axis] + d[axis] - b[axis] - c[axis]) + abs(a[1 - axis] - d[1 - axis])
                if across + abs(b[1 - axis] - c[1 - axis]) < LENGTH:
                    found.add((axis, round((a[axis] + d[axis]) / 2.0 * scale, 6)))
    for axis, at in sorted(found):
        ends = [(at, far) if axis == 0 else (far, at) for far in (box[1 - axis] - 3.0, box[3 - axis] + 3.0)]
        yield line(ends[0], ends[1], CENTRE)


def top_details(plan: Plan, scale: float, style: Style, scales: Sequence[float]) -> tuple[Detail, ...]:
    """Return the details of the first flat in the view from above."""
    root = plan.body.flats[0].name
    own = [one for one in plan.top if one.flat == root]
    return tuple(details_of(_seen(plan, root, scale), own, style, scales))


def top_detail(plan: Plan, view: View, detail: Detail, scale: float, style: Style, caption: str) -> Group:
    """Draw one of those details; `scale` is its own."""
    return detail_view(view, _seen(plan, plan.body.flats[0].name, scale), detail, style, caption)


def _seen(plan: Plan, name: str, scale: float) -> FlatInView:
    """Return a flat in the view from above."""
    return FlatInView(
        plan.drawn[name], plan.standing[name], plan.axes.origin, plan.axes.x, plan.axes.y, scale
    )


def _all_centres(plan: Plan, scale: float) -> Iterator[tuple[Point, float]]:
    """Return the centres of all openings in true shape from above, and half their least width on paper."""
    standing = frames(plan.body)
    for measured in measured_flats(plan.body):
        frame = standing[measured.name].moved_in_plane(inverse(measured.motion))
        if abs(abs(dot(frame.z, plan.axes.z)) - 1.0) < ROUNDING:
            for hole in holes_of(measured).values():
                away = combined(frame.point(hole.middle), (-1.0, plan.axes.origin))
                at = (dot(away, plan.axes.x) * scale, dot(away, plan.axes.y) * scale)
                yield at, min(hole.sizes[:2]) / 2.0 * scale


def flat_view(
    plan: Plan, name: str, dimensions: Sequence[Dimension], scale: float, style: Style, caption: str
) -> Group:
    """Draw one flat in its true shape: its bends as narrow lines, the outside of the bend that leads to it dashed."""
    drawn = plan.drawn[name]
    board = Board(style.height)
    for loop in drawn.measured.loops:
        whole = Loop(tuple(side.edge for side in loop))
        if whole.circle is not None:
            board.add(PenLine(placed(curve, scale), VISIBLE) for curve in of_loop(whole))
            continue
        for side in loop:
            board.add([PenLine(placed(of_edge(side.edge), scale), TANGENT if side.bend else VISIBLE)])
    bend = drawn.measured.bend
    if bend is not None:
        low = -_lift(plan, drawn) * scale
        wide = drawn.measured.width * scale
        board.add(
            [
                line((0.0, 0.0), (0.0, low), OUTSIDE),
                line((0.0, low), (wide, low), OUTSIDE),
                line((wide, low), (wide, 0.0), OUTSIDE),
            ]
        )
    box = box_of(board.marks)
    if any(hole.middle for hole in drawn.sketch.holes):
        middle = drawn.measured.width / 2.0 * scale
        board.add([line((middle, box[1] - 2.0), (middle, box[3] + 2.0), CENTRE)])
    writer = DimensionWriter(board, box, style.numbers, [letter for letter, _ in plan.list.datums])
    place = FlatInView(drawn, Frame(), (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), scale)
    board.add([*sunk_marks(place), *thread_marks(place)])
    draw_marks(board, place)
    for centre, reach in hole_centres(place):
        board.centre_lines(centre, reach)
    writer.write(place, dimensions)
    writer.finish()
    call_marks(board, place, style.numbers, _lift(plan, drawn))
    captioned(board, caption, style)
    return board.marks


def _lift(plan: Plan, drawn: Drawn) -> float:
    """Return the offset from the outside of a flat's bend, where its view has its zero, to the zero of its axes."""
    bend = drawn.measured.bend
    return setback(bend.angle, bend.inside_radius, plan.body.sheet.thickness) if bend else 0.0


def _datum_places(plan: Plan, letter: str, scale: float) -> Iterator[tuple[Point, Point]]:
    """Return where a datum can be placed in the view from above, with its outward direction."""
    drawn = plan.drawn[plan.body.flats[0].name]
    key = next(zero for zero in drawn.sketch.zeros if _is_datum(plan, letter, zero))
    if key.endswith((".u", ".v")):
        for x, y in _on_the_circle(drawn, key.partition(".")[0]):
            far = math.hypot(x, y) or 1.0
            yield (x * scale, y * scale), (-x / far, -y / far)
        return
    x0, y0, x1, y1 = extents(drawn.measured)
    level = drawn.sketch.carriers[int(key[1:])].kind == "level"
    for share in _SHARES:
        if level:
            yield ((x0 + share * (x1 - x0)) * scale, 0.0), (0.0, -1.0)
        else:
            yield (0.0, (y0 + share * (y1 - y0)) * scale), (-1.0, 0.0)


def _on_the_circle(drawn: Drawn, name: str) -> Iterator[Point]:
    """Return points of the opening or of the arcs around the zero, in the axes of the flat."""
    if name.startswith("c"):
        arcs = [
            side.edge
            for loop, row in zip(drawn.loops, drawn.sketch.loops, strict=True)
            for side, edge in zip(loop, row, strict=True)
            if edge.carrier == int(name[1:])
        ]
        longest = max(arcs, key=lambda arc: arc.length)
        yield from (longest.point_at(share) for share in (0.3, *_SHARES))
        return
    size = next((hole.size for hole in drawn.sketch.holes if hole.name == name), "")
    radius = drawn.figures.get(f"{size}.d", 0.0) / 2.0
    yield from ((radius * math.cos(turn), radius * math.sin(turn)) for turn in (4.1, 3.9, 5.3, 0.7, 2.4))


def _is_datum(plan: Plan, letter: str, key: str) -> bool:
    """True when a zero of the first flat has a datum letter: B the level one or the centre, C the upright one."""
    if key.endswith((".u", ".v")):
        return letter == "B"
    drawn = plan.drawn[plan.body.flats[0].name]
    level = drawn.sketch.carriers[int(key[1:])].kind == "level"
    return (letter == "B") == level
