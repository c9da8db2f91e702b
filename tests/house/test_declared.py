"""What the library and its tests import is what pyproject.toml declares; the library declares no more."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from formparts import toml
from tests.house.imports import imports_of

ROOT = Path(__file__).parents[2]
BROUGHT = {"OCP": "cadquery", "PIL": "pillow"}
"""Modules that are installed by a distribution of another name: the kernel's binding comes with cadquery."""
SHIPPED = {"matplotlib"}
"""A distribution of which a file is taken, the font of the drawings, and nothing imported."""
OURS = {"formparts", "recipes", "reached"}
"""What the tests import of this repository; `reached` is written beside a copy of it that is being changed."""


def distribution(requirement: str) -> str:
    """The name that a requirement begins with."""
    return re.split(r"[^A-Za-z0-9._-]", requirement, maxsplit=1)[0].lower()


def foreign(package: Path) -> set[str]:
    """The distributions that a package needs: what it imports that is neither its own nor Python's."""
    tops = {item.module.split(".")[0] for item in imports_of(package)}
    return {BROUGHT.get(top, top) for top in tops - sys.stdlib_module_names - {package.name, "tomllib"}}


def test_all_that_is_imported_is_declared_and_all_that_is_declared_is_imported() -> None:
    """An empty environment with what is declared is enough; only the cluster is an extra."""
    project = toml.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    declared = {distribution(line) for line in project["dependencies"]}
    cluster = {distribution(line) for line in project["optional-dependencies"]["cluster"]}
    assert foreign(ROOT / "formparts") | SHIPPED == declared | cluster
    assert not declared & cluster


def test_all_that_the_tests_import_is_declared() -> None:
    """The extra `test` is enough for the tests; no module is there by the favour of another distribution."""
    project = toml.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    declared = project["dependencies"] + project["optional-dependencies"]["test"]
    assert foreign(ROOT / "tests") - OURS <= {distribution(line) for line in declared}


@pytest.mark.parametrize(
    "text",
    [
        "import yaml\n",
        "def late():\n    from yaml import safe_load\n",
        "try:\n    import yaml.nodes\nfinally:\n    pass\n",
    ],
)
def test_an_import_that_is_planted_is_found(text: str, tmp_path: Path) -> None:
    """The rule can fail: an import that nobody declared is named, wherever it is."""
    (tmp_path / "formparts").mkdir()
    (tmp_path / "formparts" / "blanks.py").write_text(f"import math\nimport formparts.body\n{text}")
    assert foreign(tmp_path / "formparts") == {"yaml"}
