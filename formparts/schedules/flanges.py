"""How far a part reaches to both sides of a bend line on the blank."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from formparts.body import Body, laid_out
from formparts.body.frame import bend_frame, inverse
from formparts.layout import Blank
from formparts.outline import Outline


@dataclass(frozen=True)
class Reach:
    """
    How far a part reaches from a bend line on the blank.

    Parameters
    ----------
    sides : (float, float) [mm]
        All that lies beyond the bend on the parent's and on the child's side.
    flats : (float, float) [mm]
        The parent alone, and the child alone.
    """

    sides: tuple[float, float]
    flats: tuple[float, float]


def flange_reaches(body: Body, blank: Blank) -> dict[str, Reach]:
    """By the bend's name, how far the part and its two flats reach from the bend line."""
    laid = laid_out(body)
    pieces = {flat.name: flat.net.moved(laid[flat.name]) for flat in body.flats}
    beyond = hanging(body)
    reaches = {}
    for mark, bend in zip(blank.bends, body.bends, strict=True):
        back = inverse(bend_frame(mark.start, mark.end))
        across = {name: _across(piece.moved(back)) for name, piece in pieces.items()}
        far = beyond[bend.name]
        reaches[bend.name] = Reach(
            (
                _left(piece for name, piece in across.items() if name not in far),
                _right(piece for name, piece in across.items() if name in far),
            ),
            (_left([across[bend.parent]]), _right([across[bend.child]])),
        )
    return reaches


def _across(piece: Outline) -> tuple[float, float]:
    """From how far to the right of the line a piece reaches to how far to the left."""
    _, lowest, _, highest = piece.bounds
    return lowest, highest


def _left(reaches: Iterable[tuple[float, float]]) -> float:
    return max(highest for _, highest in reaches)


def _right(reaches: Iterable[tuple[float, float]]) -> float:
    return -min(lowest for lowest, _ in reaches)


def hanging(body: Body) -> dict[str, frozenset[str]]:
    """By the bend's name, all flats and bends that hang on it, beside itself."""
    on_flat: dict[str, set[str]] = {flat.name: {flat.name} for flat in body.flats}
    for bend in reversed(body.bends):
        on_flat[bend.parent] |= {bend.name, *on_flat[bend.child]}
    return {bend.name: frozenset(on_flat[bend.child]) for bend in body.bends}
