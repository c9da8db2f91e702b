"""The plan of the house: which room is on which floor, and what a room may bring in."""

from __future__ import annotations

_TOP = frozenset({"commands", "manual", "watch", "cli", "__main__"})

FLOORS: tuple[frozenset[str], ...] = (
    frozenset({"errors", "tolerances", "toml", "kept", "short_repr"}),
    frozenset(
        {
            "quantities",
            "materials",
            "sources",
            "outline",
            "kernel",
            "kernel_reader",
            "apart",
            "arguments",
            "child_process",
            "svg",
        }
    ),
    frozenset({"bending", "forming", "parameters", "deviations", "general_tolerances"}),
    frozenset({"body", "layout"}),
    frozenset(
        {
            "shapes",
            "closed_forms",
            "moments_of_inertia",
            "sections",
            "solids",
            "blanks",
            "unfolder",
            "triangulation",
        }
    ),
    frozenset({"checks", "audits", "clash", "expect", "schedules", "planning"}),
    frozenset({"drawings", "export", "report", "records", "fea", "assembly", "setter_sheets"}),
    frozenset(
        {
            "recipe_functions",
            "part",
            "writers",
            "families",
            "comparison",
            "verification",
            "assembly_recipes",
            "solving",
            "fix_grid",
            "solving_picture",
            "solving_under_load",
            "fixes",
            "unfolded_files",
            "refused_pictures",
            "unfolding_runs",
            "recognition",
            "other_thickness",
            "recipe_writing",
        }
    )
    | _TOP,
)
"""From the ground up. A room may bring in what is below it, and its own floor if no circle comes of it."""

APART = 4
"""On this floor rooms may not bring in each other: each is a method of its own from the body to a figure."""

HEAVY = frozenset(
    {
        "OCP",
        "cadquery",
        "pint",
        "trimesh",
        "ezdxf",
        "vtk",
        "matplotlib",
        "scipy",
        "distributed",
        "reportlab",
        "manifold3d",
        "PIL",
    }
)
"""Slow to import, so only inside functions (and where only the type checker looks)."""

REFEREE = "unfolder"
REFEREE_MAY = frozenset(
    {
        "errors",
        "tolerances",
        "short_repr",
        "kernel",
        "kernel_reader",
        "child_process",
        "arguments",
        "layout",
        "outline.edges",
        "outline.regions",
    }
)
"""The unfolder referees the method from body to blank, so it may share data types with it, and no verbs."""

MEETING = frozenset({"blanks", "unfolder"})
MEETING_PLACE = "audits"
"""The two methods to a blank meet in this room alone, below the floor where commands are put together."""

RECIPES_MAY = frozenset(
    {"formparts", "formparts.bending", "formparts.shapes", "typing", "math", "__future__"}
)
"""Recipes are the manual: they show the public namespace, and bend mathematics, and nothing behind it."""


def floor_of(room: str) -> int | None:
    """Give the floor of a room, or None if it is not in the plan."""
    return next((floor for floor, rooms in enumerate(FLOORS) if room in rooms), None)
