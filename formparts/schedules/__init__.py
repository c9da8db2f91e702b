"""Bend schedule: position, tools, force and overbend of each bend, and an order in which they can be made."""

from formparts.schedules.order import MOST_TRIALS, RULE, BendOrder, bend_order
from formparts.schedules.rows import (
    CAUTIONS,
    RADIUS_SHARE,
    Place,
    Schedule,
    ScheduledBend,
    Tools,
    UnderLoad,
    schedule,
)

__all__ = [
    "CAUTIONS",
    "MOST_TRIALS",
    "RADIUS_SHARE",
    "RULE",
    "BendOrder",
    "Place",
    "Schedule",
    "ScheduledBend",
    "Tools",
    "UnderLoad",
    "bend_order",
    "schedule",
]
