"""
formparts: solid models of bent sheet parts, with their blank, mass, checks and proof, from short recipes.

Every public name is here. Each is looked up when it is first asked for, so that `import formparts` costs nothing
and no solid kernel is loaded before a solid is wanted.
"""

from __future__ import annotations

import sys
from functools import partial
from importlib import import_module
from types import FunctionType
from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "formparts.assembly_recipes": ("Assembled", "AssemblyRecipe", "assemble", "assembly_recipe", "find_assembly"),
    "formparts.assembly": (
        "Assembly", "BillRow", "Interference", "Placed", "Turned", "bill", "interferences",
        "part_frames", "place", "write_assembly_glb", "write_assembly_step", "write_bill",
    ),
    "formparts.audits": ("AuditRow", "audit"),
    "formparts.bending": (
        "AircraftHandbook", "AllowanceRow", "AllowanceTable", "BendRule", "Din6935", "Groover", "KFactor", "KTable",
        "MachineryHandbook", "allowance_table", "bend_allowance", "bend_deduction", "bend_rule",
        "blank_length", "din_6935_compensation", "din_6935_factor", "inside_setback", "k_factor_from_allowance",
        "k_factor_from_deduction", "mid_setback", "missing_mould_length", "mould_lengths", "mould_straights",
        "offset_angle", "offset_run", "offset_slope", "outside_setback", "smallest_rise",
    ),
    "formparts.blanks": ("blank",),
    "formparts.body": ("Bend", "Body", "Flat", "Frame", "Opening", "Sheet", "frames"),
    "formparts.checks": (
        "Finding", "Limit", "LimitProfile", "blank_findings", "findings", "limit_profile", "limit_profiles",
    ),
    "formparts.clash": ("Clash", "clashes"),
    "formparts.comparison": ("Change", "compare", "compare_parameters"),
    "formparts.drawings": ("Drawing", "drawing", "write_drawing"),
    "formparts.errors": ("FileProofError", "FormpartsError", "InputError", "KernelError", "UnitsError"),
    "formparts.families.regions": ("Bound", "Place", "Region", "region"),
    "formparts.fea": (
        "Answer", "ElementBlock", "FeaMesh", "FeaOrder", "Load", "LoadCase", "Study", "mesh_of", "read_load", "solved",
        "study", "write_deck", "write_deflected", "write_msh", "write_vtu",
    ),
    "formparts.forming": (
        "ForceRule", "MinimumBendRadius", "air_bend_radius", "angle_under_load", "bending_force", "bending_work",
        "cold_worked_yield", "die_opening", "die_opening_range", "force_per_length", "minimum_bend_radius",
        "outer_fibre_strain", "overbend", "radius_for_area_reduction", "radius_for_elongation", "radius_under_load",
        "released_radius", "minimum_flange", "springback_factor", "springback_ratio",
    ),
    "formparts.families": (
        "Fault", "Outcome", "Row", "Variant", "as_array", "as_table", "family", "grid_rows", "read_table",
    ),
    "formparts.layout": ("BendMark", "Blank", "Overlap"),
    "formparts.materials": (
        "Material", "StandardThickness", "gauge_thickness", "material", "known_materials", "material_of_density",
        "materials_from", "nearest_thickness", "standard_thicknesses", "with_density",
    ),
    "formparts.fixes": ("Fix", "suggested_fixes"),
    "formparts.outline": (
        "Arc", "Line", "Loop", "Motion", "Outline", "arc_to", "bolt_circle", "closed_path", "cut", "disc",
        "grid", "intersect", "obround", "polygon", "rectangle", "ring", "round_ended_rectangle", "unite",
    ),
    "formparts.closed_forms": ("Properties", "bend_volume", "properties"),
    "formparts.parameters": (
        "Angle", "BendRuleName", "Choice", "Count", "Length", "MaterialName", "Number", "Parameter", "Yes",
    ),
    "formparts.part": ("OpeningPlace", "Part"),
    "formparts.recipe_functions": ("Recipe", "describe", "find_recipe", "recipe", "recipes"),
    "formparts.planning": ("BendPlan", "PlanStep", "ToolTable", "plan_bends", "tool_table"),
    "formparts.report.calculation": ("calculation_text", "hand_calculation"),
    "formparts.report.html": ("notebook_view", "report_page"),
    "formparts.schedules": ("Schedule", "bend_order", "schedule"),
    "formparts.sections": ("Section", "section"),
    "formparts.shapes": (
        "Axis", "Hole", "Relief", "Run", "Tip", "Turn", "X_AXIS", "Y_AXIS", "Z_AXIS", "add_flange",
        "array_about", "cut_opening", "down", "fuse", "hole", "mirror", "offset_lug", "pierced", "plate",
        "profile", "relief", "renamed", "rooted", "rotate", "run", "shifted", "tip", "tongue", "translate",
        "up",
    ),
    "formparts.solids": ("Solid", "solid"),
    "formparts.solving": ("Solution", "optimise", "solve", "solve_check"),
    "formparts.unfolder": ("FoundBend", "FoundFlat", "StepSolid", "Unfolded", "read_solid", "unfold"),
    "formparts.unfolded_files": ("UnfoldedFile", "unfold_file"),
    "formparts.verification": ("Verified", "VerifyRow", "verify"),
}  # fmt: skip
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = sorted([*_HOME_OF, "__version__"])


def __getattr__(name: str) -> Any:
    """Look a public name up in the room that it comes from."""
    if name not in _HOME_OF:
        raise AttributeError(f"module 'formparts' has no attribute {name!r}")
    value = getattr(import_module(_HOME_OF[name]), name)
    if isinstance(value, FunctionType):
        value = import_module("formparts.arguments").of_the_kind(value, _HOME_OF)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return list(__all__)


_NOTEBOOK = "formparts.report.html.notebook"
_SHOWN_BY = {
    ("formparts.body.model", "Body"): "body_view",
    ("formparts.closed_forms", "Properties"): "properties_view",
    ("formparts.layout", "Blank"): "blank_view",
}
"""What a notebook shows of a type; types go by name, so that nothing is loaded before there is one to show."""


def _show_in_notebooks() -> None:
    """Let a notebook show a body in 3D, and figures with their units."""
    shell = getattr(sys.modules.get("IPython"), "get_ipython", lambda: None)()
    if shell is not None:
        pages = shell.display_formatter.formatters["text/html"]
        for (home, kind), view in _SHOWN_BY.items():
            pages.for_type_by_name(home, kind, partial(_shown, view))


def _shown(view: str, thing: Any) -> str:
    if view == "body_view":
        return str(__getattr__("Part")(thing)._repr_html_())
    return str(getattr(import_module(_NOTEBOOK), view)(thing))


_show_in_notebooks()
