"""Openings in bends: cut in the blank and folded with it, so dimensioned on the blank, from a bend line.

Each is listed with the first of the bends that it lies in, in the axes of that bend: u along the bend line
from its start, v square to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from formparts.body import Bend, Body, Flat, Opening, developed_length, laid_out, rims
from formparts.body.frame import bend_frame, inverse
from formparts.drawings.measuring import FlatEdge, Measured
from formparts.errors import InputError
from formparts.outline import Motion, Outline

Cut = tuple[str, Outline, tuple[str, ...]]
"""An opening by its name, in the axes of a bend, and the flats and bends that it crosses."""


def crossing(body: Body) -> dict[str, str]:
    """Return the first bend of each opening that lies in bends, by the opening's name."""
    found: dict[str, str] = {}
    for bend in body.bends:
        for opening in bend.openings:
            found.setdefault(opening.name, bend.name)
    return found


def without_crossing(body: Body) -> Body:
    """Return the part without the openings that lie in bends; unchanged where bends hang on the walls of those."""
    names = crossing(body)
    if not names:
        return body
    flats = tuple(
        replace(flat, openings=tuple(one for one in flat.openings if one.name not in names))
        for flat in body.flats
    )
    found = replace(body, flats=flats, bends=tuple(bend.uncut() for bend in body.bends))
    try:
        rims(found)
    except InputError:
        return body
    return found


def gone_through(body: Body, name: str) -> tuple[str, ...]:
    """Return the flats and bends that an opening crosses."""
    pieces: tuple[Flat | Bend, ...] = (*body.flats, *body.bends)
    return tuple(piece.name for piece in pieces if any(one.name == name for one in piece.openings))


def measured_bends(body: Body) -> Iterator[Measured]:
    """Return each bend that openings are dimensioned from, in its axes, with those openings."""
    first = crossing(body)
    for bend in body.bends:
        own = [one for one in bend.openings if first[one.name] == bend.name]
        if own:
            raised = Motion.shift(0.0, bend.developed / 2.0)
            loops = tuple(
                tuple(FlatEdge(edge) for edge in one.outline.outer.moved(raised).reversed().edges)
                for one in own
            )
            yield Measured(bend.name, None, loops, raised, across=bend.name)


def on_the_blank(body: Body, bend: str) -> Motion:
    """Return the transformation from the axes of a bend to the coordinates of the blank."""
    return _placed(body, laid_out(body), bend)


def _placed(body: Body, laid: Mapping[str, Motion], name: str) -> Motion:
    bend = next(one for one in body.bends if one.name == name)
    low = Motion.shift(0.0, -developed_length(body.sheet, bend) / 2.0)
    return laid[bend.parent].after(bend_frame(*bend.parent_line)).after(low)


def with_crossing(body: Body, cuts: Iterable[tuple[str, Cut]]) -> Body:
    """Return a part with openings cut in its bends, each given in the axes of a bend."""
    laid = laid_out(body)
    bends = {bend.name: replace(bend) for bend in body.bends}
    flats: dict[str, Flat] = {flat.name: flat for flat in body.flats}
    for about, (name, outline, through) in cuts:
        blank = outline.moved(_placed(body, laid, about))
        for piece in through:
            if piece in flats:
                own = Opening(name, blank.moved(inverse(laid[piece])))
                flats[piece] = replace(flats[piece], openings=(*flats[piece].openings, own))
                continue
            bend = bends[piece]
            developed = developed_length(body.sheet, bend)
            strip = laid[bend.parent].after(bend_frame(*bend.parent_line))
            own = Opening(name, blank.moved(inverse(strip)))
            bends[piece] = replace(bend, openings=(*bend.openings, own), developed=developed)
    return replace(body, flats=tuple(flats.values()), bends=tuple(bends.values()))
