"""Openings through a flat: whatever is fused to it later, they stay open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from formparts.body import Body, Flat, bends_on, flat_rims
from formparts.errors import InputError
from formparts.outline import Outline, intersect, problem
from formparts.outline.edges import Motion
from formparts.shapes.naming import checked_name, refuse_doubles, wall_of


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
    wrong = problem(outline)
    if wrong is not None:
        raise InputError(name, "outline", name, wrong, "give a closed outline that does not cross itself")
    here = body.flat(flat) if flat else body.flats[0]
    shapes = [outline] if places is None else [outline.moved(place) for place in places]
    numbered = [name] if places is None else [f"{name}[{number + 1}]" for number in range(len(shapes))]
    for shape, called in zip(shapes, numbered, strict=True):
        if not intersect(here.outline, shape):
            raise InputError(
                called, "place", here.name, "misses the flat altogether", "move it onto the flat"
            )
    openings = tuple(wall_of(called, shape) for called, shape in zip(numbered, shapes, strict=True))
    opened = Flat(here.name, here.outline, here.openings + openings)
    flats = tuple(opened if old.name == here.name else old for old in body.flats)
    flat_rims(opened, bends_on(body, here.name))  # refuses an opening that eats into a bend
    return refuse_doubles(replace(body, flats=flats), "cut_opening")
