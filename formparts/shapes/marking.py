"""Marks on a flat and features formed in it: lettering, outlines, beads, dimples and louvres."""

from __future__ import annotations

from dataclasses import dataclass, replace

from formparts.body import Body, Flat, Mark
from formparts.body.hole_features import Face
from formparts.body.marks import MarkKind
from formparts.errors import InputError
from formparts.outline import Motion, Outline, Point, cut, disc, obround, outline_of, rectangle
from formparts.outline.edge_rows import edge_rows
from formparts.quantities import POSITIVE, LengthLike, length, shown_value
from formparts.shapes.letters import lines_of
from formparts.shapes.naming import checked_body, checked_name, checked_outline, refuse_doubles
from formparts.shapes.openings import Places, motions, single_place
from formparts.shapes.round_holes import checked_face
from formparts.short_repr import short_repr


@short_repr
@dataclass(frozen=True)
class MarkShape:
    """A mark or formed feature, about the origin; `add_mark` puts it on a flat.

    Parameters
    ----------
    kind : "marking", "bead", "dimple" or "louvre"
        What it is.
    words : str
        As a drawing says it.
    outline : Outline or None
        Its outline [mm].
    lines : tuple of tuple of (x, y) [mm]
        The lines of its letters.
    height : float [mm]
        Height above the sheet; 0 for a marking.
    """

    kind: MarkKind
    words: str
    outline: Outline | None = None
    lines: tuple[tuple[Point, ...], ...] = ()
    height: float = 0.0


def lettering(text: str, height: LengthLike = 5.0) -> MarkShape:
    """
    A row of text in letters of single lines, as a laser or a scriber marks it.

    Parameters
    ----------
    text : str
        Capitals, figures and a few signs; small letters are written as capitals. A part number may come from a
        parameter of the recipe.
    height : length [mm]
        Of the capitals.

    Returns
    -------
    MarkShape

    Raises
    ------
    InputError
        There is nothing to write, one of the letters is not in the alphabet, or the height is out of its limits.

    Examples
    --------
    >>> len(lettering("L 1").lines)
    3
    >>> base = plate(Sheet(2, 2), rectangle(60, 30), "base")
    >>> body = add_mark(base, lettering("L 1", 8), "base", (-10, -4), name="number")
    """
    tall = length(height, "height", "lettering", POSITIVE)
    if not isinstance(text, str) or not text.strip():
        raise InputError("lettering", "text", shown_value(text), "is nothing to write", "give a line of text")
    return MarkShape("marking", text, lines=lines_of(text, tall))


def dimple(diameter: LengthLike, height: LengthLike) -> MarkShape:
    """
    A round dimple that is pressed out of the sheet; it is on the blank and the drawing, and not in the solid.

    Parameters
    ----------
    diameter : length [mm]
        Where it leaves the sheet.
    height : length [mm]
        Height above the sheet.

    Returns
    -------
    MarkShape

    Raises
    ------
    InputError
        A length is not above 0.

    Examples
    --------
    >>> base = plate(Sheet(2, 2.5), rectangle(60, 40, corner_radius=5), name="base")
    >>> body = add_mark(base, dimple(8, 1.5), places=[(-15, 0), (15, 0)], name="dimple")
    """
    wide, tall = (
        length(diameter, "diameter", "dimple", POSITIVE),
        length(height, "height", "dimple", POSITIVE),
    )
    return MarkShape("dimple", f"dimple of {wide:.6g} mm, {tall:.6g} mm high", disc(wide), height=tall)


def bead(overall: LengthLike, width: LengthLike, height: LengthLike) -> MarkShape:
    """
    A straight stiffening bead with round ends, along the x axis; on the blank and the drawing, not in the solid.

    Parameters
    ----------
    overall : length [mm]
        Length over its round ends.
    width : length [mm]
        Where it leaves the sheet.
    height : length [mm]
        Height above the sheet.

    Returns
    -------
    MarkShape

    Raises
    ------
    InputError
        A length is not above 0, or it is no longer than wide.

    Examples
    --------
    >>> base = plate(Sheet(2, 2.5), rectangle(60, 40, corner_radius=5), name="base")
    >>> body = add_mark(base, bead(40, 8, 2), name="bead")
    """
    long, wide = length(overall, "overall", "bead", POSITIVE), length(width, "width", "bead", POSITIVE)
    tall = length(height, "height", "bead", POSITIVE)
    if long <= wide:
        raise InputError(
            "bead", "overall", long, f"is no more than its width of {wide:.6g} mm", "make it longer", "mm"
        )
    return MarkShape(
        "bead", f"bead {long:.6g} x {wide:.6g} mm, {tall:.6g} mm high", obround(long, wide), height=tall
    )


def louvre(slit: LengthLike, width: LengthLike, height: LengthLike) -> MarkShape:
    """
    A louvre, slit along one side and pressed out by its tool; on the blank and the drawing, and not in the solid.

    Parameters
    ----------
    slit : length [mm]
        Length of its slit, along the x axis.
    width : length [mm]
        Across.
    height : length [mm]
        Height above the sheet.

    Returns
    -------
    MarkShape

    Raises
    ------
    InputError
        A length is not above 0.

    Examples
    --------
    >>> base = plate(Sheet(2, 2.5), rectangle(60, 40, corner_radius=5), name="base")
    >>> body = add_mark(base, louvre(30, 8, 4), name="louvre")
    """
    long, wide = length(slit, "slit", "louvre", POSITIVE), length(width, "width", "louvre", POSITIVE)
    tall = length(height, "height", "louvre", POSITIVE)
    words = f"louvre {long:.6g} x {wide:.6g} mm, {tall:.6g} mm high"
    return MarkShape("louvre", words, rectangle(long, wide), height=tall)


def add_mark(
    body: Body,
    shape: MarkShape | Outline,
    flat: str = "",
    places: Places | None = None,
    name: str = "mark",
    face: Face = "upper",
) -> Body:
    """
    Mark a flat, or form a feature in it: it is on the blank, in the JSON and on the drawing, and not in the solid.

    Parameters
    ----------
    body : Body
        What is marked.
    shape : MarkShape or Outline
        What `lettering`, `bead`, `dimple` and `louvre` give, or an outline [mm] that is to be marked.
    flat : str
        Name of the flat; the root flat when none is given.
    places : (x, y) [mm], Motion, or iterable of them
        Where the middle of each goes, in the coordinates of the flat; the origin when none is given.
    name : str
        Name of the mark; of several: `name[1]`, `name[2]`...
    face : "upper" or "lower"
        The face that is marked, or from which it projects; letters read from there.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        It runs over an edge or an opening of the flat, or there is no such flat or face.

    Examples
    --------
    >>> base = plate(Sheet(2, 2.5), rectangle(60, 40, corner_radius=5), name="base")
    >>> body = add_mark(base, lettering("CP-5", 6), places=(0, 8), name="number")
    >>> [mark.name for mark in body.flats[0].marks]
    ['number']
    """
    checked_name(name, "add_mark")
    checked_body(body, name)
    made = shape if isinstance(shape, MarkShape) else MarkShape("marking", f"outline {name}", shape)
    if made.outline is not None:
        checked_outline(made.outline, name, "mark")
    here = body.flat(flat) if flat else body.flats[0]
    ways = [Motion()] if places is None else motions(places, name)
    single = places is None or single_place(places)
    names = [name] if single else [f"{name}[{number + 1}]" for number in range(len(ways))]
    side = checked_face(face, name)
    marks = tuple(_placed(made, called, side, way) for called, way in zip(names, ways, strict=True))
    for mark in marks:
        _refuse_beyond(mark, here)
    marked = replace(here, marks=here.marks + marks)
    flats = tuple(marked if old.name == here.name else old for old in body.flats)
    return refuse_doubles(replace(body, flats=flats), "add_mark")


def _placed(shape: MarkShape, name: str, face: Face, way: Motion) -> Mark:
    """Return the mark in position; on the lower face letters are reversed, so that they read from there."""
    sense = 1.0 if face == "upper" else -1.0
    lines = tuple(tuple((sense * x, y) for x, y in line) for line in shape.lines)
    loops = () if shape.outline is None else shape.outline.loops
    return Mark(name, shape.kind, shape.words, face, loops, lines, height=shape.height).moved(way)


def _refuse_beyond(mark: Mark, flat: Flat) -> None:
    rows = edge_rows(flat.net)
    beyond = any(cut(outline_of([loop]), flat.net) for loop in mark.loops[:1])
    if beyond or not all(rows.contains(point) for line in mark.lines for point in line):
        x, y = mark.middle
        fix = "move it onto the sheet, or make it smaller"
        raise InputError(
            mark.name, "place", f"({x:.6g}, {y:.6g}) mm", f"runs over an edge of {flat.name}", fix
        )
