"""Round parts beside the bent ones of an assembly: bolts, spacers, the outline of a device."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from formparts.body import Frame
from formparts.body.frame import Vector, combined
from formparts.closed_forms import CUBIC_MM_PER_CUBIC_M
from formparts.errors import InputError, KernelError
from formparts.kernel import guard, measured
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.quantities import length, shown_value
from formparts.short_repr import short_repr
from formparts.solids import Shell, Solid, Use, axes_of, straight_on
from formparts.tolerances import VOLUME_REL
from formparts.triangulation import COARSEST_RAD, chord_angle

if TYPE_CHECKING:
    from trimesh import Trimesh


@short_repr
@dataclass(frozen=True)
class Turned:
    """
    A round part: cylinders on one axis, z, each standing on the one before; z = 0 is the bottom.

    Parameters
    ----------
    name : str
        Name of the part.
    steps : tuple of (float, float) [mm]
        Diameter and length of each cylinder.
    material : Material or str
        What it is made of, or its name in the material table.
    bore : float [mm]
        Diameter of a hole right through; 0 for none.

    Raises
    ------
    InputError
        A dimension is not positive, the bore takes a step away, or two steps that meet are alike.
    """

    name: str
    steps: tuple[tuple[float, float], ...]
    material: Material
    bore: float

    def __init__(
        self,
        name: str,
        steps: tuple[tuple[float, float], ...],
        material: Material | str = "steel",
        bore: float = 0.0,
    ) -> None:
        put = object.__setattr__
        put(self, "name", name)
        put(self, "steps", _steps(steps, name))
        put(self, "material", find_material(material))
        put(self, "bore", length(bore, "bore", name))
        _check(self)

    @property
    def volume(self) -> float:
        """Volume [mm3]."""
        return math.fsum(_volume(diameter, self.bore, length) for diameter, length in self.steps)

    @property
    def surface(self) -> float:
        """Area of all faces [mm2]: the round ones, and at each height what one side has and the other has not."""
        rounds = math.fsum(math.pi * (diameter + self.bore) * length for diameter, length in self.steps)
        levels = [self.bore, *(diameter for diameter, _ in self.steps), self.bore]
        flats = math.fsum(math.pi / 4.0 * abs(one**2 - two**2) for one, two in pairwise(levels))
        return rounds + flats

    @property
    def mass(self) -> float:
        """Mass [kg]."""
        return self.volume * self.material.density / CUBIC_MM_PER_CUBIC_M

    @property
    def heights(self) -> tuple[float, ...]:
        """Where the steps begin and end [mm]."""
        found = [0.0]
        for _, long in self.steps:
            found.append(found[-1] + long)
        return tuple(found)


def _steps(steps: object, where: str) -> tuple[tuple[float, float], ...]:
    """Diameter and length of each step."""
    try:
        pairs = [(diameter, long) for diameter, long in steps]  # type: ignore[attr-defined]  # what is not a list is caught
    except (TypeError, ValueError):
        fix = "give diameter and length of each step"
        raise InputError(where, "steps", shown_value(steps), "is not a list of pairs", fix) from None
    return tuple(
        (length(diameter, "diameter", where), length(long, "length", where)) for diameter, long in pairs
    )


def _volume(diameter: float, bore: float, length: float) -> float:
    return math.pi / 4.0 * (diameter**2 - bore**2) * length


def _check(part: Turned) -> None:
    where = part.name
    if not part.steps:
        raise InputError(
            where, "steps", "none", "there is nothing of it", "give diameter and length of each step"
        )
    for diameter, long in part.steps:
        if not (long > 0.0 and 0.0 <= part.bore < diameter):
            shown = f"{diameter:g} x {long:g} mm, bore {part.bore:g} mm"
            raise InputError(
                where, "steps", shown, "is not a cylinder", "length above 0, diameter above the bore"
            )
    for (one, _), (two, _) in pairwise(part.steps):
        if one == two:
            raise InputError(where, "steps", one, "two steps that meet are alike", "make one of them", "mm")


def turned_frames(part: Turned) -> dict[str, Frame]:
    """The frames of a round part: `origin`, `bottom`, `top`, and a `shoulder[n]` between steps; z out of the metal."""
    up, down = Frame(), Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0))

    def at(frame: Frame, height: float) -> Frame:
        return Frame((0.0, 0.0, height), frame.x, frame.y, frame.z)

    found = {"origin": up, "bottom": down, "top": at(up, part.heights[-1])}
    for number, ((below, _), (above, _)) in enumerate(pairwise(part.steps), 1):
        found[f"shoulder[{number}]"] = at(up if below > above else down, part.heights[number])
    return found


def turned_centroid(part: Turned) -> Vector:
    """Centre of mass [mm]."""
    heights = part.heights
    total = math.fsum(
        _volume(diameter, part.bore, length) * (low + length / 2.0)
        for (diameter, length), low in zip(part.steps, heights, strict=False)
    )
    return (0.0, 0.0, total / part.volume)


def turned_box(part: Turned, frame: Frame) -> tuple[Vector, Vector]:
    """The smallest box along the axes of space round a placed part; exact."""
    reach = tuple(math.sqrt(max(0.0, 1.0 - value * value)) for value in frame.z)
    low, high = [math.inf] * 3, [-math.inf] * 3
    for (diameter, _), bottom, top in zip(part.steps, part.heights, part.heights[1:], strict=False):
        for height in (bottom, top):
            middle = combined(frame.origin, (height, frame.z))
            for axis in range(3):
                low[axis] = min(low[axis], middle[axis] - reach[axis] * diameter / 2.0)
                high[axis] = max(high[axis], middle[axis] + reach[axis] * diameter / 2.0)
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def turned_solid(part: Turned) -> Solid:
    """The solid: one closed shell from shared edges, every round face in two halves, so that none has a seam."""
    with guard(f"solid of {part.name}", part):
        shell = Shell()
        corners = _half_section(part)
        rings = [_Ring(shell, radius, height) for radius, height in corners]
        for number, (name, ring) in enumerate(zip(_face_names(part), rings, strict=True)):
            other = rings[(number + 1) % len(rings)]
            if ring.radius == other.radius:
                if ring.radius > 0.0:
                    _round_face(shell, f"{part.name}.{name}", ring, other)
            else:
                _flat_face(shell, f"{part.name}.{name}", ring, other)
        made = Solid(part.name, shell.closed(), shell.faces)
        volume = measured(made.shape).volume
        if not abs(volume - part.volume) <= VOLUME_REL * part.volume:
            raise KernelError(f"solid of {part.name}", f"volume {volume:.9g}, and not {part.volume:.9g} mm3")
        return made


def turned_mesh(part: Turned, chord: float) -> Trimesh:
    """The mesh: the half section, turned about the axis in equal steps."""
    from trimesh.creation import revolve

    section = _half_section(part)
    widest = max(radius for radius, _ in section)
    count = max(8, math.ceil(2.0 * math.pi / float(chord_angle(widest, chord, COARSEST_RAD))))
    return revolve([*section, section[0]], sections=count, metadata={"name": part.name})


def _half_section(part: Turned) -> list[tuple[float, float]]:
    """Radius and height of the corners of the half section, from the bottom at the bore outward and up."""
    inner, heights = part.bore / 2.0, part.heights
    corners = [(inner, 0.0)]
    for number, (diameter, _) in enumerate(part.steps):
        corners += [(diameter / 2.0, heights[number]), (diameter / 2.0, heights[number + 1])]
    return [*corners, (inner, heights[-1])]


def _face_names(part: Turned) -> list[str]:
    """Names of what the edges of the half section are turned to, in their order."""
    names = ["bottom"]
    for number in range(1, len(part.steps) + 1):
        names += [f"side[{number}]", f"shoulder[{number}]"]
    return [*names[:-1], "top", "bore"]


class _Ring:
    """A circle about the axis in two halves: from the x axis to the other side, and back; none on the axis itself."""

    def __init__(self, shell: Shell, radius: float, height: float) -> None:
        self.radius, self.height = radius, height
        if radius > 0.0:
            self.places = ((radius, 0.0, height), (-radius, 0.0, height))
            self.ends = tuple(shell.vertex(place) for place in self.places)
            one, two = self.ends
            self.halves = (
                shell.arc(_axes(height, 1.0), radius, math.pi, one, two),
                shell.arc(_axes(height, -1.0), radius, math.pi, two, one),
            )


def _axes(height: float, x: float) -> Any:
    return axes_of((0.0, 0.0, height), (0.0, 0.0, 1.0), (x, 0.0, 0.0))


def _round_face(shell: Shell, name: str, ring: _Ring, other: _Ring) -> None:
    """Two halves of a cylinder; on the way up the metal is inside, on the way down outside."""
    outward = other.height > ring.height
    low, high = (ring, other) if outward else (other, ring)
    length = high.height - low.height
    uprights = [shell.line(low.ends[i], high.ends[i], low.places[i], high.places[i]) for i in (0, 1)]
    for half, x in ((0, 1.0), (1, -1.0)):
        uses = [
            (low.halves[half], True), (uprights[1 - half], True), (high.halves[half], False), (uprights[half], False)
        ]  # fmt: skip
        pcurves = [
            straight_on(0.0, 0.0, 1.0, 0.0),
            straight_on(math.pi, 0.0, 0.0, 1.0),
            straight_on(0.0, length, 1.0, 0.0),
            straight_on(0.0, 0.0, 0.0, 1.0),
        ]
        if not outward:
            uses = [(edge, not along) for edge, along in reversed(uses)]
            pcurves.reverse()
        shell.cylinder(name, _axes(low.height, x), low.radius, uses, pcurves, outward)


def _flat_face(shell: Shell, name: str, ring: _Ring, other: _Ring) -> None:
    """A disc or a ring: outward the metal is above it, inward below."""
    up = other.radius < ring.radius
    wide, narrow = (ring, other) if up else (other, ring)

    def loop(circle: _Ring, along: bool) -> list[Use]:
        halves = circle.halves if along else circle.halves[::-1]
        return [(edge, along) for edge in halves]

    loops = [loop(wide, up)]
    if narrow.radius > 0.0:
        loops.append(loop(narrow, not up))
    middle = (0.0, 0.0, ring.height)
    away = (0.0, 0.0, 1.0 if up else -1.0)
    shell.plane(name, Frame(middle, (1.0, 0.0, 0.0), (0.0, away[2], 0.0), away), loops)
