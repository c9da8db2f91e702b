"""
Bodies grown step by step: a base, then whatever fits of a list of small steps. No chance in it; `strategies` draws.

A step that the library refuses is left out, so that every list of steps gives a body, and a shorter list a smaller one.
Written out, a growth is the whole recipe of its body: paste it into a regression test.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias, TypeVar

from formparts.bending import offset_run, smallest_rise
from formparts.body import Body, Flat, Frame, Sheet, developed_length, frames
from formparts.body.frame import bend_frame
from formparts.errors import InputError
from formparts.outline import Arc, Line, Motion, Outline
from formparts.shapes import (
    Axis,
    Hole,
    Relief,
    Run,
    Tip,
    Turn,
    add_curl,
    add_flange,
    add_hem,
    add_mark,
    array_about,
    counterbored,
    countersunk,
    cut_opening,
    dimple,
    fuse,
    lettering,
    mirror,
    offset_lug,
    plate,
    profile,
    renamed,
    rooted,
    rotate,
    tongue,
    translate,
)
from formparts.shapes.hems import HemKind
from formparts.shapes.profiles import Datum, setback

MOST_FLATS = 40


@dataclass(frozen=True)
class Plate:
    """A base of one flat."""

    outline: Outline

    def __call__(self, sheet: Sheet, name: str) -> Body:
        return plate(sheet, self.outline, name)


@dataclass(frozen=True)
class Strip:
    """A profile whose runs are given by what is left between the bends, so that it can be made."""

    width: float
    straights: tuple[float, ...]
    turns: tuple[Turn, ...]
    datums: tuple[tuple[Datum, Datum], ...]
    root: int = 1

    def __call__(self, sheet: Sheet, name: str) -> Body:
        pieces: list[Run | Turn] = []
        for number, straight in enumerate(self.straights):
            ends = self.datums[number]
            beside = [(ends[0], number - 1), (ends[1], number)]
            taken = [self._taken(sheet, *one) for one in beside if 0 <= one[1] < len(self.turns)]
            pieces += [Run(straight + sum(taken), ends), *self.turns[number : number + 1]]
        return profile(sheet, self.width, *pieces, name=name, root=self.root)

    def _taken(self, sheet: Sheet, datum: Datum, number: int) -> float:
        turn = self.turns[number]
        radius = sheet.inside_radius if turn.inside_radius is None else turn.inside_radius
        return setback(datum, turn.angle, radius, sheet.thickness)


@dataclass(frozen=True)
class Tongue:
    """A lug in the plane."""

    length: float
    width: float
    end: Tip
    hole: Hole | None

    def __call__(self, sheet: Sheet, name: str) -> Body:
        return tongue(sheet, self.length, self.width, self.end, self.hole, name=name)


@dataclass(frozen=True)
class Joggle:
    """An offset lug, its rise and reach given by what they are above the least."""

    width: float
    above: float
    beyond: float
    foot: float
    slope: float
    side: Literal["up", "down"]
    end: Tip
    hole: Hole | None

    def __call__(self, sheet: Sheet, name: str) -> Body:
        bent = (self.slope, sheet.inside_radius, sheet.thickness)
        rise = float(smallest_rise(*bent)) + self.above
        reach = float(offset_run(rise, *bent)) + self.beyond
        return offset_lug(
            sheet, width=self.width, rise=rise, reach=reach, foot=self.foot, slope=self.slope, side=self.side,
            end=self.end, hole=self.hole, name=name,
        )  # fmt: skip


Kind = TypeVar("Kind", Line, Arc)
Guest: TypeAlias = Tongue | Joggle | Strip


@dataclass(frozen=True)
class Flange:
    """
    A flange on a straight edge: which flat and which of its edges is counted round, where it sits is a share.

    Its height is given by what is above the bend; it is no wider than its edge.
    """

    flat: int
    edge: int
    above: float
    width: float | None
    share: float
    angle: float
    side: Literal["up", "down"]
    radius: float | None
    datums: tuple[Datum, Datum]
    relief: Relief | None
    end: Tip | tuple[Tip, Tip]
    hole: Hole | None
    extend: tuple[float, float]

    def __call__(self, body: Body, name: str) -> Body:
        flat, edge = _nth(body, Line, self.flat, self.edge)
        width = edge.length if self.width is None else min(self.width, edge.length)
        spare, radius = edge.length - width, self.radius or body.sheet.inside_radius
        height = self.above + setback(self.datums[0], self.angle, radius, body.sheet.thickness)
        return add_flange(
            body, (edge.start, edge.end), height, flat=flat.name, width=width,
            centre=(self.share - 0.5) * spare, angle=self.angle, side=self.side, inside_radius=self.radius,
            height_to=self.datums[0], edge_to=self.datums[1], relief=self.relief, end=self.end, hole=self.hole,
            extend=self.extend, name=name,
        )  # fmt: skip


@dataclass(frozen=True)
class Cutout:
    """An opening, or a row of them: where is a share of the flat's box."""

    flat: int
    outline: Outline
    place: tuple[float, float]
    turned: float
    pitch: tuple[float, ...] = (0.0,)

    def __call__(self, body: Body, name: str) -> Body:
        flat = body.flats[self.flat % len(body.flats)]
        x0, y0, x1, y1 = flat.outline.bounds
        x, y = x0 + self.place[0] * (x1 - x0), y0 + self.place[1] * (y1 - y0)
        places = [Motion.shift(x + along, y).after(Motion.turn(self.turned)) for along in self.pitch]
        return cut_opening(body, self.outline, flat.name, places, name)


@dataclass(frozen=True)
class Row:
    """Guests side by side on a straight edge, their start set back into the flat; perhaps turned over."""

    flat: int
    edge: int
    guest: Guest
    inset: float
    share: float
    turned_over: bool = False
    pitch: tuple[float, ...] = (0.0,)

    def __call__(self, body: Body, name: str) -> Body:
        flat, edge = _nth(body, Line, self.flat, self.edge)
        (x0, y0), (x1, y1) = edge.start, edge.end
        away = ((y1 - y0) / edge.length, (x0 - x1) / edge.length)
        guests = []
        for number, along in enumerate(self.pitch):
            x, y = edge.point_at(self.share + along / edge.length)
            start = (x - self.inset * away[0], y - self.inset * away[1])
            guest = self.guest(body.sheet, f"{name}[{number + 1}]")
            guests.append(laid(body, flat, guest, start, away, self.turned_over))
        return fuse(body, guests, name=body.name)


@dataclass(frozen=True)
class Ring:
    """Guests round the centre of an arc of a flat, inward from a hole and outward from a rim."""

    flat: int
    edge: int
    guest: Guest
    inset: float
    count: int
    start: float

    def __call__(self, body: Body, name: str) -> Body:
        flat, arc = _nth(body, Arc, self.flat, self.edge)
        outward = 1.0 if arc.ccw else -1.0
        turn = math.radians(self.start)
        away = (outward * math.cos(turn), outward * math.sin(turn))
        reach = arc.radius - outward * self.inset
        start = (arc.centre[0] + outward * reach * away[0], arc.centre[1] + outward * reach * away[1])
        guest = laid(body, flat, self.guest(body.sheet, name), start, away, False)
        frame = frames(body)[flat.name]
        return fuse(
            body, array_about(guest, Axis(frame.point(arc.centre), frame.z), self.count), name=body.name
        )


@dataclass(frozen=True)
class Doubled:
    """The body and its mirror image, fused: the plane is at a share of the root flat's box."""

    plane: Literal["yz", "xz"]
    share: float

    def __call__(self, body: Body, name: str) -> Body:
        x0, y0, x1, y1 = body.flats[0].outline.bounds
        point = body.frame.point((x0 + self.share * (x1 - x0), y0 + self.share * (y1 - y0)))
        return fuse(body, renamed(mirror(body, self.plane, point), name), name=body.name)


@dataclass(frozen=True)
class Hem:
    """A hem on a straight edge: as long as its kind needs at least, and so much longer."""

    flat: int
    edge: int
    kind: HemKind
    beyond: float
    radius: float | None
    share: float
    wide: float
    side: Literal["up", "down"]
    relief: Relief | None
    rule: str | None

    def __call__(self, body: Body, name: str) -> Body:
        flat, edge = _nth(body, Line, self.flat, self.edge)
        thickness, radius = body.sheet.thickness, self.radius or body.sheet.inside_radius
        least = {"closed": thickness, "open": radius + thickness, "rolled": 2.0 * thickness}
        loop = {"inside_radius": radius} if self.kind == "teardrop" else {}
        return add_hem(
            body, (edge.start, edge.end), least.get(self.kind, 3.0 * (radius + thickness)) + self.beyond,
            kind=self.kind, gap=2.0 * radius if self.kind == "open" else None, **loop, flat=flat.name,
            width=self.wide * edge.length, centre=(self.share - 0.5) * (1.0 - self.wide) * edge.length,
            side=self.side, relief=self.relief, bend_rule=self.rule, name=name,
        )  # fmt: skip


@dataclass(frozen=True)
class Curl:
    """A rim rolled round: its diameter is given by what is left inside."""

    flat: int
    edge: int
    inside: float
    angle: float
    share: float
    wide: float
    side: Literal["up", "down"]
    relief: Relief | None

    def __call__(self, body: Body, name: str) -> Body:
        flat, edge = _nth(body, Line, self.flat, self.edge)
        return add_curl(
            body, (edge.start, edge.end), 2.0 * body.sheet.thickness + self.inside, angle=self.angle, flat=flat.name,
            width=self.wide * edge.length, centre=(self.share - 0.5) * (1.0 - self.wide) * edge.length,
            side=self.side, relief=self.relief, name=name,
        )  # fmt: skip


@dataclass(frozen=True)
class Across:
    """An opening on or near one of the bends, through whatever lies there on the blank; perhaps a row along it."""

    bend: int
    outline: Outline
    share: float
    aside: float
    turned: float
    pitch: tuple[float, ...] = (0.0,)

    def __call__(self, body: Body, name: str) -> Body:
        if not body.bends:
            raise InputError(body.name, "bend", self.bend, "there is none", "take another step")
        bend = body.bends[self.bend % len(body.bends)]
        at, middle = bend_frame(*bend.parent_line), -developed_length(body.sheet, bend) / 2.0
        start = self.share * bend.width
        places = [
            at.after(Motion.shift(start + along, middle + self.aside)).after(Motion.turn(self.turned))
            for along in self.pitch
        ]
        return cut_opening(body, self.outline, bend.parent, places, name, on="blank")


@dataclass(frozen=True)
class Sunk:
    """A countersunk (or, of no angle, counterbored) hole: as deep as a share of the sheet."""

    flat: int
    hole: float
    deep: float
    angle: float
    face: Literal["upper", "lower"]
    place: tuple[float, float]

    def __call__(self, body: Body, name: str) -> Body:
        flat, depth = body.flats[self.flat % len(body.flats)], self.deep * body.sheet.thickness
        x0, y0, x1, y1 = flat.outline.bounds
        place = (x0 + self.place[0] * (x1 - x0), y0 + self.place[1] * (y1 - y0))
        if self.angle:
            head = self.hole + 2.0 * depth * math.tan(math.radians(self.angle) / 2.0)
            shape = countersunk(self.hole, head, self.angle, face=self.face)
        else:
            shape = counterbored(self.hole, 1.8 * self.hole, depth, face=self.face)
        return cut_opening(body, shape, flat.name, place, name)


@dataclass(frozen=True)
class Marked:
    """A dimple, or a line of text: where is a share of the flat's box."""

    flat: int
    text: str
    size: float
    face: Literal["upper", "lower"]
    place: tuple[float, float]

    def __call__(self, body: Body, name: str) -> Body:
        flat = body.flats[self.flat % len(body.flats)]
        x0, y0, x1, y1 = flat.outline.bounds
        place = (x0 + self.place[0] * (x1 - x0), y0 + self.place[1] * (y1 - y0))
        shape = lettering(self.text, self.size) if self.text else dimple(2.0 * self.size, 0.5 * self.size)
        return add_mark(body, shape, flat.name, place, name, self.face)


Step: TypeAlias = Callable[[Body, str], Body]
"""One of the above, or of `growing_formed`."""


@dataclass(frozen=True)
class Stand:
    """Where a body is put at last: hung on another flat, mirrored, turned, shifted."""

    root: int = 0
    mirrored: bool = False
    turn: float = 0.0
    axis: Axis = Axis()  # noqa: RUF009 - frozen
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def __call__(self, body: Body) -> Body:
        body = rooted(body, body.flats[self.root % len(body.flats)].name)
        body = mirror(body, "yz", (7.0, 0.0, 0.0)) if self.mirrored else body
        return translate(rotate(body, self.turn, self.axis), self.shift)


@dataclass(frozen=True)
class Growth:
    """All that a random body is made of."""

    sheet: Sheet
    base: Callable[[Sheet, str], Body]
    steps: tuple[Step, ...] = ()
    stand: Stand = Stand()


@dataclass(frozen=True)
class Grown:
    """A body, and how many of its steps were refused."""

    body: Body
    refused: int


def grown(growth: Growth) -> Grown:
    """The body of a growth, each step left out that the library refuses or that makes it too large."""
    body, refused = growth.base(growth.sheet, "part"), 0
    for number, step in enumerate(growth.steps):
        try:
            bigger = step(body, f"s{number + 1}")
        except InputError:
            refused += 1
            continue
        body = bigger if len(bigger.flats) <= MOST_FLATS else body
    return Grown(growth.stand(body), refused)


def edge_of(body: Body, flat: int, number: int) -> tuple[Flat, Line]:
    """One of the straight edges of one of the flats."""
    return _nth(body, Line, flat, number)


def _nth(body: Body, kind: type[Kind], flat: int, number: int) -> tuple[Flat, Kind]:
    """One of the edges of a kind, of one of the flats that have such: both are counted round and round."""
    having = [(one, [edge for edge in one.net.edges if isinstance(edge, kind)]) for one in body.flats]
    having = [(one, edges) for one, edges in having if edges]
    if not having:
        raise InputError(
            body.name, "edge", number, f"there is no {kind.__name__.lower()}", "take another step"
        )
    one, edges = having[flat % len(having)]
    return one, edges[number % len(edges)]


def laid(
    body: Body, flat: Flat, guest: Body, start: tuple[float, float], away: tuple[float, float], over: bool
) -> Body:
    """A guest with the start of its root flat on a point of a flat of the body, its x axis along a direction."""
    host, sense = frames(body)[flat.name], -1.0 if over else 1.0
    low = guest.flats[0].outline.bounds
    shift = (low[0], (low[1] + low[3]) / 2.0)
    across = (-sense * away[1], sense * away[0])
    origin = (
        start[0] - shift[0] * away[0] - shift[1] * across[0],
        start[1] - shift[0] * away[1] - shift[1] * across[1],
    )
    frame = Frame(
        host.point(origin), host.direction(*away), host.direction(*across), host.direction(0, 0, sense)
    )
    return replace(guest, frame=frame)
