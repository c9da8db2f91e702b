"""The data of a part for the page: closed forms at once, the solid on request."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from traceback import extract_tb
from typing import Any

from formparts.errors import FormpartsError, InputError
from formparts.parameters import BendRuleName, MaterialName, Parameter, Yes
from formparts.recipe_functions import Recipe, find_recipe
from formparts.recipe_functions.shipped import shipped_folder
from formparts.recipe_functions.stated import looks_like_file
from formparts.report.html.blank_picture import blank_picture
from formparts.report.html.finding_table import finding_marks, finding_table
from formparts.report.html.page import page_top, volume_row
from formparts.report.html.shapes import folding_model
from formparts.report.html.tables import bend_table, figure_table, piece_figures
from formparts.report.summary import mass_text

Values = Mapping[str, Any]


@dataclass(frozen=True)
class Watched:
    """
    The recipe that is watched.

    Parameters
    ----------
    reference : str
        A recipe's name, or path/to/file.py:function, as `find_recipe` reads it.
    """

    reference: str

    @property
    def recipe(self) -> Recipe:
        """The recipe as its file now is."""
        return find_recipe(self.reference)


def told(watched: Watched, values: Values) -> dict[str, Any]:
    """Return everything in closed form: title block, figures, blank, bends, findings, folding model, command.

    `form` is given for a part that cannot be made too: a parameter that has gone from the file is no longer asked for.
    """
    form = or_error(watched, lambda: {"form": form_mark(watched.recipe)})
    return {**form, **or_error(watched, lambda: _closed_forms(watched, values))}


def told_of_solid(watched: Watched, values: Values) -> dict[str, Any]:
    """Return the kernel's volume beside the closed form's."""
    return or_error(watched, lambda: _solid(watched, values))


def or_error(watched: Watched, work: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """A bad value is one line on the page, and no reason to stop; the recipe's own line is named where it came from."""
    try:
        return work()
    except FormpartsError as error:
        return {"error": " ".join(str(error).split()) + _line_of_recipe(watched, error)}


def _line_of_recipe(watched: Watched, error: BaseException | None) -> str:
    """The line of the recipe's file in which an error arose; empty where it did not."""
    named = watched.reference.rpartition(":")[0]
    file = Path(named).resolve() if named else shipped_folder() / f"{watched.reference}.py"
    while error is not None:
        lines = [frame.lineno for frame in extract_tb(error.__traceback__) if Path(frame.filename) == file]
        if lines:
            return f" ({file.name}, line {lines[-1]})"
        error = error.__cause__
    return ""


def _closed_forms(watched: Watched, values: Values) -> dict[str, Any]:
    recipe = watched.recipe
    given = harmless(recipe, values)
    part = recipe.part(**given)
    body, blank = part.body, part.numbered_blank
    return {
        "model": folding_model(body, blank, part.plan),
        "figures": piece_figures(body, blank),
        "marks": finding_marks(part.findings()),
        "mass": mass_text(part.mass),
        "command": command_line(watched.reference, recipe, given),
        "parts": {
            "top": page_top(part, (volume_row(part),)),
            "blank": blank_picture(body, blank, part.findings()),
            "findings": finding_table(part.findings()),
            "bends": bend_table(part.schedule()),
            "table": figure_table(part),
        },
    }


def _solid(watched: Watched, values: Values) -> dict[str, Any]:
    from formparts.kernel import measured
    from formparts.tolerances import VOLUME_REL

    recipe = watched.recipe
    part = recipe.part(**harmless(recipe, values))
    exact, found = part.volume, measured(part.solid.shape).volume
    word = "agree" if abs(found - exact) <= VOLUME_REL * exact else "DISAGREE"
    return {"solid": f"solid {found:.3f} mm³, closed form {exact:.3f} mm³: {word}"}


def told_of_drawing(watched: Watched, values: Values) -> dict[str, Any]:
    """Return the drawing with the parameters' names at the dimensions that they change, as an SVG."""
    return or_error(watched, lambda: _drawing(watched, values))


def _drawing(watched: Watched, values: Values) -> dict[str, Any]:
    from formparts.drawings.svg import svg_text

    recipe = watched.recipe
    part = recipe.part(**harmless(recipe, values))
    return {"drawing": svg_text(part.drawing("A2", names=True))}


def harmless(recipe: Recipe, values: Values) -> dict[str, Any]:
    """Return the values that differ from the defaults; a name that could be a path on this machine is refused.

    A bend rule or a material may be read from a file, and the page is not to read files.
    """
    known = {parameter.name: parameter for parameter in recipe.parameters}
    given: dict[str, Any] = {}
    for name, value in values.items():
        parameter = known.get(name)
        if parameter is not None and value == str(_text(parameter)):
            continue
        if parameter is None or isinstance(parameter.kind, (BendRuleName, MaterialName)):
            _refuse_paths(recipe.name, name, value)
        given[name] = value
    return given


def _refuse_paths(where: str, name: str, value: Any) -> None:
    if looks_like_file(value):
        raise InputError(
            where, name, value, "looks like a file, and the page reads none", "name a rule or material"
        )


def _text(parameter: Parameter) -> Any:
    """A default as the page's form shows it."""
    if isinstance(parameter.kind, Yes):
        return "yes" if parameter.default else "no"
    return f"{parameter.default:.10g}" if isinstance(parameter.default, float) else parameter.default


def form_rows(recipe: Recipe) -> list[dict[str, Any]]:
    """What the form of the page is made of: name, text, unit, value as text, limits."""
    rows = []
    for parameter in recipe.parameters:
        kind = parameter.kind
        least, most = getattr(kind, "minimum", None), getattr(kind, "maximum", None)
        choices = getattr(kind, "options", None)
        rows.append(
            {
                "name": parameter.name, "text": parameter.text, "unit": parameter.unit, "value": str(_text(parameter)),
                "least": least, "most": most, "whole": isinstance(parameter.default, int),
                "yes": isinstance(kind, Yes), "choices": list(choices) if choices else None,
            }
        )  # fmt: skip
    return rows


def form_mark(recipe: Recipe) -> str:
    """Names and defaults on one line: the page has the form of this recipe as long as its own is the same."""
    return ",".join(f"{row['name']}={row['value']}" for row in form_rows(recipe))


def command_line(reference: str, recipe: Recipe, given: Values) -> str:
    """The command that makes the same part."""
    words = ["formparts", "make", reference]
    known = {parameter.name for parameter in recipe.parameters}
    pairs = [f"{name}={value}" for name, value in given.items() if name in known]
    if pairs:
        words += ["--set", *pairs]
    return shlex.join(words)
