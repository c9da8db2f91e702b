"""Body to a net of quadrilaterals and triangles on its mid-surface: one net, whose flats and bends share their edges.

Every node knows its place on the mid-surface and on both skins, so that shells and solids are made of the same net.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from formparts.body import Bend, Body, Flat, Frame, Rim, StripEdge, frames, rims, strip_rims
from formparts.errors import InputError
from formparts.fea.arrays import Floats, np
from formparts.fea.cut_bends import cut_bend
from formparts.fea.divisions import Divisions, Key, divided, sides
from formparts.fea.elements import folded
from formparts.fea.ends import grouped, whole_ends
from formparts.fea.net import GrowingNet, RimPart, Triple, on_arc
from formparts.fea.planar import planar_mesh
from formparts.fea.round_bends import plain_bend
from formparts.fea.sizing import Sizing
from formparts.outline.edges import Point
from formparts.short_repr import short_repr

_MOST_REFINEMENTS = 8


@short_repr
@dataclass(frozen=True, eq=False)
class Skin:
    """
    The net of a body: places of all nodes (node, skin, axis), faces, owners, and the named free edges.

    Faces give their corners and then the nodes half-way between them, anticlockwise from above.
    `pieces` has the faces of each region that openings leave of a bend.
    """

    places: Floats
    faces: tuple[tuple[int, ...], ...]
    owners: tuple[str, ...]
    edges: dict[str, tuple[RimPart, ...]]
    pieces: dict[str, list[range]]


def skin(body: Body, lengths: Sizing) -> Skin:
    """Mesh the mid-surface of a body with edges of about the lengths given."""
    around = rims(body)
    counts = divided(body, around, lengths)
    for _ in range(_MOST_REFINEMENTS):
        net = GrowingNet()
        crowded = _flats(net, body, around, counts) or _bends(net, body, counts)
        if not crowded:
            break
        counts = counts.finer(crowded)
    else:
        where = sorted({each.partition(":")[0] if isinstance(each, str) else each[0] for each in crowded})[0]
        raise InputError(
            body.name,
            "size",
            lengths.size,
            f"is too coarse for the narrow places of {where}",
            "give a smaller size",
            "mm",
        )
    edges = net.named()
    edges |= _openings(body, edges, around)
    edges |= grouped(edges, whole_ends(body, around))
    return Skin(np.array(net.places), tuple(net.faces), tuple(net.owners), edges, net.pieces)


def _bends(net: GrowingNet, body: Body, counts: Divisions) -> list[Key]:
    """Mesh all bends; give the edges that are too coarse for what is beside them."""
    placed, crowded = frames(body), list[Key]()
    for bend in body.bends:
        if bend.openings:
            crowded += cut_bend(net, bend, placed[bend.parent], body, counts)
        else:
            plain_bend(net, bend, placed[bend.parent], body, counts)
    return crowded


def _openings(
    body: Body, edges: dict[str, tuple[RimPart, ...]], around: dict[str, tuple[Rim, ...]]
) -> dict[str, tuple[RimPart, ...]]:
    """The whole rim of each opening, under the opening's own name."""
    tags = [item.edge.tag for loops in around.values() for rim in loops for item in rim]
    tags += [one.edge.tag for bend in body.bends for one in _cut_edges(bend)]
    cut = [opening.name for flat in body.flats for opening in flat.openings]
    cut += [opening.name for bend in body.bends for opening in bend.openings]
    whole = {}
    for name in dict.fromkeys(cut):
        own = [tag for tag in dict.fromkeys(tags) if tag == name or tag.startswith(f"{name}.")]
        whole[name] = tuple(part for tag in own for part in edges.get(tag, ()))
    return {name: parts for name, parts in whole.items() if parts}


def _cut_edges(bend: Bend) -> Iterator[StripEdge]:
    if bend.openings:
        yield from (one for loops in strip_rims(bend, bend.developed) for loop in loops for one in loop)


def _flats(net: GrowingNet, body: Body, around: dict[str, tuple[Rim, ...]], counts: Divisions) -> list[Key]:
    """Mesh all flats; give the rim edges that are too coarse for what is beside them."""
    placed = frames(body)
    crowded: list[Key] = []
    for flat in body.flats:
        crowded += _flat(net, flat, around[flat.name], placed[flat.name], body.sheet.thickness, counts)
    return crowded


def _flat(
    net: GrowingNet,
    flat: Flat,
    around: tuple[Rim, ...],
    frame: Frame,
    thickness: float,
    counts: Divisions,
) -> list[tuple[str, int, int]]:
    """Mesh one flat, in rows where it has four sides that allow it."""

    def places(point: Point) -> Triple:
        return (frame.point(point, -thickness / 2.0), frame.point(point), frame.point(point, thickness / 2.0))

    loops, owners = _rim_points(flat, around, counts)
    quarters = sides(flat, around, counts)
    if quarters is None:
        made = planar_mesh([np.array(loop) for loop in loops], counts.lengths.at(flat.name))
        if made.missing:
            flat_owners = [owner for loop in owners for owner in loop]
            return [flat_owners[number] for number in made.missing]
        points = [(float(x), float(y)) for x, y in made.points]
        faces: Sequence[tuple[int, ...]] = made.faces
    else:
        points, faces = _rows(loops[0], quarters)
    numbers = [net.node(places(point)) for point in points]
    _rim_nodes(net, flat.name, around, counts, numbers, points, places)
    first = len(net.faces)
    for face in faces:
        net.face(flat.name, [numbers[corner] for corner in face])
    rim = dict(zip(numbers, (owner for loop in owners for owner in loop), strict=False))
    return [rim[node] for face in _folded(net, first, frame) for node in face if node in rim]


def _folded(net: GrowingNet, first: int, frame: Frame) -> list[tuple[int, ...]]:
    """The faces of a flat, from a number on, that the bulge of an arc reaches across."""
    found = []
    for size in (6, 8):
        faces = [face for face in net.faces[first:] if len(face) == size]
        if faces:
            places = np.array([[net.places[node][1] for node in face] for face in faces])
            found += [face for face, bad in zip(faces, folded(places, frame.z), strict=True) if bad]
    return found


def _rim_points(
    flat: Flat, around: tuple[Rim, ...], counts: Divisions
) -> tuple[list[list[Point]], list[list[tuple[str, int, int]]]]:
    """The points along each loop of a flat, and the rim edge of which each begins a division."""
    loops, owners = [], []
    for loop, rim in enumerate(around):
        points, whose = [], []
        for number, item in enumerate(rim):
            pieces = counts.of(flat.name, loop, number)
            points += [
                item.edge.point_at(step / pieces) if step else item.edge.start for step in range(pieces)
            ]
            whose += [(flat.name, loop, number)] * pieces
        loops.append(points)
        owners.append(whose)
    return loops, owners


def _rim_nodes(
    net: GrowingNet,
    flat: str,
    around: tuple[Rim, ...],
    counts: Divisions,
    numbers: Sequence[int],
    points: Sequence[Point],
    places: Callable[[Point], Triple],
) -> None:
    """Middle nodes along the rim, its names, and the nodes along the lines of bends."""
    first = 0
    for loop, rim in enumerate(around):
        total = sum(counts.of(flat, loop, number) for number in range(len(rim)))
        at = 0
        for number, item in enumerate(rim):
            pieces = counts.of(flat, loop, number)
            ring = [first + (at + step) % total for step in range(pieces + 1)]
            for a, b in pairwise(ring):
                bulge = on_arc(item.edge, points[a], points[b], pieces)
                net.middle(numbers[a], numbers[b], places(bulge) if bulge else None)
            if item.bend is None:
                net.name(item.edge.tag or f"{flat}.edge[{number + 1}]", [numbers[n] for n in ring])
            if item.bend is not None:
                met = (item.bend.name, flat, item.span)
                net.lines[met] = [numbers[n] for n in ring]
                net.rims[met] = (flat, loop, number)
            at += pieces
        first += total


def _rows(
    loop: list[Point], quarters: tuple[int, int, int, int]
) -> tuple[list[Point], list[tuple[int, ...]]]:
    """Points and faces of a four-sided flat, in rows; the points of the loop come first, in their order."""
    first, across, onward, _ = quarters
    loop_count = len(loop)
    ring = np.array(loop)
    spot = {(i, 0): first + i for i in range(across + 1)}
    spot |= {(across, j): first + across + j for j in range(onward + 1)}
    spot |= {(across - i, onward): first + across + onward + i for i in range(across + 1)}
    spot |= {(0, onward - j): first + 2 * across + onward + j for j in range(onward + 1)}
    spot = {key: value % loop_count for key, value in spot.items()}
    points = list(loop)
    for i in range(1, across):
        for j in range(1, onward):
            spot[i, j] = len(points)
            points.append(_between(ring, spot, i, j, across, onward))
    faces: list[tuple[int, ...]] = [
        (spot[i, j], spot[i + 1, j], spot[i + 1, j + 1], spot[i, j + 1])
        for i in range(across)
        for j in range(onward)
    ]
    return points, faces


def _between(ring: Floats, spot: dict[tuple[int, int], int], i: int, j: int, m: int, n: int) -> Point:
    """The place of an inner point between the four sides (transfinite interpolation)."""

    def at(i: int, j: int) -> Floats:
        return np.asarray(ring[spot[i, j]])

    u, v = i / m, j / n
    straight = (1 - v) * at(i, 0) + v * at(i, n) + (1 - u) * at(0, j) + u * at(m, j)
    corners = (1 - u) * ((1 - v) * at(0, 0) + v * at(0, n)) + u * ((1 - v) * at(m, 0) + v * at(m, n))
    x, y = straight - corners
    return (float(x), float(y))
