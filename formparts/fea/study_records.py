"""All figures of a study as plain data, names with their units."""

from __future__ import annotations

from typing import Any

from formparts.fea.case import loaded, weight
from formparts.fea.convergence import Converged
from formparts.fea.loads import Load
from formparts.fea.peaks import Peak, PeakPlace, stress_by_feature
from formparts.fea.solver import Reaction
from formparts.fea.studies import CaseSolution, Study
from formparts.fea.supports import Support
from formparts.sections import Section

_DIRECTIONS = ("x", "y", "z", "rx", "ry", "rz")


def study_record(made: Study) -> dict[str, Any]:
    """
    All figures of a study as plain data; what was not sought is null or empty.

    Parameters
    ----------
    made : Study
        A mesh with its cases, solved or not.

    Returns
    -------
    dict
        As the schema says under `fea`.
    """
    mesh = made.mesh
    return {
        "kind": mesh.kind,
        "size_mm": mesh.size,
        "layers": mesh.layers,
        "local_sizes_mm": [{"name": name, "size_mm": size} for name, size in mesh.lengths.local],
        "nodes": len(mesh.nodes),
        "elements": {block.type: len(block.cells) for block in mesh.blocks},
        "mass_kg": mesh.mass,
        "solver": made.solver,
        "cases": [_solution(found) for found in made.solutions],
        "by_hand": None if made.by_hand is None else _section(made.by_hand),
        "cautions": list(made.cautions),
    }


def _solution(found: CaseSolution) -> dict[str, Any]:
    return {
        **answer_record(found),
        "stress": None if found.deflection is None else _stress(found),
        **mode_record(found),
        "converged": [_converged(item) for item in found.converged],
        "drawn_times": found.scale,
    }


def answer_record(found: CaseSolution) -> dict[str, Any]:
    """A case and how the part answers to it: displacement and reactions, without stress and modes."""
    case, answer, deflection = found.case, found.answer, found.deflection
    static = answer is not None and deflection is not None
    return {
        "name": case.name,
        "supports": [_support(item) for item in case.supports],
        "loads": [_load(item) for item in case.loads],
        "gravity": list(case.gravity),
        "large": case.large,
        "load_n": (loaded(found.mesh, case) + weight(found.mesh, case)).sum(axis=0).tolist(),
        "largest_displacement_mm": None if deflection is None else deflection[0],
        "displacement_place": None if deflection is None else _place(deflection[1]),
        "reaction_n": list(answer.reaction) if answer is not None and static else None,
        "reactions": [] if answer is None else [_reaction(item) for item in answer.reactions],
        "imbalance": None if answer is None or not static else answer.imbalance,
    }


def mode_record(found: CaseSolution) -> dict[str, Any]:
    """Natural frequencies and buckling factors of a case, where they were sought."""
    answer = found.answer
    return {
        "frequencies_hz": [] if answer is None else list(answer.frequencies),
        "buckling_factors": [] if answer is None else list(answer.buckling),
    }


def _support(item: Support) -> dict[str, Any]:
    return {
        "names": item.where,
        "directions": ["clamped"] if item.clamped else [_DIRECTIONS[axis] for axis in item.directions],
        "displacement_mm": item.displacement,
    }


def _load(item: Load) -> dict[str, Any]:
    key = {"N": "force_n", "MPa": "pressure_mpa", "Nmm": "moment_nmm"}[item.unit]
    direction = None if item.direction is None else list(item.direction)
    return {"names": item.where, "kind": item.kind, key: item.amount, "direction": direction}


def _reaction(item: Reaction) -> dict[str, Any]:
    return {
        "names": item.where,
        "force_n": list(item.force),
        "moment_nmm": list(item.moment),
        "about_mm": list(item.place),
    }


def _place(place: PeakPlace) -> dict[str, Any]:
    return {"at_mm": list(place.at), "names": list(place.names), "skin": place.skin}


def _stress(found: CaseSolution) -> dict[str, Any] | None:
    if found.answer is None or found.peak is None:
        return None
    limit = found.mesh.body.sheet.material.yield_strength
    return {
        "peak": peak_record(found.peak),
        "peak_away_from_supports": None if found.peak_away is None else peak_record(found.peak_away),
        "yield_strength_mpa": limit,
        "ratio_to_yield": None if limit is None else found.peak.von_mises / limit,
        "by_feature_mpa": stress_by_feature(found.mesh, found.answer),
    }


def peak_record(peak: Peak) -> dict[str, Any]:
    """A greatest stress with its place."""
    return {
        "von_mises_mpa": peak.von_mises,
        "principal_mpa": list(peak.principal),
        "place": _place(peak.place),
    }


def _converged(item: Converged) -> dict[str, Any]:
    return {
        "figure": item.figure,
        "unit": item.unit,
        "sizes_mm": list(item.sizes),
        "values": list(item.values),
        "order": item.order if item.converges else None,
        "extrapolated": item.extrapolated,
        "error": item.error,
        "converges": item.converges,
    }


def _section(cut: Section) -> dict[str, Any]:
    return {
        "area_mm2": cut.area,
        "centroid_mm": list(cut.centroid),
        "inertia_u_mm4": cut.inertia_u,
        "inertia_v_mm4": cut.inertia_v,
        "product_mm4": cut.product,
        "greatest_mm4": cut.greatest,
        "least_mm4": cut.least,
        "principal_angle_deg": cut.principal_angle,
        "modulus_u_mm3": cut.modulus_u,
        "modulus_v_mm3": cut.modulus_v,
        "torsion_mm4": cut.torsion,
    }
