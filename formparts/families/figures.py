"""The figures of a variant in closed form: no solid, no file."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from formparts.body import Body
from formparts.checks import GENERAL, Finding, RuleInput, findings, limit_profile, part_findings, rule_of
from formparts.closed_forms import Properties
from formparts.families.under_load import UNDER_LOAD
from formparts.layout import Blank
from formparts.planning import tool_table
from formparts.planning.stand import part_model
from formparts.planning.tasks import radii_of

FIGURES: Mapping[str, str] = MappingProxyType(
    {
        "mass_kg": "kg",
        "volume_mm3": "mm3",
        "surface_mm2": "mm2",
        "envelope_x_mm": "mm",
        "envelope_y_mm": "mm",
        "envelope_z_mm": "mm",
        "blank_length_mm": "mm",
        "blank_width_mm": "mm",
        "blank_area_mm2": "mm2",
        "cut_length_mm": "mm",
        "pierces": "",
        "bends": "",
        "bend_force_kN": "kN",
    }
)
"""Every figure of a variant in closed form, and its unit."""

ALL_FIGURES: Mapping[str, str] = MappingProxyType({**FIGURES, **UNDER_LOAD})
"""Those, and the results of finite elements when ordered."""


def figures_of(body: Body, closed: Properties, flat: Blank) -> dict[str, float]:
    """FIGURES of one part."""
    x, y, z = closed.envelope
    return {
        "mass_kg": closed.mass,
        "volume_mm3": closed.volume,
        "surface_mm2": closed.surface,
        "envelope_x_mm": x,
        "envelope_y_mm": y,
        "envelope_z_mm": z,
        "blank_length_mm": flat.length,
        "blank_width_mm": flat.width,
        "blank_area_mm2": flat.area,
        "cut_length_mm": flat.cut_length,
        "pierces": flat.pierces,
        "bends": len(flat.bends),
        **_force(body, flat),
    }


def _force(body: Body, flat: Blank) -> dict[str, float]:
    """Return the force of the heaviest bend over the die of its plan; None where a figure is not known."""
    chosen = [radius.chosen for radius in radii_of(part_model(body, flat), tool_table())]
    forces = [
        one.force * mark.length / 1000.0
        for one, mark in zip(chosen, flat.bends, strict=True)
        if one is not None and one.force is not None
    ]
    return {"bend_force_kN": max(forces)} if forces and len(forces) == len(chosen) else {}


def findings_of(body: Body, flat: Blank, all_checks: bool) -> tuple[Finding, ...]:
    """Return the findings of the checks; without all of them only whether the blank can be cut from one sheet."""
    if all_checks:
        return findings(body, flat)
    part = RuleInput(flat, body.sheet.material, limit_profile(GENERAL), body, ())
    return tuple(part_findings(part, (rule_of("blank-overlap"),)))
