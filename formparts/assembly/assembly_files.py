"""An assembly as files: STEP with a product for each part and an instance for each place, GLB with a node each."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from formparts.arguments import takes
from formparts.assembly.bill_of_materials import alike
from formparts.assembly.colours import with_colours
from formparts.assembly.facts import part_colour, product_facts, whole_facts
from formparts.assembly.placing import Assembly, Placed, part_volume
from formparts.assembly.solids import location, part_mesh, part_solid
from formparts.assembly.step_instances import StepInstance, read_assembly
from formparts.body import Frame
from formparts.errors import FileProofError, InputError
from formparts.export import STEP_SCHEMAS, StepFacts, delivered, file_date
from formparts.export.glb import delivered_glb
from formparts.export.step import document_bytes, new_document, put_name, put_part
from formparts.export.step_facts import fact_faults
from formparts.export.step_products import read_product_facts, with_product_facts
from formparts.kernel import guard, measured
from formparts.tolerances import LENGTH, MESH_CHORD, ROUNDING, SAME_COLOUR, VOLUME_REL


@takes(assembly="Assembly", path=("str", "os.PathLike"), schema="str")
def write_assembly_step(
    assembly: Assembly,
    path: str | os.PathLike[str],
    *,
    schema: str = "AP242",
    date: datetime | None = None,
    facts: StepFacts | None = None,
) -> Path:
    """
    Write an assembly as STEP: products, instances, names, colours, validation properties of each and of the whole.

    It is proved by reading every instance back.

    Parameters
    ----------
    assembly : Assembly
        What is written.
    path : path
        The file to write.
    schema : "AP214" or "AP242"
        Application protocol of the file.
    date : datetime, optional
        The date in the file; else that of SOURCE_DATE_EPOCH, else the start of 1970.

    facts : StepFacts, optional
        What the file is to say of the whole, as the recipe that made it; else its validation properties alone.

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
    said = whole_facts(assembly) if facts is None else facts
    said = replace(said, title=assembly.titles.get(assembly.name, {}))
    with guard(f"STEP of {assembly.name}"):
        content = _step_bytes(assembly, Path(path).name, schema, file_date(date), said)
    return delivered(path, content, lambda draft: _prove(draft, assembly, said))[0]


def _step_bytes(assembly: Assembly, file_name: str, schema: str, date: datetime, facts: StepFacts) -> bytes:
    document, parts, colours = new_document()
    top = parts.NewShape()
    put_name(top, assembly.name)
    labels, groups = [], alike(assembly)
    for part, items in groups:
        label = put_part(parts, colours, part_solid(part), part_colour(part))
        labels += [(item, label) for item in items]
    order = {item.name: number for number, item in enumerate(assembly.items)}
    for item, label in sorted(labels, key=lambda pair: order[pair[0].name]):
        put_name(parts.AddComponent(top, label, location(item.frame)), item.name)
    parts.UpdateAssemblies()
    names = [part.name for part, _ in groups]
    content = document_bytes(
        document, assembly.name, file_name, schema, date, coloured=False, solids=names, write_step_assembly=1
    )
    coloured = with_colours(content, [part_colour(part) for part, _ in groups])
    return with_product_facts(coloured, [said for _, said in _facts(assembly)], facts)


def _facts(assembly: Assembly) -> list[tuple[str, StepFacts]]:
    """Return the facts that the file states on each product, by its name."""
    return [
        (part.name, product_facts(part, assembly.titles.get(part.name, {}))) for part, _ in alike(assembly)
    ]


def _prove(path: Path, assembly: Assembly, facts: StepFacts) -> None:
    """Prove that every instance is there with its name, product, face names and position."""
    try:
        found = read_assembly(path)
    except InputError as error:
        raise FileProofError(str(path), error.problem) from error
    if found.name != assembly.name:
        raise FileProofError(str(path), f"the assembly is called {found.name!r}, and not {assembly.name!r}")
    instances = {instance.name: instance for instance in found.instances}
    if sorted(instance.name for instance in found.instances) != sorted(item.name for item in assembly.items):
        raise FileProofError(str(path), f"it holds the instances {sorted(instances)}")
    for item in assembly.items:
        for fault in _faults(item, instances[item.name]):
            raise FileProofError(str(path), f"{item.name}: {fault}")
    _prove_names(path, assembly, instances)
    _prove_facts(path, assembly, facts)


def _prove_names(path: Path, assembly: Assembly, found: dict[str, StepInstance]) -> None:
    """Prove that the faces of every part have their names."""
    for part, items in alike(assembly):
        odd = part_solid(part).faces.keys() ^ found[items[0].name].product.faces.keys()
        for name in sorted(odd):
            raise FileProofError(str(path), f"{part.name}: the face {name!r} stands on one side only")


def _prove_facts(path: Path, assembly: Assembly, facts: StepFacts) -> None:
    """Prove that the file states the facts of every product, and of the whole."""
    meant = [*_facts(assembly), (assembly.name, facts)]
    said = read_product_facts(path)
    if [name for name, _ in said] != [name for name, _ in meant]:
        raise FileProofError(str(path), f"it states the properties of {[name for name, _ in said]}")
    for (name, wanted), (_, found) in zip(meant, said, strict=True):
        for fault in fact_faults(found, wanted):
            raise FileProofError(str(path), f"{name}: {fault}")


def _faults(item: Placed, found: StepInstance) -> Iterator[str]:
    """Return how an instance differs from what was placed."""
    product = found.product
    if not math.dist(product.colour, part_colour(item.part)) <= SAME_COLOUR:
        yield f"its colour is {product.colour}, and not {part_colour(item.part)}"
    if product.name != item.part.name:
        yield f"its product is {product.name!r}, and not {item.part.name!r}"
    figures, volume = measured(found.shape), part_volume(item.part)
    if not abs(figures.volume - volume) <= VOLUME_REL * volume:
        yield f"volume {figures.volume:.9g}, and not {volume:.9g} mm3"
    if turned_away(found.frame, item.frame) > ROUNDING:
        yield "it is turned otherwise than it was placed"
    if math.dist(found.frame.origin, item.frame.origin) > LENGTH:
        yield f"it stands at {found.frame.origin}, and not at {item.frame.origin}"


def turned_away(one: Frame, other: Frame) -> float:
    """How far the axes of two frames lie apart: the greatest distance of their tips, axis by axis."""
    pairs = ((one.x, other.x), (one.y, other.y), (one.z, other.z))
    return max(math.dist(first, second) for first, second in pairs)


@takes(assembly="Assembly", path=("str", "os.PathLike"))
def write_assembly_glb(assembly: Assembly, path: str | os.PathLike[str], chord: float = MESH_CHORD) -> Path:
    """
    Write an assembly as binary glTF: one mesh for each part, a node for each place; metres, y up, as the format asks.

    Parameters
    ----------
    assembly : Assembly
        What is written.
    path : path
        The file to write.
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
        A flat could not be triangulated, or a mesh is not closed.
    """
    meshes, nodes = [], []
    for part, items in alike(assembly):
        meshes.append((part.name, part_mesh(part, chord), part_colour(part)))
        nodes += [(item.name, len(meshes) - 1, item.frame) for item in items]
    return delivered_glb(path, assembly.name, meshes, nodes)
