"""The examples in the docstrings of the builders hold."""

from __future__ import annotations

import doctest
from importlib import import_module
from pkgutil import iter_modules

import formparts.shapes


def test_the_examples_in_the_docstrings_hold() -> None:
    modules = [
        import_module(f"formparts.shapes.{one.name}") for one in iter_modules(formparts.shapes.__path__)
    ]
    ran = [doctest.testmod(module) for module in modules]
    assert (sum(one.failed for one in ran), sum(one.attempted for one in ran) > 12) == (0, True)
