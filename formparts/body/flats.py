"""Flats and their openings: the planar portions of a part."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

from formparts.body.hole_features import SUNK, HoleFeature, Sink
from formparts.body.marks import Mark
from formparts.errors import InputError
from formparts.outline import Arc, Edge, Loop, Motion, Outline, Point, cut, problem
from formparts.quantities import shown_value
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH, SHORTEST_EDGE


@short_repr
@dataclass(frozen=True)
class Opening:
    """A cutout through a flat that stays open whatever is fused to the flat later.

    Parameters
    ----------
    name : str
        Name within the part.
    outline : Outline
        Its shape, in the flat's coordinates [mm].
    feature : HoleFeature or None
        What it is besides a hole: countersunk, counterbored, tapped, or pressed into.
    after_bending : bool
        True when it is drilled or cut after bending, and only marked on the blank.

    Examples
    --------
    >>> body = cut_opening(plate(Sheet(2, 2.5), rectangle(40, 25)), disc(8), name="bore")
    >>> [opening.name for opening in body.flats[0].openings]
    ['bore']
    """

    name: str
    outline: Outline
    feature: HoleFeature | None = None
    after_bending: bool = False

    def moved(self, motion: Motion) -> Opening:
        """The same opening elsewhere."""
        return replace(self, outline=self.outline.moved(motion))

    def retagged(self, names: Callable[[str], str]) -> Opening:
        """The same opening, with every name in it given by a function of the old one."""
        return replace(self, name=names(self.name), outline=self.outline.retagged(names))

    def turned_over(self) -> Opening:
        """The same opening, seen from the other side of the sheet."""
        if self.feature is None:
            return self
        other: Literal["upper", "lower"] = "lower" if self.feature.face == "upper" else "upper"
        return replace(self, feature=replace(self.feature, face=other))


@short_repr
@dataclass(frozen=True)
class Flat:
    """
    A planar part of the sheet, drawn on its mid-surface.

    Parameters
    ----------
    name : str
        Name within the part.
    outline : Outline
        The material before its openings are taken out, in coordinates of its own [mm].
    openings : tuple of Opening
        What goes through it.
    marks : tuple of Mark
        What is marked on it or formed in it, and not cut.

    Raises
    ------
    InputError
        The openings leave nothing, or divide the flat; one is not closed or crosses itself; or something is
        of another type.

    Examples
    --------
    >>> body = plate(Sheet(2, 2.5), rectangle(40, 25), name="base")
    >>> flat = body.flat("base")
    >>> round(flat.outline.area, 3)
    1000.0
    """

    name: str
    outline: Outline
    openings: tuple[Opening, ...] = ()
    marks: tuple[Mark, ...] = ()
    net: Outline = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        refuse_other(self.name, "outline", self.outline, Outline)
        refuse_other(self.name, "openings", self.openings, tuple)
        refuse_other(self.name, "marks", self.marks, tuple)
        for mark in self.marks:
            refuse_other(self.name, "marks", mark, Mark)
        for opening in self.openings:
            refuse_other(self.name, "openings", opening, Opening)
            refuse_other(opening.name, "outline", opening.outline, Outline)
            refuse_unsound(self.name, opening.name, opening.outline)
        object.__setattr__(self, "net", _net_outline(self))
        _refuse_lost_features(self)

    @cached_property
    def sinks(self) -> tuple[Sink, ...]:
        """Volumes that countersinks and counterbores remove besides their holes."""
        return tuple(
            _sink(one, one.feature) for one in self.openings if one.feature and one.feature.kind in SUNK
        )

    def sink_round(self, edges: Sequence[Edge]) -> Sink | None:
        """Return the countersink or counterbore around the hole that a loop of edges is."""
        first = edges[0]
        if not self.sinks or not isinstance(first, Arc):
            return None
        there = (first.centre, first.radius)
        return next(
            (
                sink
                for sink in self.sinks
                if math.dist(sink.centre, there[0]) <= LENGTH and abs(sink.hole - there[1]) <= LENGTH
            ),
            None,
        )

    def retagged(self, names: Callable[[str], str]) -> Flat:
        """The same flat, with every name in it given by a function of the old one; what is left of it stays."""
        openings = tuple([opening.retagged(names) for opening in self.openings])
        made = object.__new__(Flat)
        outline = self.outline.retagged(names)
        net = outline if self.net is self.outline else self.net.retagged(names)
        marks = tuple([mark.retagged(names) for mark in self.marks])
        values = (names(self.name), outline, openings, marks, net)
        for name, value in zip(("name", "outline", "openings", "marks", "net"), values, strict=True):
            object.__setattr__(made, name, value)
        return made


def _net_outline(flat: Flat) -> Outline:
    """Return what openings leave of a flat; edges of an opening carry the opening's name."""
    if not flat.openings:
        return flat.outline
    pieces = cut(flat.outline, *(opening.outline for opening in flat.openings))
    if len(pieces) != 1:
        names = few([opening.name for opening in flat.openings])
        what = "leave nothing of it" if not pieces else f"cut it into {len(pieces)} pieces"
        raise InputError(flat.name, "openings", names, what, "make them smaller, or move them inward")
    return pieces[0]


def few(names: Sequence[str], most: int = 5) -> str:
    """Return names for a message: the first few, and how many more there are."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def _sink(opening: Opening, feature: HoleFeature) -> Sink:
    (centre, radius), upper = _circle(opening), feature.face == "upper"
    return Sink(
        opening.name, centre, radius, feature.diameter / 2.0, feature.floor / 2.0, feature.depth, upper
    )


def _circle(opening: Opening) -> tuple[Point, float]:
    circle = opening.outline.outer.circle
    if circle is None or opening.outline.holes:
        what = f"is {opening.feature.callout if opening.feature else 'sunk'}, and not round"
        raise InputError(opening.name, "outline", opening.name, what, "give it a round opening")
    return circle


def loop_of_circle(net: Outline, centre: Point, radius: float) -> Loop | None:
    """Return the hole of an outline that is this circle."""
    for loop in net.holes:
        circle = loop.circle
        if circle and math.dist(circle[0], centre) <= LENGTH and abs(circle[1] - radius) <= LENGTH:
            return loop
    return None


def is_wall_of(opening: Opening, loop: Loop) -> bool:
    """True when all edges of a loop are those of an opening."""
    return {edge.tag for edge in loop.edges} == {edge.tag for edge in opening.outline.edges}


def _refuse_lost_features(flat: Flat) -> None:
    """Refuse hole features not on a whole round hole, and countersinks that are not clear of everything else."""
    for opening in flat.openings:
        if opening.after_bending and not any(is_wall_of(opening, loop) for loop in flat.net.holes):
            fix = "move it, so that nothing cuts into it, or cut it with the blank"
            what = "leaves no whole opening to be cut after bending"
            raise InputError(opening.name, "place", f"on {flat.name}", what, fix)
        if opening.feature is None:
            continue
        refuse_other(opening.name, "feature", opening.feature, HoleFeature)
        centre, radius = _circle(opening)
        own, what = loop_of_circle(flat.net, centre, radius), opening.feature.callout
        if own is None:
            fix = "move it, so that nothing cuts into it"
            raise InputError(
                opening.name, "place", f"on {flat.name}", f"leaves no whole hole for {what}", fix
            )
        if opening.feature.kind in SUNK:
            rooms = [loop.distance(centre) for loop in flat.net.loops if loop is not own]
            rooms += [
                math.dist(centre, one.centre) - one.head for one in flat.sinks if one.name != opening.name
            ]
            least = opening.feature.diameter / 2.0 + SHORTEST_EDGE
            if min(rooms) < least:
                what = f"has {min(rooms):.6g} mm of sheet about its middle, and {what} takes {least:.6g} mm"
                fix = "move it inward or apart, or make its head smaller"
                raise InputError(opening.name, "place", f"on {flat.name}", what, fix)


def refuse_other(where: object, parameter: str, value: object, kind: type) -> None:
    """Refuse an object of another type than the model's."""
    if not isinstance(value, kind):
        problem_ = f"is of type {type(value).__name__}"
        raise InputError(str(where), parameter, shown_value(value), problem_, f"{kind.__name__} is wanted")


def refuse_unsound(where: str, name: str, outline: Outline) -> None:
    """Refuse unsound outlines put together by hand; those of the builders were proved when drawn."""
    wrong = problem(outline)
    if wrong is not None:
        fix = "give a closed outline that does not cross itself"
        raise InputError(where, "outline", name, wrong, fix)
