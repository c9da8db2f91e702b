"""The bend plan: the radius formed, an order that a press can make, tools and a backgauge stop for every step."""

from formparts.planning.as_formed import radius_as_formed
from formparts.planning.blocks import what_blocks
from formparts.planning.plan import CAUTIONS, BendPlan, numbered, plan_bends
from formparts.planning.radius import FormedRadius, RadiusOption, formed_radius
from formparts.planning.spread import Spread, spreads
from formparts.planning.steps import PlanStep
from formparts.planning.tool_files import tool_table
from formparts.planning.tools import Die, FlatDie, Machine, Punch, ToolTable
from formparts.planning.words import plan_words

__all__ = [
    "CAUTIONS",
    "BendPlan",
    "Die",
    "FlatDie",
    "FormedRadius",
    "Machine",
    "PlanStep",
    "Punch",
    "RadiusOption",
    "Spread",
    "ToolTable",
    "formed_radius",
    "numbered",
    "plan_bends",
    "plan_words",
    "radius_as_formed",
    "spreads",
    "tool_table",
    "what_blocks",
]
