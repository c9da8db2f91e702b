"""The pictures of a part with their dimensions: three views, and flats in their true shape."""

from __future__ import annotations

from collections.abc import Sequence

from formparts.body import Frame
from formparts.drawings.board import Board
from formparts.drawings.curves import (
    OUTSIDE,
    TANGENT,
    VISIBLE,
    Stroke,
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
from formparts.drawings.views import Projection, View, scaled, strokes
from formparts.outline import Loop


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
        writer.write(place, dimensions)
    writer.finish()
    _overall(board, view, scale, style, ("above", "right"), [one.value for one in plan.top])
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
            board.add(Stroke(placed(curve, scale), VISIBLE) for curve in of_loop(whole))
            continue
        for side in loop:
            board.add([Stroke(placed(of_edge(side.edge), scale), TANGENT if side.bend else VISIBLE)])
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
