"""Streams that are closed, broken, full or read by nobody: the files are whole, and the exit status is the work's."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from formparts.commands.streams import harmless

ROOT = Path(__file__).parents[2]
QUICK = "family z_clip --grid rise=20,25 --figures-only --workers 1 --out"
RECIPE = """
from typing import Annotated
from formparts import Body, Length, Sheet, plate, recipe, rectangle

class Odd(BaseException):
    def __str__(self):
        raise ValueError("no")

@recipe
def odd(length: Annotated[float, Length("of the plate", 10, 200)] = 50) -> Body:
    \"\"\"A plate, or trouble.\"\"\"
    if length == 11:
        raise Odd
    sheet = Sheet(2, inside_radius=2, material="S235JR")
    return plate(sheet, rectangle(length, 20), name="plate")
"""


def shell(line: str, folder: Path, python: str = "") -> subprocess.CompletedProcess[bytes]:
    """Run a line of the shell in which F is the command; its status, and what came out of it."""
    text = f'F() {{ {sys.executable} {python} -m formparts "$@"; }}; {line}'
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        ["bash", "-c", text], cwd=folder, env=environment, capture_output=True, check=False, timeout=120
    )


@pytest.mark.parametrize(
    ("line", "status", "said"),
    [
        (f"F {QUICK} out >&-", 0, b""),
        (f"F {QUICK} out 2>&-", 0, b""),
        (f"F {QUICK} out >&- 2>&- <&-", 0, b""),
        (f"F {QUICK} out > /dev/full", 0, b"could not be written out: no space left on device"),
        (f"F {QUICK} out | true; exit ${{PIPESTATUS[0]}}", 0, b""),
        (f"F {QUICK.replace('25', '9999')} out --keep-going | true; exit ${{PIPESTATUS[0]}}", 1, b""),
        ("F make nothing_like_it >&- 2>&-", 2, b""),
        ("F make nothing_like_it >&-", 2, b"there is no such recipe"),
    ],
)
def test_streams_that_nobody_reads(line: str, status: int, said: bytes, tmp_path: Path) -> None:
    """No traceback, no file of formparts in the place of a stream, and the family is there whole."""
    done = shell(line, tmp_path)
    assert done.returncode == status, done.stderr
    assert b"Traceback" not in done.stderr
    assert said in done.stderr
    if status != 2:
        assert (tmp_path / "out" / "family.csv").read_bytes().startswith(b"\xef\xbb\xbfname,")
        assert (tmp_path / "out" / "family.sqlite").read_bytes().startswith(b"SQLite format 3\0")


def test_what_the_kernel_says_by_itself_is_not_on_the_standard_output(tmp_path: Path) -> None:
    """Whatever writes to the process's first stream, by any library, comes out as an error stream's."""
    first = "    if length == 11:"
    recipe = RECIPE.replace(first, f"    import os\n    os.write(1, b'chatter')\n{first}")
    (tmp_path / "odd.py").write_text(recipe)
    done = shell("F check odd.py --out out", tmp_path)
    assert b"chatter" not in done.stdout
    assert b"chatter" in done.stderr
    assert done.stdout.startswith(b"odd")


def test_one_line_for_odd_ends_of_a_recipe(tmp_path: Path) -> None:
    """A bare BaseException, and one that cannot be printed; with Python's -OO the recipe keeps its docstring."""
    (tmp_path / "odd.py").write_text(RECIPE)
    for python in ("", "-OO"):
        done = shell("F check odd.py --set length=11 --out out", tmp_path, python)
        assert done.returncode == 2
        assert done.stderr.count(b"\n") == 1
        assert b"odd.py, line 13: the recipe's own code failed: Odd: it cannot be printed" in done.stderr
    assert b"A plate, or trouble." in shell("F describe odd.py", tmp_path, "-OO").stdout


def test_a_folder_whose_name_is_no_text_is_refused_in_one_line(tmp_path: Path) -> None:
    """The kernel opens no such file, so that none could be proved: reported before anything is built."""
    done = shell("F make z_clip --out $'out/\\xff'", tmp_path)
    assert done.returncode == 2
    assert done.stderr.count(b"\n") == 1
    assert b"holds a byte that is not text (UTF-8)" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_names_give_a_terminal_no_orders(tmp_path: Path) -> None:
    """A folder's name with an escape sequence, and one that turns text about, are written out."""
    done = shell(f"F {QUICK} $'a\\x1b[31m\\u202eb'", tmp_path)
    assert done.returncode == 0, done.stderr
    assert b"see a\\x1b[31m\\u202eb/family.html" in done.stdout
    assert b"\x1b" not in done.stdout


def test_plain_text_stays_as_it_is() -> None:
    """Letters of any language, line feeds and tabs."""
    text = "Träger 90° 鋼\tx\n"
    assert harmless(text) == text
    assert harmless("\r\x07\x9b2J") == "\\r\\x07\\x9b2J"
