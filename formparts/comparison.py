"""What changed from one part to another, in the terms of the part, flat by flat and bend by bend."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from formparts.arguments import takes
from formparts.bending import outside_setback
from formparts.blanks import blank
from formparts.body import Bend, Body, Flat, Frame, Opening, frames
from formparts.checks import findings
from formparts.closed_forms import properties
from formparts.outline import Motion, Outline, alike
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH, ROUNDING, TURN_DEG

Setback: TypeAlias = tuple[int, float] | None
"""Which side of a flat points up from its bend (0 along x, 1 along y), and what is added to its height [mm]."""

_HEIGHT_UP_TO = 170.0
"""A flange with a larger bend angle lies on its flat, and has no height to the outside [deg]."""


@short_repr
@dataclass(frozen=True)
class Change:
    """
    One thing that differs between two parts.

    Parameters
    ----------
    what : str
        The flat, bend, opening or figure: `flange`, `lug[3].tip`, `mass`.
    how : str
        What became of it: `size`, `shape`, `moved`, `turned`, `added`, `gone`, or the name of a figure.
    before, after : object
        The two values, None where there is none.
    text : str
        The same in words.
    """

    what: str
    how: str
    before: Any
    after: Any
    text: str

    def __str__(self) -> str:
        return self.text


@takes(before="Body", after="Body")
def compare(before: Body, after: Body) -> tuple[Change, ...]:
    """
    List what changed from one part to another: features by their names, then the figures of the whole.

    Parameters
    ----------
    before, after : Body
        Two parts, as two variants of one recipe.

    Returns
    -------
    tuple of Change
        None when the two are one part.

    Examples
    --------
    >>> before = plate(Sheet(2, 2.5), rectangle(60, 40), name="base")
    >>> for change in compare(before, plate(Sheet(2, 2.5), rectangle(75, 40), name="base")):
    ...     print(change)
    base length +15 mm (60 -> 75)
    mass +9.42 g (0.03768 -> 0.0471 kg)
    volume +25 %
    envelope x +15 mm (60 -> 75)
    blank area +25 %
    blank length +15 mm (60 -> 75)
    blank cut length +30 mm (200 -> 230)
    """
    return (*_sheets(before, after), *_flats(before, after), *_bends(before, after), *_whole(before, after))


def touched_pieces(before: Body, after: Body) -> tuple[str, ...]:
    """Return the names of the flats, bends and openings that changed, except those that only moved along."""
    changes = (*_flats(before, after), *_bends(before, after))
    return tuple(dict.fromkeys(change.what for change in changes if change.how not in ("moved", "turned")))


@takes(before="Mapping", after="Mapping")
def compare_parameters(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[Change, ...]:
    """Return which parameters differ.

    Parameters
    ----------
    before, after : mapping of str to float, int, str or bool [house unit]
        Parameters of two variants.

    Returns
    -------
    tuple of Change
        In the order of the names.
    """
    names = list(dict.fromkeys([*before, *after]))
    pairs = ((name, before.get(name), after.get(name)) for name in names)
    return tuple(
        Change(name, "parameter", one, two, f"{name} {_shown(one)} -> {_shown(two)}")
        for name, one, two in pairs
        if one != two
    )


def _shown(value: Any) -> str:
    if value is None:
        return "none"
    return f"{value:.9g}" if isinstance(value, float) else str(value)


def _sheets(before: Body, after: Body) -> Iterator[Change]:
    one, two = before.sheet, after.sheet
    yield from _figure("sheet", "thickness", one.thickness, two.thickness, "mm")
    pairs = (
        ("material", one.material.name, two.material.name),
        ("bend rule", one.bend_rule.name, two.bend_rule.name),
    )
    for how, first, second in pairs:
        if first != second:
            yield Change("sheet", how, first, second, f"{how} {first} -> {second}")


def _figure(what: str, how: str, before: float, after: float, unit: str) -> Iterator[Change]:
    """A figure that differs, by how much."""
    change = after - before
    if abs(change) > max(ROUNDING * max(abs(before), abs(after)), LENGTH if unit == "mm" else 0.0):
        text = f"{what} {how} {change:+.6g} {unit} ({before:.9g} -> {after:.9g})"
        yield Change(what, how, before, after, text.replace("  ", " "))


def _named(pieces: Sequence[Any]) -> dict[str, Any]:
    return {piece.name: piece for piece in pieces}


def _come_and_gone(kind: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Change]:
    for name in [name for name in before if name not in after]:
        yield Change(name, "gone", name, None, f"{kind} {name} is gone")
    for name in [name for name in after if name not in before]:
        yield Change(name, "added", None, name, f"{kind} {name} is new")


def _flats(before: Body, after: Body) -> Iterator[Change]:
    """Flats by their names: their size in their own plane, their position, their openings."""
    one, two = _named(before.flats), _named(after.flats)
    yield from _come_and_gone("flat", one, two)
    stood, stand = frames(before), frames(after)
    stands, stands_now = _upright(before), _upright(after)
    for name in [name for name in one if name in two]:
        setbacks = stands.get(name), stands_now.get(name)
        yield from _grown(name, one[name].outline, two[name].outline, setbacks)
        yield from _moved(name, (one[name], stood[name]), (two[name], stand[name]))
        yield from _openings(one[name], two[name], stood[name], stand[name])
        yield from _marks(one[name], two[name])


def _upright(body: Body) -> dict[str, tuple[int, float]]:
    """By the name of each flange, a flat that ends at one bend: which side runs across it, and its setback."""
    found = {}
    inner, leading = {bend.parent for bend in body.bends}, {bend.child: bend for bend in body.bends}
    for bend in body.bends:
        before = leading.get(bend.parent)
        offset = before is not None and before.side != bend.side and before.angle == bend.angle
        if bend.child in inner or offset or bend.angle >= _HEIGHT_UP_TO:
            continue
        (x0, y0), (x1, y1) = bend.child_line
        for side, along in enumerate((abs(y1 - y0), abs(x1 - x0))):
            if math.isclose(along, bend.width, rel_tol=ROUNDING):
                back = outside_setback(bend.angle, bend.inside_radius, body.sheet.thickness)
                found[bend.child] = side, float(back)
    return found


def _grown(
    name: str, before: Outline, after: Outline, setbacks: tuple[Setback, Setback] = (None, None)
) -> Iterator[Change]:
    """By how much an outline is longer, wider or, to the outside, higher; else by how much its area differs."""
    sides = []
    for how, low in (("length", 0), ("width", 1)):
        first, second = (one.bounds[low + 2] - one.bounds[low] for one in (before, after))
        one, two = setbacks
        if one and two and one[0] == two[0] == low:
            how, first, second = "height", first + one[1], second + two[1]
        sides += list(_figure(name, how, first, second, "mm"))
    sides = sides or list(_figure(name, "area", before.area, after.area, "mm2"))
    if not sides and not alike(_to_corner(before), _to_corner(after)):
        sides = [Change(name, "shape", None, None, f"{name} has another shape, with the same size and area")]
    yield from sides


def _to_corner(outline: Outline) -> Outline:
    """The outline with the corner of its box at the origin: its position is reported elsewhere."""
    return outline.moved(Motion.shift(-outline.bounds[0], -outline.bounds[1]))


def _middle(flat: Flat, frame: Frame) -> tuple[float, float, float]:
    """Centre of the box round a flat's outline, in space."""
    x0, y0, x1, y1 = flat.outline.bounds
    return frame.point(((x0 + x1) / 2.0, (y0 + y1) / 2.0))


def _moved(name: str, before: tuple[Flat, Frame], after: tuple[Flat, Frame]) -> Iterator[Change]:
    first, second = _middle(*before), _middle(*after)
    way = math.dist(first, second)
    if way > LENGTH:
        by = ", ".join(
            f"{axis} {change:+.6g}"
            for axis, change in zip("xyz", (b - a for a, b in zip(first, second, strict=True)), strict=True)
            if abs(change) > LENGTH
        )
        yield Change(name, "moved", first, second, f"{name} moved {way:.6g} mm ({by})")
    turn = _angle(before[1].z, after[1].z)
    if turn > TURN_DEG:
        yield Change(name, "turned", before[1].z, after[1].z, f"{name} turned {turn:.6g} deg")


def _angle(one: Sequence[float], two: Sequence[float]) -> float:
    """Angle between two directions [deg], with all its digits near 0 too."""
    across = math.dist(one, two) / 2.0
    return math.degrees(2.0 * math.asin(min(1.0, across)))


def _openings(before: Flat, after: Flat, stood: Frame, stand: Frame) -> Iterator[Change]:
    one, two = _named(before.openings), _named(after.openings)
    yield from _come_and_gone("opening", one, two)
    for name in [name for name in one if name in two]:
        first, second = one[name].outline, two[name].outline
        yield from _opening(name, first, second)
        was, now = (_opening_words(each[name]) for each in (one, two))
        if was != now:
            yield Change(name, "hole", was, now, f"{name} is {now}, before {was}")
        places = (frame.point(_centre(outline)) for frame, outline in ((stood, first), (stand, second)))
        start, end = places
        if math.dist(start, end) > LENGTH:
            yield Change(name, "moved", start, end, f"{name} moved {math.dist(start, end):.6g} mm")


def _marks(before: Flat, after: Flat) -> Iterator[Change]:
    one, two = _named(before.marks), _named(after.marks)
    yield from _come_and_gone("mark", one, two)
    for name in [name for name in one if name in two]:
        was, now = one[name].words, two[name].words
        if was != now:
            yield Change(name, "words", was, now, f"{name} is {now}, before {was}")
        if math.dist(one[name].middle, two[name].middle) > LENGTH:
            places = one[name].middle, two[name].middle
            yield Change(name, "moved", *places, f"{name} moved {math.dist(*places):.6g} mm on its flat")


def _opening_words(opening: Opening) -> str:
    feature = opening.feature
    words = f"{feature.callout}, from the {feature.face} face" if feature else "a plain opening"
    return f"{words}, after bending" if opening.after_bending else words


def _opening(name: str, before: Outline, after: Outline) -> Iterator[Change]:
    """A round opening by its diameter, any other by its sides."""
    first, second = before.outer.circle, after.outer.circle
    if first and second:
        yield from _figure(name, "diameter", 2.0 * first[1], 2.0 * second[1], "mm")
    else:
        yield from _grown(name, before, after)


def _centre(outline: Outline) -> tuple[float, float]:
    x0, y0, x1, y1 = outline.bounds
    return ((x0 + x1) / 2.0, (y0 + y1) / 2.0)


def _bends(before: Body, after: Body) -> Iterator[Change]:
    one, two = _named(before.bends), _named(after.bends)
    yield from _come_and_gone("bend", one, two)
    read: tuple[tuple[str, Callable[[Bend], float], str], ...] = (
        ("angle", lambda bend: bend.angle, "deg"),
        ("inside radius", lambda bend: bend.inside_radius, "mm"),
        ("width", lambda bend: bend.width, "mm"),
    )
    for name in [name for name in one if name in two]:
        for how, value, unit in read:
            yield from _figure(name, how, value(one[name]), value(two[name]), unit)
        if one[name].side != two[name].side:
            sides = one[name].side, two[name].side
            yield Change(name, "side", *sides, f"{name} bends {sides[1]}, before {sides[0]}")


def _whole(before: Body, after: Body) -> Iterator[Change]:
    """Figures of the whole: mass, volume, envelope, blank, findings that came or went."""
    one, two = properties(before), properties(after)
    yield from _mass(one.mass, two.mass)
    yield from _share("volume", one.volume, two.volume)
    for axis, first, second in zip("xyz", one.envelope, two.envelope, strict=True):
        yield from _figure("envelope", axis, first, second, "mm")
    flat, other = blank(before), blank(after)
    yield from _share("blank area", flat.area, other.area)
    yield from _figure("blank", "length", flat.length, other.length, "mm")
    yield from _figure("blank", "width", flat.width, other.width, "mm")
    yield from _figure("blank", "cut length", flat.cut_length, other.cut_length, "mm")
    yield from _figure("blank", "pierces", flat.pierces, other.pierces, "")
    had = {(found.code, found.where): found for found in findings(before, flat)}
    has = {(found.code, found.where): found for found in findings(after, other)}
    for key in [key for key in had if key not in has]:
        yield Change(key[1], "cleared", key[0], None, f"cleared: {had[key].message}")
    for key in [key for key in has if key not in had]:
        yield Change(key[1], "found", None, key[0], f"found: {has[key].severity}: {has[key].message}")


def _mass(before: float, after: float) -> Iterator[Change]:
    if abs(after - before) > ROUNDING * max(before, after):
        text = f"mass {1000.0 * (after - before):+.6g} g ({before:.6g} -> {after:.6g} kg)"
        yield Change("mass", "mass", before, after, text)


def _share(what: str, before: float, after: float) -> Iterator[Change]:
    if abs(after - before) > ROUNDING * max(before, after):
        yield Change(what, what, before, after, f"{what} {100.0 * (after / before - 1.0):+.3g} %")
