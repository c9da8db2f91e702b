"""The bend plan of a part: how each bend is formed, and every step with its tools, its stop and its turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from formparts.arguments import takes
from formparts.blanks import blank as blank_of
from formparts.body import Body
from formparts.general_tolerances import known_class
from formparts.layout import Blank
from formparts.planning.blocks import left_of, problem_of, searched
from formparts.planning.radius import FormedRadius
from formparts.planning.search import NOTHING, Cost
from formparts.planning.stand import PartModel, part_model
from formparts.planning.steps import PlanStep, steps_of
from formparts.planning.tasks import radii_of, task_with
from formparts.planning.tool_files import tool_table
from formparts.planning.tools import ToolTable
from formparts.short_repr import short_repr

CAUTIONS = (
    "Keep hands clear of punch, die and the part as it swings up: pinch points. Use the guards of the machine.",
    "Never load a tool beyond what is permitted for each metre, and short tools not beyond their own length.",
    "Forces, angles under load and radii are for planning: bend a test strip of the same coil first.",
    "The machine maker's limits, local codes and a qualified operator decide.",
)
"""The cautions printed with every plan."""

MOST_PLANNED = 60
"""Largest number of bends for which an order is sought; parts with more are made on other machines."""


@short_repr
@dataclass(frozen=True)
class BendPlan:
    """
    The plan for bending a part on a press brake.

    Parameters
    ----------
    part : str
        Name of the part.
    model : PartModel
        The part and its blank, in the form of the search.
    tools : ToolTable
        Tools and machine.
    radii : tuple of FormedRadius
        The radius formed at each bend of the body.
    steps : tuple of PlanStep
        In order; none when no order was found.
    cost, bound : (int, int, int, int, int) [-]
        Turn-overs, steps without a stop, turns, tool changes and points against the stops: of the plan, and the
        least of any plan.
    exact : bool
        True when no other order is cheaper.
    problem : str
        Why there is no plan; empty when there is one.
    left : tuple of str
        Bends that could not be made where the search came farthest.
    tolerance_class : str
        Class of the general tolerances (ISO 2768-1) that changes and spreads are held against.
    """

    part: str
    model: PartModel
    tools: ToolTable
    radii: tuple[FormedRadius, ...]
    steps: tuple[PlanStep, ...]
    cost: Cost
    bound: Cost
    exact: bool
    problem: str = ""
    left: tuple[str, ...] = ()
    tolerance_class: str = "m"

    @property
    def body(self) -> Body:
        """The part."""
        return self.model.body

    @property
    def blank(self) -> Blank:
        """Its blank."""
        return self.model.blank

    @property
    def found(self) -> bool:
        """True when there is a plan (of no steps at all, for a part without bends)."""
        return not self.problem

    @property
    def ordered(self) -> tuple[tuple[str, ...], ...]:
        """Names of the bends, step by step."""
        return tuple(step.bends for step in self.steps)

    @property
    def numbers(self) -> dict[str, int]:
        """The step in which each bend is made, by name; for a hem the first one, at its bend line."""
        return {name: step.number for step in reversed(self.steps) for name in step.bends}


@takes(body="Body", blank=("Blank", "None"), tools=("ToolTable", "None"), tolerance_class="str")
def plan_bends(
    body: Body, blank: Blank | None = None, tools: ToolTable | None = None, tolerance_class: str = "m"
) -> BendPlan:
    """
    Plan the bending of a part: tools, order, stops.

    Parameters
    ----------
    body : Body
        The part.
    blank : Blank, optional
        Its blank, if already developed.
    tools : ToolTable, optional
        Tools and machine; the shipped ones when none are given.
    tolerance_class : "f", "m", "c" or "v"
        Class of the general tolerances (ISO 2768-1) that changes and spreads are held against.

    Returns
    -------
    BendPlan

    Raises
    ------
    InputError
        The blank cannot be developed, or there is no such class.

    Source
    ------
    Method after J. R. Duflou, J. Vancza and R. Aerens, Computer aided process planning for sheet metal bending: a
    state of the art, Computers in Industry 56 (2005); best first search as S. K. Gupta, D. A. Bourne, K. H. Kim and
    S. S. Krishnan, Automated process planning for sheet metal bending operations, J. Manufacturing Systems 17 (1998).

    Examples
    --------
    >>> plan = plan_bends(find_recipe("u_channel").part().body)
    >>> [step.bends for step in plan.steps]
    [('u_channel.bend[1]',), ('u_channel.bend[2]',)]
    """
    known_class(tolerance_class)
    flat = blank_of(body) if blank is None else blank
    table = tools or tool_table()
    model = part_model(body, flat)
    radii = radii_of(model, table)
    empty = BendPlan(
        body.name, model, table, radii, (), NOTHING, NOTHING, False, tolerance_class=tolerance_class
    )
    problem = _not_looked_for(body, flat, radii, table)
    if problem:
        return replace(empty, problem=f"no plan was looked for: {problem}")
    if not flat.bends:
        return replace(empty, exact=True)
    task = task_with(model, table, radii)
    empty = replace(empty, model=task.model)
    found = searched(task)
    if found.moves is None:
        return replace(empty, problem=problem_of(task, found), left=left_of(task.model, found))
    steps = tuple(steps_of(task, radii, found.moves, tolerance_class))
    exact = found.whole or found.cost == found.bound
    return replace(empty, steps=steps, cost=found.cost, bound=found.bound, exact=exact)


def _not_looked_for(body: Body, blank: Blank, radii: Sequence[FormedRadius], table: ToolTable) -> str:
    """Return why no order is sought at all; empty where one is."""
    if blank.overlaps:
        return "the part cannot be cut from one sheet"
    closed = next((radius for radius in radii if radius.ending not in ("", "roll")), None)
    if closed is not None and not any(punch.kind == "hemming" for punch in table.punches):
        return (
            f"{closed.bend} is closed between flat tools, and {table.name} has no punch of the kind hemming"
        )
    if len(body.bends) > MOST_PLANNED:
        return f"the part has {len(body.bends)} bends, and an order is sought for up to {MOST_PLANNED}"
    return ""


@takes(blank="Blank", plan="BendPlan")
def numbered(blank: Blank, plan: BendPlan) -> Blank:
    """
    Number the bends of a blank by the steps in which they are made.

    Parameters
    ----------
    blank : Blank
        The blank of the part.
    plan : BendPlan
        Its plan; without steps the blank stays as it is, and its bends count in the order of the model.

    Returns
    -------
    Blank
    """
    numbers = plan.numbers
    if not numbers:
        return blank
    return replace(blank, bends=tuple(replace(mark, number=numbers[mark.name]) for mark in blank.bends))
