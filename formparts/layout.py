"""The blank as frozen data: the result of both the method from the model and the method from a solid."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from formparts.errors import InputError
from formparts.outline.edges import Point
from formparts.outline.regions import Loop, Outline
from formparts.short_repr import short_repr
from formparts.tolerances import ANGLE_DEG, LENGTH, LONGEST, SHORTEST_EDGE


@short_repr
@dataclass(frozen=True)
class BendMark:
    """
    One bend as it lies on the blank.

    Parameters
    ----------
    name : str
        Name of the bend.
    start, end : (x, y) [mm]
        The bend line: the middle of the strip that becomes the bend.
    angle : float [deg]
        Bend angle, 0 for flat.
    side : "up" or "down"
        Towards the viewer of the blank, or away.
    inside_radius : float [mm]
        Radius of the hollow face.
    allowance : float [mm]
        Developed length of the bend, so the width of the strip.
    area : float or None [mm2]
        What is left of the strip; all of it when none is given.
    number : int or None [-]
        The step of the bend plan in which it is made; None where no plan was made.

    Raises
    ------
    InputError
        These are not the figures of a bend, or its line has no length.
    """

    name: str
    start: Point
    end: Point
    angle: float
    side: Literal["up", "down"]
    inside_radius: float
    allowance: float
    area: float | None = None
    number: int | None = None

    def __post_init__(self) -> None:
        try:
            sound = LENGTH < self.length <= LONGEST and self.side in ("up", "down")
            sound = sound and 0.0 < self.angle < math.inf and 0.0 <= self.inside_radius < math.inf
            sound = sound and 0.0 < self.allowance < math.inf
        except (TypeError, ValueError, LookupError):
            sound = False
        if not sound:
            figures = f"angle {self.angle!r}, side {self.side!r}, inside_radius {self.inside_radius!r}"
            line = f"from {self.start!r} to {self.end!r}, {figures}, allowance {self.allowance!r}"
            fix = "two points that lie apart, up or down, and figures above 0"
            raise InputError("blank", f"bend {self.name}", line, "are not the figures of a bend", fix)

    @property
    def length(self) -> float:
        """Length of the bend line [mm]."""
        return float(((self.end[0] - self.start[0]) ** 2 + (self.end[1] - self.start[1]) ** 2) ** 0.5)

    @property
    def is_pressed_shut(self) -> bool:
        """True of a closed hem: its radius represents a radius of zero."""
        return self.angle >= 180.0 - ANGLE_DEG and self.inside_radius <= SHORTEST_EDGE + LENGTH

    @property
    def radius_words(self) -> str:
        """As `R 2.5`; `closed` where it is pressed shut."""
        return "closed" if self.is_pressed_shut else f"R {self.inside_radius:g}"

    @property
    def strip_area(self) -> float:
        """Area of the strip that becomes the bend [mm2]."""
        return self.length * self.allowance if self.area is None else self.area

    @property
    def mean_length(self) -> float:
        """Length of the bend line that carries material, on the mean over the strip [mm]."""
        return self.length if self.area is None else self.area / self.allowance


@short_repr
@dataclass(frozen=True)
class Overlap:
    """
    Two flats or bends of the blank that overlap, or touch along an edge.

    Parameters
    ----------
    first, second : str
        Names of the flats or bends.
    place : (x, y) [mm]
        Middle of the overlap on the blank.
    depth : float [mm]
        Narrowest width of the overlap; 0 when the two only touch.
    area : float [mm2]
        Area of the overlap.
    """

    first: str
    second: str
    place: Point
    depth: float
    area: float


@short_repr
@dataclass(frozen=True)
class FeatureMark:
    """A feature of the sheet that is not cut: on it, formed from it, sunk, tapped, marked or drilled later.

    Parameters
    ----------
    kind : "standing", "formed", "sunk", "tap", "marking" or "drilled"
        Each is drawn on a layer of its own.
    what : str
        In words, with its size.
    outlines : tuple of Loop [mm]
        Where it meets the sheet.
    centre : (x, y) [mm]
        Its middle.
    lines : tuple of tuple of (x, y) [mm]
        Open lines, as those of letters.
    """

    kind: Literal["standing", "formed", "sunk", "tap", "marking", "drilled"]
    what: str
    outlines: tuple[Loop, ...]
    centre: Point
    lines: tuple[tuple[Point, ...], ...] = ()


@short_repr
@dataclass(frozen=True)
class Blank:
    """
    The flat part before bending, as the cutter gets it; seen from its upper side.

    Parameters
    ----------
    name : str
        Name of the part.
    thickness : float [mm]
        Thickness of the sheet.
    outline : Outline
        The part laid flat: outer loop and openings [mm].
    bends : tuple of BendMark
        Where it is bent.
    overlaps : tuple of Overlap
        Why it could not be cut from one sheet; none when it can.
    features : tuple of FeatureMark
        What is on it and not cut.

    Examples
    --------
    >>> flat = Part(profile(Sheet(2, 2.5, "DC01", "K 0.44"), 30, run(40), up(90), run(25))).blank
    >>> [(mark.name, mark.side, round(mark.allowance, 4)) for mark in flat.bends]
    [('profile.bend[1]', 'up', 5.3093)]
    """

    name: str
    thickness: float
    outline: Outline
    bends: tuple[BendMark, ...]
    overlaps: tuple[Overlap, ...] = ()
    features: tuple[FeatureMark, ...] = ()

    @property
    def planned(self) -> bool:
        """True when every bend has the number of its step; else they count in the order of the model."""
        return all(mark.number is not None for mark in self.bends)

    @property
    def numbers(self) -> dict[str, int]:
        """The number of each bend by its name: on blank, drawing, tables and in messages."""
        places = enumerate(self.bends, 1)
        return {mark.name: mark.number or place for place, mark in places}

    @property
    def numbered(self) -> tuple[tuple[int, BendMark], ...]:
        """The bends with their numbers, in the order of these."""
        numbers = self.numbers
        return tuple(sorted(((numbers[mark.name], mark) for mark in self.bends), key=lambda pair: pair[0]))

    @property
    def numbering(self) -> str:
        """The meaning of the bend numbers, as text."""
        if self.planned:
            return "numbers: steps of the bend plan"
        return "numbers: order of the model, no bend plan"

    @property
    def length(self) -> float:
        """Overall size along x [mm]."""
        xmin, _, xmax, _ = self.outline.bounds
        return xmax - xmin

    @property
    def width(self) -> float:
        """Overall size along y [mm]."""
        _, ymin, _, ymax = self.outline.bounds
        return ymax - ymin

    @property
    def area(self) -> float:
        """Area of the sheet that is left [mm2]."""
        return self.outline.area

    @property
    def cut_outline(self) -> Outline:
        """What is cut in the blank: openings that are drilled after bending are still whole."""
        later = [loop for mark in self.features if mark.kind == "drilled" for loop in mark.outlines]
        if not later:
            return self.outline
        return Outline(self.outline.outer, tuple(hole for hole in self.outline.holes if hole not in later))

    @property
    def cut_length(self) -> float:
        """Length of all cuts [mm]."""
        return self.cut_outline.perimeter

    @property
    def pierces(self) -> int:
        """How often the cutter starts anew: once for the outside and once for each opening."""
        return 1 + len(self.cut_outline.holes)
