"""A recipe: a plain function with annotated, defaulted, unit-carrying parameters, that returns a Body."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Annotated, Any, get_args, get_origin, get_type_hints, overload

from formparts.arguments import takes
from formparts.errors import InputError
from formparts.parameters import ALL_KINDS, Parameter, ParameterKind
from formparts.quantities import shown_value
from formparts.recipe_functions.cells import is_in_a_cell
from formparts.recipe_functions.foreign import foreign_errors_at
from formparts.recipe_functions.shipped import shipped_folder
from formparts.short_repr import short_repr

if TYPE_CHECKING:
    from formparts.body import Body
    from formparts.part import Part


MOST_SAID = 12
"""Number of bad values named after the first."""


@short_repr
@dataclass(frozen=True)
class Recipe:
    """A recipe that can be called: every value is converted and checked against its limits, then the part is built.

    Parameters
    ----------
    name : str
        Name of the function, and of the recipe.
    summary : str
        First line of its docstring.
    doc : str
        The whole docstring.
    parameters : tuple of Parameter
        In the order of the function.
    source : Path
        The file it is from; of one in a notebook's cell, the file that it would be beside the notebook.
    function : callable
        The function itself; it checks nothing.
    title : mapping of str to str
        What the title block of its drawing says, by field.

    Examples
    --------
    >>> clip = find_recipe("z_clip")
    >>> [parameter.name for parameter in clip.parameters][:3]
    ['foot', 'rise', 'head']
    >>> body = clip()
    """

    name: str
    summary: str
    doc: str = field(repr=False)
    parameters: tuple[Parameter, ...] = field(repr=False)
    source: Path
    function: Callable[..., Body] = field(repr=False)
    title: Mapping[str, str] = field(default_factory=dict, repr=False)

    def __call__(self, /, **values: object) -> Body:
        """
        Build the part.

        Parameters
        ----------
        values : object [house unit]
            Bare numbers in mm and deg, text with a unit, or pint quantities, by name of parameter.

        Returns
        -------
        Body

        Raises
        ------
        InputError
            A value cannot be read or breaks a limit, or the part cannot be built with it. When several values
            are bad the error is that of the first, and its line goes on to name the others.
        """
        return self.built(self.resolved(**values))

    def built(self, resolved: Mapping[str, Any]) -> Body:
        """Build the part from parameters resolved before; it has the recipe's name.

        Parameters
        ----------
        resolved : mapping of str to float, int, str or bool [house unit]
            All parameters, as `resolved` gives them.

        Returns
        -------
        Body

        Raises
        ------
        InputError
            The part cannot be built with them.
        """
        from formparts.body import Body

        with foreign_errors_at(self.source, self.name, "the recipe's own code failed"):
            try:
                body: object = self.function(**resolved)
            except InputError as error:
                raise error.located(self.name) from error
        if not isinstance(body, Body):
            problem = f"the recipe gave back {type(body).__name__}, and a Body is wanted"
            raise InputError(
                self.name, "return", shown_value(body), problem, "end it with `return` and the body"
            )
        return body if body.name == self.name else replace(body, name=self.name)

    def part(self, /, **values: object) -> Part:
        """
        Build the part once, with all that can be derived from it on demand.

        Parameters
        ----------
        values : object [house unit]
            As for the call.

        Returns
        -------
        Part

        Raises
        ------
        InputError
            As for the call.
        """
        from formparts.part import Part

        resolved = self.resolved(**values)
        return Part(self.built(resolved), recipe=self, parameters=resolved)

    def resolved(self, /, **values: object) -> dict[str, Any]:
        """
        Give all parameters in house units, without building anything.

        Parameters
        ----------
        values : object [house unit]
            As for the call.

        Returns
        -------
        dict of str to float, int, str or bool

        Raises
        ------
        InputError
            As for the call.
        """
        faults = [self._unknown(name, value) for name, value in values.items() if name not in self._names()]
        found: dict[str, Any] = {}
        for parameter in self.parameters:
            try:
                found[parameter.name] = self._read(parameter, values)
            except InputError as error:
                faults.append(error)
        if faults:
            raise _all_in_one(faults)
        return found

    def _read(self, parameter: Parameter, values: Mapping[str, object]) -> Any:
        if parameter.name not in values:
            return parameter.default
        return parameter.kind.read(values[parameter.name], parameter.name, self.name)

    def _names(self) -> tuple[str, ...]:
        return tuple(parameter.name for parameter in self.parameters)

    def _unknown(self, name: str, value: object) -> InputError:
        """Refuse an unknown parameter, with the nearest names."""
        near = get_close_matches(name, self._names(), n=3)
        hint = f"did you mean {' or '.join(near)}? " if near else ""
        fix = f"{hint}there are: {', '.join(self._names()) or 'none'}"
        problem = "there is no such parameter"
        return InputError(self.name, shown_value(name), shown_value(value), problem, fix)

    @property
    def reference(self) -> str:
        """Text to find it by: `path/to/file.py:function`."""
        return f"{self.source}:{self.name}"

    @property
    def short_reference(self) -> str:
        """Its name in a command: a shipped one by its name alone, others by their file without folders."""
        shipped = self.source.is_relative_to(shipped_folder())
        return self.name if shipped else f"{self.source.name}:{self.name}"


def _all_in_one(faults: list[InputError]) -> InputError:
    """The first error, with the others named at the end of its line."""
    first, others = faults[0], faults[1:]
    if not others:
        return first
    # The place is the same for all, and is stated once.
    tails = "; ".join(str(error).removeprefix(f"{error.where}: ") for error in others[:MOST_SAID])
    tails += f"; and {len(others) - MOST_SAID} more" if len(others) > MOST_SAID else ""
    fix = f"{first.fix}; and also: {tails}"
    return type(first)(first.where, first.parameter, first.value, first.problem, fix, first.unit)


@overload
def recipe(function: Callable[..., Body], *, title: Mapping[str, str] | None = None) -> Recipe: ...
@overload
def recipe(
    function: None = None, *, title: Mapping[str, str] | None = None
) -> Callable[[Callable[..., Body]], Recipe]: ...
@takes(function=("Callable", "None"), title=("Mapping", "None"))
def recipe(
    function: Callable[..., Body] | None = None, *, title: Mapping[str, str] | None = None
) -> Recipe | Callable[[Callable[..., Body]], Recipe]:
    """
    Make a recipe of a function: the decorator of every recipe file.

    Parameters
    ----------
    function : callable
        Each parameter is annotated, `Annotated[float, Length("...", minimum=5, maximum=2000)]`, and has a
        default. Its docstring begins with one line that says what the part is.
    title : mapping of str to str, optional
        What the title block of its drawing says, as `@recipe(title={"number": "FP-1001"})`.

    Returns
    -------
    Recipe
        Or, when only the title is given, the decorator.

    Raises
    ------
    InputError
        A parameter has no annotation, default or limit, or its default breaks them; or there is no docstring.
    """
    if function is None:
        return lambda made: _made(made, title or {})
    return _made(function, title or {})


def _made(function: Callable[..., Body], title: Mapping[str, str]) -> Recipe:
    name = function.__name__
    doc = inspect.getdoc(function) or ""
    if not doc.strip():
        raise InputError(
            name, "docstring", "none", "a recipe says what it makes", "write it below the def line"
        )
    hints = _hints(function)
    signature = inspect.signature(function)
    parameters = tuple(
        _parameter(found, hints.get(found.name), name) for found in signature.parameters.values()
    )
    source = Path(inspect.getsourcefile(function) or function.__code__.co_filename).resolve()
    if is_in_a_cell(function):
        source = Path.cwd() / f"{name}.py"  # where it would be, so that files beside it are found
    return Recipe(name, doc.strip().splitlines()[0], doc, parameters, source, function, dict(title))


def _hints(function: Callable[..., Any]) -> dict[str, Any]:
    """The annotations of the parameters alone: what is returned may be known to the type checker only."""
    annotations = {name: hint for name, hint in function.__annotations__.items() if name != "return"}
    holder = SimpleNamespace(__annotations__=annotations)
    try:
        return get_type_hints(holder, globalns=function.__globals__, include_extras=True)
    except NameError as error:
        fix = "import it in the recipe's file, not for the type checker alone"
        raise InputError(function.__name__, "annotation", error.name or "", "is not defined", fix) from error


def _parameter(found: inspect.Parameter, hint: Any, where: str) -> Parameter:
    """One parameter of the function, with its kind and its default checked."""
    if found.kind not in (inspect.Parameter.POSITIONAL_OR_KEYWORD, inspect.Parameter.KEYWORD_ONLY):
        raise InputError(
            where, found.name, str(found.kind.description), "cannot be given by name", "make it plain"
        )
    kind = _kind(found.name, hint, where)
    if found.default is inspect.Parameter.empty:
        problem = "a parameter of a recipe has a default"
        raise InputError(where, found.name, "no default", problem, f"give one that is allowed: {kind.limits}")
    return Parameter(found.name, kind, kind.read(found.default, found.name, where))


def _kind(name: str, hint: Any, where: str) -> ParameterKind:
    """The kind of a parameter, from its annotation."""
    example = 'write Annotated[float, Length("...", minimum=5, maximum=2000)]'
    kinds = [extra for extra in get_args(hint)[1:] if isinstance(extra, ALL_KINDS)]
    if get_origin(hint) is not Annotated or len(kinds) != 1:
        shown = "no annotation" if hint is None else shown_value(hint)
        names = ", ".join(kind.__name__ for kind in ALL_KINDS)
        raise InputError(where, name, shown, f"needs exactly one kind ({names})", example)
    kind: ParameterKind = kinds[0].checked(name, where)
    if not kind.text.strip():
        raise InputError(
            where, name, type(kind).__name__, "says nothing about what it is", "give it one line of text"
        )
    if get_args(hint)[0] is not kind.base:
        problem = f"{type(kind).__name__} is a {kind.base.__name__}"
        raise InputError(
            where, name, shown_value(get_args(hint)[0]), problem, f"annotate it as {kind.base.__name__}"
        )
    return kind
