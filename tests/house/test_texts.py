"""What is committed belongs there: top level, no path of one machine, and no host of a registry."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

import formparts
from tests.house.texts import (
    command_faults,
    latest_change,
    place_faults,
    read,
    shell_blocks,
    top_level_faults,
    version_faults,
)

ROOT = Path(__file__).parents[2]


def tracked() -> list[str]:
    """Give the committed files; outside a checkout (a plain archive) there is nothing to hold."""
    if not (ROOT / ".git").exists():
        pytest.skip("this is not a git checkout, so nothing says which files are committed")
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True)
    return listed.stdout.splitlines()


def test_top_level_is_as_planned() -> None:
    """Nothing is committed at the top level beside what the plan has."""
    assert top_level_faults(tracked()) == []


def test_no_file_knows_its_machine() -> None:
    """No committed text names a folder of one machine, or a host that packages come from."""
    faults = []
    for name in tracked():
        content = (ROOT / name).read_bytes() if (ROOT / name).is_file() else b""
        if b"\0" not in content:  # a picture says nothing, and some bytes of it may look like a path
            faults += place_faults(name, content.decode("utf-8"))
    assert faults == []


def test_planted_top_level_names_are_found() -> None:
    """A stray file is found; dot-files and the planned names are let pass."""
    assert top_level_faults([".ci/run", "formparts/body.py", "README.md", "LICENSE"]) == []
    assert top_level_faults(["notes.txt", "build/x.py", "tests/a.py"]) == ["build", "notes.txt"]


@pytest.mark.parametrize("folder", ["work", "tmp", "home", "root", "Users"])
def test_planted_machine_paths_are_found(folder: str) -> None:
    """A path of a machine is found anywhere in a line."""
    for before in ("", "see ", "path='", '("', "PATH="):
        assert place_faults("a.py", f"x\n{before}/{folder}/part.step") == [f"a.py:2: /{folder}/p"]
    assert place_faults("a.py", f"C:{chr(92)}parts") == [f"a.py:1: C:{chr(92)}p"]


@pytest.mark.parametrize("host", ["pypi", "files.pythonhosted"])
def test_planted_registry_hosts_are_found(host: str) -> None:
    """A host is found with or without what comes before it."""
    assert place_faults("a.toml", f"url = https://{host}.org/simple") != []


@pytest.mark.parametrize(
    "text", ["out/part.step", "a/tmp/b", "recipes/z_clip.py", "1/2 in", "and/or", "http://w3.org/tmp/x"]
)
def test_ordinary_paths_are_let_pass(text: str) -> None:
    """Relative paths, fractions and addresses of standards are not paths of a machine."""
    assert place_faults("a.md", text) == []


README = (
    "# x\n\n```sh\nmake one\n```\ntext\n```python\nx\n```\n```sh\nrun tests\n```\n```sh\nmore\nlines\n```\n"
)


def test_readme_rule_can_fail() -> None:
    """Two one-line commands, the second run by CI: each part of the rule finds its fault."""
    assert shell_blocks(README) == ["make one", "run tests", "more\nlines"]
    assert command_faults(README, "set -e\nrun tests\n") == []
    assert command_faults(README, "set -e\nrun other tests\n") == [
        "CI does not run the README's second command"
    ]
    assert command_faults(README.replace("make one", "make\none"), "run tests") == [
        "block 1 has more than one line"
    ]
    assert command_faults("# x\n```sh\na\n```\n", "a") == ["README.md has 1 sh blocks, not two"]


def test_version_rule_can_fail() -> None:
    """One version in three places; the newest entry of the changes comes first."""
    pyproject = '[project]\nversion = "1.2.0"\n'
    developers = "# How\n\n1.0.0 is old.\n\n## Changes\n\n- **1.2.0**: lugs.\n- **1.1.0**: bends.\n"
    assert latest_change(developers) == "1.2.0"
    assert version_faults(pyproject, "1.2.0", developers) == []
    assert len(version_faults(pyproject, "1.2.1", developers)) == 1
    assert len(version_faults(pyproject, "1.2.0", developers.replace("1.2.0", "1.3.0"))) == 1
    assert latest_change("# How\n") == ""


def test_readme_commands_are_what_ci_runs() -> None:
    """The README's first two sh blocks are one line each, and CI runs the second."""
    assert command_faults(read(ROOT / "README.md"), read(ROOT / ".ci" / "run")) == []


def test_version_is_one() -> None:
    """The project file, formparts and the newest entry of Changes say the same version."""
    project = read(ROOT / "pyproject.toml")
    assert version_faults(project, formparts.__version__, read(ROOT / "DEVELOPERS.md")) == []


def test_python_of_the_readme_runs(tmp_path: Path) -> None:
    """What the README shows can be typed: its recipe is made by path, and its second block runs."""
    first, second = re.findall(r"```python\n(.*?)```", read(ROOT / "README.md"), re.DOTALL)
    (tmp_path / "bracket.py").write_text(first)
    body = formparts.find_recipe(f"{tmp_path / 'bracket.py'}:bracket")(length=120, height="1.5in")
    assert {flat.name for flat in body.flats} == {"plate", "flange"}
    assert len(first.strip().splitlines()) <= 24
    exec(compile(second, "README.md", "exec"), {})
