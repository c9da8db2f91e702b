"""The list of dimensions of a part: flat by flat, equal branches once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from formparts.body import Bend, Body
from formparts.drawings.choosing import Chooser
from formparts.drawings.crossing import gone_through, measured_bends, without_crossing
from formparts.drawings.measuring import FlatEdge, Measured, measured_flats, mirror
from formparts.drawings.positions import positions_of, with_positions
from formparts.drawings.rebuilding import known_bends, surroundings
from formparts.drawings.sketch import Dimension, DimensionList, SketchBend
from formparts.drawings.sketching import Drawn, drawn_flat, offset_pairs, spans_flat
from formparts.drawings.solving import Solver, Surroundings
from formparts.drawings.words import holes_of
from formparts.drawings.zeros import zero_name
from formparts.outline import Arc, Line
from formparts.tolerances import ANGLE_DEG, OFF_GRID


def dimension_list(body: Body) -> DimensionList:
    """
    Choose the dimensions from which a part can be made.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    DimensionList
        Every figure once; `missing` of it is empty.
    """
    return listed(body)[0]


def require_positions(body: Body, text: str) -> None:
    """Refuse tolerances of position that are invalid, or of openings that the part does not have."""
    with_positions(dimension_list(body), positions_of(text))


def listed(body: Body) -> tuple[DimensionList, dict[str, Drawn], dict[str, Drawn]]:
    """Return the list, the measured flats, and the openings that lie in bends, by bend."""
    work = _Work(body, {flat.name: flat for flat in measured_flats(without_crossing(body))})
    work.walk(body.flats[0].name)
    for measured in measured_bends(body):
        work.openings_in(measured)
    bends = tuple(work.sketched[bend.name] for bend in body.bends)
    order = [flat.name for flat in body.flats if flat.name in work.drawn]
    flats = tuple(work.drawn[name].sketch for name in order)
    found = DimensionList(
        body.name,
        body.sheet.material.name,
        str(body.sheet.bend_rule.name),
        flats,
        bends,
        tuple(work.dimensions),
        work.datums(),
        tuple(drawn.sketch for drawn in work.in_bends.values()),
    )
    return found, work.drawn, work.in_bends


@dataclass
class _Work:
    body: Body
    measured: dict[str, Measured]
    figures: dict[str, float] = field(default_factory=dict)
    dimensions: list[Dimension] = field(default_factory=list)
    drawn: dict[str, Drawn] = field(default_factory=dict)
    in_bends: dict[str, Drawn] = field(default_factory=dict)
    solvers: dict[str, Solver] = field(default_factory=dict)
    sketched: dict[str, SketchBend] = field(default_factory=dict)
    signatures: dict[tuple[str, bool], object] = field(default_factory=dict)
    first: dict[object, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.offsets = offset_pairs(self.body)
        self.add(Dimension("thickness", "", "", "sheet", self.body.sheet.thickness, targets=("thickness",)))

    def add(self, dimension: Dimension) -> None:
        """Put a dimension on the list."""
        self.dimensions.append(dimension)
        for target in dimension.targets:
            key, _, factor = target.partition(":")
            self.figures[key] = dimension.value * float(factor or 1.0)

    def datums(self) -> tuple[tuple[str, str], ...]:
        """Return the datums: the lower face of the first flat, and its zeros (an opening's centre, or two edges)."""
        drawn = self.drawn[self.body.flats[0].name]
        features = [f"lower face of {drawn.sketch.name}"]
        for level in (True, False):
            feature = zero_name(drawn, level)
            if feature not in ("zero", *features):
                features.append(feature)
        return tuple(zip("ABC", features, strict=False))

    # --- what is the same ---

    def signature(self, name: str, mirrored: bool = False) -> object:
        """Return a value that is equal for equal branches, or mirror images: a bend and everything beyond it."""
        if (name, mirrored) not in self.signatures:
            bend = next(one for one in self.body.bends if one.name == name)
            flat = self.measured[bend.child]
            loops = [self._loop_signature(loop, name, mirrored) for loop in self._loops(flat, mirrored)]
            head, rest = loops[0], sorted(loops[1:], key=repr)
            bent = (
                bend.process,
                round(bend.angle, 7),
                bend.side,
                round(bend.inside_radius, 6),
                _grid(bend.width),
                bend.bend_rule,
            )
            more = (*self._crossing_signature(bend), *_features(flat))
            # What is marked on a flat or sunk into it is not held against a mirror image.
            more = (*more, name) if mirrored and more else more
            self.signatures[name, mirrored] = (bent, more, head, tuple(rest))
        return self.signatures[name, mirrored]

    @staticmethod
    def _loops(flat: Measured, mirrored: bool) -> list[Sequence[FlatEdge]]:
        """Return the loops of a flat, or their mirror image across the middle of its bend; the bend first."""
        if not mirrored:
            return list(flat.loops)
        over = mirror(flat.width)
        turned = [
            [FlatEdge(side.edge.moved(over).reversed(), side.bend) for side in reversed(loop)]
            for loop in flat.loops
        ]
        return [[*turned[0][-1:], *turned[0][:-1]], *turned[1:]]

    def _crossing_signature(self, bend: Bend) -> Iterator[object]:
        """Return a value for the openings in a bend; one that reaches beyond the adjacent flats equals no other."""
        for one in bend.openings:
            ends = tuple((_grid(edge.end[0]), _grid(edge.end[1])) for edge in one.outline.outer.edges)
            near = set(gone_through(self.body, one.name)) <= {bend.name, bend.parent, bend.child}
            yield ends, "" if near else (one.name, bend.name)

    def _loop_signature(
        self, loop: Sequence[FlatEdge], leading: str, mirrored: bool = False
    ) -> tuple[object, ...]:
        sides = []
        for side in loop:
            further = side.bend and side.bend != leading
            beyond = self.signature(side.bend, mirrored) if further else bool(side.bend)
            arc = side.edge if isinstance(side.edge, Arc) else None
            more = () if arc is None else (_grid(arc.centre[0]), _grid(arc.centre[1]), arc.ccw)
            sides.append((_grid(side.edge.end[0]), _grid(side.edge.end[1]), more, beyond))
        if not any(side.bend == leading for side in loop):
            first = min(range(len(sides)), key=lambda n: repr(sides[n]))
            sides = sides[first:] + sides[:first]
        return tuple(sides)

    def beyond(self, name: str, mirrored: bool = False) -> list[str]:
        """Return the bend, its flat and all beyond, in an order that is equal for equal branches and mirror images."""
        bend = next(one for one in self.body.bends if one.name == name)
        found = [bend.name, bend.child]
        flat = self.measured[bend.child]
        head, *others = self._loops(flat, mirrored)
        others.sort(key=lambda loop: repr(self._loop_signature(loop, name, mirrored)))
        for at, loop in enumerate([head, *others]):
            sides = list(loop)
            if at:
                whole = [(_grid(side.edge.end[0]), _grid(side.edge.end[1])) for side in sides]
                first = min(range(len(sides)), key=lambda n: repr(whole[n]))
                sides = sides[first:] + sides[:first]
            for side in sides:
                if side.bend and side.bend != name:
                    found += self.beyond(side.bend, mirrored)
        return found

    # --- flat by flat ---

    def walk(self, name: str) -> None:
        """Dimension a flat and the branches on it."""
        drawn = self._draw(name)
        children = [bend for bend in self.body.bends if bend.parent == name]
        children.sort(key=lambda bend: bend.name not in drawn.chain_bends)
        fresh = []
        for bend in children:
            if self._is_copied(bend.name):
                continue
            self.first.setdefault(self.signature(bend.name), bend.name)
            self._bend(bend)
            fresh.append(bend)
        self._dimension(drawn)
        for bend in fresh:
            self.walk(bend.child)

    def _is_copied(self, name: str) -> bool:
        """Record a branch that equals another or is its mirror image, if there is one."""
        for mirrored in (False, True):
            same = self.first.get(self.signature(name, mirrored), "")
            here, there = self.beyond(name, mirrored), self.beyond(same) if same else []
            if len(here) == len(there):
                self._copied(same, tuple(zip(here, there, strict=True)), mirrored)
                return True
        return False

    def _draw(self, name: str) -> Drawn:
        second = next((two.name for one, two in self.offsets if one.child == name), "")
        first = next((one for one, two in self.offsets if two.child == name), None)
        root = self.body.flats[0].name
        plan = ""
        carries = any(bend.parent == name for bend in self.body.bends)
        if (
            first is not None
            and not carries
            and first.parent == root
            and _is_inner(self.drawn[root], first.name)
        ):
            plan = root
        found = drawn_flat(self.body, self.measured[name], self.signature, (second, plan))
        self.drawn[name] = found
        return found

    def _bend(self, bend: Bend) -> None:
        """Add angle and radius, once for all bends that have the same."""
        like = next(
            (
                name
                for name, one in ((known.name, known) for known in self.body.bends)
                if name in self.sketched and not self.sketched[name].like and not self.sketched[name].same
                and abs(one.angle - bend.angle) < ANGLE_DEG and abs(one.inside_radius - bend.inside_radius) < ANGLE_DEG
            ),
            "",
        )  # fmt: skip
        self.sketched[bend.name] = SketchBend(
            bend.name, bend.parent, bend.child, bend.side, like, process=bend.process,
            rule=_own_rule(bend),
        )  # fmt: skip
        if not like:
            count = sum(
                abs(one.angle - bend.angle) < ANGLE_DEG
                and abs(one.inside_radius - bend.inside_radius) < ANGLE_DEG
                for one in self.body.bends
            )
            for what, value, unit, key in (
                ("bend angle", bend.angle, "deg", "angle"),
                ("inside radius", bend.inside_radius, "mm", "radius"),
            ):
                self.add(
                    Dimension(
                        what, bend.name, bend.parent, bend.child, value, unit, (f"{bend.name}.{key}",), count
                    )
                )

    def _copied(self, same: str, twins: tuple[tuple[str, str], ...], mirrored: bool) -> None:
        of = {one.name: one for one in self.body.bends}
        for at, (here, there) in enumerate(twins):
            if here in of:
                mine = twins if at == 0 else ()
                self.sketched[here] = SketchBend(
                    here,
                    of[here].parent,
                    of[here].child,
                    of[here].side,
                    there,
                    same if at == 0 else there,
                    mine,
                    of[here].process,
                    mirrored,
                    _own_rule(of[here]),
                )

    def _dimension(self, drawn: Drawn) -> None:
        flat = drawn.sketch
        bends = known_bends(tuple(self.sketched.values()), self.figures)
        sketched = tuple(self.sketched.values())
        around = surroundings(flat, sketched, bends, self.body.sheet.thickness, self.solvers)
        assert around is not None, flat.name
        self._chosen(drawn, around, flat.bend)
        self.solvers[flat.name] = Solver(flat, self.figures, around).run()

    def _chosen(self, drawn: Drawn, around: Surroundings, bend: str) -> None:
        for dimension in Chooser(drawn, dict(self.figures), around, self._count(bend)).chosen():
            self.add(dimension)

    def openings_in(self, measured: Measured) -> None:
        """Dimension the openings measured from one bend line, unless another bend already states the same."""
        if self.sketched[measured.across].same:
            return
        drawn = drawn_flat(self.body, measured, self.signature, ("", ""))
        words = holes_of(measured)
        tags = [loop[0].edge.tag for at, loop in enumerate(measured.loops) if at not in words]
        names = [tag.removesuffix(".wall") for tag in (*tags, *(hole.tags[0] for hole in drawn.sketch.holes))]
        through = tuple((name, gone_through(self.body, name)) for name in names)
        drawn.sketch = replace(drawn.sketch, through=through)
        self.in_bends[measured.across] = drawn
        self._chosen(drawn, Surroundings(), measured.across)

    def _count(self, bend: str) -> int:
        """Return how often the branch beyond a bend occurs."""
        found, name = 1, bend
        leading = {bend.child: bend for bend in self.body.bends}
        while name:
            found *= 1 + sum(
                self.signature(name) in (self.signature(one.name), self.signature(one.name, True))
                for one in self.body.bends
                if one.name != name and one.parent == leading_parent(self.body, name)
            )
            parent = leading_parent(self.body, name)
            name = leading[parent].name if parent in leading else ""
        return found


def _features(flat: Measured) -> tuple[str, ...]:
    """Add the hole features and the marks of a flat, each with its position."""
    found = [
        (_grid(side.edge.end[0]), _grid(side.edge.end[1]), flat.features.get(side.edge.tag))
        for loop in flat.loops
        for side in loop
        if side.edge.tag in flat.features or side.edge.tag in flat.later
    ]
    marks = [(_grid(mark.middle[0]), _grid(mark.middle[1]), mark.words, mark.face) for mark in flat.marks]
    return tuple(sorted(map(repr, [*found, *marks])))


def _own_rule(bend: Bend) -> str:
    """Return the bend rule of a bend that does not follow the rule of its sheet."""
    return str(bend.bend_rule.name) if bend.bend_rule else ""


def leading_parent(body: Body, bend: str) -> str:
    """Return the flat that carries a bend."""
    return next(one.parent for one in body.bends if one.name == bend)


def _grid(value: float) -> float:
    return round(value + OFF_GRID, 4) + 0.0


def _is_inner(drawn: Drawn, bend: str) -> bool:
    """True for a bend level or upright in the axes of its flat, not a copy, and shorter than the flat is wide."""
    for loop, sides in zip(drawn.sketch.loops, drawn.loops, strict=True):
        for edge, side in zip(loop, sides, strict=True):
            if edge.bend == bend and isinstance(side.edge, Line):
                square = edge.carrier >= 0 and drawn.sketch.carriers[edge.carrier].outward != 0
                return square and not spans_flat(drawn.measured, side.edge)
    return False
