"""The page that follows a recipe: a form with sliders beside the 3D view, figures and findings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from formparts.recipe_functions import Recipe
from formparts.report.html.page import view_parts
from formparts.report.html.shapes import folding_model
from formparts.report.html.shell import VIEW_SCRIPTS, asset, document, script, style
from formparts.report.html.tables import piece_figures
from formparts.report.html.tags import Markup, data_block, element, said
from formparts.watch.part import form_rows

POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; connect-src 'self'; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)
"""The page may run what it brings with it, and ask the place that it is from."""

_ASSETS = Path(__file__).with_name("assets")
_REACH = 2.5
"""A slider goes from the default divided by this to the default times it, within the limits."""


def watch_page(recipe: Recipe) -> str:
    """The page at the defaults; its script asks for everything else."""
    part = recipe.part()
    main = element(
        "main",
        element("div", id="top"),
        element("p", id="state", role="status"),
        element("p", id="solid"),
        element(
            "div", _form(recipe), element("section", *view_parts(), aria_label="The part"), class_="bench"
        ),
        element(
            "section", element("h2", said("The blank")), element("div", id="blank"), aria_label="The blank"
        ),
        element(
            "section", element("h2", said("Findings")), element("div", id="findings"), aria_label="Findings"
        ),
        element("section", element("h2", said("Bends")), element("div", id="bends"), aria_label="Bends"),
        element(
            "details",
            element("summary", said("Drawing: which parameter moves which dimension")),
            element("p", id="drawn", role="status"),
            _void("img", id="drawing", alt="The drawing with the parameters' names at the dimensions"),
            id="sheet",
        ),
        element("section", element("h2", said("Figures")), element("div", id="table"), aria_label="Figures"),
    )
    blocks = (
        data_block("model", folding_model(part.body, part.blank, part.plan)),
        data_block("figures", piece_figures(part.body, part.blank)),
    )
    scripts = script(*map(asset, VIEW_SCRIPTS), asset("watch.js", _ASSETS))
    looks = style(asset("page.css"), asset("watch.css", _ASSETS))
    return document(f"{recipe.name}: watched", [main, *blocks, scripts], [looks])


def _form(recipe: Recipe) -> Markup:
    """One line for each parameter, and the command that makes the same part."""
    lines = [_line(row) for row in form_rows(recipe)]
    command = element("p", element("code", id="command"), class_="command")
    again = element("button", said("Defaults"), type="button", id="defaults")
    return element("form", *lines, again, command, id="parameters", aria_label="Parameters")


def _line(row: dict[str, Any]) -> Markup:
    name, label = row["name"], f"{row['name']}{' [' + row['unit'] + ']' if row['unit'] else ''}"
    text = element("label", said(label), for_=f"p-{name}", title=row["text"])
    if row["yes"] or row["choices"]:
        words = row["choices"] or ["yes", "no"]
        options = [element("option", said(word), selected=word == row["value"]) for word in words]
        field = element("select", *options, id=f"p-{name}", name=name, data_default=row["value"])
        return element("div", text, field, class_="line")
    field = _void(
        "input", id=f"p-{name}", name=name, value=row["value"], data_default=row["value"], autocomplete="off"
    )
    return element("div", text, field, *_slider(row), element("small", said(row["text"])), class_="line")


def _slider(row: dict[str, Any]) -> list[Markup]:
    """A slider round the default, for what has limits."""
    least, most = row["least"], row["most"]
    if least is None or most is None:
        return []
    value = float(row["value"])
    low, high = sorted((value / _REACH, value * _REACH)) if value else (least, most)
    low, high = max(least, low), min(most, high)
    step = 1 if row["whole"] else _step(high - low)
    if row["whole"]:
        low, high = max(least, int(low)), min(most, max(int(high), 4))
    slider = _void(
        "input", type="range", min=f"{low:g}", max=f"{high:g}", step=f"{step:g}", value=row["value"],
        data_for=row["name"], aria_label=f"{row['name']}, slider",
    )  # fmt: skip
    return [slider]


def _step(span: float) -> float:
    """About two hundred steps, in round figures."""
    return next((step for step in (0.01, 0.05, 0.1, 0.5, 1.0, 5.0, 10.0) if span / step <= 300.0), 50.0)


def _void(kind: str, **marks: object) -> Markup:
    """An element that holds nothing and is not closed."""
    return Markup(str(element(kind, **marks)).removesuffix(f"</{kind}>"))
