"""
What a drawing says before it is a picture: a sketch without figures, and the list of dimensions that goes with it.

The sketch holds what the eye sees of a shape whatever its size: which edges follow each other, which are level,
upright, tangent or in one line, what is a repetition of what. Every figure is in a dimension. `rebuilding` makes the
part again from both, and from nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Literal, TypeAlias

from formparts.body import HoleFeature, Process
from formparts.short_repr import short_repr

Kind: TypeAlias = Literal["level", "upright", "slanted", "circle"]
Joint: TypeAlias = Literal["corner", "tangent", "along"]
"""`along`: they are in one line, or meet so flatly that the place must be said."""


@short_repr
@dataclass(frozen=True)
class Carrier:
    """The line or circle that edges of a flat are on, in the axes of the flat (0) or of a pattern (1 and up)."""

    kind: Kind
    axes: int = 0
    concentric: str = ""
    """Of a circle: the opening or other circle that has the same centre."""
    outside: str = ""
    """The bend to whose outside it is dimensioned; else to the line itself."""
    outward: int = 0
    """Of a line that leads to a bend: the side on which the bend is."""


@short_repr
@dataclass(frozen=True)
class SketchEdge:
    """
    One edge: its carrier, how it runs, and how it meets the next one.

    Of two points in which carriers can meet `pick` tells the one, and of the two sides of a line the one on which the
    centre of a tangent arc lies. `bend` is the bend that it leads to.
    """

    carrier: int
    sense: Literal["straight", "ccw", "cw"]
    joint: Joint
    pick: int
    bend: str = ""
    half: bool = False
    large: bool = False
    before: int = 0
    """Side of the line before a tangent arc on which its centre lies; `after` of the line after it."""
    after: int = 0
    spot: tuple[int, int] = (0, 0)
    """Quarter in which its end lies about the centre of its circle, and of that of the next edge: 1 right, 2 above."""
    tag: str = ""


@short_repr
@dataclass(frozen=True)
class SketchHole:
    """An opening that is said in words: a circle, a slot with round ends, a rectangle."""

    name: str
    kind: Literal["circle", "slot", "rectangle"]
    size: str
    """Key of its size; equal openings share it."""
    turned: int = 0
    """Quarter turns of its long side from the u axis (in a ring that turns: the radius), or -1: an angle says it."""
    rounded: bool = False
    middle: bool = False
    """It stands on the centre line of the bend that leads to the flat."""
    concentric: str = ""
    outer: bool = False
    tags: tuple[str, ...] = ()
    feature: HoleFeature | None = None
    """What is sunk round it, its thread, or what is pressed into it."""
    later: bool = False
    """It is drilled or cut after bending."""


@short_repr
@dataclass(frozen=True)
class SketchPattern:
    """Equal openings on a circle or in rows, or a piece of a loop repeated about a centre."""

    name: str
    kind: Literal["ring", "grid", "chain"]
    centre: str = ""
    """Of a ring or chain: the circle or opening whose middle it goes round; empty: its own."""
    axes: int = 0
    """Of a chain: the axes that its first piece has to itself."""
    members: tuple[str, ...] = ()
    """Openings, in order round the ring or row by row."""
    rows: int = 1
    columns: int = 1
    """Of a grid; of staggered rows those of the first row."""
    staggered: int = 0
    """Where every other row begins, in halves of the pitch from where the first does; 0 for a plain grid."""
    others: int = 0
    """How many openings are in every other row, if it is staggered."""
    upright: bool = False
    """The rows run along the v axis."""
    edges: tuple[tuple[int, ...], ...] = ()
    """Of a chain: loop, first edge, number of edges of each; the first is the one that is dimensioned."""
    equal: bool = True
    """Equally spaced all round; else each has an angle of its own."""
    square: int = 0
    """Quarter turns at which the first stands, or -1 when an angle says it."""
    turning: bool = False
    """The members turn with their place."""


@short_repr
@dataclass(frozen=True)
class SketchFlat:
    """One flat as it is drawn: loops of edges, openings and patterns."""

    name: str
    bend: str
    """The bend that leads to it; empty for the first flat."""
    carriers: tuple[Carrier, ...]
    loops: tuple[tuple[SketchEdge, ...], ...]
    holes: tuple[SketchHole, ...]
    patterns: tuple[SketchPattern, ...]
    pairs: tuple[tuple[int, int], ...] = ()
    """Carriers that lie alike on both sides of the zero of their axes."""
    zeros: tuple[str, ...] = ()
    """What stands at the zero of the first flat."""
    plan: str = ""
    """The parallel flat from whose zero its v is measured, over the offset between; else its own bend's outside."""
    rise: int = -1
    """The carrier whose place follows from the rise of the offset that ends there."""
    across: str = ""
    """The bend on whose developed strip this lies: no flat, but the openings in a bend, on the blank."""
    through: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """Of openings in a bend, in the order of the loops and then of the words: name, and what each goes through."""


@short_repr
@dataclass(frozen=True)
class SketchBend:
    """A bend as it is seen: what it joins and to which side it goes."""

    name: str
    parent: str
    child: str
    side: Literal["up", "down"]
    like: str = ""
    """The bend that has the same angle and radius, and says them."""
    same: str = ""
    """The bend beyond which everything is the same as beyond this one."""
    twins: tuple[tuple[str, str], ...] = ()
    """What the flats and bends beyond are called here, each with the name that it has there."""
    process: Process = "air bend"
    """How it is made."""
    mirrored: bool = False
    """What is beyond is the mirror image of what is beyond the bend that it is the same as."""
    rule: str = ""
    """What gives its developed length, where it is not what the title block says."""


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
        How many equal features it is said of.
    reference : bool
        True for a figure that follows from others and stands in parentheses.
    view : str
        Where it is drawn.
    tolerance : str
        As it stands beside the figure; empty when the general tolerances hold.
    name : str
        The parameter of the recipe that it follows, if that was looked for.
    position : float [mm]
        Of a size: diameter of the zone in which the middles of its openings must lie; 0 when none is given.
    exact : bool
        True for a figure that locates openings with such a zone: it has no tolerance of its own.
    letter : str
        What stands for the figure on the drawing of a family, in whose table of sizes it is a column.
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
        What the title block says of the stock.
    flats : tuple of SketchFlat
        The flats that are drawn; those that are the same as another are only named, in `bends`.
    bends : tuple of SketchBend
        In the order of the part.
    dimensions : tuple of Dimension
        Every figure once.
    datums : tuple of (str, str)
        Letter and feature: the lower face of the first flat, and what its zeros stand on.
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
        """As plain dictionaries, lists, words and figures, for JSON."""
        return asdict(self)


def _hole(one: Mapping[str, Any]) -> SketchHole:
    feature = None if one["feature"] is None else HoleFeature(**one["feature"])
    return SketchHole(**{**one, "tags": tuple(one["tags"]), "feature": feature})


def list_from(data: Mapping[str, Any]) -> DimensionList:
    """A list of dimensions from what `data` gave, for example read from JSON."""
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
