"""Unintended steps, slivers and short edges: contracted, so that the intended part remains."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from formparts.unfolder.solid_data import Edge, Face, SolidData
from formparts.unfolder.space import Vector, along, dot, length, minus

PLACES = 17
"""Number of points at which an edge is tested."""


def healed_part(
    part: SolidData, areas: list[float], close: float
) -> tuple[SolidData, tuple[tuple[str, float], ...]]:
    """Return a part without edges shorter or faces narrower than a length, and what was healed, with its size [mm].

    Corners that such an edge joins become one; a sliver is taken away, and its neighbours meet in one edge.
    """
    said: list[tuple[str, float]] = [(f"lengths that differ by up to {close:g} mm are taken as one", close)]
    points, edges, faces = (
        list(part.points),
        [replace(edge, faces=[]) for edge in part.edges],
        list(part.faces),
    )
    short = [n for n, edge in enumerate(part.edges) if _reach(edge) <= close]
    if short:
        most = max(_reach(part.edges[number]) for number in short)
        said.append((f"{_count(len(short), 'edge')} of up to {most:.2g} mm left out", most))
        _joined(edges, faces, short, range(len(points)))
    width = 0.0
    slivers = 0
    for number, face in enumerate(faces):
        longest = max((_reach(edges[edge]) for edge, _ in face.coedges), default=0.0)
        if areas[number] > 2.0 * close * longest:
            continue
        found = _collapsed(edges, faces, number, close)
        if found is not None:
            slivers += 1
            width = max(width, found)
    if slivers:
        said.append((f"{_count(slivers, 'sliver')} of up to {width:.2g} mm closed", width))
    kept = [face for face in faces if face.coedges]
    for number, face in enumerate(kept):
        for edge, _ in face.coedges:
            edges[edge].faces.append(number)
    return (SolidData(part.name, points, edges, kept, part.kernel_volume), tuple(said))


def _count(count: int, what: str) -> str:
    return f"1 {what}" if count == 1 else f"{count} {what}s"


def _reach(edge: Edge) -> float:
    """Return the greatest distance of an edge from its start [mm]."""
    start = edge.value(edge.first)
    return max(math.dist(start, place) for place in edge.places(5))


def _joined(edges: list[Edge], faces: list[Face], short: list[int], vertices: Iterable[int]) -> None:
    """Merge the ends of short edges into one corner, and remove the edges."""
    root = list(vertices)

    def top(vertex: int) -> int:
        while root[vertex] != vertex:
            vertex = root[vertex]
        return vertex

    for number in short:
        one, other = top(edges[number].start), top(edges[number].end)
        root[max(one, other)] = min(one, other)
    gone = set(short)
    for number, edge in enumerate(edges):
        edges[number] = replace(edge, start=top(edge.start), end=top(edge.end))
    for number, face in enumerate(faces):
        if any(edge in gone for edge, _ in face.coedges):
            faces[number] = replace(face, coedges=tuple(row for row in face.coedges if row[0] not in gone))


def _collapsed(edges: list[Edge], faces: list[Face], number: int, close: float) -> float | None:
    """Close one face if it is a sliver; return its width."""
    sides = _sides(edges, faces[number])
    if sides is None:
        return None
    one, other = sides
    width = max(_off(edges, one, other), _off(edges, other, one))
    if width > close or (len(one) != 1 and len(other) != 1):
        return None
    single, several = (one, other) if len(one) == 1 else (other, one)
    gone = single[0][0]
    beyond = [n for n, face in enumerate(faces) if n != number and any(e == gone for e, _ in face.coedges)]
    if len(beyond) != 1:
        return None
    if any(edge == gone for edge, _ in several):
        return None
    row: list[tuple[int, bool]] = []
    for edge, forward in faces[beyond[0]].coedges:
        row.extend(several if edge == gone else [(edge, forward)])
    faces[beyond[0]] = replace(faces[beyond[0]], coedges=tuple(row))
    faces[number] = replace(faces[number], coedges=())
    return width


def _sides(edges: list[Edge], face: Face) -> tuple[list[tuple[int, bool]], list[tuple[int, bool]]] | None:
    """Return the rim of a face in two halves, between the two corners that are furthest apart."""
    if not 2 <= len(face.coedges) <= 12:
        return None
    chain = _chain(edges, list(face.coedges))
    if chain is None:
        if len(face.coedges) == 2 and all(edges[n].start == edges[n].end for n, _ in face.coedges):
            return ([face.coedges[0]], [face.coedges[1]])
        return None
    starts = [edges[n].value(edges[n].first if forward else edges[n].last) for n, forward in chain]
    pairs = [(math.dist(starts[i], starts[j]), i, j) for i in range(len(chain)) for j in range(i)]
    _, last, first = max(pairs)
    return (chain[first:last], chain[last:] + chain[:first])


def _chain(edges: list[Edge], rows: list[tuple[int, bool]]) -> list[tuple[int, bool]] | None:
    """Return edges in order around a face, if they make one closed chain."""
    chain = [rows.pop(0)]
    while rows:
        end = edges[chain[-1][0]].end if chain[-1][1] else edges[chain[-1][0]].start
        following = [row for row in rows if (edges[row[0]].start if row[1] else edges[row[0]].end) == end]
        if not following:
            return None
        chain.append(following[0])
        rows.remove(following[0])
    return chain


def _off(edges: list[Edge], one: list[tuple[int, bool]], other: list[tuple[int, bool]]) -> float:
    """Return the greatest distance of points of one row of edges from another [mm]."""
    rows = [edges[n].places(2 if edges[n].kind == "line" else 4 * PLACES) for n, _ in other]
    places = [place for n, _ in one for place in edges[n].places(PLACES)]
    return max(min(_from_row(place, row) for row in rows) for place in places)


def _from_row(place: Vector, row: list[Vector]) -> float:
    """Return the distance of a point from a row of chords."""
    return min(_from_chord(place, a, b) for a, b in pairwise(row))


def _from_chord(place: Vector, start: Vector, end: Vector) -> float:
    chord = minus(end, start)
    square = dot(chord, chord)
    share = 0.0 if square == 0.0 else max(0.0, min(1.0, dot(minus(place, start), chord) / square))
    return length(minus(place, along(start, share, chord)))
