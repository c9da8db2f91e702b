"""What the fuzz tool found, each kept as a case of its own: one line, exit 2, nothing written."""

from __future__ import annotations

import io
import json
import os
import sys
from pathlib import Path

import pytest

from formparts.cli import LONGEST_LINE, main
from formparts.fea.names import named
from formparts.quantities.text import split
from formparts.recipe_functions import discovery
from tests.fuzz.run import time_limit

FAMILY = ["family", "z_clip", "table.csv", "--figures-only", "--out", "family"]
TABLE = ["family", "z_clip", "table.toml", "--figures-only", "--out", "family"]

CASES: dict[str, tuple[list[str], dict[str, str], str]] = {
    "deep TOML table": (TABLE, {"table.toml": "a = " + "[" * 20_000}, "nested too deeply"),
    "deep TOML limits": (["check", "z_clip", "--limits", "l.toml"], {"l.toml": "{a=" * 5000}, "TOML"),
    "deep TOML figures": (
        ["make", "z_clip", "--expect", "e.toml"],
        {"e.toml": "mass = " + "[" * 20_000},
        "too deeply",
    ),
    "a number of 6000 digits": (TABLE, {"table.toml": "a = " + "9" * 6000}, "cannot be read"),
    "a grid's number of 5000 digits": (
        ["family", "z_clip", "--grid", f"rise={'9' * 5000}..9:1", "--out", "family"],
        {},
        "FROM..TO:STEP",
    ),
    "a grid of 10^18": (
        ["family", "z_clip", "--grid", "rise=0..1e9mm:1e-9", "--out", "family"],
        {},
        "take larger steps",
    ),
    "two long axes": (
        ["region", "z_clip", "--grid", "rise=20..60:0.0002", "foot=20..60:0.0002"],
        {},
        "take larger steps",
    ),
    "60,000 values": (
        ["family", "z_clip", "--grid", "rise=" + ",".join(map(str, range(60_000))) + ",7", "--out", "f"],
        {},
        "has 7 twice",
    ),
    "a great array": (["make", "ring_riser", "--set", "lug_count=1000000000"], {}, "1000000000"),
    "100,000 columns": (
        FAMILY,
        {"table.csv": "name," + ",".join(f"p{n}" for n in range(100_000))},
        "1000 are read",
    ),
    "a heading of blanks": (
        FAMILY,
        {"table.csv": f"name,a{' ' * 40_000}[\nx,1\n"},
        "is not a parameter's name",
    ),
    "a hexadecimal number of 9000 digits": (
        TABLE,
        {"table.toml": "a = 0x" + "f" * 9000},
        "more than 64 bits",
    ),
    "a limit of 9000 digits": (
        ["check", "z_clip", "--limits", "l.toml"],
        {"l.toml": "limit = 0x" + "f" * 9000},
        "more than 64 bits",
    ),
    "the least of nothing": (["solve", "z_clip", "--vary", "rise=20..30", "--minimise", ""], {}, "z_clip"),
    "a cell of 300,000 letters in allowances": (
        ["make", "z_clip", "--set", "bend_rule=a.csv"],
        {
            "a.csv": "thickness [mm],inside_radius [mm],angle [deg],allowance [mm]\n2,2,90," + "a" * 300_000,
        },
        "line 2: field larger",
    ),
    "a deep JSON": (["compare", "a.json", "a.json"], {"a.json": "[" * 50_000}, "not the JSON file of a part"),
    "pairs in a JSON": (
        ["compare", "a.json", "a.json"],
        {"a.json": '{"recipe": "z_clip", "parameters": [[1, 2]]}'},
        "not the JSON file",
    ),
    "a long name": (["make", "a" * 5000], {}, "there is no such recipe"),
    "a long file": (["make", "a" * 5000 + ".py"], {}, "there is no such file"),
    "nobody's home": (["make", "~nobody_is_here/x.py"], {}, "there is no such file"),
    "a long STEP file": (["unfold", "a" * 5000 + ".step"], {}, "file name too long"),
    "a long option": (["make", "z_clip", "--nothing", "x" * 100_000], {}, "unrecognized arguments"),
    "200 unknown names": (["make", "z_clip", "--set", *(f"p{n}=1" for n in range(200))], {}, "and 187 more"),
    "escapes for a terminal": (["make", "\x1b[31mred"], {}, "there is no such recipe"),
    "less than nothing": (["make", "z_clip", "--tolerance", "-2%"], {}, "--tolerance = -2%"),
    "less than no length": (["make", "z_clip", "--mesh", "glb", "--chord", "-1mm"], {}, "--chord = -1mm"),
}


@pytest.mark.parametrize("case", CASES)
def test_one_line_and_nothing_written(
    case: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Refused within the time that is given, in one printable line of readable length."""
    monkeypatch.chdir(tmp_path)
    words, files, said = CASES[case]
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    with time_limit():
        assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    assert err.endswith("\n")
    assert err[:-1].isprintable()
    assert len(err) < LONGEST_LINE + 10
    assert {path.name for path in tmp_path.iterdir()} == set(files)


def test_bad_cells_are_named_in_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cell of 60,000 figures and blanks, under a heading with a unit, is not a number and takes no time."""
    monkeypatch.chdir(tmp_path)
    Path("table.csv").write_text(f"name,rise [mm]\nx,{'1 ' * 30_000}z\ny,{' ' * 60_000}q\n", encoding="utf-8")
    with time_limit():
        assert main(FAMILY) == 2


@pytest.mark.parametrize(
    ("pattern", "found"),
    [
        ("lug[*].tip", ["lug[1].tip", "lug[12].tip"]),
        ("*", ["lug[1].tip", "lug[12].tip", "aa", "plate.hole"]),
        ("plate*hole", ["plate.hole"]),
        ("a*a", ["aa"]),
        ("*.hole", ["plate.hole"]),
        ("l*g*t*p", ["lug[1].tip", "lug[12].tip"]),
    ],
)
def test_stars_stand_for_any_text(pattern: str, found: list[str]) -> None:
    """Expected by reading; `a*a` needs two letters."""
    assert named(["lug[1].tip", "lug[12].tip", "aa", "plate.hole", "a"], pattern, "part", "fix") == (
        [*found, "a"] if pattern == "*" else found
    )


def test_many_stars_take_no_time() -> None:
    """As a regular expression this would be tried in more ways than there are seconds."""
    with time_limit(), pytest.raises(ValueError, match="names nothing"):
        named(["flange.inner.upper" * 3], "*" * 60 + "z", "part", "fix")


def test_a_number_longer_than_any_is_none() -> None:
    assert split("9" * 5000) is None


def test_a_value_with_a_minus_goes_to_its_option(capsys: pytest.CaptureFixture[str]) -> None:
    """`--up -1,0,0` is a direction and not an option; the file is then looked for."""
    assert main(["unfold", "nothing.step", "--up", "-1,0,0"]) == 2
    assert "there is no such file" in capsys.readouterr().err


def test_a_name_that_is_no_text_is_printed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A folder's name may be any bytes; it is shown with escapes, on a terminal of any coding."""
    shown = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr(sys, "stdout", shown)
    out = tmp_path / os.fsdecode(b"caf\xff")
    words = ["family", "z_clip", "--grid", "rise=20,25", "--figures-only", "--out", str(out)]
    assert main(words) == 0
    shown.flush()
    assert b"\\udcff" in shown.buffer.getvalue()  # type: ignore[attr-defined]


def test_list_shows_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """One file that cannot be loaded: the others are listed, and a line says what is wrong with it."""
    good = (
        '"""x"""\nfrom formparts import Body, Sheet, plate, rectangle, recipe\n@recipe\ndef good() -> Body:\n'
    )
    good += '    """A plate."""\n    return plate(Sheet(1, 1, "DC01", 0.44), rectangle(9, 9))\n'
    (tmp_path / "good.py").write_text(good, encoding="utf-8")
    (tmp_path / "bad.py").write_text("import nothing_of_that_name\n", encoding="utf-8")
    (tmp_path / "assemblies").mkdir()
    (tmp_path / "assemblies" / "worse.py").write_text("(\n", encoding="utf-8")
    monkeypatch.setattr(discovery, "shipped_folder", lambda: tmp_path)
    assert main(["list"]) == 1
    out, err = capsys.readouterr()
    assert "good  A plate." in out
    assert err.count("\n") == 2
    assert "bad.py, line 1" in err
    assert "worse.py, line 1" in err


@pytest.mark.parametrize("kind", ["file", "link to a file", "link to nothing", "no permission"])
def test_an_out_folder_that_is_none(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is written, not even through a link."""
    place, other = tmp_path / "out", tmp_path / "other"
    if kind == "no permission":
        place = Path("/proc/formparts_out")
    elif kind == "link to nothing":
        place.symlink_to(tmp_path / "nowhere" / "deep")
    else:
        other.write_text("kept")
        (place.symlink_to(other) if kind == "link to a file" else place.write_text("kept"))
    assert main(["family", "z_clip", "--grid", "rise=20,25", "--figures-only", "--out", str(place)]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert not other.exists() or other.read_text() == "kept"


def test_a_link_in_the_out_folder_is_refused_or_replaced_and_never_followed(tmp_path: Path) -> None:
    """A file of another, linked under a name that we write, keeps its content."""
    other, out = tmp_path / "other.txt", tmp_path / "out"
    other.write_text("kept")
    out.mkdir()
    (out / "family.csv").symlink_to(other)
    words = ["family", "z_clip", "--grid", "rise=20,25", "--figures-only", "--out", str(out)]
    assert main(words) == 2
    assert (out / "family.csv").is_symlink()
    assert main([*words, "--overwrite"]) == 0
    assert other.read_text() == "kept"
    assert not (out / "family.csv").is_symlink()


@pytest.mark.parametrize(
    "name", ["../escaped", "/tmp_escaped", "a/../../escaped", "..", "nul\0l", "x\\..\\y"]
)
def test_no_name_leads_out_of_the_folder(name: str, tmp_path: Path) -> None:
    """Names of variants from a table of somebody else."""
    table = tmp_path / "table.toml"
    table.write_text(f"[[variant]]\nname = {json.dumps(name)}\nrise = 25\n", encoding="utf-8")
    out = tmp_path / "deep" / "out"
    words = ["family", "z_clip", str(table), "--only", "json", "--workers", "1", "--out", str(out)]
    assert main(words) in (0, 1, 2)
    assert {path.name for path in tmp_path.iterdir()} <= {"table.toml", "deep"}
    assert [path.name for path in (tmp_path / "deep").iterdir()] in ([], ["out"])
