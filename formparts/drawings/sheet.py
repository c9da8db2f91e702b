"""The whole drawing: as many sheets as needed, with pictures, blank, tables, notes and title block."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

from formparts.arguments import takes
from formparts.blanks import blank as blank_of
from formparts.body import Body
from formparts.closed_forms import properties
from formparts.drawings.blank_view import bend_table, blank_view, drawn_size
from formparts.drawings.curves import Mark, Words, box_of, flattened, shifted
from formparts.drawings.hole_tables import hole_tables, is_crowded
from formparts.drawings.naming import Key, with_names, with_tolerances
from formparts.drawings.numbers import Numbers
from formparts.drawings.packing import SheetPart, always, laid_out
from formparts.drawings.part_views import flat_view, three_views, top_detail, top_details
from formparts.drawings.plans import Block, Plan, Style, planned
from formparts.drawings.positions import positions_of
from formparts.drawings.rebuilding import mirror_images, missing
from formparts.drawings.section_views import section_scales, section_view
from formparts.drawings.sizes import Sizes, sizes_of
from formparts.drawings.sketch import Dimension, DimensionList
from formparts.drawings.title import (
    SHEETS,
    Subject,
    TitleData,
    Told,
    frame_box,
    frame_marks,
    letters,
    notes,
    revision_table,
    subject_of,
    title_block,
)
from formparts.drawings.views import Projection, View, pen_lines, views_of
from formparts.errors import InputError
from formparts.export.dates import date_shown
from formparts.general_tolerances import known_class
from formparts.layout import Blank
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
_FEW = 3
"""Number of sheets that a drawing may take before a smaller scale is tried."""


@dataclass(frozen=True)
class Drawing:
    """
    A dimensioned drawing.

    Parameters
    ----------
    name : str
        Name of the part.
    sheet : str
        Size of the sheets, `A3` for example.
    scale : float [-]
        Of the views: millimetres on paper for one of the part.
    blank_scale : float [-]
        Of the blank.
    pages : tuple of tuple of Mark
        All marks of each sheet, in mm on paper from its lower left corner.
    dimensions : DimensionList
        The content of the drawing, as a list from which the part can be made.
    """

    name: str
    sheet: str
    scale: float
    blank_scale: float
    pages: tuple[tuple[Mark, ...], ...]
    dimensions: DimensionList

    @property
    def marks(self) -> tuple[Mark, ...]:
        """All marks of all sheets, in order, with dimensions split into their marks."""
        return tuple(mark for page in self.pages for mark in flattened(page))

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of a sheet [mm]."""
        return SHEETS[self.sheet]

    @property
    def scale_text(self) -> str:
        """The scale, such as `1 : 2`."""
        return scale_text(self.scale)

    @property
    def missing(self) -> tuple[str, ...]:
        """Features that no dimension gives; empty when the part can be made from the drawing."""
        return missing(self.dimensions)

    def __repr__(self) -> str:
        said = len(self.dimensions.dimensions)
        return f"Drawing({self.name!r}, {self.sheet}, {self.scale_text}, {len(self.pages)} sheets, {said} dimensions)"


@takes(
    body="Body",
    sheet="str",
    projection="str",
    tolerance="str",
    units="str",
    names=("Mapping", "None"),
    tolerances=("Mapping", "None"),
    family=("Mapping", "None"),
)
def drawing(
    body: Body,
    sheet: str = "A3",
    projection: str = "first",
    tolerance: str = "m",
    title: TitleData | None = None,
    units: str = "mm",
    names: Mapping[Key, str] | None = None,
    tolerances: Mapping[str, str] | None = None,
    show_names: bool = False,
    blank: Blank | None = None,
    family: Mapping[str, Body] | None = None,
) -> Drawing:
    """
    Draw a part: three views, sections, flats in their true shape, the blank, tables and title block.

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
    title : TitleData, optional
        Further contents of the title block.
    units : "mm", "in" or "in+mm"
        Unit of the lengths; `in+mm` has both figures.
    names : mapping, optional
        By the key of a dimension the parameter that it follows, as `dimension_names` gives them.
    tolerances : mapping of str to str, optional
        By the name of a parameter the tolerance of the dimension that is that parameter; needs `names`.
    show_names : bool
        Write the names at the dimensions.
    blank : Blank, optional
        The blank, its bends numbered by the steps of the plan; else they count in the order of the model.
    family : mapping of str to Body, optional
        Variants by their names, the part itself first: letters replace the sizes that differ, with a table of
        them in place of blank and bends.

    Returns
    -------
    Drawing

    Raises
    ------
    InputError
        Unknown sheet, projection, class or unit, or more than fits on the largest sheet.
    KernelError
        The solid kernel failed.

    Source
    ------
    ISO 128 (views, sections, lines), ISO 129-1 (dimensions), ISO 216 and ISO 5457 (sheets), ISO 3098 (letters), ISO
    5455 (scales), ISO 5456-2 (projection), ISO 7200 (title block), ISO 2768-1 (tolerances); from memory but the last.

    Examples
    --------
    >>> sheet = drawing(profile(Sheet(2, 2.5), 30, run(40), up(90), run(25), name="angle"), "A4")
    >>> sheet.sheet, sheet.scale_text, sheet.missing
    ('A4', '1 : 1', ())
    """
    chosen = known_projection(projection)
    known_class(tolerance)
    numbers = known_unit(units)

    def changed(dimensions: tuple[Dimension, ...]) -> tuple[Dimension, ...]:
        said = with_tolerances(dimensions, names or {}, tolerances or {})
        said = with_names(said, names or {}) if show_names else said
        return sizes.lettered(said) if sizes else said

    sizes = sizes_of(family) if family else None
    data, flat = title or TitleData(), blank or blank_of(body)
    plan = planned(body, changed, positions_of(data.position))
    views = views_of(solid(body), chosen, plan.axes)
    for size in larger_sheets(sheet):
        style = Style(letters(size), numbers)
        parts = cache(
            lambda scale, style=style, size=size: _parts(
                plan, views, flat, scale, chosen, style, data, size, sizes
            )
        )
        for few in (_FEW, 2 * _FEW):
            for scale in trial_scales(size, views):
                if size != "A0" and any(is_crowded(one, scale, style.height) for one in plan.drawn.values()):
                    break
                found = laid_out(parts(scale), size, few)
                if found is None:
                    continue
                told = Told(
                    size,
                    scale_text(scale),
                    projection,
                    tolerance,
                    date_shown(),
                    1,
                    len(found[0]),
                    numbers.unit_text,
                )
                subject = subject_of(body, properties(body), numbers)
                subject = sizes.subject(subject) if sizes else subject
                pages = tuple(
                    (*frame_marks(size), *_title(subject, replace(told, page=number), data), *marks)
                    for number, marks in enumerate(found[0], 1)
                )
                return Drawing(body.name, size, scale, found[1], pages, plan.list)
    problem = "there is more to dimension than fits on a sheet A0"
    raise InputError("drawing", "part", body.name, problem, "draw its pieces apart")


def known_projection(word: str) -> Projection:
    """Return the projection of that name; refuse any other word."""
    if word == "first":
        return "first"
    if word == "third":
        return "third"
    raise InputError("drawing", "projection", word, "is not known", "choose of first, third")


def known_unit(word: str) -> Numbers:
    """Return how figures are written in a unit; refuse any other word."""
    known = {"mm": Numbers(), "in": Numbers("in"), "in+mm": Numbers("in", True)}
    if word not in known:
        raise InputError("drawing", "units", word, "is not known", f"choose of {', '.join(known)}")
    return known[word]


def larger_sheets(sheet: str) -> tuple[str, ...]:
    """Yield the requested sheet, then larger ones."""
    names = tuple(SHEETS)
    if sheet not in names:
        raise InputError("drawing", "sheet", sheet, "is not a size of sheet", f"choose of {', '.join(names)}")
    return names[names.index(sheet) :]


def scale_text(scale: float) -> str:
    """As 1 : 2 or 5 : 1."""
    return f"{scale:g} : 1" if scale >= 1.0 else f"1 : {1.0 / scale:g}"


def trial_scales(size: str, views: dict[str, View]) -> Iterator[float]:
    """Return the scales of the views to try, the largest first, without those that cannot fit."""
    x0, y0, x1, y1 = frame_box(size)
    front, side, top = (views[name].box for name in ("front", "side", "top"))
    wide = front[2] - front[0] + side[2] - side[0]
    high = front[3] - front[1] + top[3] - top[1]
    for at, scale in enumerate(SCALES):
        if wide * scale > x1 - x0 - 30.0 or high * scale > y1 - y0 - 30.0:
            continue
        # A view is not drawn at a scale where it covers less than a tenth of the paper: the next larger sheet is taken.
        if wide * scale < 12.0 and high * scale < 12.0 and at + 1 < len(SCALES) and size != "A0":
            return
        yield scale


def _parts(
    plan: Plan,
    views: dict[str, View],
    flat: Blank,
    scale: float,
    projection: Projection,
    style: Style,
    data: TitleData,
    size: str,
    family: Sizes | None,
) -> list[SheetPart]:
    body = plan.body
    at = SCALES.index(scale)
    less = SCALES[at : at + 3]
    details = top_details(plan, scale, style, SCALES)
    found = [
        SheetPart((cache(lambda: three_views(plan, views, scale, projection, style, not family, details)),))
    ]
    for section in plan.sections:

        def cut(s: float, section=section) -> Block:  # type: ignore[no-untyped-def]
            letter = section.letter
            return [
                section_view(
                    plan, section, s, style, f"{letter}–{letter}, {scale_text(s)}: {section.bend.name}"
                )
            ]

        found.append(SheetPart(tuple(_at(cut, s) for s in section_scales(plan, scale))))
    for detail in details:

        def enlarged(s: float, detail=detail) -> Block:  # type: ignore[no-untyped-def]
            caption = f"{detail.letter}, {scale_text(s)}"
            return [top_detail(plan, views["top"], detail, s, style, caption)]

        found.append(SheetPart((_at(enlarged, round(detail.larger * scale, 9)),)))
    for letter, name, dimensions in plan.flats:

        def true(s: float, letter=letter, name=name, dimensions=dimensions) -> Block:  # type: ignore[no-untyped-def]
            return [
                flat_view(
                    plan,
                    name,
                    dimensions,
                    s,
                    style,
                    f"{letter}, {scale_text(s)}: square on {said_images(plan, name)}",
                )
            ]

        found.append(SheetPart(tuple(_at(true, s) for s in less[:2])))
    found.append(SheetPart(tuple(_at(lambda s: [_isometric(views["isometric"], s, style)], s) for s in less)))
    found += [SheetPart((always([table]),)) for table in _hole_tables(plan, style)]
    revisions = revision_table(data, style.height)
    if revisions:
        found.append(SheetPart((lambda: [revisions],), low=True))
    if family:
        found.append(SheetPart((lambda: [family.table(style.numbers, style.height)],)))
    if not family or plan.in_bends:
        sizes = _blank_scales(flat, size, scale) if flat.bends else SCALES[at : at + 4]
        drawn = [
            _at(lambda s: [blank_view(body, flat, s, _caption(s), style, plan.in_bends)], s) for s in sizes
        ]
        found.append(SheetPart(tuple(drawn), fresh=bool(flat.bends), scales=tuple(sizes)))
    if flat.bends and not family:
        found.append(SheetPart((lambda: [bend_table(body, flat, style)],), low=True))
    # They go on the first sheet with room, and never begin a sheet.
    return [*found, SheetPart((lambda: [notes(body, style.height)],), low=True, anywhere=True)]


def said_images(plan: Plan, name: str) -> str:
    """Return the name of a flat, and of its mirror images."""
    images = [one for one, of in mirror_images(plan.list).items() if of == name]
    return f"{name}; mirrored: {', '.join(images)}" if images else name


def _hole_tables(plan: Plan, style: Style) -> Iterator[list[Mark]]:
    """Return a table for each flat with many openings, with the letters of its view."""
    letters_ = {name: f"view {letter}" for letter, name, _ in plan.flats}
    letters_ |= {one.sketch.name: one.sketch.across for one, _ in plan.in_bends}
    for name, drawn in [*plan.drawn.items(), *((one.sketch.name, one) for one, _ in plan.in_bends)]:
        own = [one for one in plan.list.dimensions if one.flat == name]
        yield from hole_tables(
            drawn, own, style.numbers, style.height, letters_.get(name, "the view from above")
        )


def _blank_scales(blank: Blank, size: str, scale: float) -> tuple[float, ...]:
    """Return scales at which the blank would fit on a sheet of its own, the largest first, at most 2 : 1."""
    x0, y0, x1, y1 = frame_box(size)
    wide, high = drawn_size(blank)
    fits = [s for s in SCALES if wide * s < x1 - x0 - 60.0 and high * s < y1 - y0 - 60.0]
    first = max(0, SCALES.index(scale) - 1)
    return tuple([s for s in fits if s <= SCALES[first]][:4]) or SCALES[-3:]


def _at(made: Callable[[float], Block], scale: float) -> Callable[[], Block]:
    return cache(lambda: made(scale))


def _caption(scale: float) -> str:
    return f"Blank, seen from its upper side, {scale_text(scale)}"


def _isometric(view: View, scale: float, style: Style) -> list[Mark]:
    """Return the isometric view, with its scale, as that may be its own."""
    marks: list[Mark] = [*pen_lines(view, scale)]
    left, _, _, high = box_of(marks)
    words = f"isometric, {scale_text(scale)}"
    return [*marks, Words(words, (left, high + 0.6 * style.height), style.height)]


def _title(subject: Subject, told: Told, data: TitleData) -> list[Mark]:
    _, y0, x1, _ = frame_box(told.sheet)
    return [shifted(mark, (x1, y0)) for mark in title_block(subject, told, data)]
