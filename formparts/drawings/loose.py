"""The pictures of a drawing one by one, each in its own file: for pages, where a sheet would be too large."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from formparts.blanks import blank as blank_of
from formparts.body import Body
from formparts.drawings.blank_view import blank_view
from formparts.drawings.curves import Mark, Words, box_of, flattened
from formparts.drawings.naming import Key, with_names
from formparts.drawings.part_views import flat_view, three_views
from formparts.drawings.plans import Plan, Style, planned
from formparts.drawings.section_views import section_view
from formparts.drawings.sketch import Dimension
from formparts.drawings.svg import mark_as_svg
from formparts.drawings.views import pen_lines, views_of
from formparts.layout import Blank
from formparts.solids import solid
from formparts.svg import clean, picture

_LONGEST = 70.0
"""The longest side of a part in such a picture [mm on paper]."""
_MOST = 3
"""Number of sections, and of flats in their true shape, that are shown."""
_BORDER = 2.0
_PIXELS = 3.6
"""Pixels for 1 mm on paper: letters of 2.5 mm are then as high as the text beside them."""


@dataclass(frozen=True)
class LoosePicture:
    """
    One picture of a part.

    Parameters
    ----------
    kind : str
        `isometric`, `section`, `top`, `flat` or `blank`.
    caption : str
        What it shows.
    marks : tuple of Mark
        The drawn elements, in mm on paper.
    """

    kind: str
    caption: str
    marks: tuple[Mark, ...]


def loose_pictures(
    body: Body, names: Mapping[Key, str] | None = None, blank: Blank | None = None
) -> tuple[LoosePicture, ...]:
    """
    Return isometric view, sections, top view, flats in true shape and blank, with the names of parameters.

    If a blank is given, its bends are numbered by its bend plan.
    """

    def changed(dimensions: tuple[Dimension, ...]) -> tuple[Dimension, ...]:
        return with_names(dimensions, names or {})

    plan = planned(body, changed)
    views = views_of(solid(body), "third", plan.axes)
    iso = views["isometric"]
    long = max(iso.box[2] - iso.box[0], iso.box[3] - iso.box[1])
    flat = blank or blank_of(body)
    of_blank = _LONGEST / max(flat.length, flat.width)
    scale = _LONGEST / max(*(views["top"].box[at + 2] - views["top"].box[at] for at in (0, 1)), 0.6 * long)
    style = Style()
    drawn = blank_view(body, flat, of_blank, "", style, plan.in_bends)
    return (
        LoosePicture("isometric", "folded", tuple(pen_lines(iso, _LONGEST / long))),
        *_sections(plan, scale, style),
        _picture("top", "from above", three_views(plan, views, scale, "third", style)[2]),
        *_flats(plan, scale, style),
        _picture("blank", f"blank, {flat.length:.2f} × {flat.width:.2f} mm", drawn),
    )


def named_picture(body: Body, names: Mapping[Key, str], blank: Blank | None = None) -> LoosePicture | None:
    """Return the first section or flat that shows a name, else the top view, which takes longest; None without one."""
    flat = blank or blank_of(body)
    plan = planned(body, lambda dimensions: with_names(dimensions, names))
    how = (plan, _LONGEST / max(flat.length, flat.width), Style())
    quick = next(filter(_shows_a_name, (*_sections(*how), *_flats(*how))), None)
    if quick is not None or not names:
        return quick
    return next(filter(_shows_a_name, loose_pictures(body, names, flat)), None)


def _shows_a_name(picture: LoosePicture) -> bool:
    return any(isinstance(mark, Words) and " [" in mark.text for mark in flattened(picture.marks))


def _picture(kind: str, caption: str, marks: Iterable[Mark]) -> LoosePicture:
    """Return a picture without its own caption, which is written below it."""
    return LoosePicture(
        kind, caption, tuple(m for m in marks if not (isinstance(m, Words) and m.text in ("", caption)))
    )


def _sections(plan: Plan, scale: float, style: Style) -> Iterator[LoosePicture]:
    for section in plan.sections[:_MOST]:
        sized = min(scale, _LONGEST / max(section.cut.width, 1.0))
        sized = max(sized, min(1.6 / plan.body.sheet.thickness, 2.0 * sized))
        marks = section_view(plan, section, sized, style, "")
        letter = section.letter
        yield _picture("section", f"section {letter}–{letter}, through {section.bend.name}", marks)


def _flats(plan: Plan, scale: float, style: Style) -> Iterator[LoosePicture]:
    for letter, name, dimensions in plan.flats[:_MOST]:
        yield _picture(
            "flat", f"{letter}: square on {name}", flat_view(plan, name, dimensions, scale, style, "")
        )


def loose_svg(shown: LoosePicture, label: str = "") -> str:
    """Return one picture as an SVG element in the colours of the page; text in brackets has the class `name`."""
    marks = list(flattened(shown.marks))
    x0, y0, x1, y1 = box_of(marks)
    wide, high = x1 - x0 + 2.0 * _BORDER, y1 - y0 + 2.0 * _BORDER
    return picture(
        (mark_as_svg(mark, y1 + _BORDER, _words) for mark in marks),
        (x0 - _BORDER, 0.0, wide, high),
        class_=f"drawn of-{shown.kind}",
        role="img",
        aria_label=label or shown.caption,
        width=round(wide * _PIXELS, 1),
        height=round(high * _PIXELS, 1),
    )


def _words(text: str) -> str:
    """Return text with the parameter name in brackets marked; a name may have an index in brackets of its own."""
    return re.sub(r" \[((?:[^\[\]]|\[[^\[\]]*\])*)\]", r' <tspan class="name">\1</tspan>', clean(text))
