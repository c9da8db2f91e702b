"""A drawing as DXF: one unit is one millimetre of paper; lines, arcs, circles and ellipses on layers by their use."""

from __future__ import annotations

import io
import math
import re
from datetime import datetime
from typing import Any

from formparts.drawings.curves import PENS, Conic, Filled, Mark, Measure, PenLine, Straight, Words, shifted
from formparts.drawings.sheet import SCALES, Drawing
from formparts.export.dxf_dates import dated
from formparts.tolerances import LEAST_RATIO

_BETWEEN = 20.0
"""Distance between sheets side by side [mm]."""


def dxf_bytes(drawing: Drawing, date: datetime) -> bytes:
    """Return the file, version R2000, identical for the same drawing and date."""
    import ezdxf

    document = ezdxf.new("R2000", units=4)
    _layers(document)
    document.header["$MEASUREMENT"] = 1
    document.header["$LTSCALE"] = 1.0
    width, height = drawing.size
    wide = len(drawing.pages) * (width + _BETWEEN) - _BETWEEN
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (0.0, 0.0, 0.0), (wide, height, 0.0)
    document.header["$LIMMIN"], document.header["$LIMMAX"] = (0.0, 0.0), (wide, height)
    space = document.modelspace()
    for number, page in enumerate(drawing.pages):
        by = (number * (width + _BETWEEN), 0.0)
        for mark in page:
            _put(document, space, shifted(mark, by))
    stream = io.StringIO()
    document.write(stream)
    return bytes(document.encode(dated(stream.getvalue(), date)))


def _layers(document: Any) -> None:
    """Add a layer for each pen, with its width, and its pattern as a line type."""
    document.styles.add("sans", font="DejaVuSans.ttf")
    for pen in PENS:
        kind = "CONTINUOUS"
        if pen.pattern:
            kind = f"{pen.layer}-line"
            signed = [length if at % 2 == 0 else -length for at, length in enumerate(pen.pattern)]
            document.linetypes.add(kind, pattern=[sum(pen.pattern), *signed], description=pen.layer)
        document.layers.add(pen.layer, color=7, linetype=kind, lineweight=_weight(pen.width))
    document.layers.add("arrow", color=7)


def _weight(width: float) -> int:
    """Return the nearest line weight that the format knows, in hundredths of a millimetre."""
    known = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100)
    return min(known, key=lambda weight: abs(weight - 100.0 * width))


def _put(document: Any, space: Any, mark: Mark) -> None:
    """Add a mark; a dimension is an entity with its measured value, and a block that looks as in the other files."""
    if not isinstance(mark, Measure):
        _draw(space, mark)
        return
    block = document.blocks.new_anonymous_block(type_char="D")
    for each in mark.marks:
        _draw(block, each)
    words = next(each for each in mark.marks if isinstance(each, Words))
    entity = space.new_entity(
        "DIMENSION",
        {
            "layer": "dimension", "geometry": block.name, "dimstyle": "Standard", "dimtype": 32, "text": words.text,
            "defpoint": mark.at, "defpoint2": mark.one, "defpoint3": mark.two, "angle": mark.angle,
            "text_midpoint": words.at,
        },
    )  # fmt: skip
    factor = _length_factor(words.text, float(entity.get_measurement()))
    if factor is not None:
        style = entity.override()
        style.update({"dimlfac": factor})
        style.commit()


def _length_factor(text: str, on_paper: float) -> float | None:
    """Return the factor from a length on paper to the figure written: the scale, and mm or inches."""
    figure = re.search(r"\d+(?:\.\d+)?", text)
    if figure is None or on_paper <= 0.0:
        return None
    wanted = float(figure[0]) / on_paper
    factors = [1.0 / scale / unit for scale in SCALES for unit in (1.0, 25.4)]
    return min(factors, key=lambda factor: abs(factor - wanted))


def _draw(space: Any, mark: PenLine | Words | Filled) -> None:
    if isinstance(mark, Words):
        _words(space, mark)
    elif isinstance(mark, Filled):
        # The format takes the corners of a solid in the order 1, 2, 4, 3; a triangle repeats its last.
        space.add_solid([*mark.corners, mark.corners[-1]], dxfattribs={"layer": "arrow"})
    else:
        on = {"layer": mark.pen.layer}
        curve = mark.curve
        if isinstance(curve, Straight):
            stretched = {"ltscale": mark.stretch} if mark.stretch != 1.0 else {}
            space.add_line(curve.start, curve.end, dxfattribs=on | stretched)
        elif isinstance(curve, Conic):
            _conic(space, curve, on)
        else:
            space.add_lwpolyline(curve.corners, dxfattribs=on)


def _conic(space: Any, curve: Conic, on: dict[str, str]) -> None:
    if curve.is_circle and curve.is_whole:
        space.add_circle(curve.centre, curve.radius, dxfattribs=on)
    elif curve.is_circle:
        turn = math.degrees(math.atan2(curve.major[1], curve.major[0]))
        start, end = (math.degrees(angle) + turn for angle in (curve.start, curve.end))
        space.add_arc(curve.centre, curve.radius, start, end, dxfattribs=on)
    else:
        space.add_ellipse(
            (*curve.centre, 0.0),
            (*curve.major, 0.0),
            max(curve.ratio, LEAST_RATIO),
            curve.start,
            curve.end,
            dxfattribs=on,
        )


def _words(space: Any, words: Words) -> None:
    from ezdxf.enums import TextEntityAlignment as Place

    text = space.add_text(
        words.text, height=words.height, rotation=90.0 if words.turned else 0.0,
        dxfattribs={"layer": "text", "style": "sans"},
    )  # fmt: skip
    align = {"left": Place.LEFT, "middle": Place.CENTER, "right": Place.RIGHT}[words.anchor]
    text.set_placement(words.at, align=align)
