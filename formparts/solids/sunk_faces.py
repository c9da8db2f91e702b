"""The wall of a countersunk or counterbored hole: cylinders, a cone or a ledge, from the lower face to the upper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any, TypeAlias

from formparts.body import Frame, RimEdge
from formparts.body.hole_features import Sink
from formparts.outline.edges import Arc, Point
from formparts.solids.shell import Shell, Use, axes_of, straight_on

Station: TypeAlias = tuple[float, float]
"""Radius, and height above the mid-surface [mm]."""
Ring: TypeAlias = tuple[list[Any], list[Any]]
"""Vertices and arcs of one ring, in the order of the rim."""


def sunk_rim(
    shell: Shell, rim: Sequence[RimEdge], frame: Frame, thickness: float, sink: Sink
) -> tuple[list[Use], list[Use]]:
    """Make all faces round a sunk hole; give the loop on the lower and on the upper skin."""
    arcs = [item.edge for item in rim if isinstance(item.edge, Arc)]
    stations = sink.stations(thickness)
    rings = [_ring(shell, frame, arcs, station) for station in stations]
    for (low, below), (high, above) in pairwise(zip(stations, rings, strict=True)):
        if low[1] == high[1]:
            _ledge(shell, f"{sink.name}.floor", frame, low, high, below, above)
        else:
            straight = abs(low[0] - sink.hole) + abs(high[0] - sink.hole) == 0.0
            _walls(
                shell, f"{sink.name}.{'wall' if straight else 'sink'}", frame, arcs, low, high, below, above
            )
    return _back(rings[0]), _along(rings[-1])


def _away(arc: Arc) -> Point:
    """Unit direction from the middle to the start of an arc."""
    return ((arc.start[0] - arc.centre[0]) / arc.radius, (arc.start[1] - arc.centre[1]) / arc.radius)


def _axes(frame: Frame, arc: Arc, height: float, turn: float) -> Any:
    return axes_of(
        frame.point(arc.centre, height), frame.direction(0.0, 0.0, turn), frame.direction(*_away(arc))
    )


def _ring(shell: Shell, frame: Frame, arcs: Sequence[Arc], station: Station) -> Ring:
    radius, height = station
    places = []
    for arc in arcs:
        (x, y), (cx, cy) = _away(arc), arc.centre
        places.append(shell.vertex(frame.point((cx + radius * x, cy + radius * y), height)))
    made = []
    for number, arc in enumerate(arcs):
        axes = _axes(frame, arc, height, 1.0 if arc.ccw else -1.0)
        made.append(shell.arc(axes, radius, arc.sweep_rad, places[number], places[(number + 1) % len(arcs)]))
    return places, made


def _ledge(
    shell: Shell, name: str, frame: Frame, low: Station, high: Station, below: Ring, above: Ring
) -> None:
    """The flat floor of a counterbore, between two circles at one height."""
    looks_up = high[0] > low[0]
    origin = frame.point((0.0, 0.0), low[1])
    # Rims of holes run clockwise seen from above, and anticlockwise seen from below.
    if looks_up:
        face, wide, narrow = frame, _back(above), _along(below)
    else:
        down = frame.direction(0.0, 0.0, -1.0)
        face, wide, narrow = (
            Frame(origin, frame.x, frame.direction(0.0, -1.0), down),
            _along(below),
            _back(above),
        )
    shell.plane(name, Frame(origin, face.x, face.y, face.z), [wide, narrow])


def _along(ring: Ring) -> list[Use]:
    return [(arc, True) for arc in ring[1]]


def _back(ring: Ring) -> list[Use]:
    return [(arc, False) for arc in reversed(ring[1])]


def _walls(
    shell: Shell,
    name: str,
    frame: Frame,
    arcs: Sequence[Arc],
    low: Station,
    high: Station,
    below: Ring,
    above: Ring,
) -> None:
    """Cylinders or cones between two rings."""
    uprights = []
    for number, arc in enumerate(arcs):
        (x, y), (cx, cy) = _away(arc), arc.centre
        ends = [frame.point((cx + radius * x, cy + radius * y), height) for radius, height in (low, high)]
        uprights.append(shell.line(below[0][number], above[0][number], *ends))
    for number, arc in enumerate(arcs):
        first, last = uprights[number], uprights[(number + 1) % len(arcs)]
        uses = [(below[1][number], True), (last, True), (above[1][number], False), (first, False)]
        if low[0] == high[0]:
            _cylinder(shell, name, frame, arc, low, high, uses)
        else:
            _cone(shell, name, frame, arc, low, high, uses)


def _cylinder(
    shell: Shell, name: str, frame: Frame, arc: Arc, low: Station, high: Station, uses: Sequence[Use]
) -> None:
    turn, tall = 1.0 if arc.ccw else -1.0, high[1] - low[1]
    pcurves = [
        straight_on(0.0, 0.0, 1.0, 0.0),
        straight_on(arc.sweep_rad, 0.0, 0.0, turn),
        straight_on(0.0, turn * tall, 1.0, 0.0),
        straight_on(0.0, 0.0, 0.0, turn),
    ]
    shell.cylinder(name, _axes(frame, arc, low[1], turn), low[0], uses, pcurves, outward=arc.ccw)


def _cone(
    shell: Shell, name: str, frame: Frame, arc: Arc, low: Station, high: Station, uses: Sequence[Use]
) -> None:
    """The axis of a cone points to where it is wide, so that its half angle is positive, as STEP asks."""
    widens_up = high[0] > low[0]
    narrow = low if widens_up else high
    slant = math.hypot(high[0] - low[0], high[1] - low[1])
    sense = 1.0 if widens_up else -1.0
    turn = (1.0 if arc.ccw else -1.0) * sense
    k = shell.k
    half_angle = math.atan2(abs(high[0] - low[0]), high[1] - low[1])
    surface = k.Geom_ConicalSurface(k.gp_Ax3(_axes(frame, arc, narrow[1], sense)), half_angle, narrow[0])
    bottom, top = (0.0, slant) if widens_up else (slant, 0.0)
    pcurves = [
        straight_on(0.0, bottom, turn, 0.0),
        straight_on(turn * arc.sweep_rad, bottom, 0.0, sense),
        straight_on(0.0, top, turn, 0.0),
        straight_on(0.0, bottom, 0.0, sense),
    ]
    shell.curved(name, surface, [list(zip(uses, pcurves, strict=True))], outward=arc.ccw)
