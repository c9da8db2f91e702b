"""Develop one skin: every edge of every flat and bend on the blank, and the loops of the whole."""

from __future__ import annotations

import math
from dataclasses import dataclass

from formparts.layout import BendMark
from formparts.outline.edges import Arc, Edge, Line
from formparts.outline.regions import Loop
from formparts.tolerances import RECOGNISED
from formparts.unfolder.pieces import Net, hinges_at
from formparts.unfolder.placing import (
    BendMap,
    ConeMap,
    Map,
    SkinSide,
    developed,
    figures,
    is_upward,
    placed,
    spot,
)
from formparts.unfolder.sewing import BlankEdge, chained, sewn, straightened
from formparts.unfolder.solid_data import SolidData
from formparts.unfolder.space import Pair
from formparts.unfolder.tracing import traced


@dataclass(frozen=True, slots=True)
class Developed:
    """A skin on the blank; `maps` is in the order in which its flats and bends were reached."""

    part: SolidData
    net: Net
    side: SkinSide
    maps: dict[int, Map]
    runs: list[BlankEdge]
    chains: list[list[BlankEdge]]
    loops: list[Loop]


def developed_skin(part: SolidData, net: Net, root: int, root_map: Map, side: SkinSide) -> Developed:
    """Develop one skin from its root flat."""
    maps = placed(part, net, root, root_map, side)
    runs = [run for piece in maps for run in _runs(part, net, piece, maps[piece], side)]
    rim = [run for run in runs if not net.skin.issuperset(part.edges[run.edge].faces)]
    chains = chained(rim)
    return Developed(part, net, side, maps, runs, chains, [straightened(sewn(chain)) for chain in chains])


def _runs(part: SolidData, net: Net, piece: int, where: Map, side: SkinSide) -> list[BlankEdge]:
    """Return the edges around one flat or bend on the blank; those within it are left out."""
    spots: dict[int, Pair] = {}
    runs = []
    for face in net.pieces[piece].faces:
        for number, along in part.faces[face].coedges:
            edge = part.edges[number]
            if all(net.piece_of.get(other) == piece for other in edge.faces):
                continue
            # From above the lower skin is seen through the sheet, so its rims run the other way.
            forward = along == (side.sign > 0)
            start, end = (edge.start, edge.end) if forward else (edge.end, edge.start)
            for vertex in (start, end):
                if vertex not in spots:
                    spots[vertex] = where(part.points[vertex])
            lines, exact = traced(edge, forward, (spots[start], spots[end]), where)
            runs.append(
                BlankEdge(start, end, number, face, piece, _tagged(part, net, lines, edge.faces), exact)
            )
    return runs


def _tagged(part: SolidData, net: Net, lines: list[Edge], faces: list[int]) -> tuple[Edge, ...]:
    """Return edges with the name of the edge face beyond them, if it has one."""
    name = next((part.faces[face].name for face in faces if face not in net.skin), "")
    return tuple(edge.tagged(name) for edge in lines) if name else tuple(lines)


def piece_edges(skin: Developed) -> dict[int, list[Edge]]:
    """Return the closed rims of every flat and bend on the blank, openings included."""
    rims: dict[int, list[Edge]] = {piece: [] for piece in skin.maps}
    for run in skin.runs:
        rims[run.piece].extend(run.traced)
    for piece in skin.maps:
        if not skin.net.pieces[piece].faces:
            rims[piece].extend(_strip(skin, piece))
    return rims


def _strip(skin: Developed, piece: int) -> list[Edge]:
    """Return the strip of a sharp bend on its inside skin: between its two hinges."""
    first, last = (
        [
            spot(skin.net, piece, skin.maps[piece], skin.part.points[vertex], hinge.beyond(piece))
            for vertex in (skin.part.edges[hinge.edge].start, skin.part.edges[hinge.edge].end)
        ]
        for hinge in hinges_at(skin.net)[piece][:2]
    )
    corners = [first[0], first[1], last[1], last[0]]
    return [Line(here, corners[number - 3]) for number, here in enumerate(corners)]


def mark_of(skin: Developed, piece: int, name: str, rims: list[Edge]) -> BendMark:
    """Return the bend line of one bend: the middle of its angles, from rim to rim."""
    where = skin.maps[piece]
    assert isinstance(where, (BendMap, ConeMap))
    origin, way = where.shift, where.way
    steps = [step for edge in rims for step in crossings(edge, origin, way)]
    low, high = (min(steps), max(steps)) if steps else (0.0, 0.0)
    found = skin.net.pieces[piece]
    angle, inside_radius = figures(found, skin.side.thickness)
    return BendMark(
        name,
        (origin[0] + low * way[0], origin[1] + low * way[1]),
        (origin[0] + high * way[0], origin[1] + high * way[1]),
        angle,
        "up" if is_upward(found, skin.side) else "down",
        inside_radius,
        developed(found, skin.side),
    )


def crossings(edge: Edge, origin: Pair, way: Pair) -> list[float]:
    """Return the distances along a line from its origin at which an edge crosses it [mm]."""
    x0, y0 = _seen(edge.start, origin, way)
    x1, y1 = _seen(edge.end, origin, way)
    if isinstance(edge, Arc):
        cx, cy = _seen(edge.centre, origin, way)
        if abs(cy) > edge.radius:
            return []
        half = math.sqrt(edge.radius**2 - cy * cy)
        places = [(origin[0] + x * way[0], origin[1] + x * way[1]) for x in (cx - half, cx + half)]
        return [
            x
            for x, place in zip((cx - half, cx + half), places, strict=True)
            if edge.distance(place) < RECOGNISED * edge.radius
        ]
    if (y0 > 0.0) == (y1 > 0.0):
        return []
    return [x0 + (x1 - x0) * y0 / (y0 - y1)]


def _seen(place: Pair, origin: Pair, way: Pair) -> Pair:
    """Return a point in coordinates along and to the left of a line."""
    dx, dy = place[0] - origin[0], place[1] - origin[1]
    return (dx * way[0] + dy * way[1], dy * way[0] - dx * way[1])
