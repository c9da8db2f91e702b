"""The parameters of a written recipe: equal sizes of one meaning share one, each with its limits."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

from formparts.recipe_writing.expressions import Formula, Literal, Node, Par, Variable, shown, tidy
from formparts.tolerances import ROUNDING, TURN_DEG

TEXTS: Final = {
    "length": "length of the plate",
    "width": "width of the plate",
    "corner_radius": "corner radius of the plate",
    "diameter": "diameter of the plate",
    "opening": "diameter of the opening",
    "profile_width": "along the bends",
    "bend_angle": "bend angle, 0 for flat",
    "lug_count": "lugs round the axis",
    "lug_width": "width of a lug",
    "lug_hole": "diameter of the hole in each lug",
    "lug_start": "first bend of a lug, from the edge that it leaves",
    "lug_reach": "in plan, from the first bend of a lug to its end",
    "hole_from_end": "from the end of a lug to the middle of its hole",
    "pitch_diameter": "pitch circle of the holes in the lugs",
    "rise": "of the lugs, between like faces",
    "slope": "of the lugs between their two bends",
    "relief_width": "width of the reliefs beside a bend",
    "relief_depth": "of the reliefs, beyond the tangent line of the bend",
    "hole_diameter": "diameter of the holes",
    "hole_circle": "pitch circle of the holes",
    "hole_count": "holes on their pitch circle",
    "ear_length": "how far an ear stands out",
    "ear_width": "width of an ear",
    "ear_count": "ears round the middle",
    "slot_length": "overall length of the slots",
    "slot_width": "width of the slots",
    "cutout_length": "length of the rectangular openings",
    "cutout_width": "width of the rectangular openings",
    "cutout_radius": "corner radius of the rectangular openings",
    "corner_relief": "diameter of the reliefs in the corners",
    "notch_length": "length of the notches",
    "notch_width": "width of the notches",
    "tip_radius": "radius of the corners of the end",
    "thickness": "thickness of the sheet",
    "inside_radius": "inside radius of the bends",
    "tip_chamfer": "chamfer of the corners of the end",
}
SERIES = (1.0, 2.0, 5.0)
ANGLE_LIMITS = (0.1, 350)
BENT_LIMITS = (0.1, 170)
SLOPE_LIMITS = (15, 90)


@dataclass
class FoundParameters:
    """The parameters found so far, and the precision of the figures in the file [mm]."""

    tolerance: float
    found: dict[str, tuple[float, str]] = field(default_factory=dict)
    anchors: list[tuple[Node, float]] = field(default_factory=list)
    sheet: Variable = field(default_factory=lambda: Variable("sheet"))

    def tidy(self, value: float) -> float:
        """Return the roundest figure that the file can have meant."""
        return tidy(value, self.tolerance)

    def length(self, role: str, value: float, text: str = "") -> Node:
        """Return a length: the parameter of that meaning and size, a new one if there is none yet."""
        size = self.tidy(value)
        if size == 0.0:
            return Literal(0)
        limits = f"{shown(_least(size))}, {shown(_most(size))}"
        said = text or TEXTS.get(role) or role.replace("_", " ")
        return self._kept(role, size, lambda: f'Annotated[float, Length("{said}", {limits})]')

    def tied(self, value: float) -> Node:
        """Return a position: half of a length that is already a parameter, if it equals that, else the figure."""
        size = self.tidy(value)
        for node, whole in self.anchors:
            if size and abs(whole / 2.0 - abs(size)) < ROUNDING:
                sign = "-" if size < 0.0 else ""
                half = (lambda of: -of / 2) if size < 0.0 else (lambda of: of / 2)
                return Formula(f"{sign}{{}} / 2", half, (node,))
        return Literal(size)

    def angle(self, role: str, value: float, text: str = "") -> Node:
        """An angle [deg]."""
        size = tidy(value, TURN_DEG)
        limits = SLOPE_LIMITS if role == "slope" else BENT_LIMITS if size <= BENT_LIMITS[1] else ANGLE_LIMITS
        least, most = min(limits[0], _least(size)), limits[1]
        said = text or TEXTS.get(role) or role.replace("_", " ")
        return self._kept(role, size, lambda: f'Annotated[float, Angle("{said}", {least}, {most})]')

    def count(self, role: str, value: int) -> Node:
        """A number of things."""
        most = max(60, 2 * value)
        return self._kept(role, value, lambda: f'Annotated[int, Count("{TEXTS[role]}", 1, {most})]')

    def _kept(self, role: str, size: float, annotation: object) -> Par:
        """The parameter of a meaning and size."""
        for number in range(1, 1000):
            name = role if number == 1 else f"{role}_{number}"
            if name not in self.found:
                assert callable(annotation)
                self.found[name] = (size, annotation())
                return Par(name, size)
            if self.found[name][0] == size:
                return Par(name, size)
        raise AssertionError(role)


def _least(value: float) -> float:
    """The next figure of 1, 2, 5 that is at most a fifth."""
    return _stepped(abs(value) / 5.0, down=True)


def _most(value: float) -> float:
    """The next figure of 1, 2, 5 that is at least five times as much."""
    return _stepped(abs(value) * 5.0, down=False)


def _stepped(value: float, down: bool) -> float:
    power = 10.0 ** math.floor(math.log10(value))
    steps = [round(step * power, 12) for step in (*SERIES, 10.0)]
    return (
        max(s for s in steps if s <= value * (1 + ROUNDING))
        if down
        else min(s for s in steps if s >= value * (1 - ROUNDING))
    )
