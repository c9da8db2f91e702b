"""All figures of a part as plain data: what stands in its JSON file. The schema is data/part.schema.json."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol

from formparts.audits import AuditRow
from formparts.bending import BendRule
from formparts.body import Body
from formparts.checks import Finding
from formparts.closed_forms import Properties
from formparts.expect import Expected
from formparts.export import schedule_data
from formparts.kernel import Measured
from formparts.layout import BendMark, Blank
from formparts.materials import Material
from formparts.schedules import Schedule
from formparts.unfolder import Unfolded

CAUTIONS = (
    "Cut edges are sharp: deburr them, and handle blanks and parts with gloves.",
    "Figures are for planning. The limits of the press brake, local codes and a qualified operator decide.",
    "A part that carries load or people must be released by a licensed practitioner.",
)
"""What goes with every part."""


class Part(Protocol):
    """What a record, and a page, is made of."""

    @property
    def recipe(self) -> str: ...
    @property
    def parameters(self) -> Mapping[str, Any]: ...
    @property
    def body(self) -> Body: ...
    @property
    def figures(self) -> Properties: ...
    @property
    def blank(self) -> Blank: ...
    @property
    def audit(self) -> Sequence[AuditRow]: ...
    @property
    def findings(self) -> Sequence[Finding]: ...
    @property
    def expected(self) -> Sequence[Expected]: ...
    @property
    def schedule(self) -> Schedule: ...


def record(part: Part, fea: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """
    All figures of a part as plain data, names with their units.

    Parameters
    ----------
    part : Made
        The part and what is known of it.
    fea : mapping, optional
        The figures of the part under load.

    Returns
    -------
    dict
        As the schema says.
    """
    sheet, figures = part.body.sheet, part.figures
    return {
        "recipe": part.recipe,
        "parameters": dict(part.parameters),
        "sheet": {
            "thickness_mm": sheet.thickness,
            "inside_radius_mm": sheet.inside_radius,
            "material": sheet.material.name,
            "density_kg_m3": sheet.material.density,
            "bend_rule": sheet.bend_rule.name,
        },
        "volume_mm3": figures.volume,
        "mass_kg": figures.mass,
        "surface_mm2": figures.surface,
        "centroid_mm": list(figures.centroid),
        "envelope_mm": list(figures.envelope),
        "blank": _blank(part.blank),
        "bends": [_bend(mark) for mark in part.blank.bends],
        "schedule": schedule_data(part.schedule),
        "audit": [_row(row) for row in part.audit],
        "expected": [_expected(figure) for figure in part.expected],
        "findings": [_finding(finding) for finding in part.findings],
        "cautions": list(CAUTIONS),
        **({} if fea is None else {"fea": dict(fea)}),
    }


def _blank(blank: Blank) -> dict[str, Any]:
    return {
        "length_mm": blank.length,
        "width_mm": blank.width,
        "area_mm2": blank.area,
        "cut_length_mm": blank.cut_length,
        "pierces": blank.pierces,
        "overlaps": [
            {
                "first": overlap.first,
                "second": overlap.second,
                "place_mm": list(overlap.place),
                "depth_mm": overlap.depth,
                "area_mm2": overlap.area,
            }
            for overlap in blank.overlaps
        ],
    }


def _bend(mark: BendMark) -> dict[str, Any]:
    return {
        "name": mark.name,
        "angle_deg": mark.angle,
        "inside_radius_mm": mark.inside_radius,
        "length_mm": mark.length,
        "allowance_mm": mark.allowance,
        "side": mark.side,
        "line_on_blank_mm": [list(mark.start), list(mark.end)],
    }


def _row(row: AuditRow) -> dict[str, Any]:
    return {
        "figure": row.figure,
        "methods": dict(row.methods),
        "spread": row.spread,
        "allowed": row.allowed,
        "agrees": row.agrees,
    }


def _expected(figure: Expected) -> dict[str, Any]:
    return {
        "figure": figure.figure,
        "unit": figure.unit,
        "drawing_value": figure.drawing_value,
        "computed": figure.computed,
        "deviation_percent": 100.0 * figure.deviation,
        "tolerance_percent": 100.0 * figure.tolerance,
        "within_tolerance": figure.within_tolerance,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "severity": finding.severity,
        "where": finding.where,
        "message": finding.message,
        "measured": finding.measured,
        "limit": finding.limit,
        "unit": finding.unit,
        "source": finding.source,
        "fix": finding.fix,
        "on_blank_mm": None if finding.on_blank is None else list(finding.on_blank),
        "on_part_mm": None if finding.on_part is None else list(finding.on_part),
    }


class UnfoldedPart(Protocol):
    """What the record of an unfolded file is made of."""

    @property
    def path(self) -> Path: ...
    @property
    def unit(self) -> str: ...
    @property
    def found(self) -> Unfolded: ...
    @property
    def bend_rule(self) -> BendRule: ...
    @property
    def material(self) -> Material | None: ...
    @property
    def mass(self) -> float | None: ...
    @property
    def solid(self) -> Measured: ...
    @property
    def envelope(self) -> tuple[float, float, float]: ...
    @property
    def audit(self) -> Sequence[AuditRow]: ...
    @property
    def findings(self) -> Sequence[Finding]: ...


def unfolded_record(part: UnfoldedPart) -> dict[str, Any]:
    """
    All figures of an unfolded STEP file as plain data: what `record` says of a recipe, as far as it applies.

    Parameters
    ----------
    part : UnfoldedFile
        The file and what was found in it.

    Returns
    -------
    dict
        As the schema data/unfolded.schema.json says; without a material no mass.
    """
    found, material = part.found, part.material
    return {
        "file": part.path.name,
        "file_unit": part.unit,
        "sheet": {
            "thickness_mm": found.thickness,
            "material": None if material is None else material.name,
            "density_kg_m3": None if material is None else material.density,
            "bend_rule": part.bend_rule.name,
        },
        "volume_mm3": found.volume,
        "mass_kg": part.mass,
        "surface_mm2": part.solid.surface,
        "centroid_mm": list(part.solid.centroid),
        "envelope_mm": list(part.envelope),
        "flats": [
            {
                "name": flat.name,
                "area_mm2": flat.area,
                "place_mm": list(flat.place),
                "normal": list(flat.normal),
            }
            for flat in found.flats
        ],
        "blank": _blank(found.blank),
        "bends": [_bend(mark) for mark in found.blank.bends],
        "audit": [_row(row) for row in part.audit],
        "notes": list(found.notes),
        "findings": [_finding(finding) for finding in part.findings],
        "cautions": list(CAUTIONS),
    }
