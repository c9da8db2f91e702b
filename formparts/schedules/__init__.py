"""Bend schedule: the bends in the order in which they are made, each with its tools, stop, force and overbend."""

from formparts.schedules.rows import Schedule, ScheduledBend, UnderLoad, schedule

__all__ = ["Schedule", "ScheduledBend", "UnderLoad", "schedule"]
