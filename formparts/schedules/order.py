"""An order in which the bends of a part can be made: minimum flange first, each step tested."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from formparts.arguments import takes
from formparts.body import Body
from formparts.clash import clashes
from formparts.layout import BendMark, Blank
from formparts.outline.edges import Point
from formparts.schedules.flanges import Reach, flange_reaches, hanging
from formparts.schedules.partly import in_the_way_of_the_punch, partly_folded
from formparts.tolerances import ANGLE_DEG, LENGTH

MOST_TRIALS = 300
"""So many partly folded parts are looked at before the search is given up."""

_ORDER = "order of its bends"

RULE = (
    "minimum flange first; after each step the partly folded part must be clear of itself, and no flat may "
    "stand in the plane that halves the bend, where the punch is (common practice, no source)"
)


@dataclass(frozen=True)
class BendOrder:
    """
    An order of the bends, or why there is none.

    Parameters
    ----------
    found : bool
        True when there is an order (of no steps at all, for a part without bends).
    steps : tuple of tuple of str
        Names of the bends, step by step; bends of one step lie on one line.
    word : str
        By which rule it was found, or why not.
    left : tuple of str
        Names of the bends that were left when the search came farthest; none when an order was found, or none was
        looked for.
    """

    found: bool
    steps: tuple[tuple[str, ...], ...]
    word: str
    left: tuple[str, ...] = ()


@takes(body="Body", blank="Blank")
def bend_order(body: Body, blank: Blank) -> BendOrder:
    """
    Find an order in which the bends can be made.

    The rule is simple and stated: minimum flange first, and each step tested by the part alone. Die, back stop,
    and the shape of the punch are not looked at.

    Parameters
    ----------
    body : Body
        The part.
    blank : Blank
        Its blank.

    Returns
    -------
    BendOrder
    """
    known: tuple[Body, BendOrder] | None = vars(blank).get(_ORDER)
    if known is None or known[0] is not body:
        # Noted on the blank, which never changes: the checks and the schedule ask for the same order.
        known = vars(blank)[_ORDER] = (body, _bend_order(body, blank))
    return known[1]


def _bend_order(body: Body, blank: Blank) -> BendOrder:
    if blank.overlaps:
        return BendOrder(False, (), "no order was looked for: the part cannot be cut from one sheet")
    if clashes(body):
        return BendOrder(False, (), "no order was found: the folded part runs into itself")
    reaches = flange_reaches(body, blank)
    steps = _by_flange(reaches, _steps(blank))
    allowances = {mark.name: mark.allowance for mark in blank.bends}
    search = _Search(body, allowances, tuple(steps), set(), [0], [frozenset()])
    found = _ordered(search, frozenset())
    if found is not None:
        return BendOrder(True, found, RULE)
    left = tuple(name for name in allowances if name not in search.farthest[0])
    tried = f" in {MOST_TRIALS} trials" if search.trials[0] >= MOST_TRIALS else ""
    return BendOrder(False, (), f"no order was found{tried} by the rule: {RULE}", left)


@dataclass(frozen=True)
class _Search:
    """What the search looks at, the dead ends that it has met, the number of its trials, and how far it came."""

    body: Body
    allowances: Mapping[str, float]
    steps: tuple[tuple[str, ...], ...]
    dead: set[frozenset[str]]
    trials: list[int]
    farthest: list[frozenset[str]]


def _ordered(search: _Search, made: frozenset[str]) -> tuple[tuple[str, ...], ...] | None:
    """The steps that are left, in an order that works; None when there is none from here."""
    left = [step for step in search.steps if not made.issuperset(step)]
    search.farthest[0] = max(search.farthest[0], made, key=len)
    if not left:
        return ()
    for step in left:
        after = made.union(step)
        if after in search.dead or search.trials[0] >= MOST_TRIALS:
            continue
        if _can_be_made(search, step, after):
            rest = _ordered(search, after)
            if rest is not None:
                return (step, *rest)
    search.dead.add(made)
    return None


def _can_be_made(search: _Search, step: tuple[str, ...], after: frozenset[str]) -> bool:
    search.trials[0] += 1
    partly = partly_folded(search.body, after, search.allowances)
    if _takes_a_punch(search.body, step) and in_the_way_of_the_punch(partly, step) is not None:
        return False
    beyond = hanging(search.body)
    moved = frozenset(step).union(*(beyond[name] for name in step))
    return not clashes(partly, moved)


def _takes_a_punch(body: Body, step: tuple[str, ...]) -> bool:
    """True when a bend of a step is made by a punch that reaches to its end; hems are pressed flat, rims are rolled."""
    return any(bend.process == "air bend" for bend in body.bends if bend.name in step)


def _by_flange(reaches: Mapping[str, Reach], steps: Iterable[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Shortest flange first; flanges that differ by rounding only stay in the order of the recipe."""
    flanges = [(min(min(reaches[name].sides) for name in step), step) for step in steps]
    lengths = sorted(length for length, _ in flanges)
    starts = [after for before, after in pairwise([-LENGTH, *lengths]) if after - before > LENGTH]
    return [step for _, step in sorted(flanges, key=lambda pair: bisect_right(starts, pair[0]))]


def _steps(blank: Blank) -> Iterator[tuple[str, ...]]:
    """Bends on one line, to one side, angle and radius, are made in one step."""
    left = list(blank.bends)
    while left:
        first = left[0]
        together = [mark for mark in left if _one_step(first, mark)]
        left = [mark for mark in left if mark not in together]
        yield tuple(mark.name for mark in together)


def _one_step(one: BendMark, other: BendMark) -> bool:
    """True when a second bend lies on the line of the first and is made the same way."""
    return (
        one.side == other.side
        and abs(one.angle - other.angle) <= ANGLE_DEG
        and abs(one.inside_radius - other.inside_radius) <= LENGTH
        and _same_way(one, other)
        and max(abs(_off_line(one, other.start)), abs(_off_line(one, other.end))) <= LENGTH
    )


def _same_way(one: BendMark, other: BendMark) -> bool:
    """True when the flats that move lie on the same side of both lines (to their right)."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = one.start, one.end, other.start, other.end
    return (bx - ax) * (dx - cx) + (by - ay) * (dy - cy) > 0.0


def _off_line(mark: BendMark, point: Point) -> float:
    """How far a point is to the left of a bend line."""
    (x0, y0), (x1, y1) = mark.start, mark.end
    return ((x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)) / mark.length
