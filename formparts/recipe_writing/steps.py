"""The lines of a recipe: assignments, and loops where lines differ in a few words only."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from formparts.recipe_writing.expressions import (
    Call,
    Node,
    Several,
    Variable,
    indented,
    parameters_in,
)

VARYING = ("flat", "name")
"""What a loop may go over besides the edge."""


@dataclass(frozen=True)
class Assign:
    """`variable = expression`."""

    variable: Variable
    node: Node

    def run(self) -> None:
        """Evaluate the expression."""
        self.variable.value = self.node.value

    def text(self) -> str:
        head = f"{self.variable.name} = "
        return head + self.node.text(100 - len(head))

    def nodes(self) -> Iterator[Node]:
        yield self.node


@dataclass(frozen=True)
class Repetition:
    """The same assignment for each row of words."""

    heads: tuple[Variable, ...]
    rows: tuple[tuple[Node, ...], ...]
    then: Assign

    def run(self) -> None:
        """Run the assignment for every row."""
        for row in self.rows:
            for head, node in zip(self.heads, row, strict=True):
                head.value = node.value
            self.then.run()

    def text(self) -> str:
        heads = ", ".join(head.name for head in self.heads)
        rows = tuple(row[0] if len(row) == 1 else Several(row) for row in self.rows)
        over = Several(rows).text(90)
        return f"for {heads} in {over}:\n    {indented(self.then.text())}"

    def nodes(self) -> Iterator[Node]:
        yield self.then.node
        for row in self.rows:
            yield from row


Step: TypeAlias = Assign | Repetition


def grouped(steps: Sequence[Assign]) -> list[Step]:
    """Return like steps as loops; different ones keep their order."""
    rows: dict[object, list[Assign]] = {}
    for step in steps:
        rows.setdefault(_signature(step), []).append(step)
    return [_loop(row) if len(row) > 1 else row[0] for row in rows.values()]


def _signature(step: Assign) -> object:
    """Return what the steps of a loop have in common."""
    node = step.node
    if not isinstance(node, Call):
        return id(step)
    others = [part.text() for number, part in enumerate(node.parts) if not _is_edge(node, number)]
    named = [(name, part.text()) for name, part in node.named.items() if name not in VARYING]
    used = [sorted(parameters_in(part)) for part in node.parts]
    return (node.function, tuple(others), tuple(named), "flat" in node.named, str(used))


def _is_edge(node: Call, number: int) -> bool:
    return node.function == "add_flange" and number == 1


def _loop(steps: list[Assign]) -> Repetition:
    """One loop of several like steps."""
    first = steps[0].node
    assert isinstance(first, Call)
    rows = [_words(step.node) for step in steps]
    heads, kept = [], []
    for name in rows[0]:
        texts = {row[name].text() for row in rows}
        if len(texts) > 1:
            heads.append(Variable(name if name != "flat" else "on"))
            kept.append(name)
    swap: dict[str, Node] = dict(zip(kept, heads, strict=True))
    _shorten(rows, kept, heads, swap)
    parts = tuple(
        swap.get("edge", part) if _is_edge(first, k) else part for k, part in enumerate(first.parts)
    )
    named = {name: swap.get(name, part) for name, part in first.named.items()}
    then = Assign(steps[0].variable, Call(first.function, parts, named))
    return Repetition(tuple(heads), tuple(tuple(row[name] for name in kept) for row in rows), then)


def _shorten(
    rows: list[dict[str, Node]], kept: list[str], heads: list[Variable], swap: dict[str, Node]
) -> None:
    """Write a name as an expression where it contains the edge's or flat's word in every row."""
    for other in ("edge", "flat"):
        words = [(row[other].value, row["name"].value) for row in rows if other in kept and "name" in kept]
        if not words or not all(isinstance(word, str) for word, _ in words):
            continue
        before, found, after = words[0][1].partition(words[0][0])
        if found and all(name == f"{before}{word}{after}" for word, name in words):
            head = heads[kept.index(other)]
            head.name = "side" if other == "edge" else "wall"
            swap["name"] = Worded(before, head, after)
            place = kept.index("name")
            del kept[place], heads[place]
            return


@dataclass(frozen=True)
class Worded:
    """A name with a variable's word in it."""

    before: str
    of: Variable
    after: str

    @property
    def value(self) -> str:
        return f"{self.before}{self.of.value}{self.after}"

    def text(self, room: int = 100) -> str:
        del room
        return f'f"{self.before}{{{self.of.name}}}{self.after}"'

    def pieces(self) -> Iterator[Node]:
        yield self.of


def _words(node: Node) -> dict[str, Node]:
    """What may differ from step to step."""
    assert isinstance(node, Call)
    found = {"edge": node.parts[1]} if node.function == "add_flange" else {}
    return {**found, **{name: node.named[name] for name in VARYING if name in node.named}}
