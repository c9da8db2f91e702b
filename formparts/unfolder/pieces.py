"""Divide one skin into flats and bends, and find the hinges where they meet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from formparts.errors import InputError
from formparts.tolerances import SAME_SWEEP
from formparts.unfolder.creases import Crease
from formparts.unfolder.families import Families
from formparts.unfolder.measures import angle_between
from formparts.unfolder.skins import neither_round_nor_conical
from formparts.unfolder.solid_data import Cone, Cylinder, Edge, Other, Plane, SolidData, Surface
from formparts.unfolder.space import Vector, cross, dot, minus, shown, square_to, times

SAMPLES = 33
"""Number of points at which a free curve on a bend is sampled to follow its angle."""


@dataclass(frozen=True, slots=True)
class AngleRange:
    """The angles of a bend around its axis: the middle, and half the range [rad]."""

    x: Vector
    y: Vector
    middle_rad: float
    half_rad: float

    def angle(self, away: Vector) -> float:
        """Return the angle of a point (less a point of the axis) from the middle of the range, -pi to pi [rad]."""
        raw = math.atan2(dot(away, self.y), dot(away, self.x)) - self.middle_rad
        return math.remainder(raw, math.tau)


@dataclass(frozen=True, slots=True)
class UnfoldedPiece:
    """A flat or a bend on one skin; where a bend is drawn as an edge it has no faces.

    Then its strip on the blank is shorter by two setbacks, as its flats reach to the mould line.
    """

    faces: tuple[int, ...]
    surface: Surface
    round: AngleRange | None = None
    radius: float = 0.0
    setback: float = 0.0
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Hinge:
    """An edge along which two flats or bends meet."""

    one: int
    other: int
    edge: int

    def beyond(self, piece: int) -> int:
        """Return the flat or bend on the other side."""
        return self.other if piece == self.one else self.one


@dataclass(frozen=True, slots=True)
class Net:
    """The flats and bends of one skin, the one of every face, and the hinges."""

    skin: frozenset[int]
    pieces: list[UnfoldedPiece]
    piece_of: dict[int, int]
    hinges: list[Hinge]


def net_of(part: SolidData, families: Families, skin: frozenset[int], creases: dict[int, Crease]) -> Net:
    """Sort the faces of one skin into flats and bends, and find the hinges between them."""
    piece_of = _strips_joined(part, families, _numbered(part, families, skin))
    faces: dict[int, list[int]] = {}
    for face, piece in sorted(piece_of.items()):
        faces.setdefault(piece, []).append(face)
    pieces = [_piece(part, tuple(faces[number])) for number in sorted(faces)]
    net = Net(skin, pieces, piece_of, [])
    for number, edge in enumerate(part.edges):
        if len(edge.faces) == 2 and skin.issuperset(edge.faces):
            one, other = (piece_of[face] for face in edge.faces)
            if one != other:
                _hinge(part, net, number, one, other, creases)
    return net


def _numbered(part: SolidData, families: Families, skin: frozenset[int]) -> dict[int, int]:
    """Return the flat or bend of every face: faces on one surface that share an edge belong together."""
    piece_of: dict[int, int] = {}
    count = 0
    for seed in sorted(skin):
        if seed in piece_of:
            continue
        piece_of[seed], todo = count, [seed]
        while todo:
            face = todo.pop()
            for number, _ in part.faces[face].coedges:
                for other in part.edges[number].faces:
                    if other in skin and other not in piece_of and families.alike(face, other):
                        piece_of[other] = count
                        todo.append(other)
        count += 1
    return piece_of


def _strips_joined(part: SolidData, families: Families, piece_of: dict[int, int]) -> dict[int, int]:
    """
    Return the same with the strips of one bend joined: they lie on one cylinder between the same flats.

    Between them is an opening that crosses the bend. A strip that leads to one of the flats only goes with the others.
    """
    beside: dict[int, set[int]] = {}
    of_piece: dict[int, int] = {}
    for face in sorted(piece_of):
        of_piece.setdefault(piece_of[face], face)
        if isinstance(part.faces[face].surface, Cylinder):
            others = {
                n for edge, _ in part.faces[face].coedges for n in part.edges[edge].faces
            } & piece_of.keys()
            beside.setdefault(piece_of[face], set()).update(piece_of[n] for n in others)
    into = {piece: piece for piece in of_piece}
    strips = [(piece, around - {piece}) for piece, around in beside.items()]
    for number, (piece, around) in enumerate(strips):
        for other, theirs in strips[number + 1 :]:
            within = around <= theirs or theirs <= around
            if within and around & theirs and families.alike(of_piece[piece], of_piece[other]):
                into[other] = min(into[other], into[piece])
    count = {piece: number for number, piece in enumerate(sorted(set(into.values())))}
    return {face: count[into[piece]] for face, piece in piece_of.items()}


def _piece(part: SolidData, faces: tuple[int, ...]) -> UnfoldedPiece:
    surface = part.faces[faces[0]].surface
    if isinstance(surface, Cylinder):
        return UnfoldedPiece(faces, surface, _round(part, faces, surface), surface.radius)
    if isinstance(surface, Cone):
        return UnfoldedPiece(faces, surface, _round(part, faces, surface), _mean_radius(part, faces, surface))
    return UnfoldedPiece(faces, surface)


def _mean_radius(part: SolidData, faces: tuple[int, ...], cone: Cone) -> float:
    """Return the mean of the smallest and largest radius of a conical bend, over its corners."""
    edges = [part.edges[edge] for face in faces for edge, _ in part.faces[face].coedges]
    heights = [dot(minus(part.points[edge.start], cone.point), cone.axis) for edge in edges]
    return (min(heights) + max(heights)) / 2.0 * math.tan(cone.half_angle_rad)


def _hinge(part: SolidData, net: Net, edge: int, one: int, other: int, creases: dict[int, Crease]) -> None:
    """Add the hinge on an edge; a crease puts a bend of its own in between, one for each such edge."""
    if part.edges[edge].kind != "line":
        raise InputError(
            part.name,
            "bend line",
            shown(part.edges[edge].middle),
            "is not straight, so it cannot have been bent",
            "a bend meets its flats along straight lines",
        )
    crease = creases.get(edge)
    if crease is None:
        net.hinges.append(Hinge(one, other, edge))
        return
    between = len(net.pieces)
    net.pieces.append(_crease_piece(crease, [net.pieces[number].surface for number in (one, other)]))
    net.hinges.extend((Hinge(one, between, edge), Hinge(between, other, edge)))


def _crease_piece(crease: Crease, neighbours: list[Surface]) -> UnfoldedPiece:
    """Return the bend that an edge represents, from the one flat to the other."""
    surface = crease.surface
    x = square_to(surface.axis)
    frame = AngleRange(x, cross(surface.axis, x), 0.0, 0.0)
    first, last = (facing(surface, frame, flat) for flat in neighbours if isinstance(flat, Plane))
    turn = math.remainder(last - first, math.tau)
    measured = AngleRange(frame.x, frame.y, first + turn / 2.0, abs(turn) / 2.0)
    return UnfoldedPiece((), surface, measured, surface.radius, crease.setback, crease.assumed)


def facing(surface: Cylinder, measured: AngleRange, flat: Plane) -> float:
    """Return the angle at which a bend runs into a flat: a hollow face faces its axis, a full one away [rad]."""
    return measured.angle(times(float(surface.outward), flat.normal))


def _round(part: SolidData, faces: tuple[int, ...], surface: Cylinder | Cone) -> AngleRange:
    """Follow the rim of a bend around its axis; refuse one that closes on itself."""
    x = square_to(surface.axis)
    frame = AngleRange(x, cross(surface.axis, x), 0.0, math.pi)
    edges = sorted({edge for face in faces for edge, _ in part.faces[face].coedges})
    steps: dict[int, list[tuple[int, float]]] = {}
    ranges: dict[int, tuple[float, float]] = {}
    for number in edges:
        edge = part.edges[number]
        turns = _turns(edge, surface, (part.points[edge.start], part.points[edge.end]))
        ranges[number] = (min(turns), max(turns))
        steps.setdefault(edge.start, []).append((edge.end, turns[-1]))
        steps.setdefault(edge.end, []).append((edge.start, -turns[-1]))
    spans = []
    seen: set[int] = set()
    for vertex in sorted(steps):
        if vertex not in seen:
            angles = _walked(
                part, vertex, frame.angle(minus(part.points[vertex], surface.point)), steps, surface
            )
            seen.update(angles)
            lows = [
                angles[part.edges[n].start] + ranges[n][0] for n in edges if part.edges[n].start in angles
            ]
            highs = [
                angles[part.edges[n].start] + ranges[n][1] for n in edges if part.edges[n].start in angles
            ]
            spans.append((max(highs) - min(lows), (max(highs) + min(lows)) / 2.0))
    width, middle = max(spans)
    return AngleRange(frame.x, frame.y, middle, width / 2.0)


def _turns(edge: Edge, surface: Cylinder | Cone, ends: tuple[Vector, Vector]) -> list[float]:
    """Return the angles about the axis from the start of an edge to points along it, its end the last [rad]."""
    if edge.kind == "line":
        return [0.0, 0.0]
    total = [0.0]
    if edge.circle is not None and edge.circle.goes_round(surface.axis):
        sense = 1.0 if dot(edge.circle.axis, surface.axis) > 0.0 else -1.0
        total.append(sense * (edge.last - edge.first))
    else:
        for here, there in pairwise(edge.places(SAMPLES)):
            total.append(total[-1] + angle_between(surface, here, there))
    # A short part of another curve may pass for a circle: its ends give the angle to more digits.
    off = math.remainder(angle_between(surface, *ends) - total[-1], math.tau)
    return total if abs(off) <= SAME_SWEEP else [*total[:-1], total[-1] + off]


def _walked(
    part: SolidData,
    start: int,
    angle_rad: float,
    steps: dict[int, list[tuple[int, float]]],
    surface: Cylinder | Cone,
) -> dict[int, float]:
    """Return the angles of all connected vertices from one, counted on beyond a whole turn [rad]."""
    angles, todo = {start: angle_rad}, [start]
    while todo:
        vertex = todo.pop()
        for other, turn in steps[vertex]:
            if other not in angles:
                angles[other] = angles[vertex] + turn
                todo.append(other)
            elif abs(angles[other] - angles[vertex] - turn) > 1.0:
                _refuse_drawn(part)
                raise InputError(
                    part.name,
                    "bend",
                    shown(part.points[vertex]),
                    f"closes on itself: a tube of radius {getattr(surface, 'radius', 0.0):.6g} mm without a seam",
                    "leave a seam open, of any width above 0",
                )
    return angles


def _refuse_drawn(part: SolidData) -> None:
    """Refuse a drawn part, which closes on itself too; the error names its torus or sphere."""
    for number, face in enumerate(part.faces):
        if isinstance(face.surface, Other) and face.surface.kind != "free-form":
            said = neither_round_nor_conical(face.surface.kind)
            raise InputError(part.name, "face", shown(part.place(number)), *said)


def hinges_at(net: Net) -> dict[int, list[Hinge]]:
    """Return the hinges of every flat and bend."""
    found: dict[int, list[Hinge]] = {}
    for hinge in net.hinges:
        found.setdefault(hinge.one, []).append(hinge)
        found.setdefault(hinge.other, []).append(hinge)
    return found


def is_flat(piece: UnfoldedPiece) -> bool:
    """True for a flat, false for a bend."""
    return isinstance(piece.surface, Plane)
