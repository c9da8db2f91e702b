"""The solid as STEP: product and face names, colour, mm; the same bytes every time; proved by read-back."""

from __future__ import annotations

import io
import os
import re
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from formparts.errors import InputError, KernelError
from formparts.export.dates import file_date
from formparts.export.files import delivered
from formparts.export.step_facts import StepFacts, prove_facts, with_facts
from formparts.export.step_proof import StepFigures, proved_step, volume_of
from formparts.export.step_solid import NotPlainError, solid_text
from formparts.kernel import guard, settings, silence
from formparts.materials.model import GREY
from formparts.quantities import shown_value
from formparts.solids import Solid

Colour = tuple[float, float, float]

STEP_SCHEMAS: Final = {"AP214": "AP214IS", "AP242": "AP242DIS"}
"""Application protocols of ISO 10303 that can be written, and the kernel's word for each."""

PLAIN_STEEL: Final = GREY
"""Colour of a part whose material names no other: red, green and blue from 0 to 1."""

WRITER_SETTINGS: Final[dict[str, str | int | float]] = {
    "write_step_unit": "MM",
    "write_stepcaf_subshapes_name": 1,
    # Planes and cylinders are complete in themselves; curves on their surfaces would double the file.
    "write_surfacecurve_mode": 0,
    "write_precision_mode": 0,
    "write_step_assembly": 0,
    "write_step_nonmanifold": 0,
    "write_step_vertex_mode": 0,
    "write_step_product_name": "",
}


def write_step(
    solid: Solid,
    path: str | os.PathLike[str],
    *,
    schema: str = "AP214",
    colour: Colour = PLAIN_STEEL,
    date: datetime | None = None,
    volume: float | None = None,
    facts: StepFacts | None = None,
) -> Path:
    """
    Write a solid as STEP, prove the file by reading it back, and only then deliver it.

    Parameters
    ----------
    solid : Solid
        With its name and the names of its faces.
    path : path
        The file to write.
    schema : "AP214" or "AP242"
        Application protocol of the file.
    colour : (red, green, blue) [-]
        Each from 0 to 1.
    date : datetime, optional
        The date in the file; else that of SOURCE_DATE_EPOCH, else the start of 1970.
    volume : float [mm3], optional
        Closed form that the file has to agree with; else the solid's own volume.
    facts : StepFacts, optional
        Validation properties, material and recipe that the file is to carry.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The schema or the colour is not one, or the file cannot be written there.
    FileProofError
        The file did not read back as the solid; nothing was delivered.
    KernelError
        The kernel refused to write.

    Source
    ------
    ISO 10303-21 for the header and for letters beyond ASCII in strings (from memory).
    """
    return delivered_step(solid, path, schema=schema, colour=colour, date=date, volume=volume, facts=facts)[0]


def delivered_step(
    solid: Solid,
    path: str | os.PathLike[str],
    *,
    schema: str = "AP214",
    colour: Colour = PLAIN_STEEL,
    date: datetime | None = None,
    volume: float | None = None,
    facts: StepFacts | None = None,
) -> tuple[Path, StepFigures]:
    """Write the file as `write_step` does, and return what the proof measured on it."""
    if schema not in STEP_SCHEMAS:
        raise InputError("STEP", "schema", schema, "is not one that is written", "choose AP214 or AP242")
    check_colour(colour)
    with guard(f"STEP of {solid.name}"):
        content = step_bytes(solid, Path(path).name, schema, colour, file_date(date))
        expected = volume_of(solid.shape) if volume is None else volume
    if facts is not None:
        content = with_facts(content, facts)

    def prove(draft: Path) -> StepFigures:
        figures = proved_step(draft, solid, expected)
        if facts is not None:
            prove_facts(draft, facts)
        return figures

    return delivered(path, content, prove)


def check_colour(colour: Colour, where: str = "STEP") -> None:
    """Refuse what is not red, green and blue from 0 to 1."""
    parts = colour if isinstance(colour, (tuple, list)) else ()
    if len(parts) != 3 or not all(isinstance(part, (int, float)) and 0.0 <= part <= 1.0 for part in parts):
        fix = "give red, green and blue from 0 to 1"
        raise InputError(where, "colour", shown_value(colour), "is not a colour", fix)


def step_bytes(solid: Solid, file_name: str, schema: str, colour: Colour, date: datetime) -> bytes:
    """Return the file, identical for the same solid, name and date, whatever was written before."""
    for name in (solid.name, *solid.faces):
        check_name(name)
    try:
        return part_21(solid_text(solid, file_name, schema, colour, date))
    except NotPlainError:
        return kernel_bytes(solid, file_name, schema, colour, date)


def kernel_bytes(solid: Solid, file_name: str, schema: str, colour: Colour, date: datetime) -> bytes:
    """Return the same from the kernel's own writer, for solids of any kind."""
    document, parts, colours = new_document()
    put_part(parts, colours, solid, colour)
    return document_bytes(document, solid.name, file_name, schema, date)


def new_document() -> tuple[Any, Any, Any]:
    """An empty document of the kernel, and its tools for shapes and colours."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    main = document.Main()
    return document, XCAFDoc_DocumentTool.ShapeTool_s(main), XCAFDoc_DocumentTool.ColorTool_s(main)


def put_part(parts: Any, colours: Any, solid: Solid, colour: Colour) -> Any:
    """Put a solid, its names and its colour into a document; return its label."""
    from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
    from OCP.XCAFDoc import XCAFDoc_ColorSurf

    part = parts.AddShape(solid.shape, False)
    put_name(part, solid.name)
    colours.SetColor(part, Quantity_Color(*colour, Quantity_TOC_sRGB), XCAFDoc_ColorSurf)
    for name, face in solid.faces.items():
        label = parts.AddSubShape(part, face)
        if label.IsNull():
            raise KernelError(f"STEP of {solid.name}", f"the face {name} does not belong to the solid")
        put_name(label, name)
    return part


def put_name(label: Any, name: str) -> None:
    """Name a label; without the flag, letters beyond ASCII are garbled."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name

    check_name(name)
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def check_name(name: str) -> None:
    """Refuse a name that would not read back unchanged."""
    if re.search(r"'\s*[),]", name):
        problem = (
            "holds a quote before a bracket or a comma: the kernel's reader thinks that the name ends there"
        )
        raise InputError("STEP", "name", shown_value(name), problem, "leave the quote away")


def document_bytes(
    document: Any,
    name: str,
    file_name: str,
    schema: str,
    date: datetime,
    coloured: bool = True,
    solids: Sequence[str] = (),
    **other: str | int | float,
) -> bytes:
    """
    A document as the text of a file, with its colours or without.

    `solids` are the names of its solids, in their order, when there are several; `other`: settings beside the usual.
    """
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs

    stream = io.BytesIO()
    # The writer takes its settings when it is made (kernel 7.8) or when it transfers (7.9).
    with silence(), settings(**{"write_step_schema": STEP_SCHEMAS[schema], **WRITER_SETTINGS, **other}):
        writer = STEPCAFControl_Writer()
        for mode, wanted in (("Name", True), ("Color", coloured), ("Layer", False), ("Props", False)):
            getattr(writer, f"Set{mode}Mode")(wanted)
        # The kernel's writer states a density in a wrong unit; step_facts puts the material in.
        writer.SetMaterialMode(False)
        if not writer.Transfer(document, STEPControl_AsIs):
            raise KernelError(f"STEP of {name}", "the shape could not be transferred")
        _sign(writer.ChangeWriter().Model(), name, solids, file_name, date)
        if writer.WriteStream(stream) != IFSelect_RetDone:
            raise KernelError(f"STEP of {name}", "the file could not be written")
    return part_21(stream.getvalue())


def _sign(model: Any, name: str, solids: Sequence[str], file_name: str, date: datetime) -> None:
    """Set what would otherwise come from the clock, the kernel's version or its counters."""
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.StepRepr import StepRepr_NextAssemblyUsageOccurrence
    from OCP.StepShape import StepShape_ManifoldSolidBrep
    from OCP.TCollection import TCollection_HAsciiString as Text

    header = APIHeaderSection_MakeHeader(model)
    header.SetName(Text(file_name))
    header.SetTimeStamp(Text(date.strftime("%Y-%m-%dT%H:%M:%S")))
    header.SetAuthorValue(1, Text(""))
    header.SetOrganizationValue(1, Text(""))
    header.SetPreprocessorVersion(Text("formparts"))
    header.SetOriginatingSystem(Text("formparts"))
    header.SetAuthorisation(Text(""))
    header.SetDescriptionValue(1, Text(name))
    placed, names = 0, iter(solids or (name,))
    for number in range(1, model.NbEntities() + 1):
        entity = model.Value(number)
        if isinstance(entity, StepShape_ManifoldSolidBrep):
            entity.SetName(Text(next(names, "")))
            if not solids:
                break  # one part: thousands of entities follow, and none of them is looked for
        if isinstance(entity, StepRepr_NextAssemblyUsageOccurrence):
            placed += 1
            entity.SetId(Text(str(placed)))


def part_21(content: bytes) -> bytes:
    """Encode letters beyond ASCII by the rules of the exchange structure, so that every reader knows them."""
    if content.isascii():
        return content
    text = content.decode("utf-8")
    return re.sub(r"[^\x00-\x7f]+", lambda found: _coded(found.group()), text).encode("ascii")


def _coded(letters: str) -> str:
    """Four hexadecimal digits a letter, eight when one lies beyond the first 65536."""
    if max(letters) > "\uffff":
        return f"\\X4\\{letters.encode('utf-32-be').hex().upper()}\\X0\\"
    return f"\\X2\\{letters.encode('utf-16-be').hex().upper()}\\X0\\"
