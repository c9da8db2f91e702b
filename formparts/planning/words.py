"""A plan as text: its cost, the radii formed, tools by sections, stops."""

from __future__ import annotations

from collections.abc import Sequence

from formparts.planning.lengths import ToolLength
from formparts.planning.plan import BendPlan
from formparts.planning.radius import FormedRadius
from formparts.planning.steps import PlanStep

WORDS = {
    "step without an edge": ("step without an edge", "steps without an edge"),
    "point against the stops": ("point against the stops", "points against the stops"),
}
"""Plurals not formed with an s."""


def plan_words(plan: BendPlan) -> str:
    """Return the cost of a plan, and whether another could cost less."""
    if not plan.found:
        return plan.problem
    over, without, turns, changes, _ = plan.cost
    parts = [
        _count(len(plan.steps), "step"),
        _count(over, "turn-over"),
        _count(turns, "turn"),
        _count(changes, "tool change"),
    ]
    if without:
        parts.append(f"{_count(without, 'step')} without an edge to rest against")
    return f"{', '.join(parts)}; {_gap_words(plan)}"


def _gap_words(plan: BendPlan) -> str:
    """Return whether another plan could be cheaper, and by how much at most."""
    if plan.exact:
        return "no order with these punches is cheaper"
    names = ("turn-over", "step without an edge", "turn", "tool change", "point against the stops")
    gaps = [(cost - bound, name) for cost, bound, name in zip(plan.cost, plan.bound, names, strict=True)]
    first = next((_count(gap, name) for gap, name in gaps if gap > 0), "nothing")
    return f"the best that was found: another order could save {first} at the most"


def _count(number: int, word: str) -> str:
    one, many = WORDS.get(word, (word, f"{word}s"))
    return f"{number} {one if number == 1 else many}"


def radius_words(radius: FormedRadius) -> str:
    """Return the radius formed and its effects, in one line."""
    if radius.ending:
        return _ending_words(radius)
    if radius.chosen is None:
        return radius.why_none
    natural = radius.chosen.natural_radius
    how = f"{radius.chosen.die.name} forms R {radius.formed_radius:.2f}"
    if natural is None:
        return f"{how}, as drawn: no natural radius is known for the material"
    pressed = "" if radius.formed_radius == natural else f" by a punch of R {radius.chosen.tip_radius:g}"
    off = radius.formed_radius - radius.drawing_radius
    changes = f"allowance {radius.allowance_change:+.3f} mm, each flange {radius.flange_change:+.3f} mm"
    both = f"both together {2.0 * radius.flange_change:+.3f} mm"
    return f"{how}{pressed} (drawing {radius.drawing_radius:g}, {off:+.2f}): {changes}, {both}"


def _ending_words(radius: FormedRadius) -> str:
    """Return how a pressed or rolled bend gets its radius."""
    if radius.ending == "roll":
        return f"rolled to R {radius.drawing_radius:.4g} on bending rolls"
    if radius.ending == "curl":
        return f"rolled to R {radius.drawing_radius:.4g} in curling dies"
    begun = radius.why_none if radius.chosen is None else f"begun over {radius.chosen.die.name}"
    how = {
        "closed": "then pressed shut between flat tools",
        "open": f"then pressed on a spacer of {2.0 * radius.drawing_radius:.4g} mm",
        "teardrop": f"then its end pressed down, the loop left free: R {_formed_words(radius)}",
        "pressed on": f"then pressed on between flat tools: R {_formed_words(radius)}",
    }[radius.ending]
    return f"{begun}, {how}"


def _formed_words(radius: FormedRadius) -> str:
    off = radius.formed_radius - radius.drawing_radius
    return f"{radius.formed_radius:.2f} (drawing {radius.drawing_radius:g}, {off:+.2f})"


def rows_words(rows: Sequence[ToolLength]) -> str:
    """Rows of sections: `105 mm (100 + 5)`."""
    return "; ".join(
        f"{row.length:g} mm ({' + '.join(f'{section:g}' for section in row.sections)})"
        + (f", horns {row.horns[0]:.1f} left, {row.horns[1]:.1f} right" if row.horns != (0.0, 0.0) else "")
        for row in rows
    )


def stop_words(step: PlanStep) -> str:
    """Edge, distance, fingers and height of the stops."""
    stop = step.stop
    if stop.kind == "none":
        return "Stop: none"
    fingers = " and ".join(words for _, words in finger_words(step))
    many = "fingers" if len(stop.fingers) > 1 else "finger"
    beyond = " (minus: to the left of it)" if "-" in fingers else ""
    return (
        f"Stop {stop.distance:.2f} mm, {stop_edge(step)}; {many} {fingers} mm from the left end of the bend{beyond}, "
        f"{stop.height:.1f} mm above the die"
    )


def stop_edge(step: PlanStep) -> str:
    """What rests against the stops: `edge of floor`, `outer face of wall`."""
    what = {"edge": "edge", "slanted edge": "slanted edge", "flange": "outer face", "fold": "fold"}[
        step.stop.kind
    ]
    return f"{what} of {step.stop.flat}"


def finger_words(step: PlanStep) -> list[tuple[float, str]]:
    """Each finger: where it is along the line as the operator sees it, and from the left end of the bend."""
    side = step.stop.side
    left = min(side * end for span in step.spans for end in span)
    places = sorted(side * finger for finger in step.stop.fingers)
    return [(place, f"{place - left:.1f}") for place in places]
