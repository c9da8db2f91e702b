"""Body to a net of quadrilaterals and triangles on its mid-surface: one net, whose flats and bends share their edges.

Every node knows its place on the mid-surface and on both skins, so that shells and solids are made of the same net.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from formparts.body import Bend, Body, Flat, Frame, Rim, frames, front_first, rims
from formparts.body.frame import Vector, bend_frame, combined
from formparts.errors import InputError
from formparts.fea.arrays import Floats, np
from formparts.fea.divisions import Divisions, divided, sides
from formparts.fea.elements import folded
from formparts.fea.ends import grouped, whole_ends
from formparts.fea.planar import planar_mesh
from formparts.fea.sizing import Sizing
from formparts.outline.edges import Arc, Edge, Point
from formparts.outline.measures import segment_factor

Triple = tuple[Vector, Vector, Vector]
"""The place of a node on the lower skin, on the mid-surface and on the upper skin."""
RimPart = tuple[int, int, int]
"""Two nodes of an edge and the one between them, in the middle."""

_MOST_REFINEMENTS = 8


@dataclass(frozen=True, eq=False)
class Skin:
    """
    The net of a body: places of all nodes (node, skin, axis), faces, owners, and the named free edges.

    Faces give their corners and then the nodes half-way between them, anticlockwise from above.
    """

    places: Floats
    faces: tuple[tuple[int, ...], ...]
    owners: tuple[str, ...]
    edges: dict[str, tuple[RimPart, ...]]


@dataclass
class _Net:
    """What grows while flats and bends are meshed."""

    places: list[Triple] = field(default_factory=list)
    middles: dict[tuple[int, int], int] = field(default_factory=dict)
    faces: list[tuple[int, ...]] = field(default_factory=list)
    owners: list[str] = field(default_factory=list)
    edges: dict[str, list[list[RimPart]]] = field(default_factory=dict)
    lines: dict[tuple[str, str], list[int]] = field(default_factory=dict)

    def node(self, places: Triple) -> int:
        self.places.append(places)
        return len(self.places) - 1

    def middle(self, a: int, b: int, places: Triple | None = None) -> int:
        """The node half-way between two: the one that is there, or a new one, in line where no place is given."""
        key = (min(a, b), max(a, b))
        if key not in self.middles:
            pairs = zip(self.places[a], self.places[b], strict=True)
            low, mid, up = (_half_way(p, q) for p, q in pairs)
            self.middles[key] = self.node(places or (low, mid, up))
        return self.middles[key]

    def face(self, owner: str, corners: Sequence[int]) -> None:
        between = [self.middle(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
        self.faces.append((*corners, *between))
        self.owners.append(owner)

    def name(self, name: str, nodes: Sequence[int]) -> None:
        """Call what lies between some nodes in a row by a name: one face more of those that bear it."""
        self.edges.setdefault(name, []).append([(a, self.middle(a, b), b) for a, b in pairwise(nodes)])

    def named(self) -> dict[str, tuple[RimPart, ...]]:
        """What each name means: all faces that bear it, and each by its number as the solid has it."""
        found = {}
        for name, runs in self.edges.items():
            found[name] = tuple(part for run in runs for part in run)
            if len(runs) > 1:
                found |= {f"{name}.{number}": tuple(run) for number, run in enumerate(runs, 1)}
        return found


def _half_way(p: Vector, q: Vector) -> Vector:
    return ((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0, (p[2] + q[2]) / 2.0)


def _refuse_cut_bends(body: Body) -> None:
    """Bends are meshed in whole strips."""
    for bend in body.bends:
        if bend.openings:
            what = f"reaches into {bend.name}, and bends with openings are not meshed yet"
            fix = "leave the opening out of the part that is meshed, or keep it clear of the bend"
            raise InputError(body.name, "opening", bend.openings[0].name, what, fix)


def skin(body: Body, lengths: Sizing) -> Skin:
    """Mesh the mid-surface of a body with edges of about the lengths given."""
    _refuse_cut_bends(body)
    around = rims(body)
    counts = divided(body, around, lengths)
    for _ in range(_MOST_REFINEMENTS):
        net = _Net()
        crowded = _flats(net, body, around, counts)
        if not crowded:
            break
        counts = counts.finer(crowded)
    else:
        where = sorted({flat for flat, _, _ in crowded})[0]
        raise InputError(
            body.name,
            "size",
            lengths.size,
            f"is too coarse for the narrow places of {where}",
            "give a smaller size",
            "mm",
        )
    placed = frames(body)
    for bend in body.bends:
        _bend(net, bend, placed[bend.parent], body, counts)
    edges = net.named()
    edges |= _openings(body, edges, around)
    edges |= grouped(edges, whole_ends(body, around))
    return Skin(np.array(net.places), tuple(net.faces), tuple(net.owners), edges)


def _openings(
    body: Body, edges: dict[str, tuple[RimPart, ...]], around: dict[str, tuple[Rim, ...]]
) -> dict[str, tuple[RimPart, ...]]:
    """The whole rim of each opening, under the opening's own name."""
    whole: dict[str, tuple[RimPart, ...]] = {}
    for flat in body.flats:
        tags = dict.fromkeys(item.edge.tag for rim in around[flat.name] for item in rim)
        for opening in flat.openings:
            own = [tag for tag in tags if tag == opening.name or tag.startswith(f"{opening.name}.")]
            whole[opening.name] = tuple(part for tag in own for part in edges.get(tag, ()))
    return {name: parts for name, parts in whole.items() if parts}


def _flats(
    net: _Net, body: Body, around: dict[str, tuple[Rim, ...]], counts: Divisions
) -> list[tuple[str, int, int]]:
    """Mesh all flats; give the rim edges that are too coarse for what is beside them."""
    placed = frames(body)
    crowded: list[tuple[str, int, int]] = []
    for flat in body.flats:
        crowded += _flat(net, flat, around[flat.name], placed[flat.name], body.sheet.thickness, counts)
    return crowded


def _flat(
    net: _Net,
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


def _folded(net: _Net, first: int, frame: Frame) -> list[tuple[int, ...]]:
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
    """The points along each loop of a flat, and the rim edge that each begins a piece of."""
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
    net: _Net,
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
                bulge = _on_arc(item.edge, points[a], points[b], pieces)
                net.middle(numbers[a], numbers[b], places(bulge) if bulge else None)
            if item.bend is None:
                net.name(item.edge.tag or f"{flat}.edge[{number + 1}]", [numbers[n] for n in ring])
            if item.bend is not None:
                net.lines[item.bend.name, flat] = [numbers[n] for n in ring]
            at += pieces
        first += total


def _on_arc(edge: Edge, start: Point, end: Point, pieces: int) -> Point | None:
    """Where the middle node over a piece of an arc makes a parabola that encloses just the area of the arc."""
    if not isinstance(edge, Arc):
        return None
    angle = edge.sweep_rad / pieces
    rise = 3.0 * edge.radius * segment_factor(angle) / (8.0 * math.sin(angle / 2.0))
    middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
    chord = math.dist(start, end)
    sense = 1.0 if edge.ccw else -1.0
    # An arc bulges to the right of its chord when it runs anticlockwise.
    out = (sense * (end[1] - start[1]) / chord, -sense * (end[0] - start[0]) / chord)
    return (middle[0] + rise * out[0], middle[1] + rise * out[1])


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


def _bend(net: _Net, bend: Bend, parent: Frame, body: Body, counts: Divisions) -> None:
    """Rows of quadrilaterals round a bend, from the parent's line to the child's."""
    near = net.lines[bend.name, bend.parent]
    far = net.lines[bend.name, bend.child][::-1]
    steps = counts.steps(bend)
    place = _round(bend, parent, body.sheet.thickness)
    width = bend.width / (len(near) - 1)
    rows = [near]
    for step in range(1, steps):
        angle = math.radians(bend.angle) * step / steps
        rows.append([net.node(place(angle, column * width, None)) for column in range(len(near))])
    rows.append(far)
    for step in range(steps):
        half = math.radians(bend.angle) / steps / 2.0
        angle = math.radians(bend.angle) * (step + 0.5) / steps
        for column, (a, b) in enumerate(zip(rows[step], rows[step + 1], strict=True)):
            net.middle(a, b, place(angle, column * width, half))
        for column in range(len(near) - 1):
            a, b = rows[step][column : column + 2]
            d, c = rows[step + 1][column : column + 2]
            net.face(bend.name, (d, c, b, a))
    line = parent.moved_in_plane(bend_frame(*bend.parent_line))
    first, last = ("start", "end") if front_first(body.frame, line.x) else ("end", "start")
    net.name(f"{bend.name}.{first}", [row[0] for row in rows])
    net.name(f"{bend.name}.{last}", [row[-1] for row in reversed(rows)])


def _round(bend: Bend, parent: Frame, thickness: float) -> Callable[[float, float, float | None], Triple]:
    """Places on a bend by the angle [rad] and along its line [mm]; nodes half-way between two others bulge a little
    more than the arc, so that the parabola through them has the length (mid-surface) and area (skins) of the arc."""
    line = parent.moved_in_plane(bend_frame(*bend.parent_line))
    up = 1.0 if bend.side == "up" else -1.0
    middle = bend.inside_radius + thickness / 2.0
    radii = (middle + up * thickness / 2.0, middle, middle - up * thickness / 2.0)

    def place(angle: float, along: float, half: float | None) -> Triple:
        centre = line.point((along, 0.0), up * middle)

        def at(radius: float) -> Vector:
            out, onward = -up * radius * math.cos(angle), -radius * math.sin(angle)
            return combined(centre, (out, line.z), (onward, line.y))

        if half is None:
            return (at(radii[0]), at(radii[1]), at(radii[2]))
        area = math.cos(half) + 3.0 * segment_factor(2.0 * half) / (8.0 * math.sin(half))
        length = math.cos(half) + _rise_for_length(half)
        return (at(radii[0] * area), at(radii[1] * length), at(radii[2] * area))

    return place


def _rise_for_length(half: float) -> float:
    """Height, in radii, of the parabola over the chord of an arc of twice an angle [rad] that is as long as the arc."""
    chord = 2.0 * math.sin(half)

    def excess(rise: float) -> float:
        slope = 4.0 * rise / chord
        return chord / 2.0 * (math.hypot(1.0, slope) + math.asinh(slope) / slope) - 2.0 * half

    low, high = 0.9 * (1.0 - math.cos(half)), 1.1 * (1.0 - math.cos(half))
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (low, middle) if excess(middle) > 0.0 else (middle, high)
    return (low + high) / 2.0
