"""The pictures of a part with their dimensions: three views, and flats in their true shape."""

from __future__ import annotations

from collections.abc import Sequence

from formparts.body import Frame
from formparts.drawings.board import Board
from formparts.drawings.curves import (
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
from formparts.drawings.figures import Place, Writer, hole_centres
from formparts.drawings.measuring import setback
from formparts.drawings.plans import GAP, Block, Group, Plan, Style, captioned
from formparts.drawings.section_views import plane_marks
from formparts.drawings.sketch import Dimension
from formparts.drawings.sketching import extents
from formparts.drawings.views import Projection, View, pen_lines, scaled
from formparts.outline import Loop, Point


def three_views(
    plan: Plan, views: dict[str, View], scale: float, projection: Projection, style: Style
) -> Block:
    """Front, side to its right, top below it (first angle) or above it (third angle), all in line."""
    front = _plain_view(views["front"], scale, style, ("right",), plan)
    side = _plain_view(views["side"], scale, style, ())
    top = _top_view(plan, views["top"], scale, style)
    boxes = [box_of(marks) for marks in (front, side, top)]
    beside = (boxes[0][2] - boxes[1][0] + GAP, 0.0)
    down = projection == "first"
    lift = boxes[0][1] - boxes[2][3] - GAP if down else boxes[0][3] - boxes[2][1] + GAP
    return [front, [shifted(mark, beside) for mark in side], [shifted(mark, (0.0, lift)) for mark in top]]


def _plain_view(
    view: View, scale: float, style: Style, overall: Sequence[str], plan: Plan | None = None
) -> Group:
    """A view with its overall sizes as reference, and the letter of the first datum if a plan is given."""
    board = Board(style.height)
    board.add(pen_lines(view, scale))
    _overall(board, view, scale, style, overall)
    if plan is not None:
        # On the lower face of the first flat, which stands on edge here, off its middle.
        x0, _, x1, _ = extents(plan.drawn[plan.body.flats[0].name].measured)
        low = -plan.body.sheet.thickness / 2.0
        board.leader(((x0 + 0.3 * (x1 - x0)) * scale, low * scale), 0.0, plan.list.datums[0][0], "datum")
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
    board.add(pen_lines(view, scale))
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
        writer.write(place, dimensions)
    writer.finish()
    _overall(board, view, scale, style, ("above", "right"), [one.value for one in plan.top])
    for letter, _ in plan.list.datums[1:]:
        board.leader(_datum_place(plan, letter, scale), 0.0, letter, "datum")
    for section in plan.sections:
        if section.bend.parent == root:
            plane_marks(board, plan, section, box, scale, style)
    return board.marks


def flat_view(
    plan: Plan, name: str, dimensions: Sequence[Dimension], scale: float, style: Style, caption: str
) -> Group:
    """One flat in its true shape, its bends as narrow lines, the outside of the bend that leads to it dashed."""
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
    writer.write(place, dimensions)
    writer.finish()
    captioned(board, caption, style)
    return board.marks


def _datum_place(plan: Plan, letter: str, scale: float) -> Point:
    """Where the letter of a datum points in the view from above: to its edge, or to the circle about its middle."""
    drawn = plan.drawn[plan.body.flats[0].name]
    key = next(zero for zero in drawn.sketch.zeros if _is_datum(plan, letter, zero))
    if key.endswith((".u", ".v")):
        head = key.partition(".")[0]
        size = next((hole.size for hole in drawn.sketch.holes if hole.name == head), "")
        radius = drawn.figures[f"{size}.d"] / 2.0 if f"{size}.d" in drawn.figures else 0.0
        if head.startswith("c"):
            arcs = [
                side.edge
                for loop, row in zip(drawn.loops, drawn.sketch.loops, strict=True)
                for side, edge in zip(loop, row, strict=True)
                if edge.carrier == int(head[1:])
            ]
            at = max(arcs, key=lambda arc: arc.length).point_at(0.5)
            return (at[0] * scale, at[1] * scale)
        return (-0.6 * radius * scale, -0.8 * radius * scale)
    x0, y0, x1, y1 = extents(drawn.measured)
    level = drawn.sketch.carriers[int(key[1:])].kind == "level"
    return ((x0 + 0.7 * (x1 - x0)) * scale, 0.0) if level else (0.0, (y0 + 0.7 * (y1 - y0)) * scale)


def _is_datum(plan: Plan, letter: str, key: str) -> bool:
    """True when a zero of the first flat is what a letter names: B the level one or the middle, C the upright one."""
    if key.endswith((".u", ".v")):
        return letter == "B"
    drawn = plan.drawn[plan.body.flats[0].name]
    level = drawn.sketch.carriers[int(key[1:])].kind == "level"
    return (letter == "B") == level
