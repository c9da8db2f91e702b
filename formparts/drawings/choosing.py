"""Choose the dimensions of a part: no dimension for what follows from others, the first suitable one otherwise."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from formparts.drawings.places import meeting, through
from formparts.drawings.sketch import Dimension, SketchHole, SketchPattern
from formparts.drawings.sketching import Drawn, extents
from formparts.drawings.solving import Solver, Spot, Surroundings, size_parts
from formparts.drawings.zeros import _tags, zero_name
from formparts.outline import Line, Point
from formparts.tolerances import LENGTH, TURN_RAD

_PRUNED = 120
"""In flats with more dimensions than this, dimensions that follow from the others are not searched for."""


class Chooser:
    """Chooses the dimensions of one flat."""

    def __init__(self, drawn: Drawn, figures: dict[str, float], around: Surroundings, count: int) -> None:
        self.drawn, self.flat, self.around, self.count = drawn, drawn.sketch, around, count
        self.outer = figures
        self.solver = Solver(drawn.sketch, dict(figures), around)
        self.found: list[Dimension] = []
        self.tags = _tags(drawn)

    def chosen(self) -> list[Dimension]:
        """Return all dimensions of the flat; none follows from the others."""
        self.solver.run()
        for step in (self._bends, self._pairs, self._lines, self._holes, self._circles, self._points):
            step()
        self._prune()
        return self.found

    # --- adding ---

    def _add(
        self,
        what: str,
        keys: Sequence[str],
        value: float,
        end: str,
        unit: str = "mm",
        start: str = "",
        count: int = 0,
    ) -> None:
        name = self.flat.name
        targets = []
        for key in keys:
            base, _, factor = key.partition(":")
            sign = float(factor or 1.0)
            targets.append(f"{name}|{base}:{sign if value >= 0 else -sign:g}")
            self.solver.figures[f"{name}|{base}"] = sign * value
        self.found.append(
            Dimension(what, name, start, end, abs(value), unit, tuple(targets), count or self.count)
        )
        self.solver.run()

    def _start(self, axes: int, level: bool) -> str:
        """Return what an ordinate is measured from."""
        if axes:
            return "centre of the pattern"
        if self.flat.across:
            return f"{'bend line' if level else 'end'} of {self.flat.across}"
        if not self.flat.bend:
            return zero_name(self.drawn, level)
        if not level:
            return f"end of {self.flat.bend}"
        return f"zero of {self.flat.plan}" if self.flat.plan else f"outside of {self.flat.bend}"

    def _line(self, number: int) -> float:
        """Add the figure of a level or upright line."""
        carrier, at = self.flat.carriers[number], self.drawn.carriers.figures[number][0]
        if number == self.flat.rise and self.around.rise is not None:
            # The rise is the inverse of the length of the slope, which is linear in it.
            zero, slope = self.around.rise(0.0), self.around.rise(1.0) - self.around.rise(0.0)
            return (at - zero) / slope
        if carrier.outside:
            at += carrier.outward * (self.around.setbacks or {})[carrier.outside]
        return at + (self.around.lift if carrier.kind == "level" and carrier.axes == 0 else 0.0)

    def _say_line(self, number: int) -> None:
        carrier, tag = self.flat.carriers[number], self.tags.get(f"c{number}", "")
        start = self._start(carrier.axes, carrier.kind == "level")
        if number == self.flat.rise:
            self._add("rise", (f"c{number}",), self._line(number), tag, start="like faces")
            return
        end = f"outside of {carrier.outside}" if carrier.outside else tag
        count = self._repeats(carrier.axes)
        self._add("distance", (f"c{number}",), self._line(number), end, start=start, count=count)

    def _repeats(self, axes: int) -> int:
        """Return how often what is dimensioned in a system of axes occurs."""
        chains = (one for one in self.flat.patterns if one.kind == "chain" and one.axes == axes)
        return self.count * next((len(one.edges) for one in chains), 1)

    def _unknown_lines(self) -> Iterator[int]:
        for number in sorted(
            range(len(self.flat.carriers)), key=lambda n: (-round(self.drawn.carriers.lengths[n], 4), n)
        ):
            if self.flat.carriers[number].kind in ("level", "upright") and number not in self.solver.lines:
                yield number

    def _bends(self) -> None:
        for number in list(self._unknown_lines()):
            if self.flat.carriers[number].outward and number not in self.solver.lines:
                self._say_line(number)

    def _pairs(self) -> None:
        for one, two in sorted(self.flat.pairs, key=lambda pair: -self.drawn.carriers.lengths[pair[0]]):
            if one not in self.solver.lines and two not in self.solver.lines:
                value = self.drawn.carriers.figures[one][0] - self.drawn.carriers.figures[two][0]
                lifted = self.around.lift if self.flat.carriers[one].axes == 0 else 0.0
                if lifted and self.flat.carriers[one].kind == "level":
                    continue
                start, end = (self.tags.get(f"c{each}", "") for each in (two, one))
                count = self._repeats(self.flat.carriers[one].axes)
                self._add("width", (f"c{one}:0.5", f"c{two}:-0.5"), value, end, start=start, count=count)

    def _lines(self) -> None:
        for number in list(self._unknown_lines()):
            if number not in self.solver.lines:
                self._say_line(number)

    def _holes(self) -> None:
        for hole in self.flat.holes:
            for part in size_parts(hole):
                key = f"{hole.size}.{part}"
                if self.solver.figure(key) is None:
                    same = sum(other.size == hole.size for other in self.flat.holes)
                    what = {"d": "diameter", "a": "length", "b": "width", "r": "radius"}[part]
                    self._add(
                        what, (key,), self.drawn.figures[key], self._tag(hole.name), count=same * self.count
                    )
        for pattern in self.flat.patterns:
            if pattern.kind == "chain":
                self._chain(pattern)
            elif pattern.kind == "ring":
                self._ring(pattern)
            else:
                self._grid(pattern)
        for hole in self.flat.holes:
            if hole.name not in self.solver.owned and not hole.concentric:
                self._placed(hole.name, hole.middle)
            if (
                hole.name not in self.solver.turns
                and hole.kind != "circle"
                and hole.name not in self._turning()
            ):
                self._turned(hole)

    def _turned(self, hole: SketchHole) -> None:
        """Add the angle of an opening, counting others of its size at the same angle."""
        value = self.drawn.figures[f"{hole.name}.turn"]
        free = [
            other.name
            for other in self.flat.holes
            if other.size == hole.size and other.turned < 0 and other.name not in self._turning()
            and abs(self.drawn.figures[f"{other.name}.turn"] - value) < LENGTH
        ]  # fmt: skip
        keys, count = [f"{name}.turn" for name in free], len(free) * self.count
        self._add("angle", keys, value, self._tag(hole.name), "deg", "zero direction", count)

    def _turning(self) -> set[str]:
        return {name for pattern in self.flat.patterns if pattern.turning for name in pattern.members}

    def _tag(self, name: str) -> str:
        return self.tags.get(name, name)

    def _chain(self, pattern: SketchPattern) -> None:
        if pattern.square < 0 and self.solver.figure(f"{pattern.name}.turn") is None:
            value = self.drawn.figures[f"{pattern.name}.turn"]
            self._add(
                "angle", (f"{pattern.name}.turn",), value, "first of the pattern", "deg", "zero direction"
            )
        for at in range(1, len(pattern.edges)):
            if not pattern.equal:
                value = self.drawn.figures[f"{pattern.name}.a{at}"]
                self._add(
                    "angle", (f"{pattern.name}.a{at}",), value, f"no. {at + 1}", "deg", "first of the pattern"
                )

    def _ring(self, pattern: SketchPattern) -> None:
        name = pattern.name
        self._add(
            "pitch circle",
            (f"{name}.d",),
            self.drawn.figures[f"{name}.d"],
            self._tag(pattern.members[0]),
            count=len(pattern.members),
        )
        if pattern.square < 0:
            value = self.drawn.figures[f"{name}.turn"]
            self._add(
                "angle", (f"{name}.turn",), value, self._tag(pattern.members[0]), "deg", "zero direction"
            )
        if not pattern.centre:
            self._placed(name, False)

    def _grid(self, pattern: SketchPattern) -> None:
        name, first = pattern.name, pattern.members[0]
        axes = ("v", "u") if pattern.upright else ("u", "v")
        for axis, many in zip(axes, (pattern.columns, pattern.rows), strict=True):
            if many > 1:
                self._add(
                    "pitch",
                    (f"{name}.{axis}",),
                    self.drawn.figures[f"{name}.{axis}"],
                    self._tag(first),
                    count=many,
                )
        hole = self.solver.holes[first]
        self._placed(first, hole.middle)

    def _placed(self, name: str, middle: bool) -> None:
        """Add the two ordinates of a centre, counting other centres in line with it."""
        for axis in ("u", "v"):
            if (
                name in self.solver.places
                or (axis == "u" and middle)
                or self.solver.figure(f"{name}.{axis}") is not None
            ):
                continue
            lift = self.around.lift if axis == "v" else 0.0
            places = {
                other: self.drawn.figures[f"{other}.{axis}"] + lift for other in (name, *self._waiting(axis))
            }
            self._say_middle(name, places, axis, 0, self._tag)

    def _say_middle(
        self, name: str, places: dict[str, float], axis: str, axes: int, tag: Callable[[str], str]
    ) -> None:
        """Add an ordinate of a centre, also for what is in line with it, or its distance from its counterpart."""
        value = places[name]
        keys = [f"{other}.{axis}" for other, at in places.items() if abs(at - value) < LENGTH]
        against = [other for other, at in places.items() if abs(at + value) < LENGTH]
        if against and self.drawn.zero_is_middle and abs(value) > LENGTH:
            sign = 1.0 if value > 0 else -1.0
            keys = [f"{key}:{0.5 * sign:g}" for key in keys]
            keys += [f"{other}.{axis}:{-0.5 * sign:g}" for other in against]
            start = tag(against[0])
            self._add("distance", keys, 2.0 * abs(value), tag(name), start=start, count=self._repeats(axes))
            return
        start = self._start(axes, axis == "v")
        self._add("distance", keys, value, tag(name), start=start, count=self._repeats(axes))

    def _waiting(self, axis: str) -> Iterator[str]:
        for hole in self.flat.holes:
            first = hole.name not in self.solver.owned or self._is_first(hole.name)
            free = first and not hole.concentric and hole.name not in self.solver.places
            if (
                free
                and not (axis == "u" and hole.middle)
                and self.solver.figure(f"{hole.name}.{axis}") is None
            ):
                yield hole.name

    def _is_first(self, name: str) -> bool:
        return any(pattern.kind == "grid" and pattern.members[0] == name for pattern in self.flat.patterns)

    def _circles(self) -> None:
        numbers = [n for n, carrier in enumerate(self.flat.carriers) if carrier.kind == "circle"]
        for number in sorted(numbers, key=lambda n: -self.drawn.carriers.figures[n][2]):
            self._radius(number)
        for number in numbers:
            if number not in self.solver.centres and self._has_middle(number):
                self._centre(number)

    def _radius(self, number: int) -> None:
        if number in self.solver.radii:
            return
        value = self.drawn.carriers.figures[number][2]
        same = [
            n
            for n, carrier in enumerate(self.flat.carriers)
            if carrier.kind == "circle" and n not in self.solver.radii
            and abs(self.drawn.carriers.figures[n][2] - value) < LENGTH
        ]  # fmt: skip
        whole = sum(
            side.edge.sweep_rad
            for loop, row in zip(self.drawn.loops, self.flat.loops, strict=True)
            for side, edge in zip(loop, row, strict=True)
            if edge.carrier == number and not isinstance(side.edge, Line)
        )
        tag = self.tags.get(f"c{number}", "")
        if whole > math.pi + TURN_RAD:
            self._add(
                "diameter", [f"c{n}.r:0.5" for n in same], 2.0 * value, tag, count=len(same) * self.count
            )
        else:
            self._add("radius", [f"c{n}.r" for n in same], value, tag, count=self._times(same) * self.count)

    def _times(self, numbers: Sequence[int]) -> int:
        """Count the arcs on some circles, repetitions included."""
        found = 0
        repeats = {
            pattern.axes: len(pattern.edges) for pattern in self.flat.patterns if pattern.kind == "chain"
        }
        for loop in self.flat.loops:
            for edge in loop:
                if edge.carrier in numbers:
                    axes = self.flat.carriers[edge.carrier].axes
                    found += repeats.get(axes, 1) if axes else 1
        return found

    def _has_middle(self, number: int) -> bool:
        """True when the centre of a circle is near enough to be measured from."""
        x0, y0, x1, y1 = extents(self.drawn.measured)
        axes = self.drawn.axes[self.flat.carriers[number].axes]
        at = self.drawn.carriers.figures[number]
        u, v = axes.back((at[0], at[1]))
        wide = max(x1 - x0, y1 - y0)
        return x0 - wide < u < x1 + wide and y0 - wide < v < y1 + wide

    def _centre(self, number: int) -> None:
        axes = self.flat.carriers[number].axes
        for at, axis in enumerate(("u", "v")):
            if number in self.solver.centres or self.solver.figure(f"c{number}.{axis}") is not None:
                continue
            lift = self.around.lift if axis == "v" and axes == 0 else 0.0
            places = {
                f"c{n}": self.drawn.carriers.figures[n][at] + lift
                for n, carrier in enumerate(self.flat.carriers)
                if n == number
                or (self._is_loose(n) and carrier.axes == axes and f"c{n}.{axis}" not in self._stated())
            }
            self._say_middle(f"c{number}", places, axis, axes, lambda name: f"centre of {self._tag(name)}")

    def _stated(self) -> set[str]:
        return {key.partition("|")[2] for key in self.solver.figures} | set(self.flat.zeros)

    def _is_loose(self, number: int) -> bool:
        """True for a circle whose centre is not known yet and that is concentric with nothing."""
        carrier = self.flat.carriers[number]
        return carrier.kind == "circle" and not carrier.concentric and number not in self.solver.centres

    def _points(self) -> None:
        """Dimension what remains: ends of edges by their ordinates, sharp corners before rounded ones."""
        for _ in range(4):
            for spot in list(self._unknown_spots()):
                if spot in self.solver.points:
                    continue
                for arc in (spot, self.solver.next(spot)):
                    if (
                        arc not in self.solver.copies
                        and self.solver.rounds(arc)
                        and arc not in self.solver.corners
                    ):
                        self._say_point("q", arc, self._corner(arc))
                if spot not in self.solver.points:
                    self._say_point("p", spot, self.drawn.loops[spot[0]][spot[1]].edge.end)
            for number, carrier in enumerate(self.flat.carriers):
                if carrier.kind == "circle" and self.solver.circle(number) is None:
                    self._radius(number)
                    if number not in self.solver.centres:
                        self._centre(number)
            if not any(True for _ in self.solver.unknown()):
                return

    def _unknown_spots(self) -> Iterator[Spot]:
        for at, loop in enumerate(self.flat.loops):
            for i in range(len(loop)):
                if (at, i) not in self.solver.points and (at, i) not in self.solver.copies:
                    yield at, i

    def _corner(self, arc: Spot) -> Point:
        loop = self.drawn.loops[arc[0]]
        one, two = loop[arc[1] - 1].edge, loop[(arc[1] + 1) % len(loop)].edge
        at = meeting(through(one.start, one.end), through(two.start, two.end), 0)
        assert at is not None
        return at

    def _say_point(self, letter: str, spot: Spot, at: Point) -> None:
        number = self.solver.axes_at(spot)
        local = self.drawn.axes[number].local(at)
        known = self.solver.corners if letter == "q" else self.solver.points
        order = ((0, "u"), (1, "v"))
        if self._runs_upright(spot):
            order = ((1, "v"), (0, "u"))
        for n, axis in order:
            key = f"{letter}{spot[0]}.{spot[1]}.{axis}"
            if spot in known or self.solver.figure(key) is not None:
                continue
            value = local[n] + (self.around.lift if axis == "v" and number == 0 else 0.0)
            tag = self.drawn.loops[spot[0]][spot[1]].edge.tag
            start, count = self._start(number, axis == "v"), self._repeats(number)
            self._add("distance", (key,), value, f"end of {tag}", start=start, count=count)

    def _runs_upright(self, spot: Spot) -> bool:
        """True when one of the carriers at a point is known and steep, so that its height is the better figure."""
        for at in (spot, self.solver.next(spot)):
            if at not in self.solver.copies:
                edge = self.drawn.loops[at[0]][at[1]].edge
                known = self.solver.carrier(self.solver.edge(at).carrier)
                if known is not None:
                    local = self.drawn.axes[self.solver.axes_at(spot)]
                    end = self.drawn.loops[spot[0]][spot[1]].edge.end
                    if isinstance(edge, Line):
                        (u0, v0), (u1, v1) = local.local(edge.start), local.local(edge.end)
                        return abs(v1 - v0) > abs(u1 - u0)
                    (u0, v0), (u1, v1) = local.local(edge.centre), local.local(end)
                    return abs(u1 - u0) > abs(v1 - v0)
        return False

    def _prune(self) -> None:
        """Remove dimensions that follow from the others, the last ones first."""
        if len(self.found) > _PRUNED:
            return
        for dimension in reversed(self.found[:]):
            kept = [one for one in self.found if one is not dimension]
            if not any(True for _ in self._solved(kept).unknown()):
                self.found = kept

    def _solved(self, dimensions: Sequence[Dimension]) -> Solver:
        figures = dict(self.outer)
        for dimension in dimensions:
            for target in dimension.targets:
                key, _, factor = target.partition(":")
                figures[key] = dimension.value * float(factor or 1.0)
        return Solver(self.flat, figures, self.around).run()
