"""The model for the page's folding script: flats in triangles, bends as strips, each with its own frame."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from formparts.body import Bend, Body, Flat, RimEdge, rims
from formparts.body.frame import bend_frame, inverse
from formparts.body.strip_mesh import strip_meshes
from formparts.layout import Blank
from formparts.outline import Arc, Loop, Motion, Outline, Point
from formparts.planning import BendPlan
from formparts.report.html.lying import lying
from formparts.tolerances import SMOOTH

_STEP_RAD = math.radians(6.0)
"""Greatest turn from one facet of an arc to the next."""
_DECIMALS = 7
"""Decimals in the page [mm]: a tenth of LENGTH."""


def folding_model(body: Body, blank: Blank, plan: BendPlan | None = None) -> dict[str, Any]:
    """Return the data to show the part at any stage between blank and folded, in the order of its plan."""
    at = {bend.name: number for number, bend in enumerate(body.bends)}
    in_turn = (plan.ordered if plan else ()) or [(bend.name,) for bend in body.bends]
    edges_of = rims(body)
    number = {flat.name: at for at, flat in enumerate(body.flats)}
    allowances = {mark.name: mark.allowance for mark in blank.bends}
    frame = body.frame
    return {
        "name": body.name,
        "thickness": body.sheet.thickness,
        "colour": list(body.sheet.material.colour),
        "frame": [_rounded(frame.origin), list(frame.x), list(frame.y), list(frame.z)],
        "flats": [_flat(flat, edges_of[flat.name]) for flat in body.flats],
        "steps": [[at[name] for name in step] for step in in_turn],
        "lies": list(lying(plan)) if plan else [],
        "bends": [_bend(bend, number, allowances[bend.name], body.sheet.thickness) for bend in body.bends],
    }


def _flat(flat: Flat, rim_loops: Sequence[Sequence[RimEdge]]) -> dict[str, Any]:
    """Return corners and triangles of a flat, its walls with their normals, and the caps of its openings."""
    loops = [list(_walls(loop)) for loop in rim_loops]
    corners = [[wall[0] for wall in loop] for loop in loops]
    points, triangles = triangulated(corners)
    return {
        "name": flat.name,
        "points": _flattened(points),
        "triangles": triangles,
        "walls": [_wall(wall) for loop in loops for wall in loop if not wall[4]],
        "openings": [{"name": opening.name, **_cap(opening.outline)} for opening in flat.openings],
    }


_Wall = tuple[Point, Point, Point, Point, bool, bool]
"""Start, end, outward normals at both, whether a bend starts there, and whether a corner is at its start."""


def _walls(loop: Sequence[RimEdge]) -> Iterator[_Wall]:
    """Return a rim as straight segments; the normals of an arc's segments are those of the arc."""
    before = followed(loop[-1].edge)[1][-1]
    for item in loop:
        points, normals = followed(item.edge)
        for at in range(len(points) - 1):
            corner = at == 0 and math.dist(before, normals[0]) > SMOOTH
            yield points[at], points[at + 1], normals[at], normals[at + 1], item.bend is not None, corner
        before = normals[-1]


def followed(edge: Any) -> tuple[list[Point], list[Point]]:
    """Return points along an edge, and the outward directions there (the material is to the left)."""
    if not isinstance(edge, Arc):
        (x0, y0), (x1, y1) = edge.start, edge.end
        out = ((y1 - y0) / edge.length, (x0 - x1) / edge.length)
        return [edge.start, edge.end], [out, out]
    count = max(1, math.ceil(edge.sweep_rad / _STEP_RAD))
    points = [edge.start, *(edge.point_at(at / count) for at in range(1, count)), edge.end]
    sign = (1.0 if edge.ccw else -1.0) / edge.radius
    (cx, cy) = edge.centre
    return points, [(sign * (x - cx), sign * (y - cy)) for x, y in points]


def _wall(wall: _Wall) -> list[float]:
    start, end, first, last, _, corner = wall
    return [*_rounded((*start, *end, *first, *last)), 1 if corner else 0]


def _cap(outline: Outline) -> dict[str, Any]:
    """Return the area of an opening, so that the pointer can find it."""
    points, triangles = triangulated([_polygon(outline.outer)])
    return {"points": _flattened(points), "triangles": triangles}


def _polygon(loop: Loop) -> list[Point]:
    return [point for edge in loop.edges for point in followed(edge)[0][:-1]]


def triangulated(loops: Sequence[Sequence[Point]]) -> tuple[list[Point], list[int]]:
    """Return corners, and three corner numbers for each triangle, anticlockwise; the outer loop comes first."""
    from ezdxf.math import Vec2
    from ezdxf.math.triangulation import mapbox_earcut_2d

    numbers: dict[tuple[float, float], int] = {}
    for loop in loops:
        for x, y in loop:
            numbers.setdefault((x, y), len(numbers))
    outer, *holes = ([Vec2(x, y) for x, y in loop] for loop in loops)
    triangles: list[int] = []
    for corners in mapbox_earcut_2d(outer, holes):
        a, b, c = (numbers[(corner.x, corner.y)] for corner in corners)
        turned = (corners[1] - corners[0]).det(corners[2] - corners[0]) < 0.0
        triangles += (a, c, b) if turned else (a, b, c)
    return list(numbers), triangles


def _bend(bend: Bend, number: dict[str, int], allowance: float, thickness: float) -> dict[str, Any]:
    """Return the position of a bend, and the length of its middle surface flat (`flat`) and folded (`folded`) [mm]."""
    angle_rad = math.radians(bend.angle)
    return {
        "name": bend.name,
        "parent": number[bend.parent],
        "child": number[bend.child],
        "up": bend.side == "up",
        "angle": angle_rad,
        "flat": allowance,
        "folded": angle_rad * (bend.inside_radius + thickness / 2.0),
        "width": round(bend.width, _DECIMALS),
        "line": _motion(bend_frame(*bend.parent_line)),
        "onwards": _motion(inverse(bend_frame(*bend.child_line))),
        "cut": _cut_strips(bend) if bend.openings else [],
    }


def _cut_strips(bend: Bend) -> list[dict[str, Any]]:
    """Return what is left of a bend with openings: points (along the line, share of the angle), triangles, rims."""
    steps = max(1, math.ceil(math.radians(bend.angle) / _STEP_RAD))
    meshes = strip_meshes(bend, bend.developed, steps, lambda arc: math.ceil(arc.sweep_rad / _STEP_RAD))
    return [
        {
            "points": _flattened((x, -y / bend.developed) for x, y in mesh.points),
            "triangles": [corner for triangle in mesh.triangles for corner in triangle],
            "rims": [run for one, run in mesh.runs if not one.flat],
        }
        for mesh in meshes
    ]


def _motion(motion: Motion) -> list[float]:
    return [motion.a, motion.b, motion.c, motion.d, motion.p, motion.q]


def _flattened(points: Iterable[Point]) -> list[float]:
    return [value for point in points for value in _rounded(point)]


def _rounded(values: Iterable[float]) -> list[float]:
    return [round(value, _DECIMALS) + 0.0 for value in values]
