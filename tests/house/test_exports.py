"""One public namespace: complete, sorted, looked up lazily, and cheap to import."""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import formparts
from tests.house.exports import export_faults, public_names
from tests.house.public import HOME_OF

ROOT = Path(__file__).parents[2]
ROOMS = sorted((ROOT / "formparts").glob("*/**/__init__.py"))
ROOM = "parlour"
HEAVY = {"OCP", "cadquery", "pint", "trimesh", "ezdxf", "vtk", "vtkmodules", "matplotlib", "numpy"}


def test_all_is_sorted_and_has_no_name_twice() -> None:
    """`formparts.__all__` is one sorted list."""
    assert list(formparts.__all__) == sorted(set(formparts.__all__))
    assert dir(formparts) == list(formparts.__all__)


def test_nothing_public_is_left_out() -> None:
    """What the front door itself defines is in `__all__`."""
    assert public_names(ROOT / "formparts" / "__init__.py") <= set(formparts.__all__)


def test_no_name_hides_a_module() -> None:
    """Every module is reached by `import formparts.room.module as m`: no name of a package is one of its modules."""
    hidden = []
    for path in sorted((ROOT / "formparts").rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        if parts[-1].startswith("__") or parts[1:2] == ("recipes",):
            continue
        module = import_module(".".join(parts))
        package = import_module(".".join(parts[:-1]))
        if getattr(package, parts[-1]) is not module:
            hidden.append(".".join(parts))
    assert hidden == []


def test_no_public_function_has_the_name_of_a_room() -> None:
    rooms = {path.stem for path in (ROOT / "formparts").iterdir()}
    assert not rooms & set(HOME_OF) - {"materials"}


def test_the_namespace_is_short_and_its_contents_stand_in_the_docstring() -> None:
    """At most 94 names, and `help(formparts)` begins with all of them, by what they are for."""
    assert len(formparts.__all__) <= 94
    told = set(re.findall(r"\w+", formparts.__doc__ or ""))
    assert set(formparts.__all__) - {"__version__"} <= told
    assert set(formparts.__all__) - {"__version__"} <= set(HOME_OF)


def test_types_of_the_public_names_are_complete() -> None:
    """The typed list and the list that is looked up are the same, each from the same room."""
    stub = ast.parse((ROOT / "formparts" / "__init__.pyi").read_text())
    typed = {
        alias.name: node.module
        for node in stub.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert typed == formparts._HOME_OF


def test_unknown_name_is_an_attribute_error() -> None:
    """As with any module, a name that is not there is an AttributeError that says so."""
    with pytest.raises(AttributeError, match="no_such_name"):
        formparts.no_such_name  # noqa: B018


@pytest.mark.parametrize("init", ROOMS, ids=lambda init: init.parent.name)
def test_room_says_what_is_public(init: Path) -> None:
    """The `__all__` of a room is sorted and complete."""
    assert export_faults(init) == []


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("from .edges import Line\n", "has no __all__"),
        ("from .edges import Line\n__all__ = []\n", "Line is left out"),
        ("def span(): ...\n__all__ = ()\n", "span is left out"),
        ("LIMIT = 1\n__all__ = []\n", "LIMIT is left out"),
        (f"from formparts.{ROOM}.model import Flat as Piece\n__all__ = ['Flat']\n", "Piece is left out"),
        ("def span(): ...\n__all__ = ['span', 'spin']\n", "spin is in __all__ and is nowhere"),
        ("def a(): ...\ndef b(): ...\n__all__ = ['b', 'a']\n", "not sorted"),
        ("def a(): ...\n__all__ = ['a', 'a']\n", "name twice"),
    ],
)
def test_a_planted_fault_is_found(text: str, said: str, tmp_path: Path) -> None:
    """Each rule can fail, and a front door without fault is let pass."""
    init = tmp_path / ROOM / "__init__.py"
    init.parent.mkdir()
    init.write_text(
        "import math\nfrom .edges import Line, Arc\nfrom ..errors import E\n_x = Arc\n__all__ = ['Line']\n"
    )
    assert export_faults(init) == []
    init.write_text(text)
    assert any(said in fault for fault in export_faults(init)), export_faults(init)


def loaded_by(code: str) -> set[str]:
    """Run some code in a new interpreter and give the top-level modules that it has loaded."""
    report = "\nimport json, sys; print(json.dumps(sorted({name.split('.')[0] for name in sys.modules})))"
    done = subprocess.run(
        [sys.executable, "-c", code + report],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_import_is_cheap() -> None:
    """Importing formparts and touching every public name loads neither kernel, pint, writers nor numpy."""
    assert not loaded_by("import formparts\nfor name in formparts.__all__: getattr(formparts, name)") & HEAVY


def test_bend_mathematics_is_cheap() -> None:
    """Bends, materials and the model are worked with before anything heavy is loaded."""
    work = """
import formparts as fp
from formparts.bending import offset_angle
fp.bend_rule("DIN 6935").allowance(90, 2, 2)
offset_angle(5, 4, 3, 2)
fp.Sheet(2.0, 2.0, "S235JR")
fp.material("DC01")
"""
    assert not loaded_by(work) & HEAVY


def test_cheapness_can_fail() -> None:
    """The same look finds a module that is loaded."""
    assert loaded_by("import numpy") & HEAVY == {"numpy"}
