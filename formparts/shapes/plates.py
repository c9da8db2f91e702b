"""Bodies of one flat: plates, and tongues in the plane."""

from __future__ import annotations

from formparts.body import Body, Flat, Frame, Sheet
from formparts.errors import InputError
from formparts.outline import Outline, cut
from formparts.outline.edges import Motion
from formparts.quantities import AngleLike, LengthLike, Limits
from formparts.quantities import angle as as_angle
from formparts.quantities import length as as_length
from formparts.shapes.naming import checked_name, checked_outline, checked_sheet, named_flat, wall_of
from formparts.shapes.tips import Hole, Tip, TipShape, as_tip, hole_outline, tongue_outline
from formparts.tolerances import SHORTEST_EDGE


def plate(sheet: Sheet, outline: Outline, name: str = "plate") -> Body:
    """
    A flat plate of any outline, in the x-y plane, its lower face on z = 0.

    A hole of the outline is part of the plate's shape, and what is fused to the plate may reach into it;
    what must stay open whatever comes later is an opening (`cut_opening`).

    Parameters
    ----------
    sheet : Sheet
        The stock.
    outline : Outline
        Lines and arcs, with or without holes [mm].
    name : str
        Name of the body and of its one flat.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The outline cannot be cut (it crosses itself, or has too short an edge), or the sheet is none.

    Examples
    --------
    >>> base = plate(Sheet(2, 2.5), pierced(rectangle(60, 40, 5), disc(16)), name="base")
    >>> corners = {
    ...     "square": plate(Sheet(2, 2.5), rectangle(40, 25)),
    ...     "rounded": plate(Sheet(2, 2.5), rectangle(40, 25, corner_radius=6)),
    ...     "chamfered": plate(Sheet(2, 2.5), polygon([(0, 0), (40, 0), (40, 25), (0, 25)], chamfers=6)),
    ...     "one of them": plate(Sheet(2, 2.5), polygon([(0, 0), (40, 0), (40, 25), (0, 25)], radii=(0, 0, 12, 0))),
    ... }
    """
    checked_name(name, "plate")
    checked_sheet(sheet, name)
    return _lying(sheet, named_flat(name, outline, name), name)


def tongue(
    sheet: Sheet,
    length: LengthLike,
    width: LengthLike,
    end: Tip | TipShape = "round",
    hole: Hole | None = None,
    opening: Outline | None = None,
    name: str = "tongue",
) -> Body:
    """
    A tongue in the plane, along x from x = 0, on both sides of the x axis; fuse it to what it belongs to.

    With a hole or an opening it is a lug.

    Parameters
    ----------
    sheet : Sheet
        The stock.
    length : length [mm]
        Overall, along x.
    width : length [mm]
        Along y.
    end : Tip or str
        Shape of the far end: `round`, `square`, or `tip("chamfered", 5)`, `tip("radiused", 5)`.
    hole : Hole or None
        Round hole on its middle line.
    opening : Outline or None
        Any other opening, in the tongue's coordinates [mm].
    name : str
        Name of the body and of its one flat; the opening is `name.hole`.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The end does not fit the tongue, or the hole leaves no material beside it.

    Examples
    --------
    >>> lug = tongue(Sheet(2, 2.5), 40, 20, hole=hole(8))
    >>> ends = {
    ...     "round": tongue(Sheet(2, 2.5), 40, 20),
    ...     "square": tongue(Sheet(2, 2.5), 40, 20, "square"),
    ...     "chamfered": tongue(Sheet(2, 2.5), 40, 20, tip("chamfered", 6)),
    ...     "radiused": tongue(Sheet(2, 2.5), 40, 20, tip("radiused", 6)),
    ... }
    """
    checked_name(name, "tongue")
    checked_sheet(sheet, name)
    strip = Limits(minimum=SHORTEST_EDGE)
    along, across = as_length(length, "length", name, strip), as_length(width, "width", name, strip)
    shape = as_tip(end)
    outline = tongue_outline(name, along, across, shape)
    ways = [] if hole is None else [hole_outline(name, hole, along, shape, across)]
    ways += [] if opening is None else [checked_outline(opening, name, "opening")]
    openings = tuple(
        wall_of(f"{name}.hole" if place == 0 else f"{name}.hole[{place + 1}]", way)
        for place, way in enumerate(ways)
    )
    return _lying(sheet, named_flat(name, outline, name, openings), name)


def _lying(sheet: Sheet, flat: Flat, name: str) -> Body:
    """Return a body of one flat with its lower face on z = 0."""
    return Body(name, sheet, (flat,), (), Frame((0.0, 0.0, sheet.thickness / 2.0)))


def shifted(outline: Outline, x: LengthLike = 0.0, y: LengthLike = 0.0, turned: AngleLike = 0.0) -> Outline:
    """Return the same outline turned about the origin, then shifted.

    Parameters
    ----------
    outline : Outline
        Any outline [mm].
    x, y : length [mm]
        How far along each axis.
    turned : angle [deg]
        Anticlockwise.

    Returns
    -------
    Outline

    Raises
    ------
    InputError
        A length or the angle is not finite, or what is shifted is not an outline.

    Examples
    --------
    >>> shape = shifted(obround(30, 10), x=15, y=8, turned=30)
    >>> [round(side, 3) for side in shape.bounds]
    [1.34, -2.0, 28.66, 18.0]
    """
    checked_outline(outline, "shifted", "outline")
    along, across = as_length(x, "x", "shifted"), as_length(y, "y", "shifted")
    return outline.moved(
        Motion.shift(along, across).after(Motion.turn(as_angle(turned, "turned", "shifted")))
    )


def pierced(outline: Outline, *holes: Outline) -> Outline:
    """
    An outline less others, where one connected outline must be left: a plate's shape with its holes and notches.

    Parameters
    ----------
    outline : Outline
        What is cut from [mm].
    *holes : Outline
        What is taken out [mm].

    Returns
    -------
    Outline

    Raises
    ------
    InputError
        Nothing is left, or more than one region; or one of them is not an outline.

    Examples
    --------
    >>> shape = pierced(rectangle(60, 40, 5), disc(20), shifted(disc(8), x=22))
    >>> round(shape.area, 3)
    2014.115
    """
    for one in (outline, *holes):
        checked_outline(one, "pierced", "outline")
    pieces = cut(outline, *holes)
    if len(pieces) != 1:
        x0, y0, x1, y1 = outline.bounds
        left = f"{len(pieces)} pieces" if pieces else "nothing"
        what = f"leave {left} of an outline of {x1 - x0:.6g} x {y1 - y0:.6g} mm"
        raise InputError("pierced", "holes", len(holes), what, "make them smaller or move them")
    return pieces[0]
