"""Proof of a developed skin: its loops enclose the area of its faces."""

from __future__ import annotations

import math

from formparts.errors import InputError
from formparts.layout import Blank
from formparts.tolerances import FOLLOWED, SAME_PLACE
from formparts.unfolder.develop import Developed
from formparts.unfolder.limits import NARROWEST
from formparts.unfolder.pieces import hinges_at
from formparts.unfolder.placing import BendMap, ConeMap, is_upward
from formparts.unfolder.sewing import area_of
from formparts.unfolder.skins import SheetSkins


def require_covered(sheet: SheetSkins, skin: Developed) -> None:
    """Refuse a skin whose loops on the blank enclose another area than its faces have.

    Two methods: the lines and arcs of the blank, and the areas of the faces in space, those of bends in the ratio in
    which they are rolled out. A cone has no such ratio, as its neutral fibre lies off its face: not looked at.
    """
    if any(isinstance(where, ConeMap) for where in skin.maps.values()):
        return
    covered = math.fsum(_covered(sheet, skin, piece) for piece in skin.maps)
    edges = [edge for loop in skin.loops for edge in loop.edges]
    enclosed = area_of(edges, edges[0].start)
    followed = math.fsum(edge.length for run in skin.runs if not run.exact for edge in run.traced)
    length = math.fsum(edge.length for edge in edges)
    if abs(enclosed - covered) > SAME_PLACE * length + FOLLOWED * followed:
        raise InputError(
            sheet.part.name,
            "blank",
            f"{enclosed:.9g} mm2",
            f"is not what the faces of the solid cover when they are rolled out ({covered:.9g} mm2): an edge of the "
            "solid does not lie on its face, or cannot be followed",
            "save the part anew from where it was made, with exact edges",
        )


def _strip_area(skin: Developed, piece: int) -> float:
    """Return the area of the strip of a crease [mm2], negative where its flats overlap."""
    where = skin.maps[piece]
    found = skin.net.pieces[piece]
    assert isinstance(where, BendMap)
    assert found.round is not None
    edge = skin.part.edges[hinges_at(skin.net)[piece][0].edge]
    size = math.dist(skin.part.points[edge.start], skin.part.points[edge.end])
    return (
        size * 2.0 * found.round.half_rad * (where.stretch if is_upward(found, skin.side) else -where.stretch)
    )


def _covered(sheet: SheetSkins, skin: Developed, piece: int) -> float:
    """Return the area of one flat or bend on the blank [mm2]."""
    found, where = skin.net.pieces[piece], skin.maps[piece]
    if not found.faces:  # a crease has no face, but a strip, or the overlap of its flats
        return _strip_area(skin, piece)
    area = math.fsum(sheet.areas[face] for face in found.faces)
    return area * abs(where.stretch) / found.radius if isinstance(where, BendMap) and found.faces else area


def require_wide(name: str, thickness: float, blank: Blank) -> None:
    """Refuse a part about as thick as it is wide: it was sawn, milled or coiled, not cut from sheet."""
    wide, long = sorted((blank.length, blank.width))
    if wide < NARROWEST * thickness:
        raise InputError(
            name,
            "thickness",
            f"{thickness:.6g} mm",
            f"is not that of a sheet: the blank would be {long:.5g} x {wide:.5g} mm, a block, bar or wire",
            f"a blank is at least {NARROWEST:g} thicknesses wide; order it as bar, or machined",
        )
