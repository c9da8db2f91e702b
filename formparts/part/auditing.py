"""The audit of a part: its figures by independent methods."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from formparts import __version__
from formparts.audits import AuditRow, audit
from formparts.body import own_rules
from formparts.export import StepFacts, StepFigures, mesh_volumes
from formparts.export.step import delivered_step
from formparts.kernel import measured
from formparts.unfolder import unfold

if TYPE_CHECKING:
    from formparts.part.part import Part


def audited(part: Part, step: StepFigures | None) -> tuple[AuditRow, ...]:
    """Return the rows of the audit; the STEP file is one written before, or else written for this alone."""
    body, frame = part.body, part.body.frame
    place = (frame.origin, frame.x, frame.z)
    unfolded = unfold(
        part.solid, part.sheet.bend_rule, fixed=body.flats[0].name, frame=place, own_rules=own_rules(body)
    ).blank
    meshes, shape = mesh_volumes(body, part.solid), measured(part.solid.shape)
    return audit(body, part.properties, part.blank, shape, step or _read_back(part), unfolded, meshes)


def _read_back(part: Part) -> StepFigures:
    with TemporaryDirectory(prefix="formparts_") as folder:
        return step_figures(part, Path(folder, "part.step"))


def step_figures(part: Part, path: str | os.PathLike[str], schema: str = "AP214") -> StepFigures:
    """Write the solid as STEP, and give what was measured when the file was read back."""
    figures, recipe = part.properties, "" if part.recipe is None else part.recipe.name
    facts = StepFacts(
        figures.volume, figures.surface, figures.centroid, part.material.name, part.material.density, recipe,
        part.parameters, __version__, {} if part.recipe is None else part.recipe.title,
    )  # fmt: skip
    return delivered_step(
        part.solid, path, schema=schema, colour=part.material.colour, volume=figures.volume, facts=facts
    )[1]
