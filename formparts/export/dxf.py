"""
The blank as DXF for the cutter; `dxf_proof` reads it back.

Every loop is one closed polyline with true arcs, or a true circle; bend lines are on layers of their own.
"""

from __future__ import annotations

import io
import math
import os
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from formparts.checks import Finding
from formparts.errors import InputError
from formparts.export.dates import file_date
from formparts.export.dxf_dates import dated
from formparts.export.dxf_proof import proved_blank_dxf
from formparts.export.files import delivered
from formparts.export.layers import BEND_LAYERS, CUT, FEATURE_LAYERS, FINDINGS, MARKED, NOTES
from formparts.layout import BendMark, Blank
from formparts.outline import Arc, Edge, Loop, Point

DXF_VERSIONS: Final = {
    "R12": "no unit in the file, old-style polylines: for controls that read nothing newer",
    "R2000": "what nearly every cutting shop reads",
    "R2004": "to be avoided: read by fewer programs than its neighbours",
    "R2007": "to be avoided: read by fewer programs than its neighbours",
    "R2010": "",
    "R2013": "",
    "R2018": "",
}
"""The versions that can be written, with a note on each."""

_NO_UNIT: Final = "R12"

_LINETYPES: Final = {
    "up": ("dash-dot", (10.0, 6.0, -1.75, 0.5, -1.75)),
    "down": ("dashed", (5.0, 3.5, -1.5)),
}
"""Line type of each side: name, then length of the pattern and its dashes, gaps negative [mm]."""

_FEATURE_COLOUR: Final = 3
"""Green: what is not cut."""

_COLOURS: Final = {CUT: 7, BEND_LAYERS["up"]: 4, BEND_LAYERS["down"]: 6, NOTES: 8, FINDINGS: 1}
"""Index colours: black or white for the cut, the lines by side, notes in grey, findings in red."""


def write_blank_dxf(
    blank: Blank,
    path: str | os.PathLike[str],
    version: str = "R2000",
    *,
    notes: bool = False,
    findings: Sequence[Finding] = (),
    date: datetime | None = None,
) -> Path:
    """
    Write a blank as DXF, 1:1 in mm, prove the file, and only then deliver it.

    Parameters
    ----------
    blank : Blank
        What is cut and where it is bent [mm].
    path : path
        The file to write.
    version : str
        One of DXF_VERSIONS; R2004 and R2007 are to be avoided.
    notes : bool
        Also write of each bend the step in which it is made, name, angle, side and inside radius, on a layer.
    findings : sequence of Finding
        What the checks say: numbered circles on a layer of their own.
    date : datetime, optional
        The date in the file; else that of SOURCE_DATE_EPOCH, else the start of 1970.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The version is unknown, or the file cannot be written there.
    FileProofError
        The file did not read back as the blank; nothing was delivered.

    Source
    ------
    DXF reference of each version for header variables, closed flag and bulge (tan of a quarter of the sweep).
    """
    if version not in DXF_VERSIONS:
        raise InputError(
            "DXF", "version", version, "is not one that is written", f"choose of {', '.join(DXF_VERSIONS)}"
        )
    content = dxf_bytes(blank, version, notes, file_date(date), findings)
    return delivered(path, content, lambda draft: proved_blank_dxf(draft, blank))[0]


def dxf_bytes(
    blank: Blank, version: str, notes: bool, date: datetime, findings: Sequence[Finding] = ()
) -> bytes:
    """Return the file, identical for the same blank and date."""
    document = _new_document(version)
    _lay_out(document, notes)
    space = document.modelspace()
    for loop in blank.cut_outline.loops:
        _draw_loop(space, loop, old_style=version == _NO_UNIT)
    for number, mark in blank.numbered:
        _draw_bend(space, number, mark, notes)
    _draw_features(document, space, blank, version == _NO_UNIT)
    _draw_findings(document, space, blank, findings)
    _set_extents(document, space, blank)
    stream = io.StringIO()
    document.write(stream)
    return bytes(document.encode(dated(stream.getvalue(), date)))


def _new_document(version: str) -> Any:
    """Return an empty document in mm; the oldest version has no unit, and the library would warn about it."""
    import ezdxf
    from ezdxf.document import Drawing

    if version == _NO_UNIT:
        return Drawing.new("AC1009")
    document = ezdxf.new(version, units=4)
    document.header["$MEASUREMENT"] = 1
    return document


def _lay_out(document: Any, notes: bool) -> None:
    """Make the layers, and the line types that distinguish up from down on paper too."""
    document.layers.add(CUT, color=_COLOURS[CUT])
    for side, layer in BEND_LAYERS.items():
        name, pattern = _LINETYPES[side]
        document.linetypes.add(name, list(pattern), description=f"bend {side}")
        document.layers.add(layer, color=_COLOURS[layer], linetype=name)
    if notes:
        document.layers.add(NOTES, color=_COLOURS[NOTES])


def _draw_features(document: Any, space: Any, blank: Blank, old_style: bool) -> None:
    """Draw features on the sheet that are not cut, each kind on its own layer, with its text."""
    for feature in blank.features:
        layer = FEATURE_LAYERS[feature.kind]
        if layer not in document.layers:
            document.layers.add(layer, color=_FEATURE_COLOUR)
        for loop in feature.outlines:
            _draw_loop(space, loop, old_style, layer)
        for line in feature.lines:
            _draw_line(space, line, old_style, layer)
        if feature.kind == MARKED:
            continue
        words = space.add_text(feature.what, height=2.5, dxfattribs={"layer": layer})
        words.set_placement(_plain(*feature.centre))


def _draw_loop(space: Any, loop: Loop, old_style: bool, layer: str = CUT) -> None:
    """One loop as a true circle, or as one closed polyline with a bulge for each arc."""
    marks = {"layer": layer}
    circle = loop.circle
    if circle is not None:
        centre, radius = circle
        space.add_circle(_plain(*centre), float(radius), dxfattribs=marks)
        return
    points = [(*_plain(*edge.start), bulge(edge)) for edge in loop.edges]
    add = space.add_polyline2d if old_style else space.add_lwpolyline
    add(points, format="xyb", close=True, dxfattribs=marks)


def _draw_line(space: Any, line: Sequence[Point], old_style: bool, layer: str) -> None:
    """An open line, as letters have."""
    points = [_plain(*point) for point in line]
    add = space.add_polyline2d if old_style else space.add_lwpolyline
    add(points, format="xy", dxfattribs={"layer": layer})


def _plain(x: float, y: float) -> tuple[float, float]:
    """Plain floats; adding zero takes the sign off a negative zero."""
    return (float(x) + 0.0, float(y) + 0.0)


def bulge(edge: Edge) -> float:
    """Return the bulge of an arc in DXF: tangent of a quarter of its sweep, positive anticlockwise; 0 for a line."""
    if not isinstance(edge, Arc):
        return 0.0
    return math.tan(edge.sweep_rad / 4.0) * (1.0 if edge.ccw else -1.0)


def _draw_bend(space: Any, number: int, mark: BendMark, notes: bool) -> None:
    """The bend line on the layer of its side, and its text if wanted."""
    space.add_line(_plain(*mark.start), _plain(*mark.end), dxfattribs={"layer": BEND_LAYERS[mark.side]})
    if notes:
        head = "step" if mark.number else "not planned, no."
        radius = "closed" if mark.is_pressed_shut else f"R{mark.inside_radius:.6g}"
        text = f"{head} {number}: {mark.name} {mark.angle:.6g} deg {mark.side} {radius}"
        note = space.add_text(text, height=2.5, rotation=_reading_angle(mark), dxfattribs={"layer": NOTES})
        (x0, y0), (x1, y1) = mark.start, mark.end
        note.set_placement(_plain((x0 + x1) / 2.0, (y0 + y1) / 2.0))


def _draw_findings(document: Any, space: Any, blank: Blank, findings: Sequence[Finding]) -> None:
    """A circle with a number at the place of each finding that lies on the blank."""
    if not findings:
        return
    document.layers.add(FINDINGS, color=_COLOURS[FINDINGS])
    size = max(blank.length, blank.width) / 60.0
    for number, finding in enumerate(findings, 1):
        if finding.on_blank is None:
            continue
        x, y = finding.on_blank
        space.add_circle(_plain(x, y), size, dxfattribs={"layer": FINDINGS})
        words = space.add_text(str(number), height=size, dxfattribs={"layer": FINDINGS})
        words.set_placement(_plain(x + 1.2 * size, y))


def _reading_angle(mark: BendMark) -> float:
    """Direction along the bend line that is not upside down [deg]."""
    (x0, y0), (x1, y1) = mark.start, mark.end
    angle = round(math.degrees(math.atan2(y1 - y0, x1 - x0)), 9) % 180.0
    return angle - 180.0 if angle > 90.0 else angle


def _set_extents(document: Any, space: Any, blank: Blank) -> None:
    """Write the size of the blank into the header, for viewers that use it."""
    xmin, ymin, xmax, ymax = blank.outline.bounds
    low, high = (*_plain(xmin, ymin), 0.0), (*_plain(xmax, ymax), 0.0)
    space.reset_extents(low, high)
    document.header["$EXTMIN"], document.header["$EXTMAX"] = low, high
