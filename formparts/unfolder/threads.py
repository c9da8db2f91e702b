"""Modelled threads: the tap hole that a thread is cut in, by the radii between which its flanks run."""

from __future__ import annotations

import math
from dataclasses import dataclass

from formparts.outline.edges import Arc
from formparts.outline.regions import Loop
from formparts.tolerances import SAME_AXIS
from formparts.unfolder.placing import FlatMap
from formparts.unfolder.solid_data import Cylinder, Edge, Other, Plane, SolidData
from formparts.unfolder.space import Pair, cross, dot, length, minus

COARSE: tuple[tuple[str, float, float, float], ...] = (
    ("M1.6", 1.6, 0.35, 1.25),
    ("M2", 2.0, 0.4, 1.6),
    ("M2.5", 2.5, 0.45, 2.05),
    ("M3", 3.0, 0.5, 2.5),
    ("M3.5", 3.5, 0.6, 2.9),
    ("M4", 4.0, 0.7, 3.3),
    ("M5", 5.0, 0.8, 4.2),
    ("M6", 6.0, 1.0, 5.0),
    ("M8", 8.0, 1.25, 6.8),
    ("M10", 10.0, 1.5, 8.5),
    ("M12", 12.0, 1.75, 10.2),
    ("M14", 14.0, 2.0, 12.0),
    ("M16", 16.0, 2.0, 14.0),
    ("M20", 20.0, 2.5, 17.5),
)
"""
Name, diameter, pitch and tap drill [mm] of coarse metric threads.

Source: ISO 261 (diameter and pitch), ISO 2306 (drills before tapping), from memory.
"""
PLACES = 25
"""Number of points at which a helix is tested."""


@dataclass(frozen=True, slots=True)
class Tap:
    """A recognised thread: its name, drill and centre on the blank, and its diameters [mm]."""

    name: str
    drill: float
    centre: Pair
    minor: float
    major: float


def tap_of(part: SolidData, faces: list[int], flat: Plane, where: FlatMap) -> Tap | None:
    """Return the thread that the faces of an opening in a flat make up, if they do."""
    if not any(isinstance(part.faces[face].surface, Other) for face in faces):
        return None
    edges = [part.edges[n] for n in sorted({n for face in faces for n, _ in part.faces[face].coedges})]
    found = _centre(part, faces, edges, flat, where)
    if found is None:
        return None
    centre, radii = found
    minor, major = 2.0 * min(radii), 2.0 * max(radii)
    names = [row for row in COARSE if _is_thread(row, minor, major)]
    if not names:
        return None
    name, _, _, drill = min(names, key=lambda row: abs(row[1] - major))
    return Tap(name, drill, centre, minor, major)


def _is_thread(row: tuple[str, float, float, float], minor: float, major: float) -> bool:
    """True when diameters are those of a thread: ISO 724 has the minor one at 1.0825 pitches below the major one."""
    _, diameter, pitch, _ = row
    return abs(major - diameter) <= 0.35 * pitch and abs(minor - (diameter - 1.0825 * pitch)) <= 0.35 * pitch


def _centre(
    part: SolidData, faces: list[int], edges: list[Edge], flat: Plane, where: FlatMap
) -> tuple[Pair, list[float]] | None:
    """Centre on the blank of all helices of an opening, and their radii."""
    axes = [
        surface
        for face in faces
        if isinstance(surface := part.faces[face].surface, Cylinder)
        and length(cross(surface.axis, flat.normal)) < SAME_AXIS
    ]
    curves = [[where(place) for place in edge.places(PLACES)] for edge in edges if _climbs(edge, flat)]
    if not curves:
        return None
    if axes:
        centre = where(axes[0].point)
    else:
        fits = [fit for curve in curves if (fit := _circle(curve)) is not None]
        if not fits:
            return None
        centre = min(fits, key=lambda fit: fit[1])[0]
    radii = [math.dist(centre, place) for curve in curves for place in curve]
    spread = [max(math.dist(centre, p) for p in c) - min(math.dist(centre, p) for p in c) for c in curves]
    return (centre, radii) if min(spread) < 0.05 else None


def _climbs(edge: Edge, flat: Plane) -> bool:
    """True for a curve that runs round and up."""
    if edge.kind == "line":
        return False
    places = edge.places(5)
    heights = [dot(minus(place, flat.point), flat.normal) for place in places]
    return max(heights) - min(heights) > 0.02


def _circle(places: list[Pair]) -> tuple[Pair, float] | None:
    """Return the centre of the circle nearest to points, and their deviation from it; None where they are on a line."""
    import numpy as np

    rows = np.array([(x, y, 1.0) for x, y in places])
    (a, b, _), _, rank, _ = np.linalg.lstsq(rows, rows[:, 0] ** 2 + rows[:, 1] ** 2, rcond=None)
    if rank < 3:
        return None
    centre = (float(a) / 2.0, float(b) / 2.0)
    radii = [math.dist(centre, place) for place in places]
    return (centre, max(radii) - min(radii))


def drilled(centre: Pair, diameter: float) -> Loop:
    """A round hole on the blank, with the material to its left."""
    (x, y), r = centre, diameter / 2.0
    left, right = (x - r, y), (x + r, y)
    return Loop((Arc(left, right, centre, r, False), Arc(right, left, centre, r, False)))
