"""Every figure of the data files by its place, and the second listing that it must be equal to."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from formparts import toml

DATA = Path(__file__).parents[2] / "formparts" / "data"
LISTING = Path(__file__).with_name("data_figures.csv")
STATES = ("seen", "from memory", "common practice")
CHOSEN = "chosen"
"""State of figures that nobody has published: the set of tools is one of our own."""
CHOICES = ("colour",)
"""What is a choice and not a published figure."""


class Listed(NamedTuple):
    """The figures of one place: as they were read in the source, or remembered."""

    values: tuple[float, ...]
    state: str


def data_figures() -> dict[str, tuple[float, ...]]:
    """Give the figures of all data files by their place: `materials.toml: DC01.yield_strength`."""
    found: dict[str, tuple[float, ...]] = {}
    for path in sorted(DATA.glob("*.toml")):
        document = toml.loads(path.read_text(encoding="utf-8"))
        found |= {f"{path.name}: {place}": tuple(values) for place, values in _in_table(document, "")}
    table = (DATA / "springback_factors.csv").read_text(encoding="utf-8").splitlines()
    head, *rows = csv.reader(line for line in table if not line.startswith("#"))
    found["springback_factors.csv: columns"] = tuple(map(float, head[4:]))
    for row in rows:
        found[f"springback_factors.csv: {row[0]}"] = tuple(float(cell) for cell in row[4:] if cell)
    return found


def _in_table(table: dict[str, Any], place: str) -> Iterator[tuple[str, list[float]]]:
    for key, value in table.items():
        if key in CHOICES:
            continue
        here = f"{place}.{key}".lstrip(".")
        if isinstance(value, dict):
            yield from _in_table(value, here)
        elif isinstance(value, list) and value and all(isinstance(each, dict) for each in value):
            for each in value:
                yield from _in_table(each, _name(each) if place == "" else f"{here}.{_name(each)}")
        elif numbers := list(_numbers(value)):
            yield here, numbers


def _name(table: dict[str, Any]) -> str:
    """What tells one table of a list from the others."""
    if "opening" in table:
        return f"die of {table['angle']} deg, V {table['opening']}"
    return str(table.get("name") or table.get("source") or table.get("key") or f"above {table['above']}")


def _numbers(value: object) -> Iterator[float]:
    if isinstance(value, list):
        for each in value:
            yield from _numbers(each)
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield float(value)


def listing() -> dict[str, Listed]:
    """Give the second listing by place."""
    with LISTING.open(encoding="utf-8", newline="") as file:
        return {
            line["place"]: Listed(tuple(map(float, line["figures"].split())), line["state"])
            for line in csv.DictReader(file, strict=True)
        }


def counted() -> Counter[str]:
    """Count the published figures by their state, and those that were chosen."""
    count: Counter[str] = Counter()
    for listed in listing().values():
        count[listed.state] += len(listed.values)
    return count


def share_seen() -> float:
    """Which share of the published figures was seen in its source [-]."""
    count = counted()
    return count["seen"] / sum(count[state] for state in STATES)


def summary() -> str:
    """Say on one line how many figures were seen in their source."""
    count = counted()
    parts = ", ".join(f"{count[state]} {state}" for state in STATES)
    published = sum(count[state] for state in STATES)
    return (
        f"data figures: {published} published, of them {parts}; {share_seen():.1%} seen in their source; "
        f"and {count[CHOSEN]} chosen (the set of tools)"
    )
