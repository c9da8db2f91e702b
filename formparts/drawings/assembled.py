"""The drawing of an assembly: views with balloons, overall sizes, and its bill of materials."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from formparts.assembly import Assembly, Mating, bill, matings
from formparts.assembly.solids import location, part_solid
from formparts.body import Frame
from formparts.body.frame import Vector, cross, dot
from formparts.drawings.board import Board
from formparts.drawings.curves import Mark, Words, box_of, shifted
from formparts.drawings.leaders import balloon, view_name
from formparts.drawings.packing import packed
from formparts.drawings.plans import GAP, Block, Style
from formparts.drawings.sheet import (
    SCALES,
    Drawing,
    known_projection,
    known_unit,
    larger_sheets,
    scale_text,
    trial_scales,
)
from formparts.drawings.sketch import DimensionList
from formparts.drawings.tables import table_marks
from formparts.drawings.title import (
    Subject,
    TitleData,
    Told,
    frame_box,
    frame_marks,
    letters,
    mass_shown,
    notes_of,
    title_block,
)
from formparts.drawings.views import Projection, View, pen_lines, scaled, views_of
from formparts.errors import InputError
from formparts.export.dates import date_shown
from formparts.general_tolerances import known_class
from formparts.kernel import guard
from formparts.records import CAUTIONS
from formparts.tolerances import LENGTH

_OFF_FACE = 1e-2
"""A surface nearer to a point than this belongs to the part itself [mm]."""


@dataclass(frozen=True)
class _Whole:
    """All parts in place as one shape, in the form that the views take."""

    name: str
    shape: Any


def assembly_drawing(
    assembly: Assembly,
    sheet: str = "A3",
    projection: str = "first",
    tolerance: str = "m",
    title: TitleData | None = None,
    units: str = "mm",
) -> Drawing:
    """Draw an assembly: three views with overall sizes, an isometric view with balloons, parts list and mating holes.

    Parameters
    ----------
    assembly : Assembly
        The assembly to draw.
    sheet, projection, tolerance, title, units
        As for the drawing of a part.

    Returns
    -------
    Drawing
        Its list holds no dimensions: each part has a drawing of its own.

    Raises
    ------
    InputError
        Unknown sheet, projection, class or unit; an assembly too large for the largest sheet; or a title with
        a tolerance of position.
    KernelError
        The solid kernel failed.

    Source
    ------
    ISO 6433 (part references), ISO 7573 (parts lists); from memory.
    """
    chosen = known_projection(projection)
    known_class(tolerance)
    numbers = known_unit(units)
    with guard(f"drawing of {assembly.name}"):
        whole, shapes = _whole(assembly)
    holes = matings(assembly)
    views = views_of(whole, chosen, Frame())  # type: ignore[arg-type] # they use only a shape and a name
    with guard(f"balloons of {assembly.name}"):
        places = _shown_places(assembly, whole, shapes, views["isometric"])
    data = title or TitleData()
    if data.position:
        problem = f"{assembly.name} is an assembly, without openings of its own"
        raise InputError("drawing", "position", data.position, problem, "give it at the drawing of the part")
    for size in larger_sheets(sheet):
        style = Style(letters(size), numbers)
        for scale in trial_scales(size, views):
            less = SCALES[SCALES.index(scale) :][:3]
            turned = [[_isometric(views["isometric"], places, each, style)] for each in less]
            blocks: list[tuple[Sequence[Block], bool]] = [
                ([_three(views, scale, chosen, style)], False),
                (turned, False),
                ([[_bill_table(assembly, style)]], True),
                ([[notes_of(CAUTIONS, style.height)]], True),
                *[([[table]], False) for table in _holes_table(holes, style)],
            ]
            marks = packed(blocks, size)
            if marks is None:
                continue
            told = Told(size, scale_text(scale), projection, tolerance, date_shown(), 1, 1, numbers.unit_text)
            longest = max(b - a for a, b in _extent(views))
            subject = Subject(assembly.name, "see bill", "", mass_shown(assembly.mass), longest)
            _, y0, x1, _ = frame_box(size)
            block = [shifted(mark, (x1, y0)) for mark in title_block(subject, told, data)]
            page = (*frame_marks(size), *block, *marks)
            nothing = DimensionList(assembly.name, "", "", (), ())
            return Drawing(assembly.name, size, scale, scale, (page,), nothing)
    raise InputError(
        "drawing", "assembly", assembly.name, "does not fit on a sheet A0", "draw its parts apart"
    )


def _extent(views: dict[str, View]) -> tuple[tuple[float, float], ...]:
    front, top = views["front"].box, views["top"].box
    return ((front[0], front[2]), (front[1], front[3]), (top[1], top[3]))


def _whole(assembly: Assembly) -> tuple[_Whole, dict[str, Any]]:
    """Return one shape of all parts, and the shape of each part in its place."""
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    builder, compound = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(compound)
    made: dict[int, Any] = {}
    shapes = {}
    for item in assembly.items:
        shape = made.setdefault(id(item.part), part_solid(item.part).shape).Moved(location(item.frame))
        builder.Add(compound, shape)
        shapes[item.name] = shape
    return _Whole(assembly.name, compound), shapes


def _shown_places(assembly: Assembly, whole: _Whole, shapes: dict[str, Any], view: View) -> list[Vector]:
    """Return, for each row of the parts list, a point on one of its visible parts, the outermost in the view."""
    from OCP.gp import gp_Dir, gp_Lin, gp_Pnt
    from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector

    rays = IntCurvesFace_ShapeIntersector()
    rays.Load(whole.shape, LENGTH)
    towards = gp_Dir(*cross(view.right, view.up))
    x0, y0, x1, y1 = view.box
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)

    def seen(place: Vector) -> bool:
        rays.PerformNearest(gp_Lin(gp_Pnt(*place), towards), _OFF_FACE, 1e9)
        return bool(rays.NbPnt() == 0)

    def out(place: Vector) -> float:
        return math.dist((dot(place, view.right), dot(place, view.up)), middle)

    found = []
    for row in bill(assembly):
        places = [place for item in row.items for place in _edge_places(shapes[item])]
        places.sort(key=out, reverse=True)
        found.append(next(filter(seen, places), places[0]))
    return found


def _edge_places(shape: Any) -> Iterator[Vector]:
    """Return the midpoint of each edge of a shape."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    walk = TopExp_Explorer(shape, TopAbs_EDGE)
    while walk.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(walk.Current()))
        at = curve.Value((curve.FirstParameter() + curve.LastParameter()) / 2.0)
        yield (at.X(), at.Y(), at.Z())
        walk.Next()


def _three(views: dict[str, View], scale: float, projection: Projection, style: Style) -> Block:
    """Draw the front, side and top views in line, with the overall sizes."""
    drawn = []
    side = "from the left" if projection == "first" else "from the right"
    for name, words, sides in (
        ("front", "front", ("above", "right")),
        ("side", side, ()),
        ("top", "from above", ("right",)),
    ):
        board, view = Board(style.height), views[name]
        board.add(pen_lines(view, scale))
        _overall(board, view, scale, style, sides)
        view_name(board, words, scaled(view.box, scale))
        drawn.append(board.marks)
    boxes = [box_of(marks) for marks in drawn]
    down = projection == "first"
    lift = boxes[0][1] - boxes[2][3] - GAP if down else boxes[0][3] - boxes[2][1] + GAP
    beside = boxes[0][2] - boxes[1][0] + GAP
    return [
        drawn[0],
        [shifted(mark, (beside, 0.0)) for mark in drawn[1]],
        [shifted(mark, (0.0, lift)) for mark in drawn[2]],
    ]


def _overall(board: Board, view: View, scale: float, style: Style, sides: Sequence[str]) -> None:
    x0, y0, x1, y1 = scaled(view.box, scale)
    if "above" in sides:
        board.spans("above", y1, [((x0, y1), (x1, y1), style.numbers.length((x1 - x0) / scale))])
    if "right" in sides:
        board.spans("right", x1, [((x1, y0), (x1, y1), style.numbers.length((y1 - y0) / scale))])


def _isometric(view: View, places: Sequence[Vector], scale: float, style: Style) -> list[Mark]:
    """Draw the isometric view with a balloon at each given point, numbered as in the parts list."""
    board = Board(style.height)
    board.add(pen_lines(view, scale))
    targets = [(dot(at, view.right) * scale, dot(at, view.up) * scale) for at in places]
    for number, target in enumerate(targets, 1):
        balloon(board, [target], str(number), [other for other in targets if other != target])
    left, low, _, _ = box_of(board.marks)
    return [
        *board.marks,
        Words(f"isometric, {scale_text(scale)}", (left, low - 2.0 * style.height), style.height),
    ]


def _bill_table(assembly: Assembly, style: Style) -> list[Mark]:
    """Return the parts list, its lower left corner at the origin, rows counted upwards from the head."""
    head = ("no.", "part", "material", "count", "mass of one", "mass")
    rows = [
        (str(n), row.part, row.material, str(row.count), _mass(row.mass), _mass(row.total))
        for n, row in enumerate(bill(assembly), 1)
    ]
    return table_marks([head, *rows], style.height, up=True)[0]


def _holes_table(holes: Sequence[Mating], style: Style) -> Iterator[list[Mark]]:
    """Return the table of coincident holes and of pins in holes.

    Entries that differ only in their numbers share a row.
    """
    counted = Counter(
        (_unnumbered(one.first), _unnumbered(one.second), one.pin, round(one.clear, 3), one.ok)
        for one in holes
    )
    if not counted:
        return
    head = (
        "count",
        "hole",
        "hole or pin",
        f"largest pin, or clearance [{style.numbers.unit_text}]",
        "aligned",
    )
    rows = [
        (
            str(count),
            first,
            second,
            f"{'' if pin else 'Ø'}{style.numbers.length(clear)}",
            "yes" if ok else "NO",
        )
        for (first, second, pin, clear, ok), count in counted.items()
    ]
    caption = f"Mating holes; their axes may lie {style.numbers.length(holes[0].tolerance)} apart"
    yield [Words(caption, (0.0, 1.5), style.height), *table_marks([head, *rows], style.height)[0]]


def _unnumbered(name: str) -> str:
    return re.sub(r"\[\d+\]", "", name)


def _mass(value: float) -> str:
    return f"{value:.3f} kg" if value >= 1.0 else f"{1000.0 * value:.4g} g"
