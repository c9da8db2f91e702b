"""`ring_riser` from body to a STEP file, against what the kernel alone needs for the finished solid: the floor."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from formparts import find_recipe
from formparts.body import Body
from formparts.closed_forms import properties
from formparts.export import STEP_SCHEMAS
from formparts.export.dates import file_date
from formparts.export.step import (
    PLAIN_STEEL,
    WRITER_SETTINGS,
    delivered_step,
    new_document,
    put_part,
    step_bytes,
)
from formparts.export.step_proof import volume_of
from formparts.kernel import settings, silence
from formparts.solids import Solid, solid
from tests.benchmarks.rounds import in_turn

TARGET = 1.5


def kernel_alone(finished: Solid, path: Path) -> None:
    """Volume, then its own writer with names and colours, set as formparts' is; its output goes to the disk."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs

    BRepGProp.VolumeProperties_s(finished.shape, GProp_GProps())
    document, parts, colours = new_document()
    put_part(parts, colours, finished, PLAIN_STEEL)
    stream = io.BytesIO()
    with silence(), settings(**{"write_step_schema": STEP_SCHEMAS["AP214"], **WRITER_SETTINGS}):
        writer: Any = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.SetColorMode(True)
        assert writer.Transfer(document, STEPControl_AsIs)
        writer.WriteStream(stream)
    path.write_bytes(stream.getvalue())


def fresh(body: Body) -> Body:
    """The same body with nothing noted on it."""
    return replace(body, flats=tuple(replace(flat) for flat in body.flats))


def run() -> Iterator[dict[str, object]]:
    """Solid, measured volume and STEP text; and once more with the proof by read-back that every delivered file has."""
    body = find_recipe("ring_riser")(lug_count=4)
    finished, volume = solid(body), properties(body).volume
    with tempfile.TemporaryDirectory() as folder:
        ours, reference = Path(folder, "ours.step"), Path(folder, "kernel.step")

        def whole() -> None:
            made = solid(fresh(body))
            assert volume_of(made.shape) > 0.0
            ours.write_bytes(step_bytes(made, "ours.step", "AP214", PLAIN_STEEL, file_date(None)))

        def proved() -> None:
            delivered_step(solid(fresh(body)), ours, volume=volume)

        for name, way, target in (
            ("solid, volume, STEP", whole, TARGET),
            ("the same, proved by read-back", proved, None),
        ):
            found = in_turn(way, lambda: kernel_alone(finished, reference))
            yield {
                "benchmark": f"ring_riser, 4 lugs: {name}",
                "reference": "the kernel's volume and STEP writer on the finished solid",
                "times_the_floor": 1.0 / float(found["ratio"]),  # type: ignore[arg-type]  # it is a float
                "at most": target,
                **found,
            }
