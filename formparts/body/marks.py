"""Marks on a flat and formed features, which are not cut: beads, dimples, louvres and lines of marking."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from formparts.body.hole_features import Face
from formparts.outline import Loop, Motion, Point
from formparts.outline.regions import joint_bounds
from formparts.short_repr import short_repr

MarkKind: TypeAlias = Literal["marking", "bead", "dimple", "louvre"]


@short_repr
@dataclass(frozen=True)
class Mark:
    """
    What is marked on a flat or formed in it. It is on the blank and the drawing, and not in the solid.

    Parameters
    ----------
    name : str
        Name within the part.
    kind : "marking", "bead", "dimple" or "louvre"
        What it is.
    words : str
        As a drawing says it: `dimple Ø8, 2 high`, or the text that is marked.
    face : "upper" or "lower"
        The face that is marked, or from which it projects.
    loops : tuple of Loop [mm]
        Its closed outlines, in the flat's coordinates.
    lines : tuple of tuple of (x, y) [mm]
        Its open lines, as those of letters.
    base : ((x, y), (x, y)) [mm]
        Two points of the line along which it is written.
    height : float [mm]
        Height above the sheet; 0 for a marking.
    """

    name: str
    kind: MarkKind
    words: str
    face: Face
    loops: tuple[Loop, ...] = ()
    lines: tuple[tuple[Point, ...], ...] = ()
    base: tuple[Point, Point] = ((0.0, 0.0), (1.0, 0.0))
    height: float = 0.0

    @property
    def middle(self) -> Point:
        """Middle of its box, in the flat's coordinates [mm]."""
        boxes = [loop.bounds for loop in self.loops]
        points = [point for line in self.lines for point in line]
        boxes += [(x, y, x, y) for x, y in points]
        x0, y0, x1, y1 = joint_bounds(boxes)
        return ((x0 + x1) / 2.0, (y0 + y1) / 2.0)

    def moved(self, motion: Motion) -> Mark:
        """The same mark elsewhere."""
        return replace(
            self,
            loops=tuple(loop.moved(motion) for loop in self.loops),
            lines=tuple(tuple(map(motion, line)) for line in self.lines),
            base=(motion(self.base[0]), motion(self.base[1])),
        )

    def retagged(self, names: Callable[[str], str]) -> Mark:
        """The same mark under a name that is a function of the old one."""
        return replace(self, name=names(self.name))

    def turned_over(self) -> Mark:
        """The same mark, seen from the other side of the sheet."""
        return replace(self, face="lower" if self.face == "upper" else "upper")

    def readable(self) -> Mark:
        """Return the mark of a mirror image: letters are reflected once more, about their base line."""
        if not self.lines:
            return self
        (ax, ay), (bx, by) = self.base
        length_2 = (bx - ax) ** 2 + (by - ay) ** 2
        cos, sin = (bx - ax) / length_2**0.5, (by - ay) / length_2**0.5
        mx, my = self.middle

        def over(point: Point) -> Point:
            x, y = point[0] - mx, point[1] - my
            along, across = x * cos + y * sin, y * cos - x * sin
            return (mx + along * cos + across * sin, my + along * sin - across * cos)

        return replace(self, lines=tuple(tuple(map(over, line)) for line in self.lines))
