"""Draw the list of dimensions: each figure at a position of a view."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from formparts.drawings.bands import spread_out
from formparts.drawings.board import Board, Exact, Item, Span
from formparts.drawings.curves import CENTRE, circle, line
from formparts.drawings.flats_in_view import FlatInView, Sorted, _pointed_at, flat_frame
from formparts.drawings.hole_tables import in_table, label_openings, opening_words, tabled
from formparts.drawings.leaders import controlled, leader
from formparts.drawings.numbers import Numbers
from formparts.drawings.positions import control_cells
from formparts.drawings.sketch import Dimension, SketchPattern
from formparts.outline import Edge, Line, Point
from formparts.tolerances import ALONG, DRAWN, MEETING

_MOST, _FEWEST, _LARGE = 0.6, 2, 30.0
"""Running figures change sides where this many lines would cross this share of a view of this size [mm on paper]."""


class DimensionWriter:
    """Writes the dimensions of flats onto a board."""

    def __init__(
        self,
        board: Board,
        box: tuple[float, float, float, float],
        numbers: Numbers,
        datums: Sequence[str] = (),
    ) -> None:
        self.board, self.box, self.part, self.numbers = board, box, box, numbers
        self.datums = tuple(datums)
        self.said: dict[str, Dimension] = {}
        self.sorted = Sorted([], [], {"above": [], "right": []}, [], [], [])
        self.labels: list[tuple[str, Point, float]] = []

    # --- positions of dimensioned features ---

    def _points(self, place: FlatInView, key: str) -> list[Point]:
        """Return the ends of the feature that a key names, in the axes of the flat."""
        drawn, head = place.drawn, key.partition(".")[0]
        if head.startswith("p"):
            loop, _, i = key[1:].partition(".")
            return [drawn.loops[int(loop)][int(i.partition(".")[0])].edge.end]
        if head.startswith("q"):
            loop, _, i = key[1:].partition(".")
            arc = drawn.loops[int(loop)][int(i.partition(".")[0])].edge
            return [arc.point_at(0.5)]
        if head.startswith(("h", "g")):
            return [(drawn.figures[f"{head}.u"], drawn.figures[f"{head}.v"])]
        number = int(head[1:])
        carrier, figures = drawn.sketch.carriers[number], drawn.carriers.figures[number]
        if carrier.kind == "circle":
            return [drawn.axes[carrier.axes].back((figures[0], figures[1]))]
        ends = [
            end
            for loop, row in zip(drawn.loops, drawn.sketch.loops, strict=True)
            for side, edge in zip(loop, row, strict=True)
            if edge.carrier == number
            for end in (side.edge.start, side.edge.end)
        ]
        return ends

    def write(self, place: FlatInView, dimensions: Sequence[Dimension]) -> None:
        """Sort the dimensions of a flat by the way they are drawn."""
        self.said |= {target.partition(":")[0]: one for one in dimensions for target in one.targets}
        table = tabled(place.drawn)
        for dimension in dimensions:
            if not in_table(dimension, place.drawn, table):
                getattr(self, f"_{dimension.what.replace(' ', '_')}")(place, dimension)
        for name, each in table.items():
            sizes, size = place.drawn.figures, each.hole.size
            reach = (sizes.get(f"{size}.d") or sizes.get(f"{size}.b", 0.0)) / 2.0 * place.scale
            self.labels.append((each.label, place.at(self._points(place, name)[0]), reach))
        for pattern in place.drawn.sketch.patterns:
            if pattern.kind == "chain" and pattern.equal and len(pattern.edges) > 1:
                self._equally_spaced(place, pattern)

    def _equally_spaced(self, place: FlatInView, pattern: SketchPattern) -> None:
        """Return how often a repeated run of edges occurs, at the circle that it is repeated about."""
        loop, first, count = pattern.edges[0]
        sides = place.drawn.loops[loop]
        edges = [sides[(first + n) % len(sides)] for n in range(count)]
        name = next((side.bend for side in edges if side.bend), edges[count // 2].edge.tag)
        ends = [(start + many) % len(sides) for at, start, many in pattern.edges if at == loop]
        arcs = [sides[end].edge.point_at(share) for end in ends for share in (0.5, 0.25, 0.75)]
        words = f"{len(pattern.edges)}× {name.partition('[')[0].partition('.')[0]} equally spaced"
        self.sorted.pointed.append(([place.at(point) for point in arcs], 0.0, words))

    def _distance(self, place: FlatInView, dimension: Dimension) -> None:
        keys = [target.partition("|")[2].partition(":")[0] for target in dimension.targets]
        signs = [float(target.partition(":")[2] or 1.0) for target in dimension.targets]
        if any(abs(sign) == 0.5 for sign in signs):
            self._width(place, dimension)
            return
        self._put(place, *self._reach(place, keys[0], signs[0] * dimension.value), dimension)

    def _reach(self, place: FlatInView, key: str, value: float) -> tuple[Point, list[Point], int]:
        """Return where a distance begins, where it may end, and the axes in which it is measured."""
        axes, axis = self._axis(place, key)
        ends = self._points(place, key)
        number = place.drawn.axes[axes]
        cos, sin = math.cos(number.turn), math.sin(number.turn)
        along = (cos, sin) if axis == 0 else (-sin, cos)
        shift = self._outside_shift(place, key)
        tip = [(x + shift * along[0], y + shift * along[1]) for x, y in ends]
        base = (tip[0][0] - value * along[0], tip[0][1] - value * along[1])
        return base, tip, axes

    def spots(self, place: FlatInView, dimension: Dimension) -> list[Point]:
        """Return, on paper, the arcs of a radius, or both ends of a distance measured from a zero."""
        key, _, factor = dimension.targets[0].partition("|")[2].partition(":")
        if dimension.what == "radius" and not key.startswith("s"):
            keys = [target.partition("|")[2].partition(".")[0] for target in dimension.targets]
            arcs = [arc for key in keys for arc in self._arcs(place, int(key[1:]))]
            return [place.at(arc.point_at(0.5)) for arc in arcs]
        if dimension.what == "distance" and abs(float(factor or 1.0)) == 1.0:
            base, tips, _ = self._reach(place, key, float(factor or 1.0) * dimension.value)
            return [place.at(base), min(map(place.at, tips), key=lambda tip: math.dist(tip, place.at(base)))]
        return []

    def _outside_shift(self, place: FlatInView, key: str) -> float:
        """Return the distance from a bend's tangent line to its outside, along the axis."""
        head = key.partition(".")[0]
        if not head.startswith("c"):
            return 0.0
        carrier = place.drawn.sketch.carriers[int(head[1:])]
        if not carrier.outside:
            return 0.0
        return carrier.outward * place.drawn.setbacks[carrier.outside]

    def _axis(self, place: FlatInView, key: str) -> tuple[int, int]:
        """Return the axes of a key, and whether it is u (0) or v (1) in them."""
        drawn, (head, *rest) = place.drawn, key.split(".")
        if head.startswith("c"):
            carrier = drawn.sketch.carriers[int(head[1:])]
            if rest:
                return carrier.axes, 0 if rest[-1] == "u" else 1
            return carrier.axes, 0 if carrier.kind == "upright" else 1
        if head.startswith(("p", "q")):
            spot = (int(head[1:]), int(rest[0]))
            edge, after = (
                drawn.sketch.loops[spot[0]][spot[1]],
                drawn.sketch.loops[spot[0]][(spot[1] + 1) % len(drawn.sketch.loops[spot[0]])],
            )
            axes = max(
                drawn.sketch.carriers[one.carrier].axes if one.carrier >= 0 else 0 for one in (edge, after)
            )
            return axes, 0 if rest[-1] == "u" else 1
        return 0, 0 if rest[-1] == "u" else 1

    def _put(
        self, place: FlatInView, base: Point, tips: Sequence[Point], axes: int, dimension: Dimension
    ) -> None:
        """Draw from a base to one of the tips, which lie on one line square to the dimension."""
        words = self._words(dimension)
        one, ends = place.at(base), [place.at(tip) for tip in tips]
        dx, dy = ends[0][0] - one[0], ends[0][1] - one[1]
        if abs(dy) < ALONG * max(abs(dx), 1.0) and not axes and self._is_zero(one, 0):
            self.sorted.across.append(
                Item(words, min(ends, key=lambda p: p[1]), max(ends, key=lambda p: p[1]))
            )
        elif abs(dx) < ALONG * max(abs(dy), 1.0) and not axes and self._is_zero(one, 1):
            self.sorted.upwards.append(
                Item(words, min(ends, key=lambda p: p[0]), max(ends, key=lambda p: p[0]))
            )
        else:
            self._span(one, min(ends, key=lambda p: math.dist(p, one)), words)

    zero_x: float | None = None
    zero_y: float | None = None

    def _is_zero(self, point: Point, axis: int) -> bool:
        """True for a point at the zero of the running dimensions; the first one sets it."""
        known = (self.zero_x, self.zero_y)[axis]
        if known is None:
            if axis == 0:
                self.zero_x = point[0]
            else:
                self.zero_y = point[1]
            return True
        return abs(known - point[axis]) < DRAWN

    def _span(self, one: Point, two: Point, words: str) -> None:
        dx, dy = two[0] - one[0], two[1] - one[1]
        if abs(dy) < MEETING:
            self.sorted.spans["above"].append((one, two, words))
        elif abs(dx) < MEETING:
            self.sorted.spans["right"].append((one, two, words))
        else:
            self.sorted.slanted.append((one, two, words, 0.0))

    def _words(self, dimension: Dimension) -> str:
        words = self.numbers.text(dimension)
        counted = f"{dimension.count}× {words}" if dimension.count > 1 else words
        return Exact(counted) if dimension.exact else counted

    def _width(self, place: FlatInView, dimension: Dimension) -> None:
        """Draw a dimension between two lines or centres symmetrical about a centre line."""
        if dimension.targets[0].partition("|")[2].startswith("s"):
            return  # stated with the length of the opening
        keys = {
            float(target.partition(":")[2]) > 0: target.partition("|")[2].partition(":")[0]
            for target in reversed(dimension.targets)
        }
        axes, axis = self._axis(place, keys[True])
        turn = place.drawn.axes[axes].turn
        along = (math.cos(turn), math.sin(turn)) if axis == 0 else (-math.sin(turn), math.cos(turn))
        ones, twos = (self._points(place, keys[way]) for way in (False, True))

        def rank(point: Point) -> float:
            x, y = place.at(point)
            return max(y, x) if not axes else -math.dist((x, y), place.at(place.drawn.axes[axes].origin))

        one, two = max(ones, key=rank), max(twos, key=rank)
        far = (two[0] - one[0]) * along[0] + (two[1] - one[1]) * along[1]
        level = (two[0] - far * along[0], two[1] - far * along[1])
        a, b, c = place.at(one), place.at(two), place.at(level)
        words = self._words(dimension)
        # Both ends are drawn at the height of the second; along the paper's axes each keeps its own.
        dx, dy = b[0] - c[0], b[1] - c[1]
        if abs(dy) < MEETING or abs(dx) < MEETING:
            self._span((a[0], b[1]) if abs(dy) < MEETING else (b[0], a[1]), b, words)
        else:
            self.sorted.slanted.append((c, b, words, 0.0))

    def _rise(self, place: FlatInView, dimension: Dimension) -> None:
        del place, dimension  # drawn in a section

    def _pitch(self, place: FlatInView, dimension: Dimension) -> None:
        name, _, axis = dimension.targets[0].partition("|")[2].partition(":")[0].partition(".")
        pattern = next(one for one in place.drawn.sketch.patterns if one.name == name)
        along = (axis == "v") == pattern.upright
        one, two = (self._points(place, pattern.members[n])[0] for n in (0, 1 if along else pattern.columns))
        # The second row may be shifted.
        two = (two[0], one[1]) if axis == "u" else (one[0], two[1])
        many = pattern.columns if along else pattern.rows
        words = self.numbers.text(dimension)
        if many > 2:
            total = f" (= {self.numbers.length((many - 1) * dimension.value)})"
            words = f"{many - 1}× {words}{'' if dimension.letter else total}"
        words = Exact(words) if dimension.exact else words
        self._span(place.at(one), place.at(two), words)

    def _radius(self, place: FlatInView, dimension: Dimension) -> None:
        key = dimension.targets[0].partition("|")[2].partition(":")[0]
        if key.startswith("s"):
            return  # stated with the size of the opening
        self._on_arcs(place, dimension, "R")

    def _on_arcs(self, place: FlatInView, dimension: Dimension, sign: str) -> None:
        """Put a radius or diameter at one of the arcs that have it."""
        keys = [target.partition("|")[2].partition(".")[0] for target in dimension.targets]
        arcs = [arc for key in keys for arc in self._arcs(place, int(key[1:]))]
        targets = [place.at(arc.point_at(0.5)) for arc in arcs]
        count = f"{dimension.count}× " if dimension.count > 1 else ""
        self.sorted.pointed.append((targets, 0.0, f"{count}{sign}{self.numbers.text(dimension)}"))

    def _arcs(self, place: FlatInView, number: int) -> list[Edge]:
        """Return the arcs on a circle, the longest first."""
        found = [
            side.edge
            for loop, row in zip(place.drawn.loops, place.drawn.sketch.loops, strict=True)
            for side, edge in zip(loop, row, strict=True)
            if edge.carrier == number and not isinstance(side.edge, Line)
        ]
        return sorted(found, key=lambda edge: -round(edge.length, 4))

    def _diameter(self, place: FlatInView, dimension: Dimension) -> None:
        key = dimension.targets[0].partition("|")[2].partition(":")[0]
        if key.startswith("s"):
            self._opening(place, dimension, key.partition(".")[0])
            return
        self._on_arcs(place, dimension, "Ø")

    def _opening(self, place: FlatInView, dimension: Dimension, size: str) -> None:
        """Write equal openings once, with their number and their pitch circle if they are on one."""
        same = [hole for hole in place.drawn.sketch.holes if hole.size == size]
        hole = same[0]
        said = {}
        for part in ("d", "a", "b", "r"):
            if f"{size}.{part}" in place.drawn.figures:
                one = self.said.get(f"{place.drawn.sketch.name}|{size}.{part}", dimension)
                said[part] = self.numbers.text(one, place.drawn.figures[f"{size}.{part}"])
        words = opening_words(hole, said, place.drawn, self.numbers)
        ring = next(
            (one for one in place.drawn.sketch.patterns if one.kind == "ring" and hole.name in one.members),
            None,
        )
        if ring is not None:
            on, turn = (self._stated(place, f"{ring.name}.{part}", dimension) for part in ("d", "turn"))
            words += f" on Ø{on}, equally spaced" + (f", first at {turn}" if ring.square < 0 else "")
        if any(one.staggered for one in place.drawn.sketch.patterns if hole.name in one.members):
            words += ", every other row shifted by half a pitch"
        count = f"{dimension.count}× " if dimension.count > 1 else ""
        targets, reach = _pointed_at(place, same)
        if dimension.position:
            cells = control_cells(self.numbers.length(dimension.position), self.datums)
            self.sorted.controlled.append((targets, reach, count + words, cells))
        else:
            self.sorted.pointed.append((targets, reach, count + words))

    def _stated(self, place: FlatInView, key: str, like: Dimension) -> str:
        """Return the figure of a pattern from its own dimension, if it has one."""
        value = place.drawn.figures.get(key, 0.0)
        unit = "deg" if key.endswith(".turn") else "mm"
        plain = Dimension(like.what, like.flat, "", "", value, unit)
        return self.numbers.text(
            replace(self.said.get(f"{place.drawn.sketch.name}|{key}", plain), tolerance="")
        )

    def _length(self, place: FlatInView, dimension: Dimension) -> None:
        self._opening(place, dimension, dimension.targets[0].partition("|")[2].partition(".")[0])

    def _pitch_circle(self, place: FlatInView, dimension: Dimension) -> None:
        """Draw a pitch circle; its diameter is stated with the openings."""
        name = dimension.targets[0].partition("|")[2].partition(".")[0]
        centre = place.at((place.drawn.figures[f"{name}.u"], place.drawn.figures[f"{name}.v"]))
        self.board.add([circle(centre, dimension.value / 2.0 * place.scale, CENTRE)])

    def _angle(self, place: FlatInView, dimension: Dimension) -> None:
        key = dimension.targets[0].partition("|")[2].partition(":")[0]
        name, _, part = key.partition(".")
        if name.startswith("g") or (name.startswith("h") and self._stated_once(place, name)):
            return
        if name.startswith("h"):
            at = place.at(self._points(place, name)[0])
            self.sorted.pointed.append(([at], 0.0, f"turned {self.numbers.text(dimension)}"))
            return
        pattern = next(one for one in place.drawn.sketch.patterns if one.name == name)
        number = 0 if part == "turn" else int(part[1:])
        loop, first, count = pattern.edges[number]
        sides = place.drawn.loops[loop]
        edge = sides[(first + count // 2) % len(sides)].edge
        words = (
            f"turned {self.numbers.text(dimension)}"
            if part == "turn"
            else f"at {self.numbers.text(dimension)} from the first"
        )
        self.sorted.pointed.append(([place.at(edge.point_at(0.5))], 0.0, words))

    def _stated_once(self, place: FlatInView, name: str) -> bool:
        """True for the first of equal openings, whose angle is stated with its size."""
        hole = next(one for one in place.drawn.sketch.holes if one.name == name)
        return name == next(one.name for one in place.drawn.sketch.holes if one.size == hole.size)

    # --- onto the paper ---

    def finish(self) -> None:
        """Place everything: running dimensions, plain ones, then what leaders point at."""
        self.lined_up()
        self.pointed_at()

    def lined_up(self) -> None:
        """Place running and plain dimensions where there is room."""
        x0, y0, x1, y1 = self.box
        # Centres of arcs may lie outside the part.
        located = [item.point for item in (*self.sorted.across, *self.sorted.upwards)]
        x0, y0 = min([x0, *(x for x, _ in located)]), min([y0, *(y for _, y in located)])
        slanted = self.board.aligned_lines(
            [
                (one, two, words, offset or (0.0 if math.dist(one, two) > 12.0 else 6.0))
                for one, two, words, offset in self.sorted.slanted
            ]
        )
        across, upwards = self._once(self.sorted.across, 0), self._once(self.sorted.upwards, 1)
        across, above = self._by_side(across, 1, self.zero_x, self.sorted.spans["above"])
        upwards, right = self._by_side(upwards, 0, self.zero_y, self.sorted.spans["right"])
        self.board.running("below", y0, self.zero_x or 0.0, across, self.part[1] - y0)
        self.board.running("left", x0, self.zero_y or 0.0, upwards, self.part[0] - x0)
        self.board.running("above", y1, self.zero_x or 0.0, above)
        self.board.running("right", x1, self.zero_y or 0.0, right)
        self.board.spans("above", y1, self.sorted.spans["above"])
        self.board.spans("right", x1, self.sorted.spans["right"])
        self.board.aligned_figures(slanted)

    def pointed_at(self) -> None:
        """Place labels and leaders where there is room, once all lines are drawn."""
        label_openings(self.board, self.labels)
        for targets, radius, words, cells in self.sorted.controlled:
            controlled(self.board, targets, radius, words, cells)
        for targets, radius, words in self.sorted.pointed:
            leader(self.board, targets, radius, words)

    def _by_side(
        self, items: list[Item], axis: int, zero: float | None, spans: Sequence[Span]
    ) -> tuple[list[Item], list[Item]]:
        """Divide running dimensions between the usual side and the other, if their lines would cross most of
        a large view.

        They stay together where the lines of plain dimensions on that other side would run through their figures.
        """
        low, high = self.part[axis], self.part[axis + 2]
        far = [item for item in items if item.far and item.point[axis] > low + _MOST * (high - low)]
        places = sorted([zero or 0.0, *(item.point[1 - axis] for item in far)])
        figures = spread_out(places, self.board.pitch)
        ends = [end[1 - axis] for span in spans for end in span[:2]]
        covered = any(abs(at - end) < self.board.height for at in figures for end in ends)
        if len(far) < _FEWEST or high - low < _LARGE or covered:
            return items, []
        near = [item for item in items if item not in far]
        return near, [Item(item.words, item.far or item.point) for item in far]

    def _once(self, items: Sequence[Item], axis: int) -> list[Item]:
        found: dict[tuple[float, str], Item] = {}
        for item in items:
            found.setdefault((round(item.point[axis], 3), item.words), item)
        return list(found.values())


__all__ = ["DimensionWriter", "FlatInView", "flat_frame", "line"]
