"""Write the setter's sheet as PDF or SVG, and as lines for the console."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, cast

from formparts.drawings.pdf import pdf_bytes
from formparts.drawings.svg import svg_text
from formparts.errors import FileProofError, InputError
from formparts.export.dates import file_date
from formparts.export.files import delivered
from formparts.export.svg import well_formed
from formparts.planning import BendPlan, plan_words
from formparts.planning.words import radius_words
from formparts.setter_sheets.sheet import SetterSheet, step_lines
from formparts.setter_sheets.spread import spread_lines

if TYPE_CHECKING:
    from formparts.drawings import Drawing


def write_setter_sheet(sheet: SetterSheet, path: str | os.PathLike[str]) -> Path:
    """
    Write a setter's sheet as PDF or SVG, by the suffix of the path.

    Parameters
    ----------
    sheet : SetterSheet
        What `setter_sheet` gave.
    path : path
        The file to write.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The suffix is of no such format, or the file cannot be written there.
    FileProofError
        The file did not read back; nothing was delivered.
    """
    place = Path(path)
    if place.suffix.lower() == ".svg":
        return delivered(place, sheet_as_svg(sheet), well_formed)[0]
    if place.suffix.lower() == ".pdf":
        return delivered(place, pdf_bytes(_paged(sheet), file_date()), _whole_pdf)[0]
    raise InputError("setter's sheet", "path", str(place), "has no suffix of a format", "choose .pdf or .svg")


def sheet_as_svg(sheet: SetterSheet) -> str:
    """The sheet as SVG, its pages one below the other."""
    return svg_text(_paged(sheet))


def _paged(sheet: SetterSheet) -> Drawing:
    """Return the sheet in the form of a drawing: a name, a size and pages of marks, as the writers require."""
    return cast("Drawing", sheet)


def _whole_pdf(draft: Path) -> None:
    data = draft.read_bytes()
    if not data.startswith(b"%PDF-") or b"%%EOF" not in data[-1024:]:
        raise FileProofError(str(draft), "it does not read back as a whole PDF")


def plan_lines(plan: BendPlan) -> Iterator[str]:
    """A plan as lines for the console."""
    yield f"{plan.part}: {plan_words(plan)}"
    for step in plan.steps:
        first, *others = step_lines(plan, step)
        yield f"{step.number:>3}  {first}"
        yield from (f"     {line}" for line in others)
    seen: dict[str, list[str]] = {}
    for radius in plan.radii:
        seen.setdefault(radius_words(radius), []).append(radius.bend)
    for words, names in seen.items():
        yield f"  radius of {', '.join(names[:4])}{f' and {len(names) - 4} more' if len(names) > 4 else ''}: {words}"
    yield from (f"  spread {line}" for line in spread_lines(plan))
