"""Read the results that CalculiX writes: values at nodes, by step, in columns of fixed width."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from formparts.errors import FileProofError
from formparts.fea.arrays import Floats, Integers, np

_WIDTH = 12
_START = 13


@dataclass(frozen=True, eq=False)
class Results:
    """Numbers and places of nodes, the nodes of each element in the file's order, the fields of each step by name."""

    numbers: Integers
    places: Floats
    elements: list[list[int]]
    steps: list[dict[str, Floats]] = field(default_factory=list)

    def rows(self, nodes: Integers) -> Integers:
        """Return the rows of a field for some nodes."""
        order = np.argsort(self.numbers)
        return np.asarray(order[np.searchsorted(self.numbers, nodes, sorter=order)])


def read_results(path: Path) -> Results:
    """Nodes, elements and fields of a file; a field that comes again begins a new step."""
    lines = path.read_bytes().split(b"\n")
    numbers, places = np.zeros(0, dtype=np.int64), np.zeros((0, 3))
    elements: list[list[int]] = []
    steps: list[dict[str, Floats]] = []
    for head, first, last in _blocks(lines):
        if head == "nodes":
            numbers, places = _columns(lines[first:last], 3)
        elif head == "elements":
            elements = _connections(lines[first:last])
        else:
            of, values = _columns(lines[first:last], {"DISP": 3, "FORC": 3, "STRESS": 6}.get(head, 1))
            if not steps or head in steps[-1]:
                steps.append({})
            if len(of) != len(numbers) or (of != numbers).any():
                raise FileProofError(str(path.name), f"the solver left out nodes of its {head}")
            steps[-1][head] = values
    return Results(numbers, places, elements, steps)


def _blocks(lines: list[bytes]) -> Iterator[tuple[str, int, int]]:
    """What each block is, and the lines that its rows fill."""
    head, first = "", 0
    for number, line in enumerate(lines):
        start = line[:6].strip()
        if start == b"2C":
            head, first = "nodes", number + 1
        elif start == b"3C":
            head, first = "elements", number + 1
        elif line[:3] == b" -4":
            head = line.split()[1].decode("ascii")
        elif line[:3] == b" -5":
            first = number + 1
        elif line[:3] == b" -3" and head:
            yield head, first, number
            head = ""


def _columns(lines: list[bytes], count: int) -> tuple[Integers, Floats]:
    """Numbers of nodes and their values."""
    width = _START + _WIDTH * count
    table = np.frombuffer(b"".join(line[:width].ljust(width) for line in lines), dtype="S1")
    table = table.reshape(len(lines), width)
    numbers = np.ascontiguousarray(table[:, 3:_START]).view(f"S{_START - 3}").ravel().astype(np.int64)
    values = np.ascontiguousarray(table[:, _START:]).view(f"S{_WIDTH}")
    return numbers, values.astype(np.float64)


def _connections(lines: list[bytes]) -> list[list[int]]:
    found: list[list[int]] = []
    for line in lines:
        if line[:3] == b" -1":
            found.append([])
        else:
            found[-1] += [int(line[at : at + 10]) for at in range(3, len(line.rstrip()), 10)]
    return found
