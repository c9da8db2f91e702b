"""Whatever a user of the library has in hand is one short line in a console."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
from collections.abc import Iterator
from typing import Any

import pytest

from formparts import find_recipe
from formparts.short_repr import short_repr
from tests.house.public import HOME_OF

LONGEST = 120
OWN = {"Part", "Drawing", "AllowanceRow"}
"""Public classes with a line of their own."""


def public_dataclasses() -> Iterator[type]:
    for name, home in HOME_OF.items():
        found = getattr(importlib.import_module(home), name)
        if inspect.isclass(found) and dataclasses.is_dataclass(found) and name not in OWN:
            yield found


@pytest.mark.parametrize("one", list(public_dataclasses()), ids=lambda one: one.__name__)
def test_every_public_class_has_a_short_line(one: type) -> None:
    assert one.__repr__.__module__ == "formparts.short_repr"


def reached(value: Any, seen: dict[str, Any], depth: int = 0) -> dict[str, Any]:
    """One object of each of our classes that can be reached from another."""
    if type(value).__module__.startswith("formparts.") and not isinstance(value, type):
        if type(value).__name__ in seen:
            return seen
        seen[type(value).__name__] = value
        names = [
            name for name, _ in inspect.getmembers(type(value), lambda member: isinstance(member, property))
        ]
        inside = (
            [field.name for field in dataclasses.fields(value)] if dataclasses.is_dataclass(value) else []
        )
        for name in (*inside, *names):
            reached(getattr(value, name), seen, depth + 1)
    elif isinstance(value, (tuple, list)) and depth < 12:
        for each in value[:4]:
            reached(each, seen, depth + 1)
    return seen


def test_all_that_a_part_gives_is_short() -> None:
    part = find_recipe("ring_riser").part(lug_count=3)
    seen: dict[str, Any] = {}
    for value in (
        part,
        part.blank,
        part.bends,
        part.openings,
        part.properties,
        part.inertia,
        part.schedule(),
        part.body,
    ):
        reached(value, seen)
    assert len(seen) > 25
    for name, value in seen.items():
        line = repr(value)
        assert len(line) <= LONGEST, f"{name}: {line[:200]}"
        assert "\n" not in line, name


def test_what_a_line_says() -> None:
    @short_repr
    @dataclasses.dataclass(frozen=True)
    class Lug:
        name: str
        width: float
        place: tuple[float, float]
        holes: tuple[int, ...]
        note: str = ""

    lug = Lug("lug", 24.000000001, (1.0, 2.5), (1, 2, 3, 4), "a" * 200)
    assert repr(lug) == f"Lug(name='lug', width=24, place=(1.0, 2.5), holes=<4>, note='{'a' * 42}...')"
    assert repr(Lug("n" * 40, 1.0, (1.0, 2.5), (), "m" * 90)).endswith(", holes=(), ...)")
