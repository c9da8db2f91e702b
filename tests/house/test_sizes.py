"""Functions read like a toolmaker's sentence and files have one subject; the measure itself is tested."""

from __future__ import annotations

from pathlib import Path

from tests.house.sizes import file_faults, function_faults, function_sizes, percentile

ROOT = Path(__file__).parents[2]


def texts(*folders: str) -> dict[str, str]:
    paths = sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))
    return {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in paths}


def test_functions_are_short() -> None:
    """The median function has at most 8 lines, and 95 of 100 have at most 32."""
    assert function_faults(texts("formparts", "recipes")) == []


def test_files_are_short() -> None:
    """No file has more than 450 lines, unless DEVELOPERS.md names it and says why."""
    developers = ROOT / "DEVELOPERS.md"
    reasons = developers.read_text(encoding="utf-8") if developers.exists() else ""
    assert file_faults(texts("formparts", "recipes", "tests"), reasons) == []


def test_lines_are_counted_by_hand() -> None:
    """Signature, docstring, comments and blank lines are not code; a string over three lines is three."""
    text = '''
def span(
    width,
    count,
):
    """
    Sum.
    """
    # why
    total = (
        width

        * count
    )

    return total


class Strip:
    def stub(self):
        """Say nothing."""

    def other_stub(self): ...

    def text(self):
        return """a
        b
        c"""
'''
    assert function_sizes(text) == {"span:2": 5, "text:25": 3}


def function(lines: int) -> str:
    return "def f():\n" + "    x = 1\n" * lines


def test_long_functions_are_found() -> None:
    """Each of the two measures can fail, at the line after the last that is allowed."""
    assert (
        function_faults({"a.py": function(8)})
        == function_faults({"a.py": function(8) * 99 + function(400)})
        == []
    )
    assert "median" in function_faults({"a.py": function(9)})[0]
    many = function(2) * 90
    assert function_faults({"a.py": many + function(32) * 10}) == []
    assert "95 %" in function_faults({"a.py": many + function(33) * 10})[0]
    assert percentile(list(range(1, 101)), 0.95) == 95


def test_long_files_are_found_unless_excused_with_a_reason() -> None:
    """A name alone is not an excuse."""
    long = {"formparts/a.py": "x = 1\n" * 451}
    assert file_faults({"formparts/a.py": "x = 1\n" * 450}, "") == []
    assert file_faults(long, "") == ["formparts/a.py: 451 lines, more than 450"]
    assert file_faults(long, "`formparts/a.py` is long.") != []
    assert file_faults(long, "`formparts/a.py` is long: it is one table of one standard.") == []
    assert file_faults(long, "`formparts/b.py` is long: it is one table of one standard.") != []
