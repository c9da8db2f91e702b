"""Joining bodies whose flats lie in one plane and overlap or touch."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TypeAlias

from formparts.body import Bend, Body, Flat, Mark, Opening, Sheet, bends_on, first_lost, frames
from formparts.body.fitting import fitted
from formparts.body.frame import Frame, Vector, dot
from formparts.errors import InputError
from formparts.outline import Outline, common_edges, intersect, reaches_into, unite
from formparts.outline.edges import Motion, boxes_meet
from formparts.quantities import shown_value
from formparts.shapes.gaps import Placed, in_one_plane, laid_on, no_meeting
from formparts.shapes.moves import turned_over
from formparts.shapes.naming import checked_name, refuse_doubles, refuse_uncuttable
from formparts.shapes.tree import rooted
from formparts.tolerances import LENGTH, SHORTEST_EDGE

Bodies: TypeAlias = Body | Iterable["Bodies"]
Ball: TypeAlias = tuple[Vector, float]
"""Middle and radius."""


@dataclass(frozen=True)
class _Fit:
    """A flat of a new body in the plane of a flat of the part, and the motion from the one to the other."""

    host: str
    guest: Body
    laid: Motion
    outline: Outline


def fuse(*bodies: Bodies, name: str = "") -> Body:
    """
    Join bodies into one part: flats that lie in one plane and overlap or touch along an edge become one flat.

    Outlines are united exactly; what hung on each flat by a bend hangs on the united one. Openings stay open.
    Where the faces of two flats look opposite ways, the second body is described from its other side.

    Parameters
    ----------
    *bodies : Body, or iterables of Body
        The first is the part that the others are joined to; order does not matter for the others.
    name : str
        Name of the part; that of the first body when none is given.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The sheets differ, a body meets none of the others (the error states the gap or the height difference), two
        bodies meet in more than one flat, or a bend ends up inside a flat.

    Examples
    --------
    >>> base = plate(Sheet(2, 2.5), rectangle(60, 40), name="base")
    >>> ear = translate(tongue(Sheet(2, 2.5), 30, 16, hole=hole(7), name="ear"), (20, 0, 0))
    >>> body = fuse(base, ear, name="base_with_ear")
    >>> [flat.name for flat in body.flats]
    ['base']
    """
    first, *others = _checked(bodies)
    if name:
        checked_name(name, "fuse")
    for other in others:
        _same_sheet(first, other)
    part = _Joined(first)
    waiting = others
    while waiting:
        left = [body for body in waiting if not part.took(body)]
        if len(left) == len(waiting):
            raise no_meeting(part.placed(), left[0])
        waiting = left
    return refuse_doubles(replace(part.united(), name=name or first.name), "fuse")


def _checked(bodies: tuple[Bodies, ...]) -> list[Body]:
    """Return all bodies in one list, at least one."""
    found = list(_listed(bodies))
    if not found:
        raise InputError("fuse", "bodies", "none", "there is nothing to join", "give two bodies or more")
    return found


def _listed(bodies: Bodies) -> Iterator[Body]:
    if isinstance(bodies, Body):
        yield bodies
        return
    if isinstance(bodies, str) or not isinstance(bodies, Iterable):
        raise InputError(
            "fuse", "bodies", shown_value(bodies), "is not a body", "give bodies or lists of bodies"
        )
    for item in bodies:
        yield from _listed(item)


def _same_sheet(first: Body, other: Body) -> None:
    if first.sheet == other.sheet:
        return
    one, two = _sheet_words(first.sheet), _sheet_words(other.sheet)
    word = next((word for word in one if one[word] != two[word]), "sheet")
    raise InputError(
        "fuse",
        f"{word} of {other.name}",
        two.get(word, "another"),
        f"that of {first.name} is {one.get(word, 'not the same')}",
        "a part is cut from one sheet: make both of the same Sheet; a bend may have a radius of its own",
    )


def _sheet_words(sheet: Sheet) -> dict[str, str]:
    """Return a sheet as text."""
    return {
        "thickness": f"{sheet.thickness:.12g} mm",
        "inside_radius": f"{sheet.inside_radius:.12g} mm",
        "material": f"{sheet.material.name}, {sheet.material.density:g} kg/m3",
        "bend_rule": str(sheet.bend_rule),
    }


class _Joined:
    """A part that grows body by body; its outlines are united once, at the end."""

    def __init__(self, first: Body) -> None:
        self.body = first
        self.frames = frames(first)
        self.outlines: dict[str, list[tuple[str, Outline]]] = {
            flat.name: [(flat.name, flat.outline)] for flat in first.flats
        }
        self.openings: dict[str, list[Opening]] = {flat.name: list(flat.openings) for flat in first.flats}
        self.marks: dict[str, list[Mark]] = {flat.name: list(flat.marks) for flat in first.flats}
        self.flats = list(first.flats)
        self.bends = list(first.bends)
        self.balls = {flat.name: _ball(flat, self.frames[flat.name]) for flat in first.flats}

    def took(self, other: Body) -> bool:
        """Join another body that meets the part in exactly one flat; return False while it meets none."""
        fits = list(self._fits(other))
        if not fits:
            return False
        if len(fits) > 1:
            pairs = "; ".join(f"{fit.guest.flats[0].name} on {fit.host}" for fit in fits)
            raise InputError(
                "fuse",
                "bodies",
                other.name,
                f"meets {self.body.name} in more than one flat: {pairs}",
                "bodies join in one flat only: make them fewer, narrower or shorter, or move them apart",
            )
        self._join(fits[0])
        return True

    def _fits(self, other: Body) -> Iterator[_Fit]:
        """Return all pairs of flats in one plane that overlap or touch."""
        for flat, frame in frames(other).items():
            for host in self._in_reach(_ball(other.flat(flat), frame)):
                at = self.frames[host]
                if in_one_plane(at, frame) and self._near(host, laid_on(at, frame), other.flat(flat).outline):
                    guest = rooted(other, flat)
                    guest = guest if dot(at.z, frame.z) > 0.0 else turned_over(guest)
                    laid = laid_on(at, guest.frame)
                    outline = guest.flats[0].outline.moved(laid)
                    if self._meets(host, outline):
                        yield _Fit(host, guest, laid, outline)

    def _in_reach(self, ball: Ball) -> list[str]:
        """Return the flats whose balls meet a ball, compared along x first, which excludes nearly all of a ring's."""
        middle, radius = ball
        x, radius = middle[0], radius + LENGTH
        return [
            host
            for host, (there, reach) in self.balls.items()
            if abs(there[0] - x) <= radius + reach and math.dist(middle, there) <= radius + reach
        ]

    def _near(self, host: str, laid: Motion, outline: Outline) -> bool:
        """False when an outline, laid on a flat, is certainly clear of everything that the flat is drawn from."""
        x0, y0, x1, y1 = outline.bounds
        corners = [laid(corner) for corner in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
        across, up = [corner[0] for corner in corners], [corner[1] for corner in corners]
        box = (min(across), min(up), max(across), max(up))
        return any(boxes_meet(box, old.bounds) for _, old in self.outlines[host])

    def _meets(self, host: str, outline: Outline) -> bool:
        return any(
            boxes_meet(old.bounds, outline.bounds)
            and (
                reaches_into(outline, old)
                or intersect(old, outline)
                or common_edges(old, outline) > SHORTEST_EDGE
            )
            for _, old in self.outlines[host]
        )

    def _join(self, fit: _Fit) -> None:
        root, *rest = fit.guest.flats
        self.outlines[fit.host].append((root.name, fit.outline))
        middle, reach = self.balls[fit.host]
        there, radius = _ball(root, fit.guest.frame)
        self.balls[fit.host] = (middle, max(reach, math.dist(middle, there) + radius))
        self.openings[fit.host] += [opening.moved(fit.laid) for opening in root.openings]
        self.marks[fit.host] += [mark.moved(fit.laid) for mark in root.marks]
        self.flats += rest
        self.bends += [_rehung(bend, root.name, fit) for bend in fit.guest.bends]
        for flat, frame in frames(fit.guest).items():
            if flat != root.name:
                self.frames[flat] = frame
                own = fit.guest.flat(flat)
                self.balls[flat] = _ball(own, frame)
                self.outlines[flat] = [(flat, own.outline)]
                self.openings[flat] = list(own.openings)
                self.marks[flat] = list(own.marks)

    def placed(self) -> Placed:
        """Return every flat so far: its name, its position, and the outlines that it is drawn from."""
        return [(name, self.frames[name], [one for _, one in drawn]) for name, drawn in self.outlines.items()]

    def united(self) -> Body:
        """Return the part with the outlines of each flat united; every bend still on an edge."""
        body = replace(self.body, flats=tuple(map(self._flat, self.flats)), bends=tuple(self.bends))
        for flat in body.flats:
            if len(self.outlines[flat.name]) > 1:
                body = _fitted(body, flat)
                _on_edges(body, flat)
        return body

    def _flat(self, flat: Flat) -> Flat:
        drawn = self.outlines[flat.name]
        if len(drawn) == 1:
            return flat
        pieces = unite(*(outline for _, outline in drawn))
        if len(pieces) != 1:
            raise InputError(
                "fuse",
                "bodies",
                ", ".join(name for name, _ in drawn),
                "touch only in a point",
                "let them overlap, or touch along an edge",
            )
        united = Flat(flat.name, pieces[0], tuple(self.openings[flat.name]), tuple(self.marks[flat.name]))
        return refuse_uncuttable(united, "fuse", "bodies", ", ".join(name for name, _ in drawn[:3]))


def _fitted(body: Body, flat: Flat) -> Body:
    """Return the body with the bends on one flat put on its edges to the last digit."""
    laid = iter(fitted(flat, bends_on(body, flat.name)))

    def of(bend: Bend) -> Bend:
        if flat.name == bend.parent:
            return next(laid)
        return next(laid).swapped() if flat.name == bend.child else bend

    return replace(body, bends=tuple(map(of, body.bends)))


def _on_edges(body: Body, flat: Flat) -> None:
    """Refuse a bend whose line is no longer on the edge of the united flat."""
    lost = first_lost(flat, bends_on(body, flat.name))
    if lost is not None:
        raise InputError(
            "fuse",
            "bend",
            lost.name,
            f"its line ends up inside {flat.name}, on another bend, or is cut short",
            f"let the bend of {lost.child} begin clear of the flat: move it, or open the flat there",
        )


def _ball(flat: Flat, frame: Frame) -> Ball:
    """Return centre and radius of a ball around a flat: a quick test, as most flats are far from each other."""
    x0, y0, x1, y1 = flat.outline.bounds
    return frame.point(((x0 + x1) / 2.0, (y0 + y1) / 2.0)), math.hypot(x1 - x0, y1 - y0) / 2.0


def _rehung(bend: Bend, root: str, fit: _Fit) -> Bend:
    """Return a bend of the guest; one on its root moves to the host, its line in the host's coordinates."""
    if bend.parent != root:
        return bend
    start, end = (fit.laid(point) for point in bend.parent_line)
    return replace(bend, parent=fit.host, parent_line=(start, end))
