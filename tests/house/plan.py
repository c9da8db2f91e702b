"""The plan of the house: which room is on which floor, and what a room may bring in."""

from __future__ import annotations

_TOP = frozenset({"commands", "watch", "cli", "__main__"})

FLOORS: tuple[frozenset[str], ...] = (
    frozenset({"errors", "tolerances", "toml"}),
    frozenset({"quantities", "materials", "outline", "kernel", "arguments", "apart"}),
    frozenset({"bending", "forming"}),
    frozenset({"body", "layout"}),
    frozenset({"shapes", "properties", "section", "solid", "blank", "unfold", "triangulation"}),
    frozenset({"checks", "audit", "clash", "expect", "schedule"}),
    frozenset({"drawing", "export", "report", "record", "fea", "assembly"}),
    frozenset(
        {
            "recipe",
            "make",
            "family",
            "compare",
            "verify",
            "assemble",
            "solve",
            "fixes",
            "check",
            "unfold_file",
        }
    )
    | _TOP,
)
"""From the ground up. A room may bring in what is below it, and its own floor if no circle comes of it."""

APART = 4
"""On this floor rooms may not bring in each other: each is a method of its own from the body to a figure."""

HEAVY = frozenset(
    {"OCP", "cadquery", "pint", "trimesh", "ezdxf", "vtk", "matplotlib", "scipy", "distributed", "manifold3d"}
)
"""Slow to import, so only inside functions (and where only the type checker looks)."""

REFEREE = "unfold"
REFEREE_MAY = frozenset(
    {"errors", "tolerances", "kernel", "apart", "layout", "outline.edges", "outline.regions"}
)
"""The unfolder referees the method from body to blank, so it may share data types with it, and no verbs."""

MEETING = frozenset({"blank", "unfold"})
MEETING_PLACE = "audit"
"""The two methods to a blank meet in this room alone, below the floor where commands are put together."""

RECIPES_MAY = frozenset({"formparts", "typing", "math", "__future__"})
"""Recipes are the manual: they show the one public namespace and nothing behind it."""


def floor_of(room: str) -> int | None:
    """Give the floor of a room, or None if it is not in the plan."""
    return next((floor for floor, rooms in enumerate(FLOORS) if room in rooms), None)
