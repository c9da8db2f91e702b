"""
formparts: solid models of bent sheet parts, with their blank, mass, checks and proof, from short recipes.

What a recipe author and a user of parts needs is here, each name looked up when it is first asked for, so that
`import formparts` costs nothing and no solid kernel is loaded before a solid is wanted:

- Parts and recipes: recipe, find_recipe, recipes, describe, Recipe, Part
- Parameters of a recipe: Length, Angle, Count, Number, Choice, MaterialName, BendRuleName, Yes
- The model: Sheet, Flat, Bend, Opening, Body, Frame
- Builders: plate, profile, run, up, down, tongue, tip, hole, relief, add_flange, add_hem, add_curl, offset_lug,
  cut_opening, pierced, array_about, mirror, translate, rotate, shifted, renamed, rooted, fuse, Axis,
  X_AXIS, Y_AXIS, Z_AXIS
- Outlines: Outline, Motion, rectangle, disc, ring, obround, round_ended_rectangle, polygon, closed_path, arc_to, unite,
  cut, intersect, grid, bolt_circle
- Stock and rules: Material, material, materials_from, BendRule, bend_rule
- What a part gives: Blank, Properties, Finding, LimitProfile, limit_profile
- Many parts: family, grid_rows, read_table, region, compare, solve, optimise
- Files of others: unfold_file, verify
- Assemblies: assembly_recipe, find_assembly, assemble, Assembly, Placed, Turned, place
- Errors: FormpartsError, InputError, UnitsError, FileProofError, KernelError

The rest is public under its own module: formparts.shapes (all builders: also fold and box),
formparts.bending (bend mathematics), formparts.forming (press-brake practice), formparts.planning,
formparts.fea, formparts.assembly, formparts.export, formparts.checks, formparts.unfolder.
"""

from __future__ import annotations

import sys
from functools import partial
from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_GROUPS = {
    "Parts and recipes": {
        "formparts.part": ("Part",),
        "formparts.recipe_functions": (
            "Recipe",
            "describe",
            "find_recipe",
            "recipe",
            "recipes",
        ),
    },
    "Parameters of a recipe": {
        "formparts.parameters": (
            "Angle",
            "BendRuleName",
            "Choice",
            "Count",
            "Length",
            "MaterialName",
            "Number",
            "Yes",
        ),
    },
    "The model": {
        "formparts.body": (
            "Bend",
            "Body",
            "Flat",
            "Frame",
            "Opening",
            "Sheet",
        ),
    },
    "Builders": {
        "formparts.shapes": (
            "add_curl",
            "add_flange",
            "add_hem",
            "array_about",
            "cut_opening",
            "down",
            "fuse",
            "hole",
            "mirror",
            "offset_lug",
            "pierced",
            "plate",
            "profile",
            "relief",
            "renamed",
            "rooted",
            "rotate",
            "run",
            "shifted",
            "tip",
            "tongue",
            "translate",
            "up",
            "Axis",
            "X_AXIS",
            "Y_AXIS",
            "Z_AXIS",
        ),
    },
    "Outlines": {
        "formparts.outline": (
            "Motion",
            "Outline",
            "arc_to",
            "bolt_circle",
            "closed_path",
            "cut",
            "disc",
            "grid",
            "intersect",
            "obround",
            "polygon",
            "rectangle",
            "ring",
            "round_ended_rectangle",
            "unite",
        ),
    },
    "Stock and rules": {
        "formparts.bending": (
            "BendRule",
            "bend_rule",
        ),
        "formparts.materials": (
            "Material",
            "material",
            "materials_from",
        ),
    },
    "What a part gives": {
        "formparts.layout": ("Blank",),
        "formparts.checks": (
            "Finding",
            "LimitProfile",
            "limit_profile",
        ),
        "formparts.closed_forms": ("Properties",),
    },
    "Many parts": {
        "formparts.comparison": ("compare",),
        "formparts.families": (
            "family",
            "grid_rows",
            "read_table",
        ),
        "formparts.solving": (
            "optimise",
            "solve",
        ),
        "formparts.families.regions": ("region",),
    },
    "Files of others": {
        "formparts.unfolded_files": ("unfold_file",),
        "formparts.verification": ("verify",),
    },
    "Assemblies": {
        "formparts.assembly": (
            "Assembly",
            "Placed",
            "Turned",
            "place",
        ),
        "formparts.assembly_recipes": (
            "assemble",
            "assembly_recipe",
            "find_assembly",
        ),
    },
    "Errors": {
        "formparts.errors": (
            "FileProofError",
            "FormpartsError",
            "InputError",
            "KernelError",
            "UnitsError",
        ),
    },
}
"""The public names by what they are for, each with the module that it comes from."""
_HOME_OF = {name: home for group in _GROUPS.values() for home, names in group.items() for name in names}

__all__ = sorted([*_HOME_OF, "__version__"])


def __getattr__(name: str) -> Any:
    """Look a public name up in the room that it comes from."""
    if name not in _HOME_OF:
        raise AttributeError(f"module 'formparts' has no attribute {name!r}")
    value = getattr(import_module(_HOME_OF[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return list(__all__)


_NOTEBOOK = "formparts.report.html.notebook"
_SHOWN_BY = {
    ("formparts.body.model", "Body"): "body_view",
    ("formparts.closed_forms", "Properties"): "properties_view",
    ("formparts.drawings.sheet", "Drawing"): "drawing_view",
    ("formparts.layout", "Blank"): "blank_view",
    ("formparts.planning.plan", "BendPlan"): "plan_view",
    ("formparts.recipe_functions.decorator", "Recipe"): "recipe_view",
    ("builtins", "tuple"): "several_view",
}
"""The notebook view of each type; types are given by name, so that nothing is loaded before one is shown."""


def _show_in_notebooks() -> None:
    """Let a notebook show a body in 3D, and figures with their units."""
    shell = getattr(sys.modules.get("IPython"), "get_ipython", lambda: None)()
    if shell is not None:
        pages = shell.display_formatter.formatters["text/html"]
        for (home, kind), view in _SHOWN_BY.items():
            pages.for_type_by_name(home, kind, partial(_shown, view))


def _shown(view: str, thing: Any) -> str | None:
    if view == "several_view" and "formparts.checks" not in sys.modules:
        return None
    if view == "body_view":
        return str(__getattr__("Part")(thing)._repr_html_())
    made = getattr(import_module(_NOTEBOOK), view)(thing)
    return None if made is None else str(made)


_show_in_notebooks()
