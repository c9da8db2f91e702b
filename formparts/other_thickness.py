"""The same part from another sheet: its outside or its inside dimensions are kept."""

from __future__ import annotations

import math
from dataclasses import replace

from formparts.arguments import takes
from formparts.body import Bend, Body, Flat, Sheet
from formparts.body.bends import BendLine
from formparts.errors import InputError
from formparts.outline import closed_path, cut, unite
from formparts.quantities import LengthLike, shown_value
from formparts.tolerances import LENGTH

KEPT = ("outside", "inside")
FURTHEST = 90.0
"""
A bend that turns further is dimensioned to the tangent of its outside, as one of this angle [deg].

Source: DIN 6935, which dimensions bends over 90 deg so.
"""


@takes(body="Body")
def with_thickness(body: Body, thickness: LengthLike, keep: str = "outside") -> Body:
    """
    Return the same part bent from a sheet of another thickness.

    Inside radii and angles stay. Inside dimensions stay when the flats do; outside dimensions stay when each flat
    gains at each of its bends (old - new thickness) x tan(angle / 2), the difference of the two setbacks.

    Parameters
    ----------
    body : Body
        The part.
    thickness : float [mm]
        Of the other sheet.
    keep : "outside" or "inside"
        Which dimensions of the folded part stay.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The thickness is outside its limits, a bend has an opening across it, or a flat is too short for its bends.
    """
    if keep not in KEPT:
        fix = "outside or inside is allowed"
        raise InputError(body.name, "keep", shown_value(keep), "there is no such choice", fix)
    old = body.sheet
    sheet = Sheet(thickness, old.inside_radius, old.material, old.bend_rule)
    thinner = old.thickness - sheet.thickness if keep == "outside" else 0.0
    if abs(thinner) <= LENGTH:
        return replace(body, sheet=sheet)
    flats = tuple(_lengthened(body, flat, thinner) for flat in body.flats)
    return replace(body, sheet=sheet, flats=flats, bends=tuple(_moved(body, b, thinner) for b in body.bends))


def _gain(bend: Bend, thinner: float) -> float:
    """What a flat gains at a bend [mm]; negative in a thicker sheet."""
    return thinner * math.tan(math.radians(min(bend.angle, FURTHEST)) / 2.0)


def _lengthened(body: Body, flat: Flat, thinner: float) -> Flat:
    """A flat with a strip put on, or taken off, at each of its bends."""
    outline = flat.outline
    for bend in body.bends:
        for line, name, away in ((bend.parent_line, bend.parent, 1.0), (bend.child_line, bend.child, -1.0)):
            if name != flat.name:
                continue
            (x0, y0), (x1, y1) = line
            (x2, y2), (x3, y3) = _shifted(line, away * _gain(bend, thinner))
            strip = closed_path((x0, y0), (x1, y1), (x3, y3), (x2, y2))
            pieces = unite(outline, strip) if thinner > 0.0 else cut(outline, strip)
            if len(pieces) != 1:
                problem = f"leaves nothing of {flat.name} beside {bend.name}"
                fix = "keep the inside dimensions, or take a thickness nearer to its own"
                raise InputError(body.name, "thickness", body.sheet.thickness - thinner, problem, fix, "mm")
            (outline,) = pieces
    return replace(flat, outline=outline)


def _moved(body: Body, bend: Bend, thinner: float) -> Bend:
    """A bend whose tangent lines have moved with the edges of its flats."""
    if bend.openings:
        problem = f"an opening goes across {bend.name}, and is drawn for its developed length"
        fix = "keep the thickness, or cut the opening anew"
        raise InputError(body.name, "thickness", body.sheet.thickness - thinner, problem, fix, "mm")
    by = _gain(bend, thinner)
    return replace(
        bend, parent_line=_shifted(bend.parent_line, by), child_line=_shifted(bend.child_line, -by)
    )


def _shifted(line: BendLine, by: float) -> BendLine:
    """A line moved to its right by a length."""
    (x0, y0), (x1, y1) = line
    size = math.dist(*line)
    right = (by * (y1 - y0) / size, by * (x0 - x1) / size)
    return ((x0 + right[0], y0 + right[1]), (x1 + right[0], y1 + right[1]))
