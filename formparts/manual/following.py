"""Find the figure of an example that each dimension follows: each is changed a little, and the lines run again."""

from __future__ import annotations

import ast
import contextlib
import inspect
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from formparts.blanks import blank
from formparts.body import Body
from formparts.drawings.naming import Key, dimension_names
from formparts.errors import FormpartsError
from formparts.tolerances import IN_STEP, NUDGE

Make: TypeAlias = Callable[[Mapping[str, float]], Body]


@dataclass(frozen=True)
class GivenFigure:
    """
    A number in a call.

    Parameters
    ----------
    name : str
        Of the parameter that it is given for: `height`, `relief.width`.
    place : tuple of int [-]
        Line and column in the source.
    value : float [house unit]
        The number.
    """

    name: str
    place: tuple[int, int]
    value: float


def figures_of(source: str, word: str, space: Mapping[str, Any], target: str = "") -> tuple[GivenFigure, ...]:
    """The numbers in the call of that name that made the target, else in the last one; and in the calls within it."""
    tree = ast.parse(source)
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and _called(node) == word]
    if not calls:
        return ()
    assigned = [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Assign)
        and node.value in calls
        and any(isinstance(each, ast.Name) and each.id == target for each in node.targets)
    ]
    last = max(assigned or calls, key=lambda call: (call.lineno, call.col_offset))
    found: dict[str, GivenFigure] = {}
    for figure in _numbers(last, "", space):
        found.setdefault(figure.name, figure)
    return tuple(found.values())


def _called(node: ast.Call) -> str:
    return node.func.id if isinstance(node.func, ast.Name) else ""


def _numbers(call: ast.Call, before: str, space: Mapping[str, Any]) -> Iterator[GivenFigure]:
    for name, given in _arguments(call, space):
        inner = list(given.elts) if isinstance(given, (ast.Tuple, ast.List)) else [given]
        for number, node in enumerate(inner, 1):
            shown = f"{before}{name}" if len(inner) == 1 else f"{before}{name}[{number}]"
            value = node.value if isinstance(node, ast.Constant) else None
            if isinstance(value, (int, float)) and not isinstance(value, bool):
                yield GivenFigure(shown, (node.lineno, node.col_offset), float(value))
            elif isinstance(node, ast.Call) and _called(node):
                yield from _numbers(node, f"{_called(node)}.", space)


def _arguments(call: ast.Call, space: Mapping[str, Any]) -> Iterator[tuple[str, ast.expr]]:
    """The arguments of a call with the names of their parameters."""
    try:
        parameters = list(inspect.signature(space[_called(call)]).parameters.values())
    except (KeyError, TypeError, ValueError):
        return
    for number, value in enumerate(call.args):
        if parameters:
            place = parameters[min(number, len(parameters) - 1)]
            many = place.kind is place.VAR_POSITIONAL
            yield f"{place.name}[{number - parameters.index(place) + 1}]" if many else place.name, value
    for keyword in call.keywords:
        if keyword.arg:
            yield keyword.arg, keyword.value


class _Moved(ast.NodeTransformer):
    """Replaces numbers at some places of a source."""

    def __init__(self, values: Mapping[tuple[int, int], float]) -> None:
        self.values = values

    def visit_Constant(self, node: ast.Constant) -> ast.AST:
        value = self.values.get((node.lineno, node.col_offset))
        return node if value is None else ast.copy_location(ast.Constant(value), node)


def remaking(
    source: str,
    space: Mapping[str, Any],
    figures: tuple[GivenFigure, ...],
    pick: Callable[[dict[str, Any]], Body],
) -> Make:
    """A function from other values of figures to the body that the lines then make."""
    places = {figure.name: figure.place for figure in figures}

    def made(moved: Mapping[str, float]) -> Body:
        tree = _Moved({places[name]: value for name, value in moved.items()}).visit(ast.parse(source))
        fresh = dict(space)
        with contextlib.redirect_stdout(io.StringIO()):
            exec(compile(ast.fix_missing_locations(tree), "<example>", "exec"), fresh)
        return pick(fresh)

    return made


def names_by_moving(make: Make, values: Mapping[str, float]) -> tuple[dict[Key, str], dict[str, str]]:
    """Names at dimensions, and what length and width of the blank follow; nothing where no other part can be made."""
    try:
        return dimension_names(make, values), _of_blank(make, values)
    except FormpartsError:
        return {}, {}


def _of_blank(make: Make, values: Mapping[str, float]) -> dict[str, str]:
    """For length and width of the blank the parameters that move them."""
    base = blank(make({}))
    found: dict[str, list[str]] = {"length": [], "width": []}
    for name, value in values.items():
        try:
            moved = blank(make({name: value + NUDGE * max(1.0, abs(value))}))
        except FormpartsError:
            continue
        for side, names in found.items():
            if abs(getattr(moved, side) - getattr(base, side)) > IN_STEP:
                names.append(name)
    return {side: ", ".join(names) for side, names in found.items() if names}
