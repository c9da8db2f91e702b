"""Openings through a flat: whatever is fused to it later, they stay open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from formparts.body import Body, Flat, bends_on, first_lost
from formparts.errors import InputError
from formparts.outline import Outline, intersect, reaches_into
from formparts.outline.edges import Motion
from formparts.quantities import shown_value
from formparts.shapes.naming import (
    checked_body,
    checked_name,
    checked_outline,
    refuse_doubles,
    refuse_uncuttable,
    wall_of,
)


def cut_opening(
    body: Body,
    outline: Outline,
    flat: str = "",
    places: Iterable[Motion] | None = None,
    name: str = "opening",
) -> Body:
    """
    Cut an opening, or one at each of several places, through a flat.

    Parameters
    ----------
    body : Body
        What it is cut in.
    outline : Outline
        Shape of the opening [mm]; in the flat's own coordinates when no places are given.
    flat : str
        Name of the flat; the root flat when none is given.
    places : iterable of Motion or None
        Where each opening goes, from `bolt_circle`, `grid` or `Motion.shift(x, y)`.
    name : str
        Name of the opening; of several: `name[1]`, `name[2]`...

    Returns
    -------
    Body

    Raises
    ------
    InputError
        An opening misses the flat, cuts into one of its bends, or cuts the flat in pieces.
    """
    checked_name(name, "cut_opening")
    checked_outline(outline, name, "opening")
    checked_body(body, name)
    here = body.flat(flat) if flat else body.flats[0]
    shapes = [outline] if places is None else [outline.moved(place) for place in _motions(places, name)]
    numbered = [name] if places is None else [f"{name}[{number + 1}]" for number in range(len(shapes))]
    for shape, called in zip(shapes, numbered, strict=True):
        if not (reaches_into(shape, here.outline) or intersect(here.outline, shape)):
            raise _missing(called, shape, here)
    openings = tuple(wall_of(called, shape) for called, shape in zip(numbered, shapes, strict=True))
    opened = Flat(here.name, here.outline, here.openings + openings)
    flats = tuple(opened if old.name == here.name else old for old in body.flats)
    lost = first_lost(opened, bends_on(body, here.name))
    if lost is not None:
        fix = (
            "move it away from the bend, make it smaller, or where a lug is to reach into it, give it to the outline: "
            "plate(sheet, pierced(outline, opening)), and fuse the lug to that"
        )
        raise InputError(name, "place", f"on {here.name}", f"cuts into the bend {lost.name}", fix)
    refuse_uncuttable(opened, name, "place", f"on {here.name}")
    return refuse_doubles(replace(body, flats=flats), "cut_opening")


def _motions(places: object, name: str) -> list[Motion]:
    """Places as motions in the plane."""
    found: list[Motion] = []
    for place in places if isinstance(places, Iterable) else [places]:
        if not isinstance(place, Motion):
            fix = "give a list of Motion.shift(x, y), or what bolt_circle or grid returned"
            raise InputError(name, "places", shown_value(place), "is not a place", fix)
        found.append(place)
    return found


def _missing(called: str, shape: Outline, flat: Flat) -> InputError:
    """Say where an opening lies that misses its flat, and where the flat is."""

    def said(box: tuple[float, float, float, float]) -> str:
        return f"x {box[0]:.6g} to {box[2]:.6g}, y {box[1]:.6g} to {box[3]:.6g} mm"

    fix = f"move it onto the flat, whose own coordinates run over {said(flat.outline.bounds)}"
    return InputError(called, "place", said(shape.bounds), f"misses {flat.name} altogether", fix)
