"""Placing parts on each other: named frames on every part, and exact positions without a solver."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from formparts.arguments import takes
from formparts.assembly.joints import Joint
from formparts.assembly.turned import Turned, turned_box, turned_centroid, turned_frames
from formparts.body import Body, Frame, frames
from formparts.body.frame import Vector, combined, square_frame
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.outline import Outline
from formparts.outline.edges import cos_deg, sin_deg
from formparts.quantities import angle, length, shown_value
from formparts.short_repr import short_repr

Part: TypeAlias = Body | Turned
_ORIGIN = Frame()


@takes(part=("Body", "Turned"))
def part_frames(part: Body | Turned) -> dict[str, Frame]:
    """
    The named frames of a part, in its own coordinates; z points out of the material.

    Parameters
    ----------
    part : Body or Turned
        A bent part, or a round one.

    Returns
    -------
    dict of str to Frame
        Of a bent part: `origin`; `NAME.upper` and `NAME.lower` for every flat (at the middle of its outline) and for
        every opening (on its axis). Of a round part: `origin`, `bottom`, `top`, `shoulder[n]`.
    """
    return turned_frames(part) if isinstance(part, Turned) else dict(_body_frames(part))


def _body_frames(body: Body) -> Iterator[tuple[str, Frame]]:
    yield "origin", Frame()
    placed = frames(body)
    half = body.sheet.thickness / 2.0
    for flat in body.flats:
        for name, outline in ((flat.name, flat.outline), *((o.name, o.outline) for o in flat.openings)):
            frame = placed[flat.name]
            middle = _middle(outline)
            yield f"{name}.upper", Frame(frame.point(middle, half), frame.x, frame.y, frame.z)
            back = (frame.direction(0.0, -1.0), frame.direction(0.0, 0.0, -1.0))
            yield f"{name}.lower", Frame(frame.point(middle, -half), frame.x, *back)


def _middle(outline: Outline) -> tuple[float, float]:
    x, y = outline.first_moments
    return (x / outline.area, y / outline.area)


@short_repr
@dataclass(frozen=True)
class Placed:
    """
    A part in its place.

    Parameters
    ----------
    name : str
        Of this one among the others.
    part : Body or Turned
        The part at that position.
    frame : Frame
        Where the part's own coordinates lie in space.
    """

    name: str
    part: Part
    frame: Frame = _ORIGIN

    def at(self, name: str) -> Frame:
        """
        A frame of the part, in space.

        Parameters
        ----------
        name : str
            As `part_frames` has it.

        Returns
        -------
        Frame

        Raises
        ------
        InputError
            The part has no such frame.
        """
        return _named(self.part, name).inside(self.frame)


def _named(part: Part, name: str) -> Frame:
    found = part_frames(part)
    if name not in found:
        near = [known for known in found if name.split(".")[0] in known] or list(found)
        shown = ", ".join(near[:12]) + (", ..." if len(near) > 12 else "")
        raise InputError(part.name, "frame", name, "there is no such frame", f"there are: {shown}")
    return found[name]


@takes(part=("Body", "Turned"), its="str", on="Frame", name="str")
def place(
    part: Body | Turned,
    its: str,
    on: Frame,
    *,
    name: str = "",
    turned: float = 0.0,
    gap: float = 0.0,
    facing: bool = True,
) -> Placed:
    """
    Place a part so that one of its frames coincides with a frame in space; exact, no solver takes part.

    Parameters
    ----------
    part : Body or Turned
        What is placed.
    its : str
        Name of its own frame.
    on : Frame
        Where that frame goes, as another part's `at` gives it.
    name : str
        Of the placed part; the part's own name when none is given.
    turned : float [deg]
        Turn about the z axis of `on`, anticlockwise.
    gap : float [mm]
        Distance along the z axis of `on`.
    facing : bool
        The two z axes look at each other, as faces that touch do; else they look the same way.

    Returns
    -------
    Placed

    Raises
    ------
    InputError
        The part has no such frame, or a figure is not finite.
    """
    turn, away_by = angle(turned, "turned", part.name), length(gap, "gap", part.name)
    cos, sin = cos_deg(turn), sin_deg(turn)
    x = on.direction(cos, sin)
    away = -1.0 if facing else 1.0
    y, z = on.direction(-sin * away, cos * away), on.direction(0.0, 0.0, away)
    target = Frame(on.point((0.0, 0.0), away_by), x, y, z)
    return Placed(name or part.name, part, _carried(_named(part, its), target))


def _carried(its: Frame, target: Frame) -> Frame:
    """Return the frame of a part's coordinates when its frame `its` lies on the target."""

    def image(axis: int) -> Vector:
        parts = ((its.x[axis], target.x), (its.y[axis], target.y), (its.z[axis], target.z))
        return combined((0.0, 0.0, 0.0), *parts)

    placed = square_frame(target.origin, image(0), image(2))
    x, y, z = (-value for value in its.origin)
    return Frame(placed.point((x, y), z), placed.x, placed.y, placed.z)


@short_repr
@dataclass(frozen=True)
class Assembly:
    """
    Parts that belong together.

    Parameters
    ----------
    name : str
        Name of the assembly.
    items : tuple of Placed
        The parts and their positions; every name is unique.
    titles : mapping of str to (mapping of str to str)
        What title blocks say: number, revision, author, owner, date, by the name of a part or of the assembly.
    joints : tuple of Joint
        What holds the parts together, for a deck of finite elements.

    Raises
    ------
    InputError
        There is nothing, two have the same name, or a title or a joint is of a name that is not there.
    """

    name: str
    items: tuple[Placed, ...]
    titles: Mapping[str, Mapping[str, str]] = field(default_factory=dict, hash=False)
    joints: tuple[Joint, ...] = ()

    def __post_init__(self) -> None:
        given: object = self.items
        if not isinstance(given, Iterable):
            problem = f"is of type {type(given).__name__}"
            raise InputError(self.name, "items", given, problem, "a list of placed parts is wanted")
        for item in self.items:
            _refuse_loose(self.name, item)
        names = [item.name for item in self.items]
        twice = [name for name in names if names.count(name) > 1]
        if not names:
            raise InputError(self.name, "items", "none", "an assembly of nothing", "place a part")
        if twice:
            raise InputError(self.name, "items", twice[0], "two parts have this name", "give each its own")
        known = {self.name: None} | {item.part.name: None for item in self.items}
        for odd in (name for name in self.titles if name not in known):
            problem, fix = "there is no such part", f"there are: {', '.join(known)}"
            raise InputError(self.name, "titles", shown_value(odd), problem, fix)
        for odd in (item for joint in self.joints for item in joint.items if item not in names):
            problem, fix = "there is no such item", f"there are: {', '.join(names)}"
            raise InputError(self.name, "joints", shown_value(odd), problem, fix)

    @property
    def mass(self) -> float:
        """Mass of all parts [kg]."""
        return math.fsum(part_mass(item.part) for item in self.items)

    @property
    def centroid(self) -> Vector:
        """Centre of mass of all parts [mm]."""
        masses = [part_mass(item.part) for item in self.items]
        places = [_centre(item) for item in self.items]
        x, y, z = (
            math.fsum(m * p[axis] for m, p in zip(masses, places, strict=True)) / math.fsum(masses)
            for axis in range(3)
        )
        return (x, y, z)


def _refuse_loose(where: str, item: object) -> None:
    """Refuse anything in an assembly but placed parts."""
    if not isinstance(item, Placed) or not isinstance(item.part, (Body, Turned)):
        raise InputError(
            where, "items", shown_value(item), "is not a placed part", "give what place returned"
        )


def part_mass(part: Part) -> float:
    """Mass of a part [kg]."""
    return part.mass if isinstance(part, Turned) else properties(part).mass


def part_volume(part: Part) -> float:
    """Volume of a part [mm3]."""
    return part.volume if isinstance(part, Turned) else properties(part).volume


def _centre(item: Placed) -> Vector:
    own = turned_centroid(item.part) if isinstance(item.part, Turned) else properties(item.part).centroid
    return item.frame.point((own[0], own[1]), own[2])


def box_of(item: Placed) -> tuple[Vector, Vector]:
    """The smallest box along the axes of space round a placed part [mm]; exact."""
    if isinstance(item.part, Turned):
        return turned_box(item.part, item.frame)
    moved = properties(replace(item.part, frame=item.part.frame.inside(item.frame)))
    return moved.lowest, moved.highest
