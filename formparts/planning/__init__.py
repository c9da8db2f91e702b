"""The bend plan: the radius that forms, an order that a press can do, tools and a stop for every step."""

from formparts.planning.plan import CAUTIONS, BendPlan, PlanStep, plan_bends, what_blocks
from formparts.planning.radius import FormedRadius, RadiusOption, formed_radius
from formparts.planning.tools import Die, Machine, Punch, ToolTable, tool_table

__all__ = [
    "CAUTIONS",
    "BendPlan",
    "Die",
    "FormedRadius",
    "Machine",
    "PlanStep",
    "Punch",
    "RadiusOption",
    "ToolTable",
    "formed_radius",
    "plan_bends",
    "tool_table",
    "what_blocks",
]
