"""Notebook views: a body in 3D with its figures, in its own frame; figures with their units."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from formparts.arguments import takes
from formparts.checks import Finding
from formparts.closed_forms import Properties
from formparts.layout import Blank
from formparts.planning import plan_words
from formparts.report.html import tables
from formparts.report.html.finding_table import finding_table
from formparts.report.html.page import short_page
from formparts.report.html.tags import element, said, table

if TYPE_CHECKING:
    from formparts.drawings import Drawing
    from formparts.part import Part
    from formparts.planning import BendPlan


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


def drawing_view(drawing: Drawing) -> str:
    """The sheets of a drawing, one below the other."""
    from formparts.drawings.svg import svg_text

    return _picture(svg_text(drawing), f"Drawing of {drawing.name}")


def plan_view(plan: BendPlan) -> str:
    """The setter's sheet; where there is no order of the bends, the words that say why."""
    from formparts.setter_sheets import plan_lines, setter_sheet, sheet_as_svg

    if plan.found and plan.steps:
        return _picture(
            sheet_as_svg(setter_sheet(plan)), f"Setter's sheet of {plan.part}: {plan_words(plan)}"
        )
    return element("pre", said("\n".join(plan_lines(plan))))


def recipe_view(recipe: Any) -> str:
    """What a recipe makes, and its parameters with their defaults, limits and meaning."""
    rows = [
        [said(word) for word in (each.name, each.kind.shown(each.default), each.kind.limits, each.text)]
        for each in recipe.parameters
    ]
    heading = ("parameter", "default", "allowed", "meaning")
    return element("p", said(f"{recipe.name}: {recipe.summary}")) + table(
        f"Parameters of {recipe.name}", heading, rows
    )


def several_view(things: Sequence[Any]) -> str | None:
    """A table for findings; of anything else the notebook shows what it shows of it otherwise."""
    if not things or not all(isinstance(each, Finding) for each in things):
        return None
    return finding_table(things, alone=True)


def _picture(svg: str, words: str) -> str:
    """A picture that is shown and never run."""
    data = base64.b64encode(svg.encode()).decode()
    return f'<img style="max-width:100%;background:#fff" src="data:image/svg+xml;base64,{data}" alt="{said(words)}">'
