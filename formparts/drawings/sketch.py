"""The content of a drawing before it is a picture: a sketch without figures, and its list of dimensions.

The sketch holds what does not depend on size: which edges follow each other, which are level, upright,
tangent or in line, and what repeats. Every figure is in a dimension. `rebuilding` makes the part again from
both, and from nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Literal, TypeAlias

from formparts.body import HoleFeature, Process
from formparts.short_repr import short_repr

Kind: TypeAlias = Literal["level", "upright", "slanted", "circle"]
Joint: TypeAlias = Literal["corner", "tangent", "along"]
"""How two edges meet. `along`: in one line, or at so flat an angle that the position must be given."""


@short_repr
@dataclass(frozen=True)
class Carrier:
    """The line or circle that edges of a flat are on, in the axes of the flat (0) or of a pattern (1 and up)."""

    kind: Kind
    axes: int = 0
    concentric: str = ""
    """For a circle: the opening or other circle with the same centre."""
    outside: str = ""
    """The bend to whose outside it is dimensioned; empty for the line itself."""
    outward: int = 0
    """For a line that leads to a bend: the side on which the bend is."""


@short_repr
@dataclass(frozen=True)
class SketchEdge:
    """One edge: its carrier, its direction, and how it meets the next one.

    `pick` selects one of the two points in which carriers can meet, or the side of a line on which the centre
    of a tangent arc lies. `bend` is the bend that it leads to.
    """

    carrier: int
    sense: Literal["straight", "ccw", "cw"]
    joint: Joint
    pick: int
    bend: str = ""
    half: bool = False
    large: bool = False
    before: int = 0
    """Side of the line before a tangent arc on which its centre lies; `after` is that of the line after it."""
    after: int = 0
    spot: tuple[int, int] = (0, 0)
    """Quadrant of its end about the centre of its circle, and about that of the next edge: 1 right, 2 above."""
    tag: str = ""


@short_repr
@dataclass(frozen=True)
class SketchHole:
    """An opening described in text: a circle, a slot with round ends, a rectangle."""

    name: str
    kind: Literal["circle", "slot", "rectangle"]
    size: str
    """Key of its size; equal openings share it."""
    turned: int = 0
    """Quarter turns of its long side from the u axis (in a ring that turns: the radius), or -1 for a given angle."""
    rounded: bool = False
    middle: bool = False
    """It is on the centre line of the bend that leads to the flat."""
    concentric: str = ""
    outer: bool = False
    tags: tuple[str, ...] = ()
    feature: HoleFeature | None = None
    """Its countersink or counterbore, thread, or pressed-in part."""
    later: bool = False
    """It is drilled or cut after bending."""


@short_repr
@dataclass(frozen=True)
class SketchPattern:
    """Equal openings on a circle or in rows, or a run of edges repeated about a centre."""

    name: str
    kind: Literal["ring", "grid", "chain"]
    centre: str = ""
    """For a ring or chain: the circle or opening whose centre it is about; empty for its own."""
    axes: int = 0
    """For a chain: the axes of its first run."""
    members: tuple[str, ...] = ()
    """Openings, in order round the ring or row by row."""
    rows: int = 1
    columns: int = 1
    """For a grid: its columns; for staggered rows those of the first row."""
    staggered: int = 0
    """Where every other row begins, in half pitches from the start of the first row; 0 for a plain grid."""
    others: int = 0
    """How many openings are in every other row of a staggered grid."""
    upright: bool = False
    """The rows run along the v axis."""
    edges: tuple[tuple[int, ...], ...] = ()
    """For a chain: loop, first edge and number of edges of each run; the first is the one dimensioned."""
    equal: bool = True
    """Equally spaced all round; else each has an angle of its own."""
    square: int = 0
    """Quarter turns to the first member, or -1 when an angle gives it."""
    turning: bool = False
    """The members turn with their position."""


@short_repr
@dataclass(frozen=True)
class SketchFlat:
    """One flat as drawn: loops of edges, openings and patterns."""

    name: str
    bend: str
    """The bend that leads to it; empty for the first flat."""
    carriers: tuple[Carrier, ...]
    loops: tuple[tuple[SketchEdge, ...], ...]
    holes: tuple[SketchHole, ...]
    patterns: tuple[SketchPattern, ...]
    pairs: tuple[tuple[int, int], ...] = ()
    """Carriers symmetrical about the zero of their axes."""
    zeros: tuple[str, ...] = ()
    """What is at the zero of the first flat."""
    plan: str = ""
    """The parallel flat from whose zero v is measured, over the offset between; empty for the bend's own outside."""
    rise: int = -1
    """The carrier whose position follows from the rise of the offset that ends there."""
    across: str = ""
    """The bend on whose developed strip this lies: the openings in a bend, on the blank, instead of a flat."""
    through: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """For openings in a bend (first loops, then described openings): name, and the flats and bends crossed."""


@short_repr
@dataclass(frozen=True)
class SketchBend:
    """A bend as sketched: what it joins and its direction."""

    name: str
    parent: str
    child: str
    side: Literal["up", "down"]
    like: str = ""
    """The bend with the same angle and radius, which states them."""
    same: str = ""
    """The bend whose branch this one repeats."""
    twins: tuple[tuple[str, str], ...] = ()
    """The names of the flats and bends beyond, each with the name of its equal there."""
    process: Process = "air bend"
    """The forming process."""
    mirrored: bool = False
    """The branch beyond is the mirror image of the branch that it repeats."""
    rule: str = ""
    """Its bend rule, where it differs from that of the title block."""


@short_repr
@dataclass(frozen=True)
class Dimension:
    """
    One figure of a drawing.

    Parameters
    ----------
    what : str
        Kind: thickness, bend angle, inside radius, diameter, radius, length, width, distance, pitch, angle, rise.
    flat : str
        The flat or bend that it belongs to.
    start, end : str
        From what to what it is measured.
    value : float [mm or deg]
        The figure.
    unit : str
        `mm` or `deg`.
    targets : tuple of str
        What follows from it, by name; empty for a reference figure.
    count : int
        Number of equal features that it applies to.
    reference : bool
        True for a figure that follows from others and is written in parentheses.
    view : str
        The view in which it is drawn.
    tolerance : str
        As written beside the figure; empty when the general tolerances hold.
    name : str
        The parameter of the recipe that it follows, if that was determined.
    position : float [mm]
        For a size: diameter of the zone in which the centres of its openings must lie; 0 when none is given.
    exact : bool
        True for a figure that locates openings with such a zone: it has no tolerance of its own.
    letter : str
        The letter that replaces the figure on the drawing of a family, and heads its column in the table of sizes.
    """

    what: str
    flat: str
    start: str
    end: str
    value: float
    unit: str = "mm"
    targets: tuple[str, ...] = ()
    count: int = 1
    reference: bool = False
    view: str = ""
    tolerance: str = ""
    name: str = ""
    position: float = 0.0
    exact: bool = False
    letter: str = ""


@short_repr
@dataclass(frozen=True)
class DimensionList:
    """
    A sketch without figures and the dimensions that go with it.

    Parameters
    ----------
    name : str
        Name of the part.
    material, bend_rule : str
        The stock, as in the title block.
    flats : tuple of SketchFlat
        The flats that are drawn; those that are the same as another are only named, in `bends`.
    bends : tuple of SketchBend
        In the order of the part.
    dimensions : tuple of Dimension
        Every figure once.
    datums : tuple of (str, str)
        Letter and feature: the lower face of the first flat, and what is at its zeros.
    in_bends : tuple of SketchFlat
        The openings that lie in bends, by the bend from whose line on the blank they are dimensioned.
    """

    name: str
    material: str
    bend_rule: str
    flats: tuple[SketchFlat, ...]
    bends: tuple[SketchBend, ...]
    dimensions: tuple[Dimension, ...] = field(default=())
    datums: tuple[tuple[str, str], ...] = ()
    in_bends: tuple[SketchFlat, ...] = ()

    def data(self) -> dict[str, Any]:
        """Return plain dictionaries, lists, strings and numbers, for JSON."""
        return asdict(self)


def _hole(one: Mapping[str, Any]) -> SketchHole:
    feature = None if one["feature"] is None else HoleFeature(**one["feature"])
    return SketchHole(**{**one, "tags": tuple(one["tags"]), "feature": feature})


def list_from(data: Mapping[str, Any]) -> DimensionList:
    """Return a list of dimensions from the output of `data`, for example read from JSON."""
    flats, in_bends = (tuple(map(_flat, data[key])) for key in ("flats", "in_bends"))
    bends = tuple(
        SketchBend(**{**one, "twins": tuple((here, there) for here, there in one["twins"])})
        for one in data["bends"]
    )
    dimensions = tuple(Dimension(**{**one, "targets": tuple(one["targets"])}) for one in data["dimensions"])
    datums = tuple((letter, feature) for letter, feature in data["datums"])
    said = (data["name"], data["material"], data["bend_rule"])
    return DimensionList(*said, flats, bends, dimensions, datums, in_bends)


def _flat(one: Mapping[str, Any]) -> SketchFlat:
    return SketchFlat(
        **{
            **one,
            "carriers": tuple(Carrier(**each) for each in one["carriers"]),
            "loops": tuple(tuple(_edge(edge) for edge in loop) for loop in one["loops"]),
            "holes": tuple(_hole(each) for each in one["holes"]),
            "patterns": tuple(_pattern(each) for each in one["patterns"]),
            "pairs": tuple((first, second) for first, second in one["pairs"]),
            "zeros": tuple(one["zeros"]),
            "through": tuple((name, tuple(pieces)) for name, pieces in one["through"]),
        }
    )


def _edge(one: Mapping[str, Any]) -> SketchEdge:
    here, after = one["spot"]
    return SketchEdge(**{**one, "spot": (here, after)})


def _pattern(one: Mapping[str, Any]) -> SketchPattern:
    edges = tuple(tuple(each) for each in one["edges"])
    return SketchPattern(**{**one, "members": tuple(one["members"]), "edges": edges})
