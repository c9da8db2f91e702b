"""What a notebook shows: a body in 3D with its figures, in a frame of its own; figures with their units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from formparts.arguments import takes
from formparts.closed_forms import Properties
from formparts.layout import Blank
from formparts.report.html import tables
from formparts.report.html.page import short_page
from formparts.report.html.tags import element

if TYPE_CHECKING:
    from formparts.part import Part


@takes(part="Part")
def notebook_view(part: Part) -> str:
    """
    Show a part in a notebook: 3D view that folds, and its figures with their units.

    Parameters
    ----------
    part : Part
        The part; no solid is built of it.

    Returns
    -------
    str
        An element of HTML; what is in it can run scripts, and can neither fetch anything nor reach the notebook.

    Raises
    ------
    InputError
        The bend rule has no figure for a bend.
    """
    return element(
        "iframe",
        srcdoc=short_page(part),
        sandbox="allow-scripts",
        title=f"Part {part.name}",
        style="width:100%;height:900px;border:0",
    )


def properties_view(figures: Properties) -> str:
    """The figures of a part as a table, with their units."""
    return tables.value_table("Figures of the part", tables.properties_rows(figures))


def blank_view(blank: Blank) -> str:
    """The figures of a blank as a table, with their units; its name is shown as text, whatever is in it."""
    rows = [*tables.blank_rows(blank), ("sheet", f"{blank.thickness:g} mm"), ("bends", str(len(blank.bends)))]
    return tables.value_table(f"Blank of {blank.name}", rows)
