"""The examples of all docstrings are run, so that whoever copies one gets what it says."""

from __future__ import annotations

import doctest
import re
from importlib import import_module
from pathlib import Path

import pytest

from formparts.manual.examples import LIKE
from formparts.manual.rooms import ROOMS, namespace

ROOT = Path(__file__).parents[2]
FILES = sorted(
    path
    for path in (ROOT / "formparts").rglob("*.py")
    if re.search(r"^ +>>> ", path.read_text(encoding="utf-8"), re.MULTILINE)
)
MODULES = [".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__") for path in FILES]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_are_so(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the names of `formparts` and of the room, as the manual tells its readers to import them."""
    monkeypatch.chdir(tmp_path)
    home = next((home for home in ROOMS if name == home or name.startswith(f"{home}.")), "formparts")
    module = import_module(name)
    ran = doctest.testmod(module, globs={**namespace(home), **vars(module)}, optionflags=LIKE)
    assert ran.attempted > 0
    assert ran.failed == 0


def test_examples_were_found() -> None:
    assert len(MODULES) > 25
