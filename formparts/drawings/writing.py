"""Write a drawing: the suffix selects the format, and the file is read back before it is delivered."""

from __future__ import annotations

import base64
import json
import os
import re
import zlib
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

from formparts.arguments import takes
from formparts.drawings.curves import PenLine
from formparts.drawings.dxf import dxf_bytes
from formparts.drawings.pdf import pdf_bytes
from formparts.drawings.sheet import Drawing
from formparts.drawings.sketch import list_from
from formparts.drawings.svg import svg_text
from formparts.errors import FileProofError, InputError
from formparts.export.dates import file_date
from formparts.export.files import delivered


def _svg(drawing: Drawing, date: datetime) -> bytes:
    del date  # an SVG cannot hold a date
    return svg_text(drawing).encode()


def _pen_lines_of_svg(draft: Path) -> int:
    try:
        root = ElementTree.parse(draft).getroot()
    except ElementTree.ParseError as error:
        raise FileProofError(str(draft), f"not well-formed: {error}") from error
    return sum(each.get("class") != "head" for each in root.iter("{http://www.w3.org/2000/svg}path"))


def _pen_lines_of_pdf(draft: Path) -> int:
    pages = re.findall(rb"/ASCII85Decode /FlateDecode.*?stream\r?\n(.*?~>)", draft.read_bytes(), re.DOTALL)
    if not pages:
        raise FileProofError(str(draft), "it holds no page")
    texts = (zlib.decompress(base64.a85decode(b"<~" + page, adobe=True)) for page in pages)
    return sum(len(re.findall(rb"^S$", text, re.MULTILINE)) for text in texts)


def _pen_lines_of_dxf(draft: Path) -> int:
    import ezdxf

    document = ezdxf.readfile(draft)
    spaces = [document.blocks[each.dxf.geometry] for each in document.modelspace().query("DIMENSION")]
    kinds = "LINE ARC CIRCLE ELLIPSE LWPOLYLINE"
    return sum(len(space.query(kinds)) for space in (document.modelspace(), *spaces))


FORMATS: Final[dict[str, tuple[Callable[[Drawing, datetime], bytes], Callable[[Path], int]]]] = {
    ".dxf": (dxf_bytes, _pen_lines_of_dxf),
    ".pdf": (pdf_bytes, _pen_lines_of_pdf),
    ".svg": (_svg, _pen_lines_of_svg),
}
"""How each format is written, and how the lines in its file are counted."""


KINDS: Final = (".dxf", ".json", ".pdf", ".svg")
"""Suffixes of the files of a drawing."""


def _delivered_list(drawing: Drawing, place: Path) -> Path:
    """Write the list of dimensions alone, and check that it reads back equal."""

    def proof(draft: Path) -> None:
        if list_from(json.loads(draft.read_text(encoding="utf-8"))) != drawing.dimensions:
            raise FileProofError(str(draft), "another list was read back")

    text = json.dumps(drawing.dimensions.data(), ensure_ascii=False, indent=1) + "\n"
    return delivered(place, text, proof)[0]


@takes(drawing="Drawing", path=("str", "os.PathLike"))
def write_drawing(drawing: Drawing, path: str | os.PathLike[str]) -> Path:
    """
    Write a drawing as PDF, DXF or SVG, or its list of dimensions as JSON, by the suffix of the path.

    Parameters
    ----------
    drawing : Drawing
        The result of `drawing`.
    path : path
        The file to write.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Unknown suffix, or the file cannot be written there.
    FileProofError
        The file read back does not hold every line; nothing was delivered.
    """
    place = Path(path)
    if place.suffix.lower() not in KINDS:
        known = ", ".join(KINDS)
        raise InputError(
            "drawing", "path", str(place), "its ending is not that of a drawing", f"choose of {known}"
        )
    if place.suffix.lower() == ".json":
        return _delivered_list(drawing, place)
    write, count = FORMATS[place.suffix.lower()]
    wanted = sum(isinstance(mark, PenLine) for mark in drawing.marks)

    def proof(draft: Path) -> None:
        found = count(draft)
        if found != wanted:
            raise FileProofError(str(draft), f"{found} lines were read back of {wanted}")

    return delivered(place, write(drawing, file_date()), proof)[0]
