"""Whether the two sides of a bend line intersect when it has been bent."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from formparts.body.frame import Frame, bend_frame
from formparts.clash import FoldedPiece as Solid
from formparts.clash import bend_pieces, first_clash
from formparts.planning.closing import Closing, closing_swing
from formparts.planning.feasible import MovedPart, pieces, placed, solid_cells
from formparts.planning.stand import PartModel, Stand, pose, swing

if TYPE_CHECKING:
    from formparts.planning.collide import Floats

FOLDED = 175.0
"""From this angle on, one side is folded onto the other instead of both being swung up alike [deg]."""

NEAR = 0.5
"""Flats and bends farther apart than this are not compared [mm]: bends are taken for their chords here."""


def meets_itself(model: PartModel, at: Stand, made: int) -> bool:
    """True when a flat or bend on one side of the line intersects one on the other once the line is bent."""
    near = list(_near_pairs(model, at, made))
    return any(_pair_meets(model, at, made, one, two) for one, two in near)


def _after(model: PartModel, at: Stand) -> dict[int, Frame]:
    """Return the positions of the two sides when the bend has its angle, over a die of zero size."""
    first = at.members[0]
    number, thickness = model.bend_of[first], model.body.sheet.thickness
    bend, allowance = model.body.bends[number], model.allowances[number]
    angle, radius = model.shape(number, 1 << first | 1 << number) or (bend.angle, bend.inside_radius)
    if angle >= FOLDED:
        closing = Closing(angle, 1, 0.0, 0.0, "")
        return dict(closing_swing(closing, angle, angle, radius, thickness, allowance).wings)
    return dict(swing(angle, radius, thickness, allowance, angle, _NoDie, 0.0).wings)


class _NoDie:
    """Both die shoulders are in one point: only the position of the sides to each other counts here."""

    shoulder = 0.0
    shoulder_radius = 0.0


def _near_pairs(model: PartModel, at: Stand, made: int) -> Iterator[tuple[MovedPart, MovedPart]]:
    """Flats and bends of both sides whose boxes meet."""
    import numpy as np

    wings, sides = _after(model, at), at.sides
    ones = [piece for piece in pieces(model, at) if sides[piece.flat] == 1]
    twos = [piece for piece in pieces(model, at) if sides[piece.flat] == -1]
    if not ones or not twos:
        return
    low, high = (
        np.array(ends) for ends in zip(*(_box(model, at, p, made, wings[1]) for p in ones), strict=True)
    )
    least, most = (
        np.array(ends) for ends in zip(*(_box(model, at, p, made, wings[-1]) for p in twos), strict=True)
    )
    near = (low[:, None] < most + NEAR).all(axis=-1) & (least < high[:, None] + NEAR).all(axis=-1)
    for one, two in zip(*np.nonzero(near), strict=True):
        yield ones[one], twos[two]


def _box(model: PartModel, at: Stand, piece: MovedPart, made: int, wing: Frame) -> tuple[Floats, Floats]:
    key = ("box", at.members, piece.name, made & piece.mask)
    if key not in model.memo:
        points = placed(solid_cells(model, at, piece, made), wing).reshape(-1, 3)
        model.memo[key] = points.min(axis=0), points.max(axis=0)
    found: tuple[Floats, Floats] = model.memo[key]
    return found


def _pair_meets(model: PartModel, at: Stand, made: int, one: MovedPart, two: MovedPart) -> bool:
    mask = one.mask | two.mask
    finished = not any(model.bend_of[member] == member and member in model.acute for member in at.members)
    if finished and made & mask == mask:
        return False  # as they are in the finished part, which is known to be clear of itself
    key = ("meet", at.members, one.name, two.name, made & mask)
    if key not in model.memo:
        wings, sides = _after(model, at), at.sides
        first, second = (_solids(model, at, piece, made, wings[sides[piece.flat]]) for piece in (one, two))
        model.memo[key] = first_clash(first, second) is not None
    found: bool = model.memo[key]
    return found


def _solids(model: PartModel, at: Stand, piece: MovedPart, made: int, wing: Frame) -> list[Solid]:
    """Return a flat or a bend in the form of the clash search; a bend with openings may be several."""
    frame = pose(model, at, piece.flat, made).inside(wing)
    half = model.body.sheet.thickness / 2.0
    if piece.name == piece.flat:
        flat = next(flat for flat in model.body.flats if flat.name == piece.name)
        return [Solid(piece.name, flat.net, frame, -half, half)]
    number = model.number[piece.name]
    bend = model.body.bends[number]
    shape = model.shape(number, made)
    if shape is not None:
        as_it_is = replace(bend, angle=shape[0], inside_radius=shape[1])
        return list(bend_pieces(as_it_is, frame, model.body.sheet.thickness))
    line, strip = frame.moved_in_plane(bend_frame(*bend.parent_line)), model.allowances[number]
    return [Solid(bend.name, left, line, -half, half) for left in bend.pieces(strip)]
