"""The figures of a variant in closed form: no solid, no file."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from formparts.body import Body
from formparts.checks import GENERAL, Finding, RuleInput, findings, limit_profile, part_findings, rule_of
from formparts.closed_forms import Properties
from formparts.errors import InputError
from formparts.families.under_load import UNDER_LOAD
from formparts.forming import bending_force, die_opening
from formparts.layout import Blank

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
"""Those, and what is found by finite elements when that is asked for."""


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
        **_force(body),
    }


def _force(body: Body) -> dict[str, float]:
    """Force of the heaviest bend, by the first force rule over the usual die; none where a figure is not known."""
    sheet = body.sheet
    strength = sheet.material.strength_to_bend
    if not strength or not body.bends:
        return {}
    longest: dict[tuple[float, float], float] = {}
    for bend in body.bends:
        like = (bend.inside_radius, bend.angle)
        longest[like] = max(longest.get(like, 0.0), bend.width)
    try:
        forces = [
            float(bending_force(sheet.thickness, width, die_opening(sheet.thickness, *like), strength))
            for like, width in longest.items()
        ]
    except InputError:  # no die of the series is wide enough: then nobody knows the force
        return {}
    return {"bend_force_kN": max(forces) / 1000.0}


def findings_of(body: Body, flat: Blank, all_checks: bool) -> tuple[Finding, ...]:
    """What the checks say; without all of them only whether the blank can be cut from one sheet."""
    if all_checks:
        return findings(body, flat)
    part = RuleInput(flat, body.sheet.material, limit_profile(GENERAL), body, ())
    return tuple(part_findings(part, (rule_of("blank-overlap"),)))
