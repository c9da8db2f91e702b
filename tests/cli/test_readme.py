"""Every command and every Python example in the README is run, unchanged."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest

from formparts import cli, find_recipe
from formparts.commands import watch
from formparts.manual import site
from tests.fuzz import options
from tests.house.texts import shell_blocks

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
MATERIAL = '[[material]]\nname = "shop metal"\ndensity = 7850\nelongation = 20\n'
MEANT = {
    "RECIPE TABLE": "z_clip table.csv --figures-only --out family",
    "RECIPE --grid ...": "z_clip --grid rise=14..18:4 bend_angle=80..90:10",
    "A B": "old.json again.json",
    "NAME": "riser_stack",
    "WORD FILE.step": "check part.step",
    "FILE.step...": "part.step --out unfolded",
    "RECIPE --picture": "z_clip --picture",
    "RECIPE --vary": "ring_riser --vary",
    "RECIPE": "z_clip",
    "FILE": "part",
    "OLD": "old",
}
"""What stands for the words in capitals; the longer ones first."""


def commands() -> list[str]:
    """The commands in the text, and those in its blocks but the first two, which set up and run the suite."""
    inline = re.findall(r"`formparts ([a-z][^`]*)`", README)
    blocks = [re.sub(r"^\S*formparts ", "", block) for block in shell_blocks(README)[2:]]
    return list(dict.fromkeys([*inline, *blocks]))


def words(text: str) -> list[str]:
    """The words of a command with something put for its capitals."""
    text = text.partition(">")[0]
    for capitals, meant in MEANT.items():
        text = re.sub(rf"(?<![\w]){re.escape(capitals)}(?![A-Z])", meant, text, count=1)
    return shlex.split(text)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the README's reader works: the recipe that it shows, and files of the kinds that it speaks of."""
    here = tmp_path_factory.mktemp("readme")
    (recipe,) = re.findall(r"^```python\n(from typing .*?)^```", README, re.MULTILINE | re.DOTALL)
    (here / "bracket.py").write_text(recipe, encoding="utf-8")
    (here / "shop.toml").write_text(MATERIAL, encoding="utf-8")
    (here / "table.csv").write_text("name,rise\nlow,14\nhigh,18\n", encoding="utf-8")
    part = find_recipe("z_clip").part()
    part.write(here / "part.step")
    part.write(here / "old.json")
    part.write(here / "again.json")
    return here


@pytest.fixture
def run(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], int]:
    def stopped(_: float) -> None:
        raise KeyboardInterrupt

    monkeypatch.chdir(folder)
    words_alone = tuple(page for page in site.planned_pages() if page.name == "words")
    monkeypatch.setattr(site, "planned_pages", lambda: words_alone)
    monkeypatch.setattr(watch, "time", SimpleNamespace(sleep=stopped))
    return lambda text: cli.main(words(text))


@pytest.mark.parametrize("text", commands())
def test_a_command_of_the_readme_runs(
    text: str, run: Callable[[str], int], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It ends well, and says something, or writes what it was asked for."""
    if text.startswith("test-strips strips.csv"):
        assert run("test-strips --example") == 0
        (folder / "strips.csv").write_text(capsys.readouterr().out, encoding="utf-8")
    assert run(text) == 0
    assert capsys.readouterr().out


def test_the_python_of_the_readme_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """The part of the example has three lugs and says so by its figures."""
    (block,) = re.findall(r"^```python\n(from formparts .*?)^```", README, re.MULTILINE | re.DOTALL)
    exec(compile(block, "README.md", "exec"), {})
    assert re.match(r"0\.\d+ \d+\.\d* ", capsys.readouterr().out)


def test_every_word_of_the_command_is_in_the_readme() -> None:
    """A word that is added tomorrow is missed here."""
    assert {*options.commands()} <= {text.split()[0] for text in commands()}
