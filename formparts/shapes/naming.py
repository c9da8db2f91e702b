"""Names of flats, bends, openings and edges: from the recipe's own words, the same whatever the parameters."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

from formparts.body import Bend, Body, Flat, HoleFeature, Opening, Sheet
from formparts.errors import InputError
from formparts.outline import Outline, problem
from formparts.quantities import shown_value
from formparts.tolerances import LONGEST


def named_flat(name: str, outline: Outline, where: str, openings: tuple[Opening, ...] = ()) -> Flat:
    """A flat whose edges carry its name; an outline that cannot be cut is refused."""
    checked_outline(outline, where, name)
    return Flat(name, outline.retagged(lambda tag: f"{name}.{tag}" if tag else name), openings)


def all_tagged(outline: Outline, tag: str) -> Outline:
    """Return the outline with one name for all its edges."""
    return outline.retagged(lambda _: tag)


def wall_of(
    name: str, outline: Outline, feature: HoleFeature | None = None, after_bending: bool = False
) -> Opening:
    """Return an opening whose edges carry its name."""
    return Opening(name, all_tagged(outline, f"{name}.wall"), feature, after_bending)


def checked_outline(outline: object, where: str, name: str) -> Outline:
    """Return an outline that can be cut, within the largest size of a part."""
    if not isinstance(outline, Outline):
        fix = "make one with rectangle, disc, polygon..."
        raise InputError(where, "outline", shown_value(outline), "is not an outline", fix)
    far = max(abs(figure) for figure in outline.bounds)
    if not far <= LONGEST:
        problem_ = f"reaches {far:.6g} mm from its origin"
        raise InputError(where, "outline", name, problem_, f"no part is larger than {LONGEST:.6g} mm")
    wrong = problem(outline)
    if wrong is not None:
        raise InputError(where, "outline", name, wrong, "give a closed outline that does not cross itself")
    return outline


def refuse_uncuttable(flat: Flat, where: str, parameter: str, value: str) -> Flat:
    """Refuse a flat whose edges touch in a point, or are too short, before the kernel gets it."""
    wrong = problem(flat.net)
    if wrong is not None:
        what = f"{flat.name} could not be cut: {wrong}"
        fix = "move it a little, or make it larger or smaller, so that nothing just touches there"
        raise InputError(where, parameter, value, what, fix)
    return flat


def at_least(taken: float) -> str:
    """Return the least length, to a thousandth, that leaves a shortest edge besides what is removed: `14.002 mm`."""
    return f"{math.ceil(taken * 1000.0 + 1.001) / 1000.0:.12g} mm"


def checked_sheet(sheet: object, where: str) -> Sheet:
    """A sheet, and nothing else."""
    if not isinstance(sheet, Sheet):
        fix = "make one with Sheet(thickness, inside_radius, material, bend_rule)"
        raise InputError(where, "sheet", shown_value(sheet), "is not a sheet", fix)
    return sheet


def checked_body(body: object, where: str) -> Body:
    """A body, and nothing else."""
    if not isinstance(body, Body):
        fix = "give what plate, profile, tongue, offset_lug or fuse returned"
        many = "is more than one body" if isinstance(body, (tuple, list)) else "is not a body"
        raise InputError(where, "body", shown_value(body), many, fix)
    return body


def checked_name(name: object, where: str) -> str:
    """Return a name that is valid in a file name, a schedule and a STEP file."""
    if not isinstance(name, str) or not name.strip() or not name.isprintable() or len(name) > 80:
        raise InputError(
            where, "name", shown_value(name), "is not a name", "give up to 80 printable characters"
        )
    if re.search(r"'\s*[),]", name):
        problem = "holds a quote before a bracket or a comma, where the solid kernel's reader thinks it ends"
        raise InputError(where, "name", shown_value(name), problem, "leave the quote away")
    return name


def renamed(body: Body, name: str) -> Body:
    """
    The same body under another name; the names of its flats, bends and openings follow.

    Parameters
    ----------
    body : Body
        Any body.
    name : str
        Its new name. What began with the old one now begins with the new one; what had a name of its own now has
        the new one before it (`flange` of a body renamed `left` becomes `left.flange`).

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The name is empty or not printable, or what is named is not a body.

    Examples
    --------
    >>> lug = tongue(Sheet(2, 2.5), 30, 16, hole=hole(7), name="lug")
    >>> [opening.name for opening in renamed(lug, "left").flats[0].openings]
    ['left.hole']
    """
    old, new = checked_body(body, "renamed").name, checked_name(name, "renamed")
    if new == old:
        return body

    def follow(text: str) -> str:
        if text == old or text.startswith(f"{old}."):
            return new + text[len(old) :]
        return f"{new}.{text}" if text else text

    flats = tuple(flat.retagged(follow) for flat in body.flats)
    bends = tuple(_bend_renamed(bend, follow) for bend in body.bends)
    return replace(body, name=new, flats=flats, bends=bends)


def _bend_renamed(bend: Bend, follow: Callable[[str], str]) -> Bend:
    openings = tuple(one.retagged(follow) for one in bend.openings)
    names = [follow(name) for name in (bend.name, bend.parent, bend.child)]
    return replace(bend, name=names[0], parent=names[1], child=names[2], openings=openings)


def refuse_doubles(body: Body, where: str) -> Body:
    """Return the body if no name occurs twice in it."""
    double = [name for name, count in Counter(body.names).items() if count > 1]
    if double:
        raise InputError(
            where,
            "name",
            double[0],
            "is the name of more than one piece",
            "give each body or opening a name of its own (name=, or renamed(body, name))",
        )
    return body
