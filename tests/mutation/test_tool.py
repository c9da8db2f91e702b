"""The tool itself, on a toy room: faults that its tests notice, one that runs for ever, one that none can notice."""

from __future__ import annotations

import ast
import textwrap
from pathlib import Path

import pytest

from tests.mutation import serving
from tests.mutation.__main__ import asked_for, files_of, files_of_tests, report, run, sampled
from tests.mutation.mutants import mutants
from tests.mutation.survivors import LIST, accepted, key_of, tallied

TOY = '''
"""A toy."""

from __future__ import annotations

LEAST = 0


def larger(a: float, b: float) -> float:
    """The larger of two."""
    return a if a > b else b


def halvings(size: int) -> int:
    """How often a number can be halved before it is at LEAST."""
    count = 0
    while size > LEAST:
        size = size // 2
        count += 1
    return count


def forgotten(a: float) -> float:
    """Nobody asks for it."""
    return -a
'''
TESTS = """
import subprocess, sys
from formparts.toy import halvings, larger

def test_larger():
    assert (larger(1, 2), larger(2, 1)) == (2, 2)

def test_larger_and_a_child_that_limits_itself():
    limit = "import resource as r; r.setrlimit(r.RLIMIT_AS, (1 << 40, r.getrlimit(r.RLIMIT_AS)[1]))"
    assert larger(subprocess.run([sys.executable, "-c", limit]).returncode, -1) == 0

def test_halvings():
    assert halvings(5) == 3
"""


@pytest.fixture
def toy(tmp_path: Path) -> Path:
    """A tree of one room and its tests, with this project's own settings of pytest."""
    for name, text in (
        ("formparts/__init__.py", ""),
        ("formparts/toy.py", TOY),
        ("tests/toy/test_toy.py", TESTS),
        ("pyproject.toml", (Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8")),
    ):
        (tmp_path / "tree" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "tree" / name).write_text(text, encoding="utf-8")
    return tmp_path / "tree"


def test_folders_of_tests_go_by_name_or_path(toy: Path) -> None:
    """A folder that has no tests would let every fault live."""
    for folder in ("toy", "tests/toy"):
        assert files_of_tests(toy, [folder]) == ["tests/toy/test_toy.py"]
    with pytest.raises(SystemExit, match="there are no tests in toys"):
        files_of_tests(toy, ["toys"])


def test_each_fault_of_the_toy_room(
    toy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the tests of the toy can tell, worked out by reading them."""
    monkeypatch.setattr(serving, "SLACK", 0.5)
    options = asked_for(["toy", "--root", str(toy)])
    wanted = {
        "a > b -> a >= b": "survived",  # of two equal numbers either is the larger
        "a > b -> a <= b": "killed",
        "0 -> 1 (no. 1)": "killed",  # at the module's own level, so in a process of its own: 5, 2, 1 is one short
        "size // 2 -> size * 2": "timed out",
        "count += 1 -> pass": "killed",
        "-a -> a": "unreached",
    }
    faults = [fault for fault in sampled(toy, ["toy"], 100, 1) if _name(fault.line, fault.change) in wanted]
    outcomes = run(toy, faults, options, tmp_path / "work")
    assert {_name(o.mutant.line, o.mutant.change): o.state for o in outcomes} == wanted
    (tally,) = tallied(outcomes, {key_of(o.mutant): "equal" for o in outcomes if o.state == "survived"})
    assert (tally.rate, tally.rate_without_excused) == (
        pytest.approx(100 * 4 / 6),
        pytest.approx(100 * 4 / 5),
    )
    assert (toy / "formparts/toy.py").read_text(encoding="utf-8") == TOY
    assert "unreached formparts/toy.py:25  -a -> a" in report([tally], tally.reasons)
    assert "unreached formparts/toy.py:25  -a -> a" in capsys.readouterr().out


def _name(line: int, change: str) -> str:
    """The change; that of the constant by its line, for there is another like it."""
    return f"{change} (no. 1)" if (line, change) == (6, "0 -> 1") else change


def test_faults_are_small_and_of_every_kind(tmp_path: Path) -> None:
    """One line, and all that can go wrong with it; each compiles, and differs from the line in its syntax tree."""
    text = textwrap.dedent(
        '''
        def turned(x: float, y: float) -> float:
            """x + y is not a code."""
            if not x and y < 2:
                raise ValueError("x - y", 3)
            return math.sin(max(x, y)) * spread(x, y)
        '''
    )
    path = tmp_path / "turned.py"
    path.write_text(text, encoding="utf-8")
    found = mutants(path, "turned.py")
    assert {fault.change for fault in found} == {
        *("not x and y < 2 -> not x or y < 2", "not x -> x", "y < 2 -> y <= 2", "y < 2 -> y >= 2"),
        *("2 -> 3", "2 -> 1", "raise ValueError('x - y', 3) -> pass"),
        "return math.sin(max(x, y)) * spread(x, y) -> return None",
        "math.sin(max(x, y)) * spread(x, y) -> math.sin(max(x, y)) / spread(x, y)",
        *("math.sin(max(x, y)) -> math.cos(max(x, y))", "max(x, y) -> min(x, y)"),
        "spread(x, y) -> spread(y, x)",
    }
    for fault in found:
        changed = fault.applied(text.encode()).decode()
        assert ast.dump(ast.parse(changed)) != ast.dump(ast.parse(text))


def test_words_and_units_that_people_read_are_swapped(tmp_path: Path) -> None:
    """Headings, keys and filled texts, one word each; docstrings and the texts of errors are left alone."""
    text = textwrap.dedent(
        '''
        def row(force: float, length: float) -> tuple[str, ...]:
            """The length in kN is not a code."""
            if force < 0:
                raise InputError("row", "length", force, "is not up", "kN")
            return ("force [kN]", "area [mm2]", f"{length} long, bend up, {force:.1f} kN", "uphill, kNot")
        '''
    )
    path = tmp_path / "row.py"
    path.write_text(text, encoding="utf-8")
    found = [
        fault for fault in mutants(path, "row.py") if "'" in fault.change and "return" not in fault.change
    ]
    assert sorted(fault.change for fault in found if "raise" not in fault.change) == [
        "'area [mm2]' -> 'area [mm3]'",
        "'force [kN]' -> 'force [N]'",
        "f'{length} long, bend up, {force:.1f} kN' -> f'{length} long, bend down, {force:.1f} kN'",
        "f'{length} long, bend up, {force:.1f} kN' -> f'{length} long, bend up, {force:.1f} N'",
    ]
    for fault in found:
        ast.parse(fault.applied(text.encode()).decode())


def test_only_the_bounds_that_are_no_tolerances_are_moved(tmp_path: Path) -> None:
    """What lies just at a tolerance nobody asks; at a count, a plain figure, or with the sides exchanged they do."""
    text = textwrap.dedent(
        """
        from formparts.tolerances import LENGTH as SMALL

        OWN = 2.0 * 1e-3
        MOST = 4


        def looked_at(size: float, count: int, tolerance: float) -> bool:
            if size < SMALL or size > -OWN or 0.0 <= size <= tolerance:
                return False
            return count < MOST or size < 5.0
        """
    )
    path = tmp_path / "looked.py"
    path.write_text(text, encoding="utf-8")
    changes = {fault.change for fault in mutants(path, "looked.py") if " -> " in fault.change}
    moved = {change for change in changes if "<" in change or ">" in change.replace("->", "")}
    kept = {
        change
        for change in moved
        if not change.startswith(("if", "return", "count < MOST or", "size < SMALL or"))
    }
    assert kept == {
        *("size < SMALL -> size >= SMALL", "size > -OWN -> size <= -OWN"),
        *(
            "0.0 <= size <= tolerance -> 0.0 < size <= tolerance",
            "0.0 <= size <= tolerance -> 0.0 > size <= tolerance",
        ),
        "0.0 <= size <= tolerance -> 0.0 <= size > tolerance",
        *("count < MOST -> count <= MOST", "count < MOST -> count >= MOST"),
        *("size < 5.0 -> size <= 5.0", "size < 5.0 -> size >= 5.0"),
    }


def test_factors_of_tolerances_stay_and_other_numbers_do_not(tmp_path: Path) -> None:
    """How many times a rounding is let pass nobody asks; that it is multiplied, and not divided by, they do."""
    text = textwrap.dedent(
        """
        from formparts.tolerances import LENGTH


        def slack(size: float) -> float:
            return 2.0 * LENGTH + LENGTH**2 + 5.0 * size
        """
    )
    path = tmp_path / "slack.py"
    path.write_text(text, encoding="utf-8")
    changes = {fault.change for fault in mutants(path, "slack.py")}
    assert {
        "5.0 -> 6.0",
        "5.0 -> 4.0",
        "2.0 * LENGTH -> 2.0 / LENGTH",
        "LENGTH ** 2 -> LENGTH * 2",
    } <= changes
    assert not {change for change in changes if change.startswith(("2.0 ->", "2 ->"))}


def test_round_figures_stay_and_small_counts_do_not(tmp_path: Path) -> None:
    """One place more of thirty, or one digit more of six, nobody asks; of a count of three they do."""
    text = textwrap.dedent(
        """
        PLACES = 29
        SIDES = 3


        def kept(size: float) -> float:
            return round(size, 6) + 29
        """
    )
    path = tmp_path / "kept.py"
    path.write_text(text, encoding="utf-8")
    changes = {fault.change for fault in mutants(path, "kept.py") if fault.change[0].isdigit()}
    assert changes == {"3 -> 4", "3 -> 2", "29 -> 30", "29 -> 28"}
    assert {fault.line for fault in mutants(path, "kept.py") if fault.change.startswith("29 ")} == {7}


def test_listed_survivors_are_there_and_have_a_reason() -> None:
    """What the code no longer holds is struck off the list."""
    root = Path(__file__).parents[2]
    reasons = accepted()
    files = {file for file, _, _ in reasons}
    there = {key_of(fault) for file in files for fault in mutants(root / file, file)}
    assert set(reasons) <= there, f"not in the code any more: {sorted(set(reasons) - there)}"
    assert all(len(reason) > 10 for reason in reasons.values())
    assert len(LIST.read_text(encoding="utf-8").splitlines()) == 1 + len(reasons), "one is listed twice"


def test_rooms_are_folders_or_files() -> None:
    root = Path(__file__).parents[2]
    assert "formparts/outline/edges.py" in files_of(root, "outline")
    assert files_of(root, "blanks") == ["formparts/blanks.py"]
    with pytest.raises(SystemExit, match="there is no room roof"):
        files_of(root, "roof")
