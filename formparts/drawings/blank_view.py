"""The blank on the drawing: true shape, numbered bend lines and openings, all for reference, and the bend table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from formparts.body import Body, Frame
from formparts.drawings.board import Board, Item
from formparts.drawings.crossing import on_the_blank
from formparts.drawings.curves import (
    BEND_DOWN,
    BEND_UP,
    VISIBLE,
    Mark,
    PenLine,
    Words,
    box_of,
    line,
    of_loop,
    placed,
)
from formparts.drawings.dimension_writer import DimensionWriter
from formparts.drawings.flats_in_view import FlatInView
from formparts.drawings.leaders import balloon, leader, pointed
from formparts.drawings.measuring import LONG, FlatEdge, Measured, setback
from formparts.drawings.plans import Style
from formparts.drawings.sketch import Dimension
from formparts.drawings.sketching import Drawn, zeroed
from formparts.drawings.tables import table_marks
from formparts.drawings.words import OpeningInFlat, holes_of, rim_points
from formparts.layout import BendMark, Blank
from formparts.outline import Motion, Point
from formparts.tolerances import LENGTH

_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)
"""Points of a bend line that a leader may point at, as fractions of its length: the middle first."""
_SPELT = 12
"""With more bends than this only their numbers are written at the bend lines; the table has the text."""
_ROWS = 24
"""With more bends than this, equal bends share a row of the table."""
_MOST = 30
"""With more points than this along one side the outline is for a cutting machine, and is left to the blank's DXF."""


def drawn_size(blank: Blank) -> tuple[float, float]:
    """Return the width and height of the blank as drawn, a long blank laid across the sheet [mm]."""
    turned = blank.width > LONG * blank.length
    return (blank.width, blank.length) if turned else (blank.length, blank.width)


def blank_zero(body: Body, blank: Blank) -> Measured:
    """Return the blank as a flat with its zero on its long straight edges, or at the centre of its main opening."""
    turn = Motion() if drawn_size(blank)[0] == blank.length else Motion.turn(-90.0)
    loops = tuple(
        tuple(FlatEdge(edge.moved(turn)) for edge in loop.edges) for loop in blank.cut_outline.loops
    )
    return zeroed(Measured(body.name, None, loops, turn), body)[0]


def blank_view(
    body: Body,
    blank: Blank,
    scale: float,
    caption: str,
    style: Style,
    in_bends: Sequence[tuple[Drawn, Sequence[Dimension]]] = (),
) -> list[Mark]:
    """Draw the blank at a scale, with what cutting and bending need; openings in bends are dimensioned here."""
    measured, board = blank_zero(body, blank), Board(style.height)
    to = measured.motion

    def on_page(point: Point) -> Point:
        x, y = to(point)
        return (x * scale, y * scale)

    moved = blank.cut_outline.moved(to)
    board.add(PenLine(placed(curve, scale), VISIBLE) for loop in moved.loops for curve in of_loop(loop))
    for mark in blank.bends:
        pen = BEND_UP if mark.side == "up" else BEND_DOWN
        board.add([line(on_page(mark.start), on_page(mark.end), pen)])
    holes = list(holes_of(measured).values())
    dimensioned = {name for drawn, _ in in_bends for name, _ in drawn.sketch.through}
    for hole in holes:
        centre = (hole.middle[0] * scale, hole.middle[1] * scale)
        board.centre_lines(centre, min(hole.sizes[:2]) / 2.0 * scale)
    holes = [hole for hole in holes if hole.sketch.tags[0].removesuffix(".wall") not in dimensioned]
    box = box_of(board.marks)
    writer = DimensionWriter(board, box, style.numbers)
    writer.zero_x = writer.zero_y = 0.0
    for drawn, dimensions in in_bends:
        frame = Frame().moved_in_plane(to.after(on_the_blank(body, drawn.sketch.across)))
        writer.write(
            FlatInView(drawn, frame, (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), scale), dimensions
        )
    for axis, edge in ((0, box[1]), (1, box[0])):
        # An extension line to a bend ends beside the blank: across the blank it would look like part of the bend line.
        bends = [(point[axis], edge / scale) for point in _bend_points(blank.bends, axis, to)]
        points = [
            *(hole.middle for hole in holes if not hole.sketch.outer),
            *(at if axis == 0 else at[::-1] for at in bends),
        ]
        items: dict[str, Item] = {}
        for point in points:
            if abs(point[axis]) > LENGTH:
                words = f"({style.numbers.length(abs(point[axis]))})"
                place = (point[0] * scale, point[1] * scale)
                items.setdefault(f"{point[axis]:.3f}", Item(words, place))
        if len(items) <= _MOST:
            (writer.sorted.across, writer.sorted.upwards)[axis].extend(items.values())
    long, wide = (f"({style.numbers.length(size)})" for size in drawn_size(blank))
    writer.sorted.spans["above"].append(((box[0], box[3]), (box[2], box[3]), long))
    writer.sorted.spans["right"].append(((box[2], box[1]), (box[2], box[3]), wide))
    writer.lined_up()
    _label(board, blank, on_page, style)
    writer.pointed_at()
    for words, points, reach in _sizes(holes, style):
        leader(board, [(x * scale, y * scale) for x, y in points], reach * scale, words)
    left, _, _, top = box_of(board.marks)
    board.add([Words(caption, (left, top + 4.0), 1.4 * style.height)])
    return board.marks


def _bend_points(bends: Sequence[BendMark], axis: int, to: Motion) -> Iterator[Point]:
    """Return the end of each bend line nearest to the figures, for lines square to the axis."""
    for mark in bends:
        start, end = to(mark.start), to(mark.end)
        if abs(start[axis] - end[axis]) < LENGTH:
            yield min(start, end, key=lambda point: point[1 - axis])


def _label(board: Board, blank: Blank, on_page, style: Style) -> None:  # type: ignore[no-untyped-def]
    """Write number, direction, angle and radius at each bend line, or the number alone where there are many bends."""
    targets = [[on_page(_along(mark, share)) for share in _SHARES] for mark in blank.bends]
    spelt = _spelt(board, blank, targets, style)
    for at, (mark, points) in enumerate(zip(blank.bends, targets, strict=True)):
        if at not in spelt:
            others = [other[0] for other in targets if other[0] != points[0]]
            balloon(board, points, str(blank.numbers[mark.name]), others)


def _spelt(board: Board, blank: Blank, targets: Sequence[Sequence[Point]], style: Style) -> set[int]:
    """Choose which of each set of equal bends carries the full text, where its leader crosses least.

    None if there are many.
    """
    alike: dict[str, list[int]] = {}
    for at, mark in enumerate(blank.bends):
        alike.setdefault(bend_words(mark, style), []).append(at)
    if len(blank.bends) > _SPELT:
        return set()
    found = set()
    for words, same in alike.items():
        trials = [(targets[at], f"{blank.numbers[blank.bends[at].name]}: {words}") for at in same]
        found.add(same[pointed(board, trials, "dot")])
    return found


def bend_words(mark: BendMark, style: Style) -> str:
    """Return the text of a bend, such as `up 90° R2.5`."""
    return f"{mark.side} {mark.angle:.6g}° {_radius_words(mark, style)}"


def _radius_words(mark: BendMark, style: Style) -> str:
    return "closed" if mark.is_pressed_shut else f"R{style.numbers.length(mark.inside_radius)}"


def _along(mark: BendMark, share: float) -> Point:
    (x0, y0), (x1, y1) = mark.start, mark.end
    return (x0 + share * (x1 - x0), y0 + share * (y1 - y0))


def _sizes(holes: Sequence[OpeningInFlat], style: Style) -> Iterator[tuple[str, list[Point], float]]:
    """Return each size of opening once with its count, for reference, with leader targets and the radius about them."""
    by_size: dict[str, list[OpeningInFlat]] = {}
    for hole in holes:
        by_size.setdefault(hole.sketch.size, []).append(hole)
    for same in by_size.values():
        same.sort(key=lambda one: (-round(one.middle[0] + one.middle[1], 3), -one.middle[0]))
        hole = same[0]
        figures = [style.numbers.length(size) for size in hole.sizes]
        words = {
            "circle": f"Ø{figures[0]}",
            "slot": f"slot {figures[-1]} × {figures[0]}",
            "rectangle": " × ".join(figures[:2][::-1]),
        }[hole.sketch.kind]
        count = f"{len(same)}× " if len(same) > 1 else ""
        if hole.sketch.kind == "circle":
            yield f"({count}{words})", [one.middle for one in same], hole.sizes[0] / 2.0
        else:
            yield f"({count}{words})", rim_points(hole.middle, hole.turn, hole.sizes), 0.0


HEADINGS = ("no.", "bend", "angle", "side", "R", "length", "allowance", "deduction", "position")


def bend_table(body: Body, blank: Blank, style: Style) -> list[Mark]:
    """Return the bend table, rows by number, upper left at the origin.

    Where there are many bends, equal ones share a row.
    """
    to, thickness = blank_zero(body, blank).motion, body.sheet.thickness
    each = [(number, mark.name, _position(mark, to, style), _figures(mark, thickness, style))
            for number, mark in blank.numbered]  # fmt: skip
    if len(each) > _ROWS:
        rows = _alike(each)
    else:
        rows = [(str(number), name, *figures, at) for number, name, at, figures in each]
    height = style.height
    captions = (
        f"Bends for reference; {blank.numbering}",
        f"Up is towards the viewer of the blank; lengths in {style.numbers.unit_text.replace('in', 'inches')}",
    )
    heads = [
        Words(words, (0.0, y), height) for words, y in zip(captions, (1.5 + 1.6 * height, 1.5), strict=True)
    ]
    return [*heads, *table_marks([HEADINGS, *rows], height)[0]]


def _figures(mark: BendMark, thickness: float, style: Style) -> tuple[str, ...]:
    deduction = 2.0 * setback(mark.angle, mark.inside_radius, thickness) - mark.allowance
    return (
        f"{mark.angle:.6g}°", mark.side, _radius_words(mark, style),
        style.numbers.length(mark.length), style.numbers.fine(mark.allowance), style.numbers.fine(deduction),
    )  # fmt: skip


def _alike(each: Sequence[tuple[int, str, str, tuple[str, ...]]]) -> list[tuple[str, ...]]:
    """Put equal bends in one row; their numbers on the blank show where they are."""
    alike: dict[tuple[str, ...], list[tuple[int, str, str]]] = {}
    for number, name, at, figures in each:
        alike.setdefault(figures, []).append((number, name, at))
    return [
        (
            numbers(sorted({n for n, _, _ in same})),
            _names([name for _, name, _ in same]),
            *figures,
            numbers_of([at for _, _, at in same]),
        )
        for figures, same in alike.items()
    ]


def _position(mark: BendMark, to: Motion, style: Style) -> str:
    """Return the distance of a bend line from the zero of the blank, across or upwards, or both of its ends."""
    (x0, y0), (x1, y1) = to(mark.start), to(mark.end)
    if abs(x0 - x1) < LENGTH:
        return f"x {style.numbers.signed(x0)}"
    if abs(y0 - y1) < LENGTH:
        return f"y {style.numbers.signed(y0)}"
    one, two = (f"({style.numbers.signed(x)}, {style.numbers.signed(y)})" for x, y in ((x0, y0), (x1, y1)))
    return f"{one} to {two}"


def numbers_of(words: Sequence[str], most: int = 2) -> str:
    """Return a list of labels, shortened where there are many."""
    return "; ".join(words[:most]) + ("; …" if len(words) > most else "")


def _names(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{len(names)}× {names[0]} …"


def numbers(found: Sequence[int], most: int = 8) -> str:
    """Return numbers as `1, 3, 5`, or `1, 2 ... 99` where there are many."""
    if len(found) <= most:
        return ", ".join(str(number) for number in found)
    return f"{found[0]}, {found[1]} … {found[-1]}"
