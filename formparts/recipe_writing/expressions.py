"""The expressions of a recipe: figures, parameters and calls, each with its text and its value."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

import formparts.body as body
import formparts.outline as outline
import formparts.shapes as shapes

WIDEST = 104
"""Columns of a line of a recipe."""
ROUND_FIGURES = 4
"""A figure within the tolerance of one with this many decimals is replaced by it."""
EXACT_FIGURES = 9


def tidy(value: float, tolerance: float) -> float:
    """The roundest figure within a tolerance; else the figure itself, to a millionth of a micrometre."""
    for places in range(ROUND_FIGURES + 1):
        if abs(round(value, places) - value) <= tolerance:
            return round(value, places) + 0.0
    return round(value, EXACT_FIGURES) + 0.0


def decimals(value: float) -> int:
    """How many decimals a tidy figure has: few for a round one."""
    return next((places for places in range(EXACT_FIGURES) if round(value, places) == value), EXACT_FIGURES)


def public(name: str) -> Any:
    """A builder, an outline or a class of the model by its public name."""
    return next(getattr(room, name) for room in (shapes, outline, body) if hasattr(room, name))


def is_public(name: str) -> bool:
    """True for the name of a builder, an outline or a class of the model."""
    return any(hasattr(room, name) for room in (shapes, outline, body))


class Node(Protocol):
    """A part of an expression."""

    @property
    def value(self) -> Any: ...
    def text(self, room: int = WIDEST) -> str: ...
    def pieces(self) -> Iterator[Node]: ...


@dataclass(frozen=True)
class Literal:
    """A number, a string or a pair, written unchanged."""

    value: Any

    def text(self, room: int = WIDEST) -> str:
        del room
        return shown(self.value)

    def pieces(self) -> Iterator[Node]:
        return iter(())


def shown(value: Any) -> str:
    """Return a value as Python text: whole figures without their point, strings in double quotes."""
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, tuple):
        return f"({', '.join(map(shown, value))}{',' if len(value) == 1 else ''})"
    if isinstance(value, str):
        plain = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{plain}"' if value.isprintable() else ascii(value)
    return repr(value)


@dataclass(frozen=True)
class Par:
    """A parameter of the recipe, by its name."""

    name: str
    value: Any

    def text(self, room: int = WIDEST) -> str:
        del room
        return self.name

    def pieces(self) -> Iterator[Node]:
        return iter(())


@dataclass(frozen=True)
class Formula:
    """A sum of parameters: `template` with a `{}` for each of them."""

    template: str
    of: Callable[..., float]
    parts: tuple[Node, ...]

    @property
    def value(self) -> float:
        return float(self.of(*(part.value for part in self.parts)))

    def text(self, room: int = WIDEST) -> str:
        return self.template.format(*(part.text(room) for part in self.parts))

    def pieces(self) -> Iterator[Node]:
        return iter(self.parts)


@dataclass(frozen=True)
class Several:
    """A tuple or a list of nodes."""

    parts: tuple[Node, ...]
    brackets: str = "()"

    @property
    def value(self) -> Any:
        found = tuple(part.value for part in self.parts)
        return found if self.brackets == "()" else list(found)

    def text(self, room: int = WIDEST) -> str:
        return wrapped(self.brackets[0], [part.text(room - 4) for part in self.parts], self.brackets[1], room)

    def pieces(self) -> Iterator[Node]:
        return iter(self.parts)


@dataclass(frozen=True)
class Call:
    """A call of a public function of formparts, or of a method of its result (`Motion.shift`)."""

    function: str
    parts: tuple[Node, ...] = ()
    named: Mapping[str, Node] = field(default_factory=dict)

    @property
    def value(self) -> Any:
        first, *others = self.function.split(".")
        found: Any = public(first)
        for name in others:
            found = getattr(found, name)
        named = {name: node.value for name, node in self.named.items()}
        return found(*(part.value for part in self.parts), **named)

    def text(self, room: int = WIDEST) -> str:
        given = [part.text(room - 4) for part in self.parts]
        given += [f"{name}={node.text(room - 4)}" for name, node in self.named.items()]
        return wrapped(f"{self.function}(", given, ")", room)

    def pieces(self) -> Iterator[Node]:
        yield from self.parts
        yield from self.named.values()


def wrapped(head: str, given: Sequence[str], tail: str, room: int) -> str:
    """On one line where there is room, else one part a line."""
    single = "," if head == "(" and len(given) == 1 else ""
    line = f"{head}{', '.join(given)}{single}{tail}"
    if len(line) <= room and "\n" not in line:
        return line
    inner = "".join(f"    {indented(piece)},\n" for piece in given)
    return f"{head}\n{inner}{tail}"


def indented(text: str, by: str = "    ") -> str:
    """All lines but the first moved to the right."""
    return text.replace("\n", f"\n{by}")


def functions_in(node: Node) -> Iterator[str]:
    """The public names of formparts that an expression uses."""
    if isinstance(node, Call):
        yield node.function.split(".")[0]
    if isinstance(node, Named):
        yield node.name
    for piece in node.pieces():
        yield from functions_in(piece)


def parameters_in(node: Node) -> Iterator[str]:
    """The parameters that an expression uses."""
    if isinstance(node, Par):
        yield node.name
    for piece in node.pieces():
        yield from parameters_in(piece)


@dataclass(frozen=True)
class Named:
    """A public constant of formparts, such as Z_AXIS."""

    name: str

    @property
    def value(self) -> Any:
        return public(self.name)

    def text(self, room: int = WIDEST) -> str:
        del room
        return self.name

    def pieces(self) -> Iterator[Node]:
        return iter(())


@dataclass
class Variable:
    """A variable of the recipe: what was assigned to it last."""

    name: str
    value: Any = None

    def text(self, room: int = WIDEST) -> str:
        del room
        return self.name

    def pieces(self) -> Iterator[Node]:
        return iter(())
