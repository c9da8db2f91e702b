"""Openings across bends: removed from a body before its recipe is written, and cut in its blank at the end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from formparts.body import Body, Frame, Opening, frames, laid_out
from formparts.body.frame import bend_frame
from formparts.outline import Loop
from formparts.outline.edges import Motion, Point

Crossing = tuple[str, Opening]
"""An opening across bends, with the flat in whose coordinates it is."""


def apart(body: Body) -> tuple[Body, list[Crossing]]:
    """Return a body without its openings across bends, and these, each once."""
    crossing = dict(_crossing(body))
    flats = tuple(
        replace(flat, openings=tuple(one for one in flat.openings if one.name not in crossing))
        for flat in body.flats
    )
    bends = tuple(bend.uncut() for bend in body.bends)
    return replace(body, flats=flats, bends=bends), list(crossing.values())


def _crossing(body: Body) -> Iterator[tuple[str, Crossing]]:
    """Return these openings by name: each is recorded whole in every bend that it crosses."""
    for bend in body.bends:
        on_parent = bend_frame(*bend.parent_line)
        for opening in bend.openings:
            yield opening.name, (bend.parent, opening.moved(on_parent))


def on_root_of(here: Body, there: Body, crossing: Sequence[Crossing]) -> list[Loop]:
    """Return openings of a part in the coordinates of its root as now drawn, laid flat."""
    placed, was, laid = frames(here), frames(there), laid_out(here)
    return [
        opening.outline.outer.moved(laid[flat].after(_between(was[flat], placed[flat])))
        for flat, opening in crossing
    ]


def _between(one: Frame, other: Frame) -> Motion:
    """Return the motion from the coordinates of a flat to those of the same flat drawn otherwise."""

    def seen(place: Point) -> Point:
        x, y, _ = other.local(one.point(place))
        return x, y

    return bend_frame(seen((0.0, 0.0)), seen((1.0, 0.0)))
