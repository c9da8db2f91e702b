"""One class, one name, and no file name in every room: whoever looks for something finds it."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

from tests.house.trees import texts_of, tree_of

PACKAGE = Path(__file__).parents[2] / "formparts"


def classes(texts: list[str]) -> Counter[str]:
    """How many classes have a name, at the top of modules."""
    found = [node.name for text in texts for node in tree_of(text).body if isinstance(node, ast.ClassDef)]
    return Counter(name for name in found if not name.startswith("_"))


def test_no_two_classes_have_one_name() -> None:
    found = classes([*texts_of(PACKAGE).values()])
    assert not {name for name, count in found.items() if count > 1}


def test_a_second_class_is_found() -> None:
    assert classes(["class A: ...", "class A: ...\nclass B: ...\nclass _C: ..."]) == {"A": 2, "B": 1}


def test_no_file_name_recurs_in_four_rooms() -> None:
    found = Counter(path.name for path in PACKAGE.rglob("*.py") if path.name != "__init__.py")
    assert not {name for name, count in found.items() if count > 3}, "name each for what it holds"
