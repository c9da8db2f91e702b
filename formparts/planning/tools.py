"""Tools and machine: punches and dies as profiles."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import Any, Final

from formparts.outline.edges import Point
from formparts.planning.cells import Cell, rounded, trapezoids
from formparts.short_repr import short_repr

PUNCH_KINDS: Final = ("straight", "swan-neck", "acute", "hemming")


@short_repr
@dataclass(frozen=True)
class Punch:
    """
    A punch as a profile: y to the back of the machine, z up, the tip at 0, 0.

    Parameters
    ----------
    name : str
        Name by which the setter finds it.
    kind : str
        `straight`, `swan-neck`, `acute` or `hemming`.
    angle : float [deg]
        Included angle of the tip.
    tip_radius : float [mm]
        Radius of the tip.
    force : float [kN/m]
        Permitted force for each metre.
    outline : tuple of (y, z) [mm]
        Corners, anticlockwise from the sharp tip.
    sections : tuple of float [mm]
        Lengths of the sections in the rack.
    horn : (float, float), optional [mm]
        How far the end sections reach beyond the body, and how high their foot is.
    """

    name: str
    kind: str
    angle: float
    tip_radius: float
    force: float
    outline: tuple[Point, ...]
    sections: tuple[float, ...]
    horn: tuple[float, float] | None = None

    @cached_property
    def corners(self) -> tuple[Point, ...]:
        """The profile with its tip rounded, its lowest point at z = 0."""
        tip = rounded(self.outline[-1], self.outline[0], self.outline[1], self.tip_radius)
        low = self.tip_radius * (1.0 / math.sin(self._half_rad) - 1.0) if len(tip) > 1 else 0.0
        return tuple((y, z - low) for y, z in [*tip, *self.outline[1:]])

    @property
    def _half_rad(self) -> float:
        return math.radians(self.angle) / 2.0

    @property
    def height(self) -> float:
        """From the tip to the ram [mm]."""
        return max(z for _, z in self.corners)

    @property
    def cells(self) -> tuple[Cell, ...]:
        """The profile as convex cells."""
        return _cells(self.corners)

    def turned(self) -> Punch:
        """Return the same punch in the other orientation."""
        outline = (self.outline[0], *((-y, z) for y, z in reversed(self.outline[1:])))
        if set(outline) == set(self.outline):
            return self
        return Punch(
            f"{self.name}, turned round",
            self.kind, self.angle, self.tip_radius, self.force, outline, self.sections, self.horn,
        )  # fmt: skip


@short_repr
@dataclass(frozen=True)
class Die:
    """
    A V block, the same to both sides; its top is z = 0.

    Parameters
    ----------
    opening : float [mm]
        V, between the flanks where they would meet the top.
    angle : float [deg]
        Included angle of the V.
    shoulder_radius : float [mm]
        Radius of the shoulders.
    width, height : float [mm]
        Of the block.
    force : float [kN/m]
        Permitted force for each metre.
    sections : tuple of float [mm]
        Lengths of the sections in the rack.
    """

    opening: float
    angle: float
    shoulder_radius: float
    width: float
    height: float
    force: float
    sections: tuple[float, ...]

    @property
    def name(self) -> str:
        """As `V 16, 85 deg`."""
        return f"V {self.opening:g}, {self.angle:g} deg"

    @property
    def shoulder(self) -> float:
        """From the middle to the centre of a shoulder's radius [mm]."""
        return self.opening / 2.0 + self.shoulder_radius * math.tan(
            math.radians(90.0 - self.angle / 2.0) / 2.0
        )

    @property
    def depth(self) -> float:
        """From the top to the bottom of the V [mm]."""
        return self.opening / 2.0 / math.tan(math.radians(self.angle) / 2.0)

    @cached_property
    def corners(self) -> tuple[Point, ...]:
        """The profile, anticlockwise."""
        half, bottom, edge = self.width / 2.0, (0.0, -self.depth), (self.opening / 2.0, 0.0)
        right = rounded((half, 0.0), edge, bottom, self.shoulder_radius)
        left = [(-y, z) for y, z in reversed(right)]
        return ((-half, -self.height), (half, -self.height), (half, 0.0), *right, bottom, *left, (-half, 0.0))

    @property
    def cells(self) -> tuple[Cell, ...]:
        """The profile as convex cells."""
        return _cells(self.corners)


@short_repr
@dataclass(frozen=True)
class FlatDie:
    """
    A block with a flat top, on which hems and curls are closed; its top is z = 0.

    Parameters
    ----------
    name : str
        Name by which the setter finds it.
    width, height : float [mm]
        Of the block.
    force : float [kN/m]
        Permitted force for each metre.
    sections : tuple of float [mm]
        Lengths of the sections in the rack.
    """

    name: str
    width: float
    height: float
    force: float
    sections: tuple[float, ...]

    @property
    def corners(self) -> tuple[Point, ...]:
        """The profile, anticlockwise."""
        half = self.width / 2.0
        return ((-half, -self.height), (half, -self.height), (half, 0.0), (-half, 0.0))

    @property
    def cells(self) -> tuple[Cell, ...]:
        """The profile as convex cells."""
        return _cells(self.corners)


@short_repr
@dataclass(frozen=True)
class Machine:
    """
    A press brake. y goes to the back, z up from the top of the die.

    Parameters
    ----------
    name : str
        What it is.
    force : float [kN]
        Greatest force.
    bending_length, between_frames, throat : float [mm]
        Longest bend; between the side frames; from the bend line back into the frames.
    open_height, stroke : float [mm]
        Between ram and table with the ram up; how far the ram goes.
    ram_width, table_width : float [mm]
        Thickness of ram and table, the same to both sides of the bend line.
    stop_range, stop_height : (float, float) [mm]
        How near and far the stops go from the bend line; how low and high from the top of the die.
    finger_width : float [mm]
        Of a stop finger's tip.
    stop_repeatability : float [mm]
        Half the range within which a stop comes back.
    angle_repeatability : float [deg]
        Half the range of the bend angle from part to part.
    source : str
        Where the figures are from.
    """

    name: str
    force: float
    bending_length: float
    between_frames: float
    throat: float
    open_height: float
    stroke: float
    ram_width: float
    table_width: float
    stop_range: tuple[float, float]
    stop_height: tuple[float, float]
    finger_width: float
    stop_repeatability: float
    angle_repeatability: float
    source: str


@short_repr
@dataclass(frozen=True)
class ToolTable:
    """
    The tools of a shop and its machine.

    Parameters
    ----------
    name : str
        Of the file.
    machine : Machine
        The press brake.
    punches : tuple of Punch
        In order of preference.
    dies : tuple of Die
        By angle and opening.
    flat_dies : tuple of FlatDie
        For hems and curls.
    """

    name: str
    machine: Machine
    punches: tuple[Punch, ...]
    dies: tuple[Die, ...]
    flat_dies: tuple[FlatDie, ...] = ()
    _cache: dict[Any, Any] = field(default_factory=dict, compare=False, repr=False)


@cache
def _cells(corners: tuple[Point, ...]) -> tuple[Cell, ...]:
    return trapezoids([corners])
