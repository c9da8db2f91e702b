"""The blank on the drawing: true shape, bend lines numbered and dimensioned, radii, and its table of bends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from formparts.blanks import laid_out
from formparts.body import Body
from formparts.drawings.curves import (
    BEND,
    TABLE,
    VISIBLE,
    Mark,
    Stroke,
    Words,
    box_of,
    line,
    of_loop,
    placed,
    text_width,
)
from formparts.drawings.dimensions import Band, Side, Taken, balloon, leader, plain, running
from formparts.drawings.features import edge_places, hidden_from_all, opening_of, radii
from formparts.drawings.views import beyond, edge, on_page, scaled
from formparts.export.svg_marks import shown
from formparts.layout import BendMark, Blank
from formparts.outline import Arc, Point
from formparts.outline.edges import Bounds

_ALONG = 1e-6
"""A bend line is parallel to an edge of the blank when its ends differ by less [mm]."""
_MOST_RADII = 8
"""More different radii than this are left to the DXF of the blank."""
_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
"""Where a bend line may be pointed at, as shares of its length: at its middle if there is room."""
_MOST_EDGES = 40
"""So are more places of edges than this along one side: that is a cutter's outline, and no reader's."""


def blank_view(body: Body, blank: Blank, scale: float, caption: str) -> list[Mark]:
    """The blank at a scale, with what the cutter and the press brake need."""
    marks: list[Mark] = [
        Stroke(placed(curve, scale), VISIBLE) for loop in blank.outline.loops for curve in of_loop(loop)
    ]
    marks += (line(on_page(mark.start, scale), on_page(mark.end, scale), BEND) for mark in blank.bends)
    box = scaled(blank.outline.bounds, scale)
    marks += _positions(body, blank, scale, box)
    marks += _edges(blank, scale, box)
    marks += _overall(blank, box, marks)
    taken = Taken(marks)
    for more in _pointed(body, blank, scale, taken):
        for mark in more:
            taken.add(mark)
        marks += more
    left, _, _, top = box_of(marks)
    return [*marks, Words(caption, (left, top + 4.0), 3.5)]


def _positions(body: Body, blank: Blank, scale: float, box: Bounds) -> Iterator[Mark]:
    """Bend lines and the middles of openings that no view shows, from the left and the lower edge of the blank."""
    x0, y0, _, _ = blank.outline.bounds
    middles = [middle for _, middle, _ in _openings(body)]
    for axis, side, datum in ((0, "below", x0), (1, "left", y0)):
        found: dict[float, Point] = {}
        for point in (*_bend_points(blank.bends, axis), *middles):
            found.setdefault(round(point[axis] - datum, 3), point)
        places = [
            (point[axis] - datum, point[axis] * scale, -(point[1 - axis] - (y0, x0)[axis]) * scale)
            for point in found.values()
        ]
        yield from running(_band(side, box), box[axis], places)


def _edges(blank: Blank, scale: float, box: Bounds) -> Iterator[Mark]:
    """Edges and round ends of the outline, from the same datum as the bends, on the sides that these leave free."""
    for axis, side in ((0, "above"), (1, "right")):
        datum, far = blank.outline.bounds[axis], blank.outline.bounds[3 - axis]
        places = edge_places(blank.outline, axis)
        if len(places) <= _MOST_EDGES:
            items = [
                (point[axis] - datum, point[axis] * scale, -(far - point[1 - axis]) * scale)
                for point in places
            ]
            yield from running(_band(side, box), box[axis], items)


def _band(side: str, box: Bounds) -> Band:
    where: Side = (
        "below" if side == "below" else "left" if side == "left" else "above" if side == "above" else "right"
    )
    return Band(where, edge(box, where))


def _bend_points(bends: Sequence[BendMark], axis: int) -> Iterator[Point]:
    """The end of each bend line that is nearest to the figures, if the line runs square to the axis."""
    for mark in bends:
        if abs(mark.start[axis] - mark.end[axis]) < _ALONG:
            yield min(mark.start, mark.end, key=lambda point: point[1 - axis])


def _openings(body: Body) -> Iterator[tuple[str, Point, float]]:
    """Openings of flats that no view shows in their true shape: words, middle and reach on the blank."""
    lost = hidden_from_all(body, ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)))
    laid = laid_out(body)
    for flat in body.flats:
        for loop in flat.net.holes if flat.name in lost else ():
            opening = opening_of(loop)
            if opening is not None:
                yield opening.words, laid[flat.name](opening.middle), opening.reach


def _overall(blank: Blank, box: Bounds, marks: Sequence[Mark]) -> Iterator[Mark]:
    above, right = _band("above", box), _band("right", box)
    yield from plain(above, (box[0], 0.0), (box[2], 0.0), shown(blank.length), beyond(above, marks))
    yield from plain(right, (box[1], 0.0), (box[3], 0.0), shown(blank.width), beyond(right, marks))


def _pointed(body: Body, blank: Blank, scale: float, taken: Taken) -> Iterator[list[Mark]]:
    """Numbers of the bends, sizes of openings, radii: each placed where room is left by those before."""
    targets = [[_along(mark, share, scale) for share in _SHARES] for mark in blank.bends]
    middles = [points[0] for points in targets]
    for number, points in enumerate(targets, 1):
        yield balloon(points, str(number), taken, [other for other in middles if other != points[0]])
    sizes: dict[str, list[tuple[Point, float]]] = {}
    for words, middle, radius in _openings(body):
        sizes.setdefault(words, []).append((middle, radius))
    for words, same in sizes.items():
        count = f"{len(same)}× " if len(same) > 1 else ""
        yield leader(on_page(same[0][0], scale), same[0][1] * scale, count + words, taken)
    for radius, times, arc in radii(blank.outline)[:_MOST_RADII]:
        count = f"{times}× " if times > 1 else ""
        yield leader(on_page(_arc_middle(arc), scale), 0.0, f"{count}R{shown(radius)}", taken)


def _along(mark: BendMark, share: float, scale: float) -> Point:
    """A point of a bend line on the paper."""
    (x0, y0), (x1, y1) = mark.start, mark.end
    return ((x0 + share * (x1 - x0)) * scale, (y0 + share * (y1 - y0)) * scale)


def _arc_middle(arc: Arc) -> Point:
    return arc.point_at(0.5)


HEADINGS = ("no.", "bend", "angle", "side", "R", "length", "allowance")


def bend_table(blank: Blank) -> list[Mark]:
    """Equal bends in one row; numbers as on the blank; its upper left corner at the origin."""
    rows = [HEADINGS, *_rows(blank.bends)]
    widths = [max(text_width(row[column], 2.5) for row in rows) + 3.0 for column in range(len(HEADINGS))]
    step = 4.5
    marks: list[Mark] = []
    lefts = [sum(widths[:column]) for column in range(len(widths) + 1)]
    for number, row in enumerate(rows):
        y = -(number + 1) * step + 1.2
        marks += [
            Words(words, (left + 1.5, y), 2.5) for words, left in zip(row, lefts, strict=False) if words
        ]
    bottom = -len(rows) * step
    marks += [line((0.0, -n * step), (lefts[-1], -n * step), TABLE) for n in range(len(rows) + 1)]
    marks += [line((x, 0.0), (x, bottom), TABLE) for x in lefts]
    title: list[Mark] = [
        Words("Bends; up is towards the viewer of the blank; lengths in mm", (0.0, 1.5), 2.5)
    ]
    return title + marks


def _rows(bends: Sequence[BendMark]) -> list[tuple[str, ...]]:
    alike: dict[tuple[str, ...], list[tuple[int, str]]] = {}
    for number, mark in enumerate(bends, 1):
        key = (
            f"{mark.angle:.6g}°", mark.side, f"R{shown(mark.inside_radius)}", shown(mark.length),
            f"{mark.allowance:.3f}",
        )  # fmt: skip
        alike.setdefault(key, []).append((number, mark.name))
    return [
        (numbers([n for n, _ in same]), _names([name for _, name in same]), *key)
        for key, same in alike.items()
    ]


def _names(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{len(names)}× {names[0]} ..."


def numbers(found: Sequence[int], most: int = 8) -> str:
    """1, 3, 5 or 1 ... 99 where there are many."""
    if len(found) <= most:
        return ", ".join(str(number) for number in found)
    return f"{found[0]}, {found[1]} ... {found[-1]}"
