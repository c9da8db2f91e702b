"""Bends: the cylindrical portions of a part, each with what is left of its developed strip."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final, Literal, TypeAlias

from formparts.bending import BendRule
from formparts.bending.rules import rule_apart
from formparts.body.flats import Opening, few, refuse_other, refuse_unsound
from formparts.errors import InputError
from formparts.outline import Outline, cut, outline_of
from formparts.outline.edges import Edge, Line, Motion, Point
from formparts.outline.regions import Loop
from formparts.quantities import Limits, angle, length, shown_value
from formparts.short_repr import short_repr
from formparts.tolerances import FIT, LENGTH, LONGEST, SHORTEST_EDGE

Side: TypeAlias = Literal["up", "down"]
BendLine: TypeAlias = tuple[Point, Point]
Process: TypeAlias = Literal["air bend", "hem", "roll", "curl"]
Span: TypeAlias = tuple[float, float]
"""From where to where along a bend line, from its start [mm]."""

BEND_ANGLES = Limits(above=0.0, maximum=170.0)
"""A bend beyond this range cannot be removed from the tool [deg]."""
ANGLES: Final[dict[Process, Limits]] = {
    "air bend": BEND_ANGLES,
    "hem": Limits(above=0.0, maximum=270.0),
    "roll": Limits(above=0.0, maximum=350.0),
    "curl": Limits(above=0.0, maximum=350.0),
}
"""Largest bend angle of each process [deg]: air bends up to contact with the tool; hems are pressed, rims rolled."""
RADII = Limits(minimum=SHORTEST_EDGE, maximum=LONGEST)
HALF_TURN = 180.0
"""Bend rules end here: a bend beyond it is developed in equal shares [deg]."""
TO_PARENT, TO_CHILD = "to parent", "to child"


@short_repr
@dataclass(frozen=True)
class Bend:
    """
    A bend: the cylindrical part of the sheet between two flats.

    In developed coordinates x runs along the parent's line from its start, and the bend lies from y = 0, where it
    meets the parent, to y = -developed, where it meets the child; seen from the upper side, as the blank is.

    Parameters
    ----------
    name : str
        Name within the part.
    parent, child : str
        Names of the two flats.
    parent_line, child_line : pair of points [mm]
        The tangent line in the coordinates of each flat; the parent lies to the left of its line,
        the child to the right of its own. Point for point the two are opposite each other.
    angle : float [deg]
        Bend angle, 0 for flat: above 0, to 170 by an air bend, 270 by a hem, 350 by a roll or a curl.
    side : "up" or "down"
        Towards the upper face of the two flats, or away from it.
    inside_radius : float [mm]
        Radius of the hollow face.
    process : "air bend", "hem", "roll" or "curl"
        How it is made.
    bend_rule : BendRule or None
        Gives its developed length. When none is given: K 0.5 for a closed hem and beyond 180 deg, that of the sheet
        for other bends.
    openings : tuple of Opening
        What goes through it, in developed coordinates [mm].
    developed : float [mm]
        The developed length for which its openings are drawn; 0 without openings.

    Raises
    ------
    InputError
        Angle or radius is outside its range, there is no such side or process, a line has no length or another than
        its counterpart, or the openings leave nothing that joins the two flats.

    Examples
    --------
    >>> body = profile(Sheet(2, 2.5), 30, run(40), up(90), run(25), name="angle")
    >>> bend = body.bends[0]
    >>> bend.name, bend.angle, bend.side, bend.inside_radius
    ('angle.bend[1]', 90.0, 'up', 2.5)
    """

    name: str
    parent: str
    child: str
    parent_line: BendLine
    child_line: BendLine
    angle: float
    side: Side
    inside_radius: float
    process: Process = "air bend"
    bend_rule: BendRule | None = None
    openings: tuple[Opening, ...] = ()
    developed: float = 0.0

    def __post_init__(self) -> None:
        try:
            gap = abs(math.dist(*self.parent_line) - math.dist(*self.child_line))
            sound = self.width >= SHORTEST_EDGE - LENGTH and gap <= LENGTH and self.side in ("up", "down")
            # A bend not made yet is almost flat and may have any radius: then its length is kept.
            largest = min(self.inside_radius, math.radians(self.angle) * self.inside_radius)
            sound = sound and 0.0 < self.angle <= ANGLES[self.process].maximum
            sound = sound and self.inside_radius >= RADII.minimum and largest <= LONGEST
        except (TypeError, ValueError, LookupError):
            sound = False
        if not sound:
            _refuse_bend(self)
        if self.bend_rule is None:
            object.__setattr__(self, "bend_rule", rule_apart(self.angle, self.inside_radius))
        if self.openings:
            _refuse_openings(self)

    @property
    def width(self) -> float:
        """Length of the bend line [mm]."""
        (x0, y0), (x1, y1) = self.parent_line
        return float(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)

    @cached_property
    def nets(self) -> tuple[Outline, ...]:
        """What openings leave of the developed strip; edges at a flat are tagged so."""
        return tuple(cut(self.strip(self.developed), *(opening.outline for opening in self.openings)))

    def pieces(self, developed: float) -> tuple[Outline, ...]:
        """Return what openings leave of the strip; the whole strip of the given length where there are none."""
        return self.nets if self.openings else (self.strip(developed),)

    @property
    def filled(self) -> float:
        """Share of the strip that is left [-]."""
        if not self.openings:
            return 1.0
        return math.fsum(net.area for net in self.nets) / (self.width * self.developed)

    @cached_property
    def spans(self) -> tuple[Span, ...]:
        """The stretches where the bend meets its parent, in order along the line."""
        if not self.openings:
            return ((0.0, self.width),)
        return tuple(
            sorted((e.end[0], e.start[0]) for net in self.nets for e in net.edges if e.tag == TO_PARENT)
        )

    @property
    def parent_lines(self) -> tuple[BendLine, ...]:
        """Return the segments of the tangent line on which the bend meets the parent, in the parent's coordinates."""
        return tuple(self._along(span) for span in self.spans)

    def _along(self, span: Span) -> BendLine:
        """Return a segment of the parent's line, with the exact end points of the line where it reaches them."""
        (ax, ay), (bx, by) = self.parent_line
        wide = self.width
        places = [(ax + (bx - ax) * x / wide, ay + (by - ay) * x / wide) for x in span]
        start = self.parent_line[0] if abs(span[0]) <= FIT else places[0]
        end = self.parent_line[1] if abs(span[1] - wide) <= FIT else places[1]
        return (start, end)

    def strip(self, developed: float) -> Outline:
        """Return the whole developed strip of the given length: a rectangle whose edges at the flats are tagged."""
        wide = self.width
        corners = [(wide, 0.0), (0.0, 0.0), (0.0, -developed), (wide, -developed)]
        tags = (TO_PARENT, f"{self.name}.start", TO_CHILD, f"{self.name}.end")
        sides = zip(corners, corners[1:] + corners[:1], tags, strict=True)
        return outline_of([Loop(tuple(Line(start, end, tag) for start, end, tag in sides))])

    def uncut(self, **figures: Any) -> Bend:
        """Return the bend without its openings, which are drawn for its own figures, and with other figures."""
        return replace(self, openings=(), developed=0.0, **figures)

    def swapped(self) -> Bend:
        """The same bend, seen from its child."""
        (a, b), (c, d) = self.parent_line, self.child_line
        turned = Motion(-1.0, 0.0, 0.0, -1.0, self.width, -self.developed)
        return replace(
            self, parent=self.child, child=self.parent, parent_line=(d, c), child_line=(b, a),
            openings=_moved(self.openings, turned),
        )  # fmt: skip

    def drawn_over(self, over: Motion) -> Bend:
        """The bend between two flats that are mirrored in their own planes; its line runs the other way."""
        (a, b), (c, d) = self.parent_line, self.child_line
        flipped = Motion(a=-1.0, p=self.width)
        return replace(
            self, parent_line=(over(b), over(a)), child_line=(over(d), over(c)),
            openings=_moved(self.openings, flipped),
        )  # fmt: skip


def _moved(openings: tuple[Opening, ...], motion: Motion) -> tuple[Opening, ...]:
    return tuple(one.moved(motion) for one in openings)


def is_contact(edge: Edge) -> bool:
    """True when an edge of what is left of a strip is one along which a flat is met."""
    return edge.tag in (TO_PARENT, TO_CHILD)


def _refuse_bend(bend: Bend) -> None:
    """State what is wrong with a bend."""
    if not isinstance(bend.process, str) or bend.process not in ANGLES:
        known = ", ".join(ANGLES)
        raise InputError(
            bend.name, "process", shown_value(bend.process), "is not a process", f"one of {known}"
        )
    angle(bend.angle, "angle", bend.name, ANGLES[bend.process])
    length(bend.inside_radius, "inside_radius", bend.name, RADII)
    if bend.side not in ("up", "down"):
        raise InputError(bend.name, "side", shown_value(bend.side), "is not a side", "give up or down")
    lines = shown_value((bend.parent_line, bend.child_line))
    fix = f"two pairs of points, equally far apart, by {SHORTEST_EDGE:g} mm or more"
    raise InputError(bend.name, "parent_line, child_line", lines, "are not the two of a bend", fix)


def _refuse_openings(bend: Bend) -> None:
    """Refuse openings of another type or shape, and those that leave no connection between the flats."""
    refuse_other(bend.name, "openings", bend.openings, tuple)
    for opening in bend.openings:
        refuse_other(bend.name, "openings", opening, Opening)
        refuse_other(opening.name, "outline", opening.outline, Outline)
        refuse_unsound(bend.name, opening.name, opening.outline)
        if opening.feature is not None:
            what = f"lies in {bend.name}, and what is {opening.feature.kind} is made in a flat"
            raise InputError(opening.name, "place", f"on {bend.name}", what, "move it off the bend")
    length(bend.developed, "developed", bend.name, RADII)
    names = few([opening.name for opening in bend.openings])
    met = [{edge.tag for edge in net.edges} for net in bend.nets]
    if not any({TO_PARENT, TO_CHILD} <= tags for tags in met):
        what = f"leave nothing of the bend that leads from {bend.parent} to {bend.child}"
        raise InputError(bend.name, "openings", names, what, "make them smaller, or move them off the bend")
    if not all(tags & {TO_PARENT, TO_CHILD} for tags in met):
        fix = "make the opening larger, so that the piece falls out"
        raise InputError(bend.name, "openings", names, "leave a loose piece of the bend", fix)
