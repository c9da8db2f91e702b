"""Openings, through a flat or across everything there on the blank: they stay open whatever is fused later."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Literal, TypeAlias

from formparts.body import (
    Bend,
    Body,
    Flat,
    Opening,
    bends_on,
    developed_length,
    first_lost,
    flat_rims,
    laid_out,
)
from formparts.body.frame import bend_frame, inverse
from formparts.errors import InputError
from formparts.outline import Outline, intersect, problem, reaches_into
from formparts.outline.edge_rows import edge_rows
from formparts.outline.edges import Bounds, Motion, Point, boxes_meet
from formparts.outline.soundness import place_text
from formparts.quantities import length, shown_value
from formparts.shapes.naming import (
    checked_body,
    checked_name,
    checked_outline,
    refuse_doubles,
    refuse_uncuttable,
    wall_of,
)
from formparts.shapes.round_holes import RoundHole

On: TypeAlias = Literal["flat", "blank"]
Places: TypeAlias = "Point | Motion | Iterable[Point | Motion]"
"""One position or several, each a point or a motion in the plane of the flat."""


def cut_opening(
    body: Body,
    outline: Outline | RoundHole,
    flat: str = "",
    places: Places | None = None,
    name: str = "opening",
    on: On = "flat",
    after_bending: bool = False,
) -> Body:
    """
    Cut an opening, or one at each of several places, through a flat; or through the blank, bends and all.

    On the blank an opening may lie in a bend, cut into it or cross it, and what is left of the bend may be several
    strips. It is cut before bending and folded with the sheet: a circle stays a circle on the blank.

        on="flat"                   on="blank"
        +-----------+               +-----------+
        |   ( )     |               |           |
        |           |               |    ___    |
        +-----------+  bend line    +---(   )---+  bend line
        |           |               |    ---    |
        +-----------+               +-----------+

    Parameters
    ----------
    body : Body
        What it is cut in.
    outline : Outline or RoundHole
        Shape of the opening [mm], or what `countersunk`, `tapped` and their like give; where no places are given, in
        the coordinates of the flat.
    flat : str
        Name of the flat; the root flat when none is given. A plate has the coordinates of its outline, a flange those
        of `add_flange`: x along its bend line, y away from it.
    places : (x, y) [mm], Motion, or iterable of them
        Where each opening goes: points, or what `bolt_circle`, `grid` or `Motion.shift(x, y)` give.
    name : str
        Name of the opening; of several: `name[1]`, `name[2]`...
    on : "flat" or "blank"
        Through the flat alone, or through all that lies there when the part is laid out flat with this flat in its
        own coordinates.
    after_bending : bool
        It is drilled or cut in the bent part: the blank has a mark of it, and no cut.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        An opening misses the flat, cuts into one of its bends though it is to go through the flat alone, or cuts the
        part in several parts.

    Examples
    --------
    >>> angle = profile(Sheet(2, 2.5), 60, run(50, name="shelf"), up(90), run(40, name="wall"), name="angle")
    >>> body = cut_opening(angle, obround(16, 8), "angle.shelf", [(14, 20), (14, 40)], name="slot")
    >>> on = {
    ...     "flat": cut_opening(angle, disc(10), "angle.shelf", [(22, 30)]),
    ...     "blank": cut_opening(angle, disc(24), "angle.shelf", [(48, 30)], on="blank"),
    ... }
    """
    checked_name(name, "cut_opening")
    shape, feature = (outline.outline, outline.feature) if isinstance(outline, RoundHole) else (outline, None)
    checked_outline(shape, name, "opening")
    checked_body(body, name)
    if on not in ("flat", "blank"):
        raise InputError(
            name, "on", shown_value(on), "is not what an opening is cut in", 'give "flat" or "blank"'
        )
    if after_bending and on == "blank":
        fix = 'cut it in a flat, or leave out on="blank"'
        raise InputError(name, "after_bending", "True", "is not for what is cut in the blank", fix)
    here = body.flat(flat) if flat else body.flats[0]
    ways = [Motion()] if places is None else motions(places, name)
    shapes = [shape.moved(way) for way in ways]
    single = places is None or single_place(places)
    numbered = [name] if single else [f"{name}[{number + 1}]" for number in range(len(shapes))]
    openings = tuple(
        wall_of(called, shape, feature, after_bending) for called, shape in zip(numbered, shapes, strict=True)
    )
    cut = _cut_in_flat if on == "flat" else cut_in_blank
    return refuse_doubles(cut(body, here, openings, name), "cut_opening")


def _reaches(shape: Outline, outline: Outline) -> bool:
    """True when an opening removes something from an outline."""
    return boxes_meet(shape.bounds, outline.bounds) and (
        reaches_into(shape, outline) or bool(intersect(outline, shape))
    )


def _cut_in_flat(body: Body, here: Flat, openings: tuple[Opening, ...], name: str) -> Body:
    for opening in openings:
        if not _reaches(opening.outline, here.outline):
            raise _missing(opening, f"{here.name} altogether", here.outline.bounds)
    opened = replace(here, openings=here.openings + openings)
    lost = first_lost(opened, bends_on(body, here.name))
    if lost is not None:
        fix = 'move it away from the bend, make it smaller, or cut it across the bend: on="blank"'
        if any(_takes_whole(opening.outline, here, lost, body) for opening in openings):
            fix = (
                "make it smaller; where a lug is to reach into it, give it to the outline: plate(sheet, "
                "pierced(outline, opening)), and fuse the lug to that"
            )
        one, other = lost.parent_line if lost.parent == here.name else lost.child_line
        runs = f"which runs from {place_text(one)} to {place_text(other)} on {here.name}"
        raise InputError(name, "place", f"on {here.name}", f"cuts into the bend {lost.name}, {runs}", fix)
    refuse_uncuttable(opened, name, "place", f"on {here.name}")
    return replace(body, flats=tuple(opened if old.name == here.name else old for old in body.flats))


def _takes_whole(shape: Outline, here: Flat, lost: Bend, body: Body) -> bool:
    """True when an opening removes everything that carries a bend, like a window into which lugs are to reach."""
    line = next(bend.parent_line for bend in bends_on(body, here.name) if bend.name == lost.name)
    rows = edge_rows(shape)
    return all(rows.contains(end) for end in line)


def cut_in_blank(body: Body, here: Flat, openings: tuple[Opening, ...], name: str) -> Body:
    """Record the whole opening in each flat and bend that it reaches into, in the coordinates of that."""
    laid, missed = laid_out(body), dict.fromkeys(opening.name for opening in openings)
    flats, bends = [], []
    for flat in body.flats:
        here_in = inverse(laid[flat.name]).after(laid[here.name])
        taken = _taken(openings, here_in, (flat.outline,), missed)
        opened = replace(flat, openings=flat.openings + taken) if taken else flat
        flats.append(refuse_uncuttable(opened, name, "place", f"on {flat.name}") if taken else flat)
    for bend in body.bends:
        developed = developed_length(body.sheet, bend)
        at = laid[bend.parent].after(bend_frame(*bend.parent_line))
        taken = _taken(openings, inverse(at).after(laid[here.name]), (bend.strip(developed),), missed)
        bends.append(replace(bend, openings=bend.openings + taken, developed=developed) if taken else bend)
    if missed:
        lost = next(opening for opening in openings if opening.name in missed)
        raise _missing(lost, "the blank altogether", here.outline.bounds)
    return _still_whole(replace(body, flats=tuple(flats), bends=tuple(bends)), name)


def _taken(
    openings: tuple[Opening, ...], motion: Motion, pieces: Iterable[Outline], missed: dict[str, None]
) -> tuple[Opening, ...]:
    """Return the openings that reach into a flat or bend, in its coordinates, and mark them as found."""
    moved = [one.moved(motion) for one in openings]
    found = tuple(one for one in moved if any(_reaches(one.outline, piece) for piece in pieces))
    for one in found:
        missed.pop(one.name, None)
    return found


def _still_whole(body: Body, name: str) -> Body:
    """Check that every bend still meets its flats along straight edges, and that the rest of it can be cut."""
    for flat in body.flats:
        flat_rims(flat, bends_on(body, flat.name))
    for bend in body.bends:
        pieces = bend.nets if bend.openings else ()
        wrong = next((found for piece in pieces if (found := problem(piece))), None)
        if wrong:
            what = f"{bend.name} could not be cut: {wrong}"
            fix = "move it a little, or make it larger or smaller, so that nothing just touches there"
            raise InputError(name, "place", f"on {bend.name}", what, fix)
    return body


def motions(places: object, name: str) -> list[Motion]:
    """Return positions as motions in the plane."""
    listed = places if isinstance(places, Iterable) and not single_place(places) else [places]
    return [_motion(place, name) for place in listed]


def _motion(place: object, name: str) -> Motion:
    if isinstance(place, Motion):
        return place
    if isinstance(place, (tuple, list)) and single_place(place):
        return Motion.shift(length(place[0], "x", name), length(place[1], "y", name))
    fix = "give (x, y), Motion.shift(x, y), what bolt_circle or grid returned, or a list of these"
    raise InputError(name, "places", shown_value(place), "is not a place", fix)


def single_place(place: object) -> bool:
    """True for two lengths, as numbers, text or quantities."""
    if not isinstance(place, (tuple, list)) or len(place) != 2:
        return False
    return not any(isinstance(part, (Motion, tuple, list)) for part in place)


def _missing(opening: Opening, what: str, there: Bounds) -> InputError:
    """State the position of an opening that misses what it is to be cut in, and the position of that."""

    def said(box: Bounds) -> str:
        return f"x {box[0]:.6g} to {box[2]:.6g}, y {box[1]:.6g} to {box[3]:.6g} mm"

    fix = f"move it onto the flat, whose own coordinates run over {said(there)}"
    return InputError(opening.name, "place", said(opening.outline.bounds), f"misses {what}", fix)
