"""The examples of all docstrings are run, so that whoever copies one gets what it says."""

from __future__ import annotations

import doctest
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FILES = sorted(
    path for path in (ROOT / "formparts").rglob("*.py") if ">>>" in path.read_text(encoding="utf-8")
)
MODULES = [".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__") for path in FILES]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_are_so(name: str) -> None:
    ran = doctest.testmod(import_module(name))
    assert ran.attempted > 0
    assert ran.failed == 0


def test_examples_were_found() -> None:
    assert len(MODULES) > 25
