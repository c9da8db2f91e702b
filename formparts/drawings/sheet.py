"""The whole sheet: views, corner view, blank, table, notes and title block, at the largest scale that fits."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from formparts.blanks import blank as blank_of
from formparts.body import Body
from formparts.closed_forms import properties
from formparts.drawings.blank_view import bend_table, blank_view
from formparts.drawings.curves import Mark, Words, box_of, meet, shifted
from formparts.drawings.general_tolerances import known_class
from formparts.drawings.title import SHEETS, Told, frame_box, frame_marks, kept_free, notes, title_block
from formparts.drawings.views import (
    Projection,
    View,
    bends_by_view,
    dimensioned,
    strokes,
    views_of,
    wanted_dimensions,
)
from formparts.errors import InputError
from formparts.export.dates import date_shown
from formparts.outline import Point
from formparts.outline.edges import Bounds
from formparts.solids import solid

SCALES = (
    50.0,
    20.0,
    10.0,
    5.0,
    2.0,
    1.0,
    *(1.0 / n for n in (2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)),
)
"""Scales of ISO 5455 [-]."""
_GAP = 7.0
"""Between one block of the sheet and the next [mm]."""
_ROUNDING = 1e-6
"""A block oversteps the frame, or the gap to the next, by more than this [mm]: blocks are set against both, and sums of
a few hundred millimetres are rounded at 1e-13."""


@dataclass(frozen=True)
class Drawing:
    """
    A dimensioned sheet.

    Parameters
    ----------
    name : str
        Name of the part.
    sheet : str
        Size of the sheet, `A3` for example.
    scale : float [-]
        Of the views: millimetres on paper for one of the part.
    blank_scale : float [-]
        Of the blank.
    marks : tuple of Mark
        Everything that is drawn, in mm on paper from the lower left corner of the sheet.
    """

    name: str
    sheet: str
    scale: float
    blank_scale: float
    marks: tuple[Mark, ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the sheet [mm]."""
        return SHEETS[self.sheet]

    @property
    def scale_text(self) -> str:
        """As `1 : 2`."""
        return scale_text(self.scale)


def drawing(body: Body, sheet: str = "A3", projection: str = "first", tolerance: str = "m") -> Drawing:
    """
    Draw a part on one sheet: three views, a corner view, the blank, bend table and title block.

    Parameters
    ----------
    body : Body
        The part.
    sheet : str
        `A4` to `A0`; a larger one is taken when the part does not fit at any scale.
    projection : "first" or "third"
        First-angle or third-angle projection.
    tolerance : "f", "m", "c" or "v"
        Class of general tolerances.

    Returns
    -------
    Drawing

    Raises
    ------
    InputError
        There is no such sheet, projection or class, or there is more than fits on the largest sheet.
    KernelError
        The solid kernel failed.

    Source
    ------
    ISO 128 (views, lines), ISO 129-1 (dimensions), ISO 216 and ISO 5457 (sheets), ISO 5455 (scales), ISO 5456-2
    (projection), ISO 7200 (title block), ISO 2768-1 (tolerances); all from memory but the last.
    """
    chosen = _known_projection(projection)
    known_class(tolerance)
    views, flat = views_of(solid(body), chosen), blank_of(body)
    blocks = _Blocks(
        cache(lambda scale: _three_views(body, views, scale, chosen)),
        cache(lambda scale: [blank_view(body, flat, scale, _caption(scale))]),
        cache(lambda scale: [_corner(views["corner"], scale)]),
        (*([[bend_table(flat)]] if flat.bends else []), [notes(body)]),
    )
    for size in _sheets(sheet):
        for trial in _trials(size, views):
            found = _laid(blocks, size, trial)
            if found is not None:
                told = Told(size, scale_text(trial[0]), projection, tolerance, date_shown())
                marks = (*frame_marks(size), *_title(body, told), *found)
                return Drawing(body.name, size, trial[0], trial[1], marks)
    raise InputError(
        "drawing",
        "part",
        body.name,
        "there is more to dimension than fits on a sheet A0",
        "draw its pieces apart",
    )


def _known_projection(word: str) -> Projection:
    if word == "first":
        return "first"
    if word == "third":
        return "third"
    raise InputError("drawing", "projection", word, "is not known", "choose of first, third")


def _sheets(sheet: str) -> tuple[str, ...]:
    """The sheet that is wanted, then larger ones."""
    names = tuple(SHEETS)
    if sheet not in names:
        raise InputError("drawing", "sheet", sheet, "is no size of sheet", f"choose of {', '.join(names)}")
    return names[names.index(sheet) :]


def scale_text(scale: float) -> str:
    """As 1 : 2 or 5 : 1."""
    return f"{scale:g} : 1" if scale >= 1.0 else f"1 : {1.0 / scale:g}"


Trial = tuple[float, float, float]
"""Scales of the views, of the blank, and of the corner view."""


def _trials(size: str, views: dict[str, View]) -> Iterator[Trial]:
    """Combinations of scales, the largest views first; those that cannot fit at all are left out."""
    x0, y0, x1, y1 = frame_box(size)
    front, side, top = (views[name].box for name in ("front", "side", "top"))
    wide = front[2] - front[0] + side[2] - side[0]
    high = front[3] - front[1] + top[3] - top[1]
    for at, scale in enumerate(SCALES[:-2]):
        if wide * scale > x1 - x0 or high * scale > y1 - y0:
            continue
        # Smaller sheets of a part are not drawn for less than a tenth of the paper: the next larger sheet is taken.
        if wide * scale < 12.0 and high * scale < 12.0 and at + 1 < len(SCALES) and size != "A0":
            return
        for less_blank in (0, 1):
            for less_corner in (0, 1, 2):
                yield scale, SCALES[at + less_blank], SCALES[min(at + less_corner, len(SCALES) - 1)]


Block = list[list[Mark]]
"""Groups of marks that keep their places to each other; between them other blocks may stand."""


@dataclass(frozen=True)
class _Blocks:
    """What is to be placed: the views, the blank and the corner view at a scale, and what has no scale."""

    views: Callable[[float], Block]
    blank: Callable[[float], Block]
    corner: Callable[[float], Block]
    small: tuple[Block, ...]


def _caption(scale: float) -> str:
    return f"Blank, seen from its upper side, {scale_text(scale)}"


def _corner(view: View, scale: float) -> list[Mark]:
    """The corner view; its scale stands below it, as it may be its own."""
    marks: list[Mark] = [*strokes(view, scale)]
    left, low, _, _ = box_of(marks)
    return [*marks, Words(scale_text(scale), (left, low - 5.0), 2.5)]


def _laid(blocks: _Blocks, size: str, trial: Trial) -> list[Mark] | None:
    """All blocks at their places, or None when they do not fit."""
    x0, y0, x1, y1 = frame_box(size)
    inner = (x0 + 4.0, y0 + 4.0, x1 - 4.0, y1 - 4.0)
    large = (blocks.views(trial[0]), blocks.blank(trial[1]), blocks.corner(trial[2]))
    return _packed(
        [*((block, False) for block in large), *((block, True) for block in blocks.small)],
        inner,
        [kept_free(size)],
    )


def _three_views(body: Body, views: dict[str, View], scale: float, projection: Projection) -> Block:
    """Front, side to its right, top below it (first angle) or above it (third angle), all in line."""
    wanted = wanted_dimensions(projection)
    bends = bends_by_view(body, views)
    drawn = {
        name: dimensioned(body, views[name], scale, wanted[name], bends.get(name, ()))
        for name in ("front", "side", "top")
    }
    boxes = {name: box_of(marks) for name, marks in drawn.items()}
    down = projection == "first"
    beside = (boxes["front"][2] - boxes["side"][0] + _GAP, 0.0)
    lift = boxes["front"][1] - boxes["top"][3] - _GAP if down else boxes["front"][3] - boxes["top"][1] + _GAP
    moved = [shifted(mark, beside) for mark in drawn["side"]]
    return [drawn["front"], moved, [shifted(mark, (0.0, lift)) for mark in drawn["top"]]]


def _packed(blocks: Sequence[tuple[Block, bool]], inner: Bounds, taken: list[Bounds]) -> list[Mark] | None:
    """Each block at the first free place: large ones from the upper left, small ones from the lower right."""
    marks: list[Mark] = []
    for block, low in blocks:
        boxes = [box_of(group) for group in block]
        by = _free(boxes, inner, taken, low)
        if by is None:
            return None
        taken += [_moved(box, by) for box in boxes]
        marks += [shifted(mark, by) for group in block for mark in group]
    return marks


def _moved(box: Bounds, by: Point) -> Bounds:
    return (box[0] + by[0], box[1] + by[1], box[2] + by[0], box[3] + by[1])


def _free(boxes: Sequence[Bounds], inner: Bounds, taken: Sequence[Bounds], low: bool) -> Point | None:
    """How far a block is to be moved to stand in a free place."""
    x0, y0 = min(box[0] for box in boxes), min(box[1] for box in boxes)
    x1, y1 = max(box[2] for box in boxes), max(box[3] for box in boxes)
    rights = {
        inner[0] - x0,
        inner[2] - x1,
        *(t[2] + _GAP - x0 for t in taken),
        *(t[0] - _GAP - x1 for t in taken),
    }
    ups = {
        inner[1] - y0,
        inner[3] - y1,
        *(t[1] - _GAP - y1 for t in taken),
        *(t[3] + _GAP - y0 for t in taken),
    }
    free = [
        (dx, dy)
        for dx in rights
        for dy in ups
        if all(_fits(_moved(box, (dx, dy)), inner, taken) for box in boxes)
    ]
    if not free:
        return None
    return min(free, key=lambda by: (by[1], -by[0])) if low else min(free, key=lambda by: (-by[1], by[0]))


def _fits(box: Bounds, inner: Bounds, taken: Sequence[Bounds]) -> bool:
    """True inside the frame and clear of what stands there."""
    low = box[0] >= inner[0] - _ROUNDING and box[1] >= inner[1] - _ROUNDING
    high = box[2] <= inner[2] + _ROUNDING and box[3] <= inner[3] + _ROUNDING
    return low and high and not any(meet(box, other, _GAP - _ROUNDING) for other in taken)


def _title(body: Body, told: Told) -> list[Mark]:
    _, y0, x1, _ = frame_box(told.sheet)
    return [shifted(mark, (x1, y0)) for mark in title_block(body, properties(body), told)]
