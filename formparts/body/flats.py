"""Flats and their openings: the planar pieces of a part."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from formparts.body.hole_features import HoleFeature
from formparts.errors import InputError
from formparts.outline import Loop, Motion, Outline, Point, cut, problem
from formparts.quantities import shown_value
from formparts.tolerances import LENGTH


@dataclass(frozen=True)
class Opening:
    """
    A way through a flat that stays open whatever is fused to the flat later.

    Parameters
    ----------
    name : str
        Name within the part.
    outline : Outline
        Its shape, in the flat's coordinates [mm].
    feature : HoleFeature or None
        What it is besides a hole: tapped, or pressed into.
    """

    name: str
    outline: Outline
    feature: HoleFeature | None = None

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

    Raises
    ------
    InputError
        The openings leave nothing, or cut the flat in pieces; one is not closed or crosses itself; or something is
        of another type.
    """

    name: str
    outline: Outline
    openings: tuple[Opening, ...] = ()
    net: Outline = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        refuse_other(self.name, "outline", self.outline, Outline)
        refuse_other(self.name, "openings", self.openings, tuple)
        for opening in self.openings:
            refuse_other(self.name, "openings", opening, Opening)
            refuse_other(opening.name, "outline", opening.outline, Outline)
            refuse_unsound(self.name, opening.name, opening.outline)
        object.__setattr__(self, "net", _net_outline(self))
        _refuse_lost_features(self)

    def retagged(self, names: Callable[[str], str]) -> Flat:
        """The same flat, with every name in it given by a function of the old one; what is left of it stays."""
        openings = tuple([opening.retagged(names) for opening in self.openings])
        made = object.__new__(Flat)
        outline = self.outline.retagged(names)
        net = outline if self.net is self.outline else self.net.retagged(names)
        values = (names(self.name), outline, openings, net)
        for name, value in zip(("name", "outline", "openings", "net"), values, strict=True):
            object.__setattr__(made, name, value)
        return made


def _net_outline(flat: Flat) -> Outline:
    """What is left of a flat once its openings are out; edges of an opening carry the opening's name."""
    if not flat.openings:
        return flat.outline
    pieces = cut(flat.outline, *(opening.outline for opening in flat.openings))
    if len(pieces) != 1:
        names = few([opening.name for opening in flat.openings])
        what = "leave nothing of it" if not pieces else f"cut it into {len(pieces)} pieces"
        raise InputError(flat.name, "openings", names, what, "make them smaller, or move them inward")
    return pieces[0]


def few(names: Sequence[str], most: int = 5) -> str:
    """Names as a message tells them: the first few, and how many more there are."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def _circle(opening: Opening) -> tuple[Point, float]:
    circle = opening.outline.outer.circle
    if circle is None or opening.outline.holes:
        what = f"is {opening.feature.callout if opening.feature else 'tapped'}, and not round"
        raise InputError(opening.name, "outline", opening.name, what, "give it a round opening")
    return circle


def loop_of_circle(net: Outline, centre: Point, radius: float) -> Loop | None:
    """The hole of an outline that is this circle."""
    for loop in net.holes:
        circle = loop.circle
        if circle and math.dist(circle[0], centre) <= LENGTH and abs(circle[1] - radius) <= LENGTH:
            return loop
    return None


def _refuse_lost_features(flat: Flat) -> None:
    """What is tapped or pressed into is a whole round hole."""
    for opening in flat.openings:
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


def refuse_other(where: object, parameter: str, value: object, kind: type) -> None:
    """Refuse what is not of the kind that the model is made of."""
    if not isinstance(value, kind):
        problem_ = f"is of type {type(value).__name__}"
        raise InputError(str(where), parameter, shown_value(value), problem_, f"{kind.__name__} is wanted")


def refuse_unsound(where: str, name: str, outline: Outline) -> None:
    """What our own builders draw was proved when it was drawn; this is for what is put together by hand."""
    wrong = problem(outline)
    if wrong is not None:
        fix = "give a closed outline that does not cross itself"
        raise InputError(where, "outline", name, wrong, fix)
