"""Press-brake practice: dies, force, springback, smallest radius. Figures are for planning, each with its source."""

from formparts.forming.bend_radii import (
    MinimumBendRadius,
    RadiusBand,
    RadiusTable,
    minimum_bend_radius,
    radius_tables,
)
from formparts.forming.dies import (
    AIR_BEND_SHARES,
    DIE_BANDS,
    DIE_SERIES,
    HEM_ANGLE,
    DieBand,
    air_bend_radius,
    die_band,
    die_opening,
    die_opening_range,
    minimum_flange,
)
from formparts.forming.force import (
    FORCE_RULES,
    ForceRule,
    bending_force,
    bending_work,
    force_per_length,
    force_rule,
)
from formparts.forming.gardiner import (
    angle_under_load,
    overbend,
    radius_under_load,
    released_radius,
    springback_ratio,
)
from formparts.forming.hems import curl_force, hem_force
from formparts.forming.springback import (
    Springback,
    springback_factor,
    springback_factors,
    tool_radius,
    under_load,
)
from formparts.forming.strain import (
    cold_worked_yield,
    outer_fibre_strain,
    radius_for_area_reduction,
    radius_for_elongation,
)

__all__ = [
    "AIR_BEND_SHARES",
    "DIE_BANDS",
    "DIE_SERIES",
    "FORCE_RULES",
    "HEM_ANGLE",
    "DieBand",
    "ForceRule",
    "MinimumBendRadius",
    "RadiusBand",
    "RadiusTable",
    "Springback",
    "air_bend_radius",
    "angle_under_load",
    "bending_force",
    "bending_work",
    "cold_worked_yield",
    "curl_force",
    "die_band",
    "die_opening",
    "die_opening_range",
    "force_per_length",
    "force_rule",
    "hem_force",
    "minimum_bend_radius",
    "minimum_flange",
    "outer_fibre_strain",
    "overbend",
    "radius_for_area_reduction",
    "radius_for_elongation",
    "radius_tables",
    "radius_under_load",
    "released_radius",
    "springback_factor",
    "springback_factors",
    "springback_ratio",
    "tool_radius",
    "under_load",
]
