"""All figures of a part as plain data: the contents of its JSON file. The schema is data/part.schema.json."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from formparts import __version__
from formparts.audits import AuditRow
from formparts.bending import BendRule
from formparts.body import Bend, Body, HoleFeature, laid_out
from formparts.checks import Finding
from formparts.expect import Expected
from formparts.export import schedule_data
from formparts.kernel import KernelMeasures
from formparts.layout import BendMark, Blank
from formparts.materials import Material
from formparts.unfolder import Unfolded

if TYPE_CHECKING:
    from formparts.moments_of_inertia import Inertia
    from formparts.part import OpeningPlace, Part

SCHEMA = "formparts.part.2"
"""Name and version of the schema of a part's figures; written in the file."""
UNFOLDED_SCHEMA = "formparts.unfolded.2"
"""The same for the figures of an unfolded file."""

CAUTIONS = (
    "Cut edges are sharp: deburr them, and handle blanks and parts with gloves.",
    "Figures are for planning. The limits of the press brake, local codes and a qualified operator decide.",
    "A part that carries load or people must be released by a licensed practitioner.",
)
"""The cautions for every part."""


def record(part: Part, audited: bool = True, fea: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """
    All figures of a part as plain data, names with their units.

    Parameters
    ----------
    part : Part
        The part.
    audited : bool
        Whether it is audited, which needs the solid.
    fea : mapping, optional
        The figures of the part under load.

    Returns
    -------
    dict
        As the schema says.
    """
    sheet, figures = part.sheet, part.properties
    return {
        "schema": SCHEMA,
        "formparts_version": __version__,
        "name": part.name,
        "recipe": "" if part.recipe is None else part.recipe.name,
        "parameters": dict(part.parameters),
        "title": {} if part.recipe is None else dict(part.recipe.title),
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
        "inertia": _inertia(part.inertia),
        "blank": _blank(part.blank),
        "bends": [
            _made_bend(mark, bend)
            for mark, bend in zip(part.numbered_blank.bends, part.body.bends, strict=True)
        ],
        "openings": [_opening(opening) for opening in part.openings],
        "marks": list(_marks(part.body)),
        "schedule": schedule_data(part.schedule()),
        "audit": [_row(row) for row in part.audit()] if audited else [],
        "expected": [_expected(figure) for figure in part.expected],
        "findings": [_finding(finding) for finding in part.findings_with_fixes(errors_only=True)],
        "cautions": list(CAUTIONS),
        **({} if fea is None else {"fea": dict(fea)}),
    }


def _inertia(inertia: Inertia) -> dict[str, Any]:
    return {
        "about_centroid_kg_mm2": [list(row) for row in inertia.about_centroid],
        "about_origin_kg_mm2": [list(row) for row in inertia.about_origin],
        "principal_kg_mm2": list(inertia.principal),
        "principal_axes": [list(axis) for axis in inertia.axes],
    }


def _opening(opening: OpeningPlace) -> dict[str, Any]:
    return {
        "name": opening.name,
        "flat": opening.flat,
        "shape": opening.shape,
        "length_mm": opening.length,
        "width_mm": opening.width,
        "on_flat_mm": list(opening.on_flat),
        "on_blank_mm": list(opening.on_blank),
        "on_part_mm": list(opening.on_part),
        "after_bending": opening.after_bending,
        "feature": None if opening.feature is None else _hole_feature(opening.feature),
    }


def _marks(body: Body) -> Iterator[dict[str, Any]]:
    """What is marked or formed, in the order of the flats."""
    laid = laid_out(body)
    for flat in body.flats:
        for mark in flat.marks:
            yield {
                "name": mark.name,
                "kind": mark.kind,
                "flat": flat.name,
                "words": mark.words,
                "face": mark.face,
                "height_mm": mark.height,
                "on_flat_mm": list(mark.middle),
                "on_blank_mm": list(laid[flat.name](mark.middle)),
            }


def _hole_feature(feature: HoleFeature) -> dict[str, Any]:
    return {
        "kind": feature.kind,
        "callout": feature.callout,
        "face": feature.face,
        "diameter_mm": feature.diameter,
        "pitch_mm": feature.pitch,
        "depth_mm": feature.depth,
        "angle_deg": feature.angle,
        "height_mm": feature.height,
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


def _made_bend(mark: BendMark, bend: Bend) -> dict[str, Any]:
    """A bend of the model: how it is made, and its own rule for the developed length if it has one."""
    rule = None if bend.bend_rule is None else bend.bend_rule.name
    return {**_bend(mark), "process": bend.process, "own_bend_rule": rule}


def _bend(mark: BendMark) -> dict[str, Any]:
    return {
        "name": mark.name,
        "angle_deg": mark.angle,
        "inside_radius_mm": mark.inside_radius,
        "bend_line_length_mm": mark.length,
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
    """The source of the record of an unfolded file."""

    @property
    def path(self) -> Path: ...
    @property
    def unit(self) -> str: ...
    @property
    def count(self) -> int: ...
    @property
    def colour(self) -> str: ...
    @property
    def found(self) -> Unfolded: ...
    @property
    def bend_rule(self) -> BendRule: ...
    @property
    def material(self) -> Material | None: ...
    @property
    def mass(self) -> float | None: ...
    @property
    def solid(self) -> KernelMeasures: ...
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
        "schema": UNFOLDED_SCHEMA,
        "formparts_version": __version__,
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
        "features": [
            {
                "kind": feature.kind,
                "what": feature.what,
                "side": feature.side,
                "centre_mm": list(feature.centre),
                "place_mm": list(feature.place),
                "height_mm": feature.height,
                "volume_mm3": feature.volume,
            }
            for feature in found.features
        ],
        "assumed_or_healed": [{"what": what, "size_mm": size} for what, size in found.healed],
        "unexplained_volume_mm3": found.unexplained,
        "solid_name": found.name,
        "count": part.count,
        "colour": part.colour or None,
        "notes": list(found.notes),
        "findings": [_finding(finding) for finding in part.findings],
        "cautions": list(CAUTIONS),
    }
