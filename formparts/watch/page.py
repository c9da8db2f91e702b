"""The page that follows a recipe: a form with sliders beside the 3D view, figures and findings."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Any

from formparts.recipe_functions import Recipe
from formparts.report.html.page import view_parts
from formparts.report.html.shapes import folding_model
from formparts.report.html.shell import VIEW_SCRIPTS, asset, document, script, style
from formparts.report.html.tables import piece_figures
from formparts.report.html.tags import Markup, data_block, element, said
from formparts.watch.aside import slider_range
from formparts.watch.part import form_mark, form_rows

POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; connect-src 'self'; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)
"""The page may run its embedded scripts, and send requests to its own server only."""

_ASSETS = Path(__file__).with_name("assets")


def watch_page(recipe: Recipe) -> str:
    """The page at the defaults; its script asks for everything else."""
    part = recipe.part()
    main = element(
        "main",
        element("div", id="top"),
        element("p", id="state", role="status"),
        element("p", id="solid"),
        element(
            "div",
            _form(recipe),
            element(
                "section",
                *view_parts(),
                element("figure", id="dimension", hidden=True),
                aria_label="The part",
            ),
            class_="bench",
        ),
        _kept(recipe),
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


def broken_page(error: str, stamp: str) -> str:
    """The page while the recipe makes no part: what is wrong, and the page itself as soon as the file has changed."""
    main = element(
        "main",
        element("h1", said("The recipe makes no part as it is")),
        element("p", said(error), id="state", role="alert", data_stamp=stamp),
        element("p", said("Correct the file and save it: this page follows.")),
    )
    looks = style(asset("page.css"), asset("watch.css", _ASSETS))
    return document("A recipe that makes no part", [main, script(asset("broken.js", _ASSETS))], [looks])


def _kept(recipe: Recipe) -> Markup:
    """Variants that were kept: each can be shown as a ghost behind the next; together they are a family's table."""
    command = shlex.join(("formparts", "family", recipe.short_reference, "kept.csv", "--out", "kept"))
    return element(
        "section",
        element("h2", said("Kept variants")),
        element("ul", id="kept"),
        element("pre", id="family", tabindex=0, aria_label="Table of a family"),
        element(
            "p",
            element("a", said("Save the table"), id="save", download="kept.csv", href="#kept"),
            said(" and build all of them: "),
            element("code", said(command)),
        ),
        id="keeping",
        hidden=True,
        aria_label="Kept variants",
    )


def _form(recipe: Recipe) -> Markup:
    """One line for each parameter, and the command that makes the same part."""
    ends = [slider_range(parameter) for parameter in recipe.parameters]
    lines = [_line(*pair) for pair in zip(form_rows(recipe), ends, strict=True)]
    command = element("p", element("code", id="command"), class_="command")
    buttons = (("Undo", "undo"), ("Keep this one", "keep"), ("Defaults", "defaults"))
    row = element("p", *(element("button", said(word), type="button", id=name) for word, name in buttons))
    return element(
        "form", row, *lines, command, id="parameters", aria_label="Parameters", data_form=form_mark(recipe)
    )


def _line(row: dict[str, Any], ends: tuple[float, float] | None) -> Markup:
    name, label = row["name"], f"{row['name']}{' [' + row['unit'] + ']' if row['unit'] else ''}"
    text = element("label", said(label), for_=f"p-{name}", title=row["text"])
    if row["yes"] or row["choices"]:
        words = row["choices"] or ["yes", "no"]
        options = [element("option", said(word), selected=word == row["value"]) for word in words]
        field = element("select", *options, id=f"p-{name}", name=name, data_default=row["value"])
        return element("div", text, field, class_="line", data_line=name)
    field = _void(
        "input", id=f"p-{name}", name=name, value=row["value"], data_default=row["value"], autocomplete="off"
    )
    return element(
        "div",
        text,
        field,
        *_slider(row, ends),
        element("small", said(row["text"])),
        class_="line",
        data_line=name,
    )


def _slider(row: dict[str, Any], ends: tuple[float, float] | None) -> list[Markup]:
    """Return a slider around the default, for a parameter with limits, and the bar that shows where it works."""
    if ends is None:
        return []
    low, high = ends
    step = 1 if row["whole"] else _step(high - low)
    slider = _void(
        "input", type="range", min=f"{low:g}", max=f"{high:g}", step=f"{step:g}", value=row["value"],
        data_for=row["name"], aria_label=f"{row['name']}, slider",
    )  # fmt: skip
    return [slider, element("div", class_="works", data_works=row["name"])]


def _step(span: float) -> float:
    """About two hundred steps, in round figures."""
    return next((step for step in (0.01, 0.05, 0.1, 0.5, 1.0, 5.0, 10.0) if span / step <= 300.0), 50.0)


def _void(kind: str, **marks: object) -> Markup:
    """Return an element without content or end tag."""
    return Markup(str(element(kind, **marks)).removesuffix(f"</{kind}>"))
