"""End faces of a whole profile: those of its flats and of the bends between them, under one name."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import takewhile
from typing import TypeVar

from formparts.body import Bend, Body, Rim, bends_on, frames, front_first
from formparts.body.frame import bend_frame

Face = TypeVar("Face")


def whole_ends(body: Body, around: Mapping[str, tuple[Rim, ...]]) -> dict[str, tuple[str, ...]]:
    """
    `channel.front` for all that is called `front` on both sides of a bend, and that end of the bend itself.

    A group has the common prefix of the names of its faces: `lug[1].left_side` is that of one lug. Where they
    have nothing in common it has the name of the part.
    """
    groups: list[dict[str, None]] = []
    for bend in body.bends:
        for end, beside in _ends(body, bend, around).items():
            if len(beside) == 2 and len({tag.rpartition(".")[2] for tag in beside}) == 1:
                met = [group for group in groups if not group.keys().isdisjoint(beside)]
                groups = [group for group in groups if group not in met]
                joined = {name: None for group in met for name in group}
                groups.append(joined | dict.fromkeys([*beside, f"{bend.name}.{end}"]))
    found: dict[str, tuple[str, ...]] = {}
    for group in groups:
        name = _common(body.name, list(group))
        found[name] = (*found.get(name, ()), *group)
    return found


def _common(part: str, names: list[str]) -> str:
    """Return the common prefix of names, and the word at the end of the first."""
    rows = [name.split(".") for name in names]
    shared = [
        column[0] for column in takewhile(lambda column: len(set(column)) == 1, zip(*rows, strict=False))
    ]
    return ".".join([*(shared or [part]), rows[0][-1]])


def _ends(body: Body, bend: Bend, around: Mapping[str, tuple[Rim, ...]]) -> dict[str, list[str]]:
    """At either end of a bend the names of the free edges of its two flats."""
    line = frames(body)[bend.parent].moved_in_plane(bend_frame(*bend.parent_line))
    first, last = ("start", "end") if front_first(body.frame, line.x) else ("end", "start")
    found: dict[str, list[str]] = {first: [], last: []}
    for flat in (bend.parent, bend.child):
        (seen,) = (each for each in bends_on(body, flat) if each.name == bend.name)
        names = _neighbours(around[flat], bend.name)
        # Seen from the child the line runs the other way.
        names = names if seen.parent == bend.parent else names[::-1]
        for end, name in zip((first, last), names, strict=True):
            found[end] += [name] if name else []
    return found


def _neighbours(loops: tuple[Rim, ...], bend: str) -> tuple[str, str]:
    """Names of the edges before and after a bend on the rim of a flat; empty where that is a bend or has no name."""
    places = [
        (item.span, number, rim)
        for rim in loops
        for number, item in enumerate(rim)
        if item.bend is not None and item.bend.name == bend
    ]
    # Where openings cross the bend it is met in several spans: its ends are those of the first and the last.
    places.sort(key=lambda place: place[0])
    (_, first, rim), (_, last, other) = places[0], places[-1]
    beside = (rim[first - 1], other[(last + 1) % len(other)])
    before, after = ("" if each.bend else each.edge.tag for each in beside)
    return before, after


def grouped(
    faces: Mapping[str, tuple[Face, ...]], groups: Mapping[str, tuple[str, ...]]
) -> dict[str, tuple[Face, ...]]:
    """Return the faces of each group whose name is not used otherwise."""
    return {
        name: tuple(face for member in members for face in faces.get(member, ()))
        for name, members in groups.items()
        if name not in faces
    }
