"""Element lengths: one for the part, others for named regions, and a limit for each kind of element."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from formparts.body import Body
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.fea.names import named
from formparts.short_repr import short_repr

MOST_NODES: Final = 1_000_000
"""A mesh of more nodes is refused: the solver would need more memory than a workstation has (common practice)."""
SLENDEREST: Final[dict[str, float]] = {"shell": 40.0, "solid": 2.5, "bricks": 20.0}
"""The longest edge of an element, in thicknesses of the sheet. Found by halving sizes on a clamped square plate and on
wide bends of 20 and 50 thicknesses: tetrahedra that are longer lock (tests/fea/test_convergence.py)."""
_LAYERS: Final[dict[str, tuple[tuple[float, int], ...]]] = {
    "bricks": ((1.5, 4), (3.0, 3), (math.inf, 2)),
    "solid": ((1.5, 3), (5.0, 2), (math.inf, 1)),
}
"""Elements through the thickness where the tightest bend has an inside radius of less than so many thicknesses: then
the stress at its inner fibre is within 3 % of Golovin's (tests/fea/test_stress.py). One layer of bricks with reduced
integration would leave a strip one element wide without stiffness."""
_NODES_FOR_AN_AREA: Final[dict[str, tuple[float, float]]] = {
    "shell": (3.0, 0.0),
    "bricks": (3.0, 4.0),
    "solid": (4.0, 8.0),
}
"""Nodes of a quadrilateral of the net: on the first storey, and for each layer."""


@short_repr
@dataclass(frozen=True)
class Sizing:
    """
    Lengths of elements.

    Parameters
    ----------
    size : float [mm]
        Default length.
    local : tuple of (str, float) [mm]
        Name of the part and a smaller length there.
    side_by_side : bool
        Whether two elements are to lie side by side on every strip.
    """

    size: float
    local: tuple[tuple[str, float], ...] = ()
    side_by_side: bool = False

    def at(self, *names: str) -> float:
        """Return the least length that applies to one of these names, or to what contains it."""
        return min([self.size, *(size for name, size in self.local if name in names)])


def sizing(
    body: Body, kind: str, size: float | None, layers: int, local: Sequence[tuple[str, float]] = ()
) -> Sizing:
    """Return the lengths for a part: as requested, but never longer than the kind of element permits."""
    longest = SLENDEREST[kind] * body.sheet.thickness
    most = max(properties(body).envelope)
    if size is None:
        size = max(2.0 * body.sheet.thickness, most / 100.0)
    elif not 0.0 < size < float("inf"):
        fix = f"give {most / 100.0:.3g} mm, for example"
        raise InputError(body.name, "size", size, "is not a length of an element", fix, "mm")
    made = Sizing(min(size, longest), tuple(_resolved(body, local)), kind != "solid")
    _refuse_too_many(body, kind, made.size, layers)
    return made


def _resolved(body: Body, local: Sequence[tuple[str, float]]) -> list[tuple[str, float]]:
    """Each name of the part that a pattern means, with its length."""
    tags = [edge.tag for flat in body.flats for edge in flat.net.edges if edge.tag]
    names = list(dict.fromkeys([*body.names, *tags]))
    found = []
    for pattern, size in local:
        if not 0.0 < size < float("inf"):
            raise InputError(body.name, "size", size, f"of {pattern} is not a length", "give mm", "mm")
        found += [(name, size) for name in named(names, pattern, body.name, "size")]
    return found


def layers_for(body: Body, kind: str, layers: int | None) -> int:
    """Elements through the thickness: as asked for, or as many as the tightest bend needs."""
    if layers is not None and layers < 1:
        raise InputError(body.name, "layers", layers, "is less than one", "give 1 or more")
    if kind == "shell":
        return 1
    tightest = min((bend.inside_radius for bend in body.bends), default=math.inf) / body.sheet.thickness
    return layers or next(count for ratio, count in _LAYERS[kind] if tightest < ratio or ratio == math.inf)


def _refuse_too_many(body: Body, kind: str, size: float, layers: int) -> None:
    """Estimate the number of nodes beforehand from the area of the sheet, and refuse too many."""
    area = properties(body).volume / body.sheet.thickness
    first, each = _NODES_FOR_AN_AREA[kind]
    nodes = (first + each * layers) * area / size**2
    if nodes > MOST_NODES:
        least = size * (nodes / MOST_NODES) ** 0.5
        problem = f"would make about {nodes:.2g} nodes, more than {MOST_NODES:,}"
        raise InputError(body.name, "size", size, problem, f"give {1.05 * least:.2g} mm or more", "mm")


def refuse_too_many(body: Body, size: float, nodes: int) -> None:
    """Refuse too many nodes, once they are counted."""
    if nodes > MOST_NODES:
        problem = f"makes {nodes:,} nodes, more than {MOST_NODES:,}"
        raise InputError(body.name, "size", size, problem, "give longer elements, or fewer layers", "mm")
