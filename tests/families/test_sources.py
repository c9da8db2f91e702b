"""A family holds parts of one text of its recipe; what its code reads beside it counts as it was read."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from formparts import family, find_recipe
from formparts.families import pool
from tests.families.helpers import ran

pytestmark = pytest.mark.usefixtures("new_workers")
"""A fork would have the modules that the recipe imports already."""

RECIPE = '''
from pathlib import Path
from typing import Annotated
from formparts import Body, Length, Sheet, plate, recipe, rectangle
import widths_of_ours

HERE = Path(__file__).parent

@recipe
def board(length: Annotated[float, Length("of the plate", 10, 500)] = 60) -> Body:
    """A plate; while the one of 61 mm is built somebody edits what it is made from."""
    if length == 61:
        for name in ("board.py", "height.txt"):
            draft = HERE / f"{name}.edited"
            if draft.exists():
                draft.replace(HERE / name)
    width = widths_of_ours.WIDTH + float((HERE / "height.txt").read_text()) + 0
    return plate(Sheet(1, inside_radius=1, material="DC01", bend_rule="K 0.44"), rectangle(length, width), name="plate")
'''


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A recipe, a module of the user's that it imports, and a data file that it reads; one worker for each variant."""
    (tmp_path / "board.py").write_text(RECIPE)
    (tmp_path / "widths_of_ours.py").write_text("WIDTH = 20\n")
    (tmp_path / "height.txt").write_text("5")
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(pool, "RECYCLED_AFTER", 1)
    return tmp_path


def built(folder: Path, *lengths: float) -> tuple[list[float], list[bool]]:
    """Widths of the blanks, and which of them were kept, in the order of the rows."""
    recipe = find_recipe(f"{folder / 'board.py'}:board")
    asked = [{"name": f"v{length}", "length": length} for length in lengths]
    rows = list(family(recipe, asked, folder / "out", only=("json",), workers=1))
    assert [row.error for row in rows] == [""] * len(lengths)
    rows.sort(key=lambda row: row.name)
    return [row.figures["blank_width_mm"] for row in rows], [row.kept for row in rows]


def test_a_recipe_that_is_edited_during_the_run_gives_one_family(folder: Path) -> None:
    """
    Every worker builds the text that was hashed at the start, though each loads it after the edit.

    By hand: 20 + 5 = 25 mm wide; by the edited text 7 mm wider. Changed back, all are kept, and are of that text.
    """
    edited = RECIPE.replace("read_text()) + 0", "read_text()) + 7")
    (folder / "board.py.edited").write_text(edited)
    assert built(folder, 61, 62) == ([25.0, 25.0], [False, False])
    assert (folder / "board.py").read_text() == edited
    (folder / "board.py").write_text(RECIPE)
    assert built(folder, 61, 62) == ([25.0, 25.0], [True, True])
    (folder / "board.py").write_text(edited)
    assert built(folder, 61) == ([32.0], [False])


def test_what_a_recipe_reads_counts_as_it_was_read(folder: Path) -> None:
    """
    A data file is edited during the run and changed back: the next run builds just those of the other text anew.

    By hand: 20 + 5 = 25 mm, of the edited file 20 + 9 = 29 mm. A module of the user's beside the recipe counts too.
    """
    (folder / "height.txt.edited").write_text("9")
    assert built(folder, 60, 61) == ([25.0, 29.0], [False, False])
    (folder / "height.txt").write_text("5")
    assert built(folder, 60, 61) == ([25.0, 25.0], [True, False])
    assert built(folder, 60, 61) == ([25.0, 25.0], [True, True])
    (folder / "widths_of_ours.py").write_text("WIDTH = 2000 // 50\n")
    assert built(folder, 61) == ([45.0], [False])


def test_the_command_says_what_was_changed_during_the_run(folder: Path) -> None:
    """
    One line, exit 1: parts of two texts are in one table until it is run again, and then all is well.

    One worker read both texts, so that nobody knows what it may have kept of the first: nothing of it is kept.
    """
    (folder / "height.txt.edited").write_text("9")
    grid = ("--grid", "length=60,61", "--only", "json", "--workers", "1", "--out", folder / "out")

    def command() -> subprocess.CompletedProcess[str]:
        return ran(f"{folder / 'board.py'}:board", *grid, path=folder)

    first, second = command(), command()
    assert first.returncode == 1, first.stderr
    assert "board: height.txt was changed while the family was built" in first.stderr
    assert second.returncode == 0, second.stderr
    assert "2 made (0 of them were there)" in second.stdout
