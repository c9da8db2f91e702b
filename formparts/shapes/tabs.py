"""Tabs lanced from inside a flat: cut round three sides and folded out, their openings as long as they unfold."""

from __future__ import annotations

from dataclasses import replace

from formparts.bending import BendRule
from formparts.bending import bend_rule as as_bend_rule
from formparts.body import Bend, Body, Flat, Side, developed_length
from formparts.errors import InputError
from formparts.outline import Outline, cut, polygon
from formparts.outline.edges import Motion, Point
from formparts.quantities import AngleLike, LengthLike, Limits
from formparts.quantities import length as as_length
from formparts.shapes.flange import bend_figures, refuse_low, standing, with_flange
from formparts.shapes.naming import all_tagged, checked_body, checked_name, refuse_uncuttable
from formparts.shapes.openings import Places, motions, single_place
from formparts.shapes.profiles import Datum, setback
from formparts.shapes.tips import Hole, Tip, TipShape, as_ends
from formparts.tolerances import LENGTH, SHORTEST_EDGE

_ROOM = Limits(minimum=SHORTEST_EDGE)


def add_tab(
    body: Body,
    height: LengthLike,
    width: LengthLike,
    places: Places,
    *,
    flat: str = "",
    height_to: Datum = "outside",
    place_at: Datum = "outside",
    angle: AngleLike = 90.0,
    side: Side = "up",
    inside_radius: LengthLike | None = None,
    cut_width: LengthLike | None = None,
    relief_depth: LengthLike | None = None,
    end: Tip | TipShape | tuple[Tip | TipShape, Tip | TipShape] = "square",
    hole: Hole | None = None,
    bend_rule: BendRule | str | float | None = None,
    name: str = "tab",
) -> Body:
    """
    Fold a tab out of a flat, cut free round three sides, or one at each of several places.

        seen from above, before bending            folded
        +------------------+                            |
        |  +------------+  |  cut_width                 |  height
        |  |            |  |                            |
        |  |    tab     |  |  as long as          ______/   ________
        |  |            |  |  it unfolds
        |  |  --bend--  |  |
        +--+            +--+  relief_depth

    Parameters
    ----------
    body : Body
        What it is folded out of.
    height : length [mm]
        Of the tab, to `height_to`.
    width : length [mm]
        Of the tab, along its bend.
    places : (x, y) [mm], Motion, or iterable of them
        Position of the middle of each tab in the flat, by `place_at`; as drawn, its bend lies along x and it unfolds
        towards +y. What `grid`, `bolt_circle` or `Motion.shift(x, y).after(Motion.turn(90))` give turns it.
    flat : str
        Name of the flat; the root flat when none is given.
    height_to, place_at : str
        What the height is measured to, and what of the tab is at its position: `outside`, `inside`, `mould line`,
        `tangent line` or `mid-surface`. `outside` is the face that looks towards its opening.
    angle : angle [deg]
        Bend angle, 0 for flat, just above 0 to 170.
    side : "up" or "down"
        Towards the upper face of the flat, or away.
    inside_radius : length or None [mm]
        That of the sheet when none is given.
    cut_width : length or None [mm]
        Between the tab and what is left about it; the thickness of the sheet when none is given.
    relief_depth : length or None [mm]
        How far the cuts run on beyond the tangent line of the bend; inside radius and thickness together when none is
        given.
    end : Tip, str or pair of them
        Shape of the free end, as of a flange; the opening stays a rectangle.
    hole : Hole or None
        Round hole on the middle line.
    bend_rule : BendRule, str, float or None [-]
        For the developed length of its bend; that of the sheet when none is given.
    name : str
        Name of the tab's flat; its bend is `name.bend`, its hole `name.hole`, the cut's edges `name.opening`; of
        several: `name[1]`, `name[2]`...

    Returns
    -------
    Body

    Raises
    ------
    InputError
        A tab is lower than its bend, or its opening runs out of the flat or into another opening.

    Source
    ------
    Exact geometry. Cuts as wide as the sheet is thick: common practice, no source.

    Examples
    --------
    >>> from formparts import Part, Sheet, plate, rectangle
    >>> base = plate(Sheet(2, 2, bend_rule="K 0.5"), rectangle(80, 60), "base")
    >>> hooked = add_tab(base, 20, 12, [(-20, 0), (20, 0)], name="hook")
    >>> [flat.name for flat in hooked.flats], Part(hooked).properties.envelope
    (['base', 'hook[1]', 'hook[2]'], (80.0, 60.0, 20.0))
    """
    checked_name(name, "add_tab")
    sheet = checked_body(body, name).sheet
    turn, radius = bend_figures(sheet, name, angle, side, inside_radius, "air bend", height_to, place_at)
    tall, wide = as_length(height, "height", name, _ROOM), as_length(width, "width", name, _ROOM)
    taken = setback(height_to, turn, radius, sheet.thickness)
    refuse_low(tall, taken, name)
    gap = sheet.thickness if cut_width is None else as_length(cut_width, "cut_width", name, _ROOM)
    deep = radius + sheet.thickness
    deep = deep if relief_depth is None else as_length(relief_depth, "relief_depth", name, _ROOM)
    rule, ends = None if bend_rule is None else as_bend_rule(bend_rule), as_ends(end, name)
    here = body.flat(flat) if flat else body.flats[0]
    back = Motion.shift(0.0, -setback(place_at, turn, radius, sheet.thickness))
    ways = [way.after(back) for way in motions(places, name)]
    single = single_place(places) or isinstance(places, Motion)
    for number, way in enumerate(ways, 1):
        called = name if single else f"{name}[{number}]"
        line = _line(way, wide)
        bend = Bend(
            f"{called}.bend", here.name, called, line, ((wide, 0.0), (0.0, 0.0)), turn, side, radius, bend_rule=rule
        )  # fmt: skip
        long = developed_length(sheet, bend) + tall - taken + gap
        opening = all_tagged(_opening(wide, long, gap, deep).moved(way), f"{called}.opening")
        opened = _opened(body.flat(here.name), opening, called)
        body = with_flange(body, opened, standing(called, tall, taken, wide, (0.0, 0.0), ends, hole), bend)
    return body


def _line(way: Motion, wide: float) -> tuple[Point, Point]:
    """Return the bend line, the flat on its left, also where a position is a mirror image."""
    ends = way((wide / 2.0, 0.0)), way((-wide / 2.0, 0.0))
    (x0, y0), (x1, y1), (x2, y2) = ends[0], ends[1], way((0.0, -1.0))
    left = (x1 - x0) * (y2 - y0) - (y1 - y0) * (x2 - x0) > 0.0
    return ends if left else (ends[1], ends[0])


def _opening(wide: float, long: float, gap: float, deep: float) -> Outline:
    """Return what is cut away with the tab laid flat, and the tab itself: its bend line on the x axis."""
    x, out = wide / 2.0, wide / 2.0 + gap
    return polygon(
        [(-out, -deep), (-x, -deep), (-x, 0.0), (x, 0.0), (x, -deep), (out, -deep), (out, long), (-out, long)]
    )


def _opened(flat: Flat, opening: Outline, name: str) -> Flat:
    """Return the flat less the opening of a tab, which must lie wholly in its sheet."""
    pieces = cut(flat.outline, opening)
    outside = sum(piece.area for piece in cut(opening, flat.net))
    if outside > LENGTH or len(pieces) != 1:
        x0, y0, x1, y1 = opening.bounds
        where = f"x {x0:.6g} to {x1:.6g}, y {y0:.6g} to {y1:.6g} mm"
        what = f"its opening runs out of {flat.name}, or into another opening"
        fix = "move it, or make it lower, narrower, or its cut_width or relief_depth smaller"
        raise InputError(name, "place", where, what, fix)
    return refuse_uncuttable(replace(flat, outline=pieces[0]), name, "place", f"on {flat.name}")
