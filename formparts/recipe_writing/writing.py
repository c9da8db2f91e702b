"""The text of a recipe: its imports, parameters, docstring and lines."""

from __future__ import annotations

import keyword
import re
from collections.abc import Iterator

from formparts.body import Body
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.recipe_writing.expressions import functions_in, indented, is_public, parameters_in, shown
from formparts.recipe_writing.flanges import rule_text
from formparts.recipe_writing.planning import RecipePlan, plan_of
from formparts.tolerances import ROUND_FIGURE

RARER = frozenset({"counterbored", "countersunk", "extruded", "pressed", "tapped"})
"""Builders that are imported from their own room."""


def recipe_text(body: Body, name: str = "", source: str = "", loose_by: float = 0.0) -> str:
    """
    Write the recipe of a part: a Python file that builds it, with parameters, limits and a docstring.

    Parameters
    ----------
    body : Body
        The part, as `body_from` gives it or a recipe does.
    name : str
        Name of the recipe; that of the part if none is given.
    source : str
        What its docstring says that it was written from, such as a file's name.
    loose_by : float [mm]
        How closely the figures of the part are known: rounder ones within this are taken.

    Returns
    -------
    str
        The recipe; run, it gives the part in its place.

    Raises
    ------
    InputError
        No recipe gives the part.
    """
    plan = plan_of(body, max(ROUND_FIGURE, loose_by))
    if plan is None:
        fix = "work on the STEP file itself, which stands for a recipe in all commands"
        raise InputError(body.name, "recipe", body.name, "cannot be written: no recipe gives the part", fix)
    return "\n".join(_lines(plan, body, identifier(name or body.name), source)) + "\n"


def identifier(name: str) -> str:
    """Return a name as one of a Python function; it hides no builder that the recipe calls, and is not a keyword."""
    plain = re.sub(r"\W+", "_", name, flags=re.ASCII).strip("_").lower() or "part"
    is_taken = keyword.iskeyword(plain) or plain == "recipe" or is_public(plain)
    return f"part_{plain}" if is_taken or plain[0].isdigit() else plain


def _lines(plan: RecipePlan, body: Body, name: str, source: str) -> Iterator[str]:
    used = {word for step in plan.steps for node in step.nodes() for word in parameters_in(node)}
    known = sorted({word for step in plan.steps for node in step.nodes() for word in functions_in(node)})
    kinds = {
        text.split(", ")[1].split("(")[0] for key, (_, text) in plan.figures.found.items() if key in used
    }
    names = sorted({*known, *kinds, "BendRuleName", "Body", "MaterialName", "recipe"}, key=_import_order)
    summary = _summary(plan, source)
    yield f'"""{summary}"""'
    yield ""
    yield "from typing import Annotated"
    yield ""
    rarer = sorted(RARER.intersection(names))
    yield "from formparts import (\n" + "".join(f"    {word},\n" for word in names if word not in rarer) + ")"
    if rarer:
        yield f"from formparts.shapes import {', '.join(rarer)}"
    yield ""
    yield ""
    yield "@recipe"
    yield f"def {name}("
    yield from _parameters(plan, body, used)
    yield ") -> Body:"
    yield f'    """\n    {summary}\n\n    {_by_hand(body)}\n{_left_out(body)}    """'
    for step in plan.steps:
        yield f"    {indented(step.text())}"
    yield f"    return {plan.part.name}"


def _import_order(name: str) -> tuple[int, str]:
    """Constants, then classes, then functions."""
    return (0 if name.isupper() else 1 if name[0].isupper() else 2, name)


def _parameters(plan: RecipePlan, body: Body, used: set[str]) -> Iterator[str]:
    """Sizes first, in the order in which they are used; stock last."""
    last = ("thickness", "inside_radius")
    order = [key for key in plan.figures.found if key in used and key not in last]
    for key in (*order, *last):
        value, annotation = plan.figures.found[key]
        yield f"    {key}: {annotation} = {shown(value)},"
    material, rule = body.sheet.material.name, rule_text(body.sheet.bend_rule)
    yield f'    material: Annotated[str, MaterialName("of the sheet")] = {shown(material)},'
    yield f'    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = {shown(rule)},'


def _summary(plan: RecipePlan, source: str) -> str:
    first, *others = plan.says
    said = f"{first} with {', '.join(others)}" if others else first
    plain = re.sub(r'[\\"]', "_", source)
    return f"{said}, from {plain}." if plain and plain.isprintable() else f"{said}."


def _left_out(body: Body) -> str:
    """Return the features of the part that its recipe lacks."""
    marks = sorted({mark.name for flat in body.flats for mark in flat.marks})
    named = re.sub(r'[\\"]', "_", ", ".join(marks))
    return f"\n    Left out, as no outline tells how it was given: {named}: see add_mark.\n" if marks else ""


def _by_hand(body: Body) -> str:
    """Return figures against which a reader can check the recipe."""
    figures = properties(body)
    thick, bends = body.sheet.thickness, len(body.bends)
    return f"At the defaults: volume {figures.volume:.1f} mm3, bends: {bends}, {thick:g} mm thick."
