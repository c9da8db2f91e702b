"""
Body to triangles: flats and bends followed within a chord, from the model alone.

Arcs become chords, each flat is triangulated between its rims, each bend is a row of strips. Neighbouring faces
share their points, so the mesh is closed by construction. The kernel takes no part.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from formparts.body import Bend, Body, Frame, frames, front_first
from formparts.body.frame import bend_frame
from formparts.errors import KernelError
from formparts.outline.edges import Arc
from formparts.tolerances import LENGTH, SAME_NORMAL
from formparts.triangulation.open_bends import open_bend
from formparts.triangulation.rim_points import COARSEST_RAD, Rims, chord_angle, laid_rims
from formparts.triangulation.sunk_holes import sunk_hole

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Integers: TypeAlias = NDArray[np.int64]
    Flags: TypeAlias = NDArray[np.bool_]
else:
    Floats = Integers = Flags = Any


@dataclass(frozen=True, eq=False)
class Surfaces:
    """
    The surface of every face, row by row: a plane, or a cylinder or cone about an axis.

    Parameters
    ----------
    normal : (f, 3) array [-]
        Outward normal of a plane; direction of the axis of a cylinder or cone.
    centre : (f, 3) array [mm]
        A point of the axis.
    sense : (f,) array [-]
        0 for a plane; 1 where a cylinder looks away from its axis, -1 where it looks towards it; of a cone the cosine
        of half its angle, with that sign.
    slant : (f,) array [-]
        How far the outward normal of a cone leans along its axis; 0 else.
    """

    normal: Floats
    centre: Floats
    sense: Floats
    slant: Floats

    def normals(self, faces: Integers, points: Floats) -> Floats:
        """Outward unit normal of each face at a point of its own."""
        import numpy as np

        sense, normal = self.sense[faces], self.normal[faces]
        away = points - self.centre[faces]
        away -= (away * normal).sum(axis=-1, keepdims=True) * normal
        length = np.sqrt((away * away).sum(axis=-1))
        radial = away * (sense / np.where(length > 0.0, length, 1.0))[..., None]
        leaning = radial + self.slant[faces][..., None] * normal
        found: Floats = np.where((sense == 0.0)[..., None], normal, leaning)
        return found


@dataclass(frozen=True, eq=False)
class Facets:
    """
    A body as a closed mesh of triangles, with its true edges.

    Parameters
    ----------
    points : (n, 3) array [mm]
        Corners; neighbouring faces share theirs.
    triangles : (m, 3) array [-]
        Three rows of `points` each, anticlockwise from outside.
    owners : (m,) array [-]
        The face that each triangle belongs to: its place in `faces`.
    faces : tuple of str
        Names of all faces, those of the solid in its order.
    surfaces : Surfaces
        What each face follows.
    lines : (k, 2) array [-]
        Segments of the true edges: two rows of `points` each.
    smooth : (k,) array of bool [-]
        True where the faces on both sides of a segment run into each other without a corner.
    """

    points: Floats
    triangles: Integers
    owners: Integers
    faces: tuple[str, ...]
    surfaces: Surfaces
    lines: Integers
    smooth: Flags

    @property
    def volume(self) -> float:
        """What the mesh encloses [mm3]."""
        import numpy as np

        a, b, c = (self.points[self.triangles[:, i]] - self.points[0] for i in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0

    @property
    def is_closed(self) -> bool:
        """True when every side of a triangle is that of one other, which runs along it the other way."""
        import numpy as np

        start, end = self.triangles.ravel(), np.roll(self.triangles, -1, axis=1).ravel()
        along, back = np.sort(start * len(self.points) + end), np.sort(end * len(self.points) + start)
        return bool((along == back).all() and (along[1:] != along[:-1]).all())


class _CrossingChordsError(Exception):
    """Chords coarser than the width of a web cross: a finer mesh is needed."""


def facets(body: Body, chord: float, turn_rad: float = COARSEST_RAD) -> Facets:
    """Approximate a body by triangles.

    Parameters
    ----------
    body : Body
        The part.
    chord : float [mm]
        Greatest distance between the mesh and the true surface; closer where a web is narrower than that.
    turn_rad : float [rad]
        Greatest angle that one chord spans.

    Returns
    -------
    Facets

    Raises
    ------
    InputError
        A bend does not lie on the edge of its flat.

    Source
    ------
    Exact mathematics: a chord over an angle a of a circle of radius r lies within 2 r sin2(a/4) of it.
    """
    import numpy as np

    placed = [frames(body)[flat.name] for flat in body.flats]
    rim = laid_rims(body, chord, turn_rad)
    made = Made(rim, body, placed)
    try:
        for number, flat in enumerate(body.flats):
            made.flat(number, flat.name)
    except _CrossingChordsError as crossing:
        if chord <= LENGTH:
            raise KernelError(f"mesh of {body.name}", str(crossing)) from crossing
        return facets(body, chord / 8.0, turn_rad / 2.0)
    for bend in body.bends:
        steps = max(1, math.ceil(math.radians(bend.angle) / _step(bend, body, chord, turn_rad)))
        made.bend(bend, steps, lambda arc: _chords(arc, chord, turn_rad))
    return Facets(
        np.concatenate(made.points),
        np.concatenate(made.triangles),
        np.concatenate(made.owners),
        tuple(f"{name}.1" if f"{name}.2" in made.faces else name for name in made.faces),
        Surfaces(*(np.array(each) for each in (made.normal, made.centre, made.sense, made.slant))),
        np.concatenate(made.lines),
        np.concatenate(made.smooth),
    )


def _chords(arc: Arc, chord: float, turn_rad: float) -> int:
    return max(1, math.ceil(arc.sweep_rad / float(chord_angle(arc.radius, chord, turn_rad))))


def _step(bend: Bend, body: Body, chord: float, turn_rad: float) -> float:
    return float(chord_angle(bend.inside_radius + body.sheet.thickness, chord, turn_rad))


class Made:
    """Collects points, triangles and true edges, face by face."""

    def __init__(self, rim: Rims, body: Body, placed: list[Frame]) -> None:
        import numpy as np

        self.rim, self.placed, self.half, self.root = rim, placed, body.sheet.thickness / 2.0, body.frame
        self.count = len(rim.points)
        self.points = _both_skins(rim, placed, self.half)
        self.total = 2 * self.count
        self.triangles: list[Integers] = []
        self.owners: list[Integers] = []
        self.faces: dict[str, int] = {}
        self.used: dict[str, int] = {}
        self.normal: list[Any] = []
        self.centre: list[Any] = []
        self.sense: list[float] = []
        self.slant: list[float] = []
        low, up, corner = np.arange(self.count), self.count, rim.first
        smooth = np.abs(rim.outwards[0][rim.after] - rim.outwards[1]).max(axis=1) < SAME_NORMAL
        along = np.column_stack([low, rim.following])
        sunk = rim.heads > 0.0
        uprights = np.column_stack([corner, corner + up])[rim.after]
        self.lines = [along, along + up, uprights[~sunk]]
        self.smooth = [rim.bent[rim.edge], rim.bent[rim.edge], smooth[~sunk]]
        self.joints: dict[tuple[str, str, int], tuple[int, int]] = {}

    def face(
        self,
        name: str,
        normal: Any,
        centre: Any = (0.0, 0.0, 0.0),
        sense: float = 0.0,
        slant: float = 0.0,
    ) -> int:
        """Enter a face; one of a name that is taken gets a running number, as in the solid."""
        whole, number = name, self.used.get(name, 1)
        while whole in self.faces:
            number += 1
            whole = f"{name}.{number}"
        self.used[name] = number
        self.faces[whole] = len(self.faces)
        self.normal.append(normal)
        self.centre.append(centre)
        self.sense.append(sense)
        self.slant.append(slant)
        return self.faces[whole]

    def add(self, owner: Any, triangles: Integers) -> None:
        """Enter triangles of one face, or of one each."""
        import numpy as np

        self.triangles.append(triangles)
        self.owners.append(np.broadcast_to(owner, len(triangles)))

    def entered(self, points: Any) -> int:
        """Enter points; give the row of the first."""
        import numpy as np

        self.points.append(np.array(points))
        self.total += len(points)
        return self.total - len(points)

    def flat(self, number: int, name: str) -> None:
        """The faces of one flat: those round its rims, then its two skins."""
        import numpy as np

        loops, frame = self.rim.loops[number], self.placed[number]
        begin, end = loops[0][0], loops[-1][1]
        points = np.arange(begin, end)
        sides = self._sides(name, frame, begin, end)
        owner = sides[self.rim.edge[points] - self.rim.edge[begin]]
        free = owner >= 0
        p, q, up = points[free], self.rim.following[points[free]], self.count
        self.add(owner[free], np.column_stack([p, q, q + up]))
        self.add(owner[free], np.column_stack([p, q + up, p + up]))
        cap = _between(name, [self.rim.points[a:b] for a, b in loops]) + begin
        caps = {True: cap, False: cap}
        for upper in {sink.upper for sink in self.rim.sinks_in(loops)}:
            caps[upper] = _between(name, [self.rim.on_skin(loop, upper) for loop in loops]) + begin
        self.add(self.face(f"{name}.upper", frame.z), caps[True] + up)
        self.add(self.face(f"{name}.lower", frame.direction(0.0, 0.0, -1.0)), caps[False][:, ::-1])

    def _sides(self, name: str, frame: Frame, begin: int, end: int) -> Integers:
        """The face at each rim edge of a flat, or -1 where a bend begins."""
        import numpy as np

        found, rim, turn = [], self.rim, 0
        starts = {int(rim.edge[a]) for a, _ in rim.loops[int(rim.flat[rim.edge[begin]])]}
        for at in range(int(rim.edge[begin]), int(rim.edge[end - 1]) + 1):
            edge, bend, span = rim.items[at].edge, rim.items[at].bend, rim.items[at].span
            turn = 1 if at in starts else turn + 1
            if rim.heads[at]:
                if at in rim.sunk:
                    sunk_hole(self, frame, rim.edges_from(at), rim.sunk[at])
                found.append(-1)
                continue
            if bend is not None:
                self.joints[bend.name, name, span] = (int(rim.first[at]), int(rim.first[rim.after[at]]))
                found.append(-1)
                continue
            tag = edge.tag or f"{name}.edge[{turn}]"
            if isinstance(edge, Arc):
                found.append(self.face(tag, frame.z, frame.point(edge.centre), 1.0 if edge.ccw else -1.0))
            else:
                x, y = rim.outwards[0][at]
                found.append(self.face(tag, frame.direction(float(x), float(y))))
        return np.array(found)

    def bend(self, bend: Bend, steps: int, chords: Callable[[Arc], int]) -> None:
        """The four faces of a bend: two skins in strips, and a plane at either end; or, with openings, its own."""
        import numpy as np

        if bend.openings:
            frame = self.placed[int(self.rim.flat[self.rim.edge[self.joints[bend.name, bend.parent, 0][0]]])]
            open_bend(self, bend, frame.moved_in_plane(bend_frame(*bend.parent_line)), steps, chords)
            return
        line = self._line(bend)
        up = bend.side == "up"
        sense = -1.0 if up else 1.0
        centre = np.array(line.point((0.0, 0.0), -sense * (bend.inside_radius + self.half)))
        rows = {}
        for skin in ("lower", "upper"):
            hollow = (skin == "upper") == up
            radius = bend.inside_radius + (0.0 if hollow else 2.0 * self.half)
            rows[skin] = self._rows(bend, line, centre, radius, steps, skin == "upper")
            a, b = rows[skin]
            strip = np.concatenate(
                [np.column_stack([a[:-1], a[1:], b[1:]]), np.column_stack([a[:-1], b[1:], b[:-1]])]
            )
            name = f"{bend.name}.{'inside' if hollow else 'outside'}"
            owner = self.face(name, line.x, centre, -1.0 if hollow else 1.0)
            self.add(owner, strip if skin == "upper" else strip[:, ::-1])
        names = ("start", "end") if front_first(self.root, line.x) else ("end", "start")
        for end, back in ((1, 1.0), (0, -1.0)):
            low, high = rows["lower"][end], rows["upper"][end]
            strip = np.concatenate(
                [
                    np.column_stack([low[:-1], low[1:], high[1:]]),
                    np.column_stack([low[:-1], high[1:], high[:-1]]),
                ]
            )
            owner = self.face(f"{bend.name}.{names[end]}", line.direction(back, 0.0))
            self.add(owner, strip if end == 0 else strip[:, ::-1])

    def _line(self, bend: Bend) -> Frame:
        """Frame with its origin at the start of a bend's line, x along it, -y away from the parent, z up."""
        first, last = self.joints[bend.name, bend.parent, 0]
        frame = self.placed[int(self.rim.flat[self.rim.edge[first]])]
        (x0, y0), (x1, y1) = self.rim.points[first].tolist(), self.rim.points[last].tolist()
        length = math.dist((x0, y0), (x1, y1))
        cos, sin = (x1 - x0) / length, (y1 - y0) / length
        return Frame(frame.point((x0, y0)), frame.direction(cos, sin), frame.direction(-sin, cos), frame.z)

    def _rows(
        self, bend: Bend, line: Frame, centre: Any, radius: float, steps: int, upper: bool
    ) -> tuple[Integers, Integers]:
        """The points round one skin of a bend, at either end of its line; those on the flats are shared."""
        import numpy as np

        near, far = self.joints[bend.name, bend.parent, 0], self.joints[bend.name, bend.child, 0]
        sense = -1.0 if bend.side == "up" else 1.0
        angle = np.radians(bend.angle) * np.arange(1, steps)[:, None] / steps
        inner = centre + radius * (
            sense * np.cos(angle) * np.array(line.z) - np.sin(angle) * np.array(line.y)
        )
        shift = self.count if upper else 0
        found = []
        for along, first, last in ((0.0, near[0], far[1]), (bend.width, near[1], far[0])):
            self.points.append(inner + along * np.array(line.x))
            new = np.arange(self.total, self.total + steps - 1)
            self.total += steps - 1
            row = np.concatenate([[first + shift], new, [last + shift]])
            self.lines.append(np.column_stack([row[:-1], row[1:]]))
            self.smooth.append(np.zeros(steps, dtype=bool))
            found.append(row)
        return found[0], found[1]


def _both_skins(rim: Rims, placed: list[Frame], half: float) -> list[Floats]:
    """The points of all rims in space: those of the lower skins, then those of the upper."""
    import numpy as np

    flat = rim.flat[rim.edge]
    origin, x, y, z = (
        np.array([getattr(frame, axis) for frame in placed])[flat] for axis in ("origin", "x", "y", "z")
    )
    skins = []
    for upper in (False, True):
        points = rim.points.copy()
        for loop in (loop for loops in rim.loops for loop in loops) if rim.sunk else ():
            points[loop[0] : loop[1]] = rim.on_skin(loop, upper)
        middle = origin + points[:, :1] * x + points[:, 1:] * y
        skins.append(middle + (half if upper else -half) * z)
    return skins


def _between(flat: str, loops: list[Floats]) -> Integers:
    """Triangles between the loops of one flat, the outer one anticlockwise; every point of them is a corner."""
    import manifold3d
    import numpy as np

    found: Integers = np.asarray(manifold3d.triangulate(loops), dtype=np.int64)
    wanted = sum(map(len, loops)) + 2 * len(loops) - 4
    if len(found) != wanted:
        raise _CrossingChordsError(f"{flat}: {len(found)} triangles between its rims, and not {wanted}")
    return found
