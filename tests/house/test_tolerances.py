"""Every tolerance is in one file, with its reason; none is a bare figure in a room."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.house.trees import nodes_of, texts_of, tree_of

ROOM = Path(__file__).parents[2] / "formparts"
SMALL = 1e-3
UNITS_AND_STEPS = {
    ("bending/ranges.py", 1e-3): "ranges of input: a table of its own",
    ("bending/ranges.py", 1e-6): "ranges of input: a table of its own",
    ("export/glb.py", 1e-3): "metres in a millimetre",
    ("export/step_facts.py", 1e-3): "metres in a millimetre",
    ("export/kernel_mesh.py", 1e-3): "how much finer the kernel is asked in turn",
    ("fea/case.py", 1e-12): "tonnes per mm3 in a kg per m3",
    ("fea/deck_proof.py", 1e-9): "m3 in a mm3",
    ("fea/loads.py", 1e-3): "MPa in a kPa",
    ("fix_grid.py", 1e-3): "the step to which small figures are rounded",
    ("forming/springback.py", 1e-7): "where a search by halving begins",
    ("shapes/offset.py", 1e-3): "of a thousandth: rounded up, unless it is one",
    ("shapes/tips.py", 1e-3): "of a thousandth: rounded inwards",
}
"""Small figures that are not tolerances."""


def small_figures(source: str) -> Iterator[tuple[int, float]]:
    """Line and value of every figure in a source that is small enough to be a tolerance."""
    for node in nodes_of(source):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, float)
            and 0.0 < abs(node.value) <= SMALL
        ):
            yield node.lineno, abs(node.value)


def test_no_tolerance_is_a_bare_figure() -> None:
    met = set()
    bare = []
    for path, text in texts_of(ROOM).items():
        name = path.relative_to(ROOM).as_posix()
        for line, value in small_figures(text):
            met.add((name, value))
            if name != "tolerances.py" and (name, value) not in UNITS_AND_STEPS:
                bare.append(f"{name}:{line}: {value:g}")
    assert not bare
    assert not UNITS_AND_STEPS.keys() - met, "no longer there"


@pytest.mark.parametrize("source", ["close = abs(a - b) < 1e-6", "def f(near=-0.001): ..."])
def test_a_bare_figure_is_noticed(source: str) -> None:
    assert list(small_figures(source))


def test_every_tolerance_has_its_unit_and_reason() -> None:
    tree = tree_of((ROOM / "tolerances.py").read_text(encoding="utf-8"))
    names = [node for node in tree.body if isinstance(node, ast.AnnAssign)]
    texts = {id(a): b.value.value for a, b in zip(tree.body, tree.body[1:], strict=False) if _is_text(b)}
    for node in names:
        assert isinstance(node.target, ast.Name)
        said = texts.get(id(node), "")
        assert re.search(r"\[[^\]]+\]|relative", said), f"{node.target.id} says no unit"


def test_every_tolerance_is_used() -> None:
    text = "\n".join(text for p, text in texts_of(ROOM).items() if p.name != "tolerances.py")
    used = set(re.findall(r"\b[A-Z][A-Z_]+\b", text))
    tree = tree_of((ROOM / "tolerances.py").read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            assert node.target.id in used, f"{node.target.id} is used nowhere"


def _is_text(node: ast.stmt) -> bool:
    return (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
    )
