"""Outcomes as tables: plain rows, a numpy structured array, and the CSV file that a spreadsheet opens."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.arguments import listed, takes
from formparts.export.csv_text import spreadsheet
from formparts.export.files import written
from formparts.families.figures import ALL_FIGURES, FIGURES
from formparts.families.ledger import Outcome
from formparts.recipe_functions import Recipe

if TYPE_CHECKING:
    import numpy as np

TABLE = "family.csv"
_LAST = ("errors", "findings", "seconds", "folder", "hash", "files")
_TAKEN = frozenset({"name", "state", "error", *ALL_FIGURES, *_LAST})


@takes(outcomes=listed("Outcome", "Iterable"))
def as_table(outcomes: Iterable[Outcome]) -> list[dict[str, Any]]:
    """
    Put outcomes into plain rows.

    Parameters
    ----------
    outcomes : iterable of Outcome [house unit]
        As they are yielded.

    Returns
    -------
    list of dict
        `name`, `state`, `error`, all parameters, FIGURES (None where there is none) and `findings` (a number). A
        parameter with one of these names is called `NAME (parameter)`.
    """
    given = list(outcomes)
    columns = figure_columns(given)
    return [
        {
            "name": outcome.name,
            "state": outcome.state,
            "error": outcome.error,
            **{heading(name): value for name, value in outcome.parameters.items()},
            **{figure: outcome.figures.get(figure) for figure in columns},
            "findings": len(outcome.findings),
        }
        for outcome in given
    ]


def figure_columns(outcomes: Iterable[Outcome]) -> list[str]:
    """Return FIGURES, and after them those by finite elements that any outcome has."""
    known = {figure for outcome in outcomes for figure in outcome.figures}
    return [figure for figure in ALL_FIGURES if figure in FIGURES or figure in known]


def heading(name: str) -> str:
    """Return the column name of a parameter; one with the name of another column gets a distinct name."""
    return f"{name} (parameter)" if name in _TAKEN else name


@takes(outcomes=listed("Outcome", "Iterable"))
def as_array(outcomes: Iterable[Outcome]) -> np.ndarray[Any, Any]:
    """
    Put outcomes into a numpy structured array, a row a variant.

    Parameters
    ----------
    outcomes : iterable of Outcome [house unit]
        As they are yielded.

    Returns
    -------
    structured array [house unit]
        `name`, `state`, `error`, all parameters, and FIGURES (not-a-number where there is none).
    """
    import numpy as np

    rows = as_table(outcomes)
    texts = ("name", "state", "error")
    names = list(dict.fromkeys(name for row in rows for name in row)) or [*texts, *FIGURES, "findings"]
    columns = {name: [row.get(name) for row in rows] for name in names}
    kinds = [(name, _kind(name, columns[name])) for name in names]
    cells = zip(*(_filled(columns[name], kind) for name, kind in kinds), strict=True)
    return np.array(list(cells), dtype=kinds)


def _kind(name: str, column: list[Any]) -> str:
    """The numpy type of a column: text as long as its longest, truth, or a number."""
    if name in ("name", "state", "error") or any(isinstance(value, str) for value in column):
        return f"U{max([1, *(len(value) for value in column if value is not None)])}"
    if column and all(isinstance(value, bool) for value in column):
        return "?"
    return "f8"


def _filled(column: list[Any], kind: str) -> list[Any]:
    empty: Any = "" if kind.startswith("U") else float("nan")
    return [empty if value is None else value for value in column]


def write_table(recipe: Recipe, outcomes: Iterable[Outcome], folder: Path) -> Path:
    """Write `family.csv`: UTF-8 with a byte-order mark, commas, decimal points; no cell begins a formula."""
    named = [(p.name, heading(p.name), p.unit) for p in recipe.parameters]
    headings = [(name, f"{shown} [{unit}]" if unit else shown) for name, shown, unit in named]
    shown = [heading for _, heading in headings]
    given = list(outcomes)
    figures = figure_columns(given)
    rows = (_row(outcome, [name for name, _ in headings], figures) for outcome in given)
    return written(folder / TABLE, spreadsheet([("name", "state", "error", *shown, *figures, *_LAST), *rows]))


def _row(outcome: Outcome, names: list[str], figures: list[str]) -> Iterator[Any]:
    yield from (outcome.name, outcome.state, outcome.error)
    yield from (outcome.parameters.get(name) for name in names)
    yield from (outcome.figures.get(figure) for figure in figures)
    errors = [found for found in outcome.findings if found["severity"] == "error"]
    yield len(errors) if outcome.state == "made" else None
    yield "; ".join(str(found["message"]) for found in outcome.findings)
    yield round(outcome.seconds, 3)
    yield from (outcome.folder, outcome.hash)
    yield " ".join(f"{name}={digest}" for name, digest in outcome.files.items())
