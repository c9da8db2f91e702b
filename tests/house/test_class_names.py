"""One class, one name: whoever looks for a class finds one."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "formparts"
STILL_TWICE = {
    "Band", "Hole", "Outcome", "Piece", "Place", "Polyline", "Section", "Side", "Solution", "Straight", "Writer",
}  # fmt: skip
"""Names that a second class has: one of the two is to be renamed for what it holds, and none is to come to them."""


def classes(texts: list[str]) -> Counter[str]:
    """How many classes have a name, at the top of modules."""
    found = [node.name for text in texts for node in ast.parse(text).body if isinstance(node, ast.ClassDef)]
    return Counter(name for name in found if not name.startswith("_"))


def test_no_two_classes_have_one_name() -> None:
    found = classes([path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")])
    assert {name for name, count in found.items() if count > 1} == STILL_TWICE


def test_a_second_class_is_found() -> None:
    assert classes(["class A: ...", "class A: ...\nclass B: ...\nclass _C: ..."]) == {"A": 2, "B": 1}
