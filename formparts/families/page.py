"""The page of a family: every variant with its picture and figures, and a plot of any figure against any parameter."""

from __future__ import annotations

import html
import json
from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from pathlib import Path
from string import Template
from typing import Any
from urllib.parse import quote

from formparts.export.files import written
from formparts.families.figures import ALL_FIGURES
from formparts.families.ledger import Outcome
from formparts.families.tables import heading
from formparts.parameters import Parameter
from formparts.recipe_functions import Recipe

PAGE = "family.html"
MOST_SHOWN = 2000
"""Number of variants on the page; all of them are in the table."""


def write_page(recipe: Recipe, outcomes: Iterable[Outcome], into: Path, folder: Path) -> Path:
    """Write `family.html` for the family's folder: it needs only the pictures there, and no network."""
    shown = list(islice(outcomes, MOST_SHOWN + 1))
    note = f"The first {MOST_SHOWN} are shown; all are in family.csv." if len(shown) > MOST_SHOWN else ""
    shown = shown[:MOST_SHOWN]
    varied = _that_differ(recipe, shown)
    template = Template(Path(__file__).with_name("page.html").read_text(encoding="utf-8"))
    text = template.substitute(
        title=html.escape(recipe.name),
        summary=html.escape(recipe.summary),
        count=f"{_counts(shown)}. {note}",
        cards="\n".join(_card(outcome, folder, varied) for outcome in shown),
        data=_script_data(recipe, shown),
    )
    return written(into / PAGE, text)


def _counts(shown: Sequence[Outcome]) -> str:
    """Return how many variants are well, how many a check refuses, and how many could not be made."""
    failed = sum(outcome.state != "made" for outcome in shown)
    refused = sum(outcome.state == "made" and not outcome.well for outcome in shown)
    well = len(shown) - failed - refused
    return f"{len(shown)} variants: {well} without errors, {refused} with errors of the checks, {failed} not made"


def _that_differ(recipe: Recipe, shown: Iterable[Outcome]) -> list[Parameter]:
    """Return the parameters in which the variants differ."""
    given = [outcome.parameters for outcome in shown if outcome.parameters]
    return [p for p in recipe.parameters if len({values.get(p.name) for values in given}) > 1]


def _card(outcome: Outcome, folder: Path, varied: Sequence[Parameter]) -> str:
    """One variant: picture, name, the parameters that differ, mass, blank, findings."""
    known = [p for p in varied if p.name in outcome.parameters]
    head = [("note", f"{p.name} {p.kind.shown(outcome.parameters[p.name])}") for p in known]
    lines = "".join(f"<p{_kind(kind)}>{html.escape(text)}</p>" for kind, text in [*head, *_lines(outcome)])
    return f"<article>{_picture(outcome, folder)}<h2>{html.escape(outcome.name or '(no name)')}</h2>{lines}</article>"


def _kind(kind: str) -> str:
    return f' class="{kind}"' if kind else ""


def _picture(outcome: Outcome, folder: Path) -> str:
    picture = next((name for name in outcome.files if name.endswith(".png")), "")
    if not picture or not (folder / outcome.folder / picture).is_file():
        return ""
    place = f"{quote(outcome.folder)}/{quote(picture)}"
    return f'<a href="{place}"><img src="{place}" loading="lazy" alt="{html.escape(outcome.name)}"></a>'


def _lines(outcome: Outcome) -> list[tuple[str, str]]:
    """Return the text on a variant, and its style."""
    if outcome.state != "made":
        return [("error", outcome.error)]
    figures = outcome.figures
    size = f"{figures['blank_length_mm']:.1f} x {figures['blank_width_mm']:.1f} mm"
    lines = [("", f"{figures['mass_kg']:.3f} kg"), ("", f"blank {size}")]
    said = [(str(found["severity"]), str(found["message"])) for found in outcome.findings[:3]]
    more = [("note", f"and {len(outcome.findings) - 3} more findings")] if len(outcome.findings) > 3 else []
    return [*lines, *said, *more]


def _script_data(recipe: Recipe, outcomes: Iterable[Outcome]) -> str:
    """Return the data of the plot, safe inside a script."""
    parameters = [p.name for p in recipe.parameters if p.kind.base in (int, float)]
    units = {heading(p.name): p.unit for p in recipe.parameters}
    rows = [_point(outcome, parameters) for outcome in outcomes if outcome.state == "made"]
    data: dict[str, Any] = {
        "parameters": _varied([heading(name) for name in parameters], rows),
        "figures": [name for name in ALL_FIGURES if any(name in row for row in rows)],
        "units": {**units, **ALL_FIGURES},
        "rows": rows,
    }
    return json.dumps(data, ensure_ascii=True, allow_nan=False).replace("<", "\\u003c")


def _point(outcome: Outcome, parameters: Iterable[str]) -> dict[str, Any]:
    given: Mapping[str, Any] = outcome.parameters
    return {
        " name": outcome.name,  # no parameter and no figure begins with a space
        " well": outcome.well,
        **{heading(name): given[name] for name in parameters},
        **{name: round(value, 6) for name, value in outcome.figures.items()},
    }


def _varied(parameters: list[str], rows: list[dict[str, Any]]) -> list[str]:
    """Parameters that differ between variants go first."""
    return sorted(parameters, key=lambda name: len({row[name] for row in rows}) < 2)
