"""An assembly as files: STEP with a product for each part and an instance for each place, GLB with a node each."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any, Final, TypeAlias

from formparts.assembly.bill import alike, location, part_solid
from formparts.assembly.colours import with_colours
from formparts.assembly.placing import Assembly, Part, Placed, part_volume
from formparts.assembly.turned import Turned, turned_centroid
from formparts.errors import FileProofError, InputError
from formparts.export import STEP_SCHEMAS, delivered, file_date, mesh, written
from formparts.export.glb import glb_bytes
from formparts.export.step import document_bytes, new_document, put_name, put_part
from formparts.export.step_facts import StepFacts, fact_faults
from formparts.export.step_products import read_product_facts, with_product_facts
from formparts.kernel import guard
from formparts.properties import properties
from formparts.tolerances import LENGTH, MESH_CHORD, VOLUME_REL

COLOUR: Final = 1e-4
"""Colours read back agree to this: a fortieth of what eight bits can tell apart."""
MATRIX_REL: Final = 1e-9
"""Places read back agree to this, relative to their distance from the origin."""


def part_colour(part: Part) -> tuple[float, float, float]:
    """Colour of a part: that of its material."""
    return part.material.colour if isinstance(part, Turned) else part.sheet.material.colour


def write_assembly_step(
    assembly: Assembly, path: str | os.PathLike[str], *, schema: str = "AP242", date: datetime | None = None
) -> Path:
    """
    Write an assembly as STEP: products, instances, names, colours; proved by reading every instance back.

    Parameters
    ----------
    assembly : Assembly
        What is written.
    path : path
        Where the file is to stand.
    schema : "AP214" or "AP242"
        Application protocol of the file.
    date : datetime, optional
        The date in the file; else that of SOURCE_DATE_EPOCH, else the start of 1970.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The schema is not one, or the file cannot be written there.
    FileProofError
        The file did not read back as the assembly; nothing was delivered.
    KernelError
        The kernel refused to write.
    """
    if schema not in STEP_SCHEMAS:
        raise InputError("STEP", "schema", schema, "is not one that is written", "choose AP214 or AP242")
    with guard(f"STEP of {assembly.name}"):
        content = _step_bytes(assembly, Path(path).name, schema, file_date(date))
    return delivered(path, content, lambda draft: _prove(draft, assembly))[0]


def _step_bytes(assembly: Assembly, file_name: str, schema: str, date: datetime) -> bytes:
    document, parts, colours = new_document()
    top = parts.NewShape()
    put_name(top, assembly.name)
    labels = []
    for part, items in alike(assembly):
        label = put_part(parts, colours, part_solid(part), part_colour(part))
        labels += [(item, label) for item in items]
    order = {item.name: number for number, item in enumerate(assembly.items)}
    for item, label in sorted(labels, key=lambda pair: order[pair[0].name]):
        put_name(parts.AddComponent(top, label, location(item.frame)), item.name)
    parts.UpdateAssemblies()
    content = document_bytes(
        document, assembly.name, file_name, schema, date, coloured=False, write_step_assembly=1
    )
    coloured = with_colours(content, [part_colour(part) for part, _ in alike(assembly)])
    return with_product_facts(coloured, [product_facts(part) for part, _ in alike(assembly)])


def product_facts(part: Part) -> StepFacts:
    """What the file says of a part: validation properties by closed form, material."""
    if isinstance(part, Turned):
        centre, material = turned_centroid(part), part.material
        return StepFacts(part.volume, part.surface, centre, material.name, material.density)
    figures, material = properties(part), part.sheet.material
    return StepFacts(figures.volume, figures.surface, figures.centroid, material.name, material.density)


Instance: TypeAlias = tuple[str, Any, tuple[float, float, float]]


def step_instances(path: str | os.PathLike[str]) -> tuple[str, dict[str, Instance]]:
    """Name of the assembly in a STEP file; for every instance its product's name, its placed shape and its colour."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TDF import TDF_Label, TDF_LabelSequence
    from OCP.XCAFDoc import XCAFDoc_ShapeTool

    from formparts.export.step_reading import name_of, silence

    document, parts, _ = new_document()
    with guard(f"reading {path}"), silence():
        reader = STEPCAFControl_Reader()
        reader.SetNameMode(True)
        reader.SetColorMode(True)
        if reader.ReadFile(str(path)) != IFSelect_RetDone or not reader.Transfer(document):
            raise FileProofError(str(path), "it cannot be read back")
        free, found = TDF_LabelSequence(), {}
        parts.GetFreeShapes(free)
        components = TDF_LabelSequence()
        XCAFDoc_ShapeTool.GetComponents_s(free.Value(1), components)
        for number in range(1, components.Length() + 1):
            label, product = components.Value(number), TDF_Label()
            XCAFDoc_ShapeTool.GetReferredShape_s(label, product)
            shape = XCAFDoc_ShapeTool.GetShape_s(label)
            found[name_of(label)] = (name_of(product), shape, _colour_of(product))
        return name_of(free.Value(1)), found


def _colour_of(product: Any) -> tuple[float, float, float]:
    """Colour of a product, not numbers where it has none."""
    from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
    from OCP.XCAFDoc import XCAFDoc_ColorSurf, XCAFDoc_ColorTool

    colour = Quantity_Color()
    if not XCAFDoc_ColorTool.GetColor_s(product, XCAFDoc_ColorSurf, colour):
        return (math.nan, math.nan, math.nan)
    red, green, blue = colour.Values(Quantity_TOC_sRGB)
    return (float(red), float(green), float(blue))


def _prove(path: Path, assembly: Assembly) -> None:
    """Every instance is there under its name, of its product, of its volume, in its place."""
    name, found = step_instances(path)
    if name != assembly.name:
        raise FileProofError(str(path), f"the assembly is called {name!r}, and not {assembly.name!r}")
    if set(found) != {item.name for item in assembly.items}:
        raise FileProofError(str(path), f"it holds the instances {sorted(found)}")
    for item in assembly.items:
        for fault in _faults(item, *found[item.name]):
            raise FileProofError(str(path), f"{item.name}: {fault}")
    _prove_facts(path, assembly)


def _prove_facts(path: Path, assembly: Assembly) -> None:
    """Of every product the file says what it is."""
    parts, said = [part for part, _ in alike(assembly)], read_product_facts(path)
    names = [name for name, _ in said]
    if names != [part.name for part in parts]:
        raise FileProofError(str(path), f"it states the properties of {names}")
    for part, (name, found) in zip(parts, said, strict=True):
        for fault in fact_faults(found, product_facts(part)):
            raise FileProofError(str(path), f"{name}: {fault}")


def _faults(item: Placed, product: str, shape: Any, colour: tuple[float, float, float]) -> Iterator[str]:
    from formparts.kernel import measured

    if not math.dist(colour, part_colour(item.part)) <= COLOUR:
        yield f"its colour is {colour}, and not {part_colour(item.part)}"
    if product != item.part.name:
        yield f"its product is {product!r}, and not {item.part.name!r}"
    figures, volume = measured(shape), part_volume(item.part)
    if not abs(figures.volume - volume) <= VOLUME_REL * volume:
        yield f"volume {figures.volume:.9g}, and not {volume:.9g} mm3"
    motion = shape.Location().Transformation()
    for column, axis in enumerate((item.frame.x, item.frame.y, item.frame.z), 1):
        if max(abs(motion.Value(row, column) - axis[row - 1]) for row in (1, 2, 3)) > MATRIX_REL:
            yield "it is turned otherwise than it was placed"
    place = tuple(motion.Value(row, 4) for row in (1, 2, 3))
    if max(abs(a - b) for a, b in zip(place, item.frame.origin, strict=True)) > LENGTH:
        yield f"it stands at {place}, and not at {item.frame.origin}"


def write_assembly_glb(assembly: Assembly, path: str | os.PathLike[str], chord: float = MESH_CHORD) -> Path:
    """
    Write an assembly as binary glTF: one mesh for each part, a node for each place; metres, y up, as the format asks.

    Parameters
    ----------
    assembly : Assembly
        What is written.
    path : path
        Where the file is to stand.
    chord : float [mm]
        Greatest distance between a mesh and the true surface.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The chord tolerance is not a positive length, or the file cannot be written there.
    KernelError
        The kernel left a face without triangles.
    """
    meshes, nodes = [], []
    for part, items in alike(assembly):
        meshes.append((part.name, mesh(part_solid(part), chord), part_colour(part)))
        nodes += [(item.name, len(meshes) - 1, item.frame) for item in items]
    return written(path, glb_bytes(assembly.name, meshes, nodes))
