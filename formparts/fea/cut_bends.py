"""Bends with openings: meshed on their developed strip, as a flat is, and rolled onto the cylinder."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from formparts.body import Bend, Body, Frame, StripEdge, front_first, strip_rims
from formparts.body.frame import bend_frame
from formparts.fea.arrays import np
from formparts.fea.divisions import Divisions, Key, strip_key, strip_sizes
from formparts.fea.elements import folded
from formparts.fea.net import GrowingNet, Triple, on_arc
from formparts.fea.planar import planar_mesh
from formparts.fea.round_bends import round_places
from formparts.outline.edges import Point
from formparts.tolerances import TURN_RAD

Place = Callable[[Point, float], Triple]
Faces = Sequence[tuple[int, ...]]


@dataclass
class _Rims:
    """Points along the loops of a region, the nodes that exist already, and the edge that each begins a part of."""

    points: list[Point] = field(default_factory=list)
    nodes: list[int] = field(default_factory=list)
    owners: list[Key] = field(default_factory=list)
    runs: list[tuple[StripEdge, list[int]]] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)


def cut_bend(net: GrowingNet, bend: Bend, parent: Frame, body: Body, counts: Divisions) -> list[Key]:
    """Mesh every region of a bend; return the edges that are too coarse for their neighbours."""
    place = _placed(bend, parent, body.sheet.thickness)
    line = parent.moved_in_plane(bend_frame(*bend.parent_line))
    ends = (f"{bend.name}.start", f"{bend.name}.end")
    called = {} if front_first(body.frame, line.x) else dict(zip(ends, reversed(ends), strict=True))
    crowded: list[Key] = []
    for piece, loops in enumerate(strip_rims(bend, bend.developed)):
        rims = _laid(net, bend, piece, loops, counts)
        first = len(net.faces)
        crowded += _piece(net, bend, rims, place, strip_sizes(bend, piece, counts.lengths))
        net.pieces.setdefault(bend.name, []).append(range(first, len(net.faces)))
        for number, (one, run) in enumerate(rims.runs, 1):
            if not one.flat and not crowded:
                name = called.get(one.edge.tag, one.edge.tag) or f"{bend.name}.edge[{number}]"
                net.name(name, [rims.nodes[point] for point in run])
    return crowded


def _placed(bend: Bend, parent: Frame, thickness: float) -> Place:
    """Return the position of a point of the strip.

    A middle node bulges by the distance of its neighbours around the bend.
    """
    rolled = round_places(bend, parent, thickness)
    per_mm = math.radians(bend.angle) / bend.developed

    def place(point: Point, apart: float) -> Triple:
        half = abs(apart) * per_mm / 2.0
        return rolled(-point[1] * per_mm, point[0], half if half > TURN_RAD else None)

    return place


def _laid(
    net: GrowingNet, bend: Bend, piece: int, loops: Sequence[Sequence[StripEdge]], counts: Divisions
) -> _Rims:
    made = _Rims()
    for loop, edges in enumerate(loops):
        begin = len(made.points)
        for number, one in enumerate(edges):
            key, there = strip_key(bend, piece, loop, number), _there(net, bend, one)
            pieces = len(there) - 1 if there else counts.pieces[key]
            made.runs.append((one, list(range(len(made.points), len(made.points) + pieces + 1))))
            made.points += [one.edge.point_at(n / pieces) if n else one.edge.start for n in range(pieces)]
            made.nodes += there[:-1] or [-1] * pieces
            made.owners += [net.rims[bend.name, one.flat, one.span] if there else key] * pieces
        made.runs[-1][1][-1] = begin
        made.ends.append(len(made.points))
    for one, run in made.runs:
        if one.flat:
            made.nodes[run[-1]] = _there(net, bend, one)[-1]
    return made


def _there(net: GrowingNet, bend: Bend, one: StripEdge) -> list[int]:
    """Return the nodes of the flat that an edge meets; its rim runs the other way."""
    return net.lines[bend.name, one.flat, one.span][::-1] if one.flat else []


def _piece(net: GrowingNet, bend: Bend, rims: _Rims, place: Place, sizes: tuple[float, float]) -> list[Key]:
    """Put the faces of a region into the net; what is too coarse where that cannot be done."""
    stretch = np.array([1.0, sizes[0] / sizes[1]])
    loops = np.split(np.array(rims.points) * stretch, rims.ends[:-1])
    made = planar_mesh(loops, sizes[0])
    if made.missing:
        return [rims.owners[number] for number in made.missing]
    points = [*rims.points, *map(tuple, (made.points[len(rims.points) :] / stretch).tolist())]
    bulges = dict(_bulges(rims))
    turned = [rims.owners[n] for n in _turned(made.faces, points, bulges) if n < len(rims.owners)]
    if turned:
        return turned
    rims.nodes += [-1] * (len(points) - len(rims.points))
    for number, node in enumerate(rims.nodes):
        if node < 0:
            rims.nodes[number] = net.node(place(points[number], 0.0))
    for face in made.faces:
        for a, b in _sides(face):
            middle = bulges.get((min(a, b), max(a, b))) or _half_way(points[a], points[b])
            apart = points[a][1] - points[b][1]
            net.middle(rims.nodes[a], rims.nodes[b], place(middle, apart))
        net.face(bend.name, [rims.nodes[corner] for corner in face])
    return []


def _sides(face: tuple[int, ...]) -> Iterator[tuple[int, int]]:
    return zip(face, (*face[1:], face[0]), strict=True)


def _half_way(a: Point, b: Point) -> Point:
    return ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)


def _bulges(rims: _Rims) -> Iterator[tuple[tuple[int, int], Point]]:
    """Middles over the chords of arcs."""
    for one, run in rims.runs:
        for a, b in pairwise(run):
            middle = on_arc(one.edge, rims.points[a], rims.points[b], len(run) - 1)
            if middle:
                yield (min(a, b), max(a, b)), middle


def _turned(faces: Faces, points: Sequence[Point], bulges: dict[tuple[int, int], Point]) -> list[int]:
    """Corners of the faces that the bulge of an arc reaches across."""
    found: list[int] = []
    for size in (3, 4):
        some = [face for face in faces if len(face) == size]
        if some:
            rows = [
                [points[n] for n in face]
                + [
                    bulges.get((min(a, b), max(a, b))) or _half_way(points[a], points[b])
                    for a, b in _sides(face)
                ]
                for face in some
            ]
            places = np.pad(np.array(rows), ((0, 0), (0, 0), (0, 1)))
            bad = folded(places, (0.0, 0.0, 1.0))
            found += [n for face, wrong in zip(some, bad, strict=True) if wrong for n in face]
    return found
