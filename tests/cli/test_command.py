"""The command: exit codes, one line on stderr, no kernel for help, and the awkward ends of pipes and folders."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from formparts.cli import main
from formparts.closed_forms import properties
from formparts.commands.values import arranged
from formparts.recipe_functions import find_recipe

ROOT = Path(__file__).parents[2]


def command(*arguments: str, **more: object) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **dict(more.pop("env", {}))}  # type: ignore[call-overload]
    return subprocess.run(
        [sys.executable, "-m", "formparts", *arguments], capture_output=True, text=True, env=environment, check=False,
        **more,  # type: ignore[call-overload]
    )  # fmt: skip


BAD: dict[str, tuple[list[str], str]] = {
    "no command": ([], "COMMAND"),
    "unknown command": (["build"], "'build'"),
    "no recipe": (["make"], "RECIPE"),
    "unknown recipe": (["make", "bracket"], "corner_tray, gauge_case"),
    "an assembly": (["make", "riser_stack"], "say formparts assemble riser_stack"),
    "unknown recipe described": (["describe", "bracket"], "corner_tray, gauge_case"),
    "no such file": (["make", "nowhere.py:part"], "there is no such file"),
    "unknown parameter": (["make", "z_clip", "--set", "foots=3"], "did you mean foot"),
    "no value": (["make", "z_clip", "--set", "foot"], "write it as"),
    "empty value": (["make", "z_clip", "--set", "foot="], "write it as"),
    "twice": (["make", "z_clip", "--set", "foot=30", "--set", "foot=31"], "give it once"),
    "text": (["make", "z_clip", "--set", "foot=long"], "foot = long"),
    "nan": (["make", "z_clip", "--set", "foot=nan"], "foot = nan"),
    "infinite": (["make", "z_clip", "--set", "foot=1e999"], "foot = 1e999"),
    "zero": (["make", "z_clip", "--set", "foot=0"], "3 to 1000 mm is allowed"),
    "negative": (["make", "z_clip", "--set", "foot=-5"], "3 to 1000 mm is allowed"),
    "too large": (["make", "z_clip", "--set", "foot=2 m"], "2000 mm is larger than the greatest"),
    "wrong unit": (["make", "z_clip", "--set", "foot=3 kg"], "kg measures mass"),
    "decimal comma": (["make", "z_clip", "--set", "foot=30,5"], "30.5"),
    "half a lug": (["make", "ring_riser", "--set", "lug_count=4.5"], "not a whole number"),
    "unknown material": (["make", "z_clip", "--set", "material=butter"], "there are: "),
    "unknown rule": (["make", "z_clip", "--set", "bend_rule=guess"], "one of: "),
    "impossible": (["make", "z_clip", "--set", "rise=3"], "z_clip: run 2"),
    "impossible together": (["make", "ring_riser", "--set", "opening=60"], "ring_riser: "),
    "lugs through each other": (
        ["make", "ring_riser", "--set", "lug_count=14"],
        "fewer, narrower or shorter",
    ),
    "slot wider than long": (["make", "z_clip", "--set", "head_slot=4"], "z_clip: "),
    "expect nothing": (["make", "z_clip", "--expect", "mass"], "as in mass=0.86kg"),
    "expect what is not known": (["make", "z_clip", "--expect", "weight=1kg"], "one of mass, volume"),
    "expect zero": (["make", "z_clip", "--expect", "mass=0"], "more than 0 kg"),
    "expect another kind": (["make", "z_clip", "--expect", "mass=3mm"], "a mass is wanted"),
    "within too much": (["make", "z_clip", "--tolerance", "500%"], "--tolerance"),
    "unknown DXF": (["make", "z_clip", "--dxf", "R9"], "DXF version = R9"),
    "unknown STEP": (["make", "z_clip", "--step", "AP203"], "AP214"),
    "out is empty": (["make", "z_clip", "--out", ""], "out = ''"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_input_exits_2_with_one_line(
    case: str, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    arguments, words = BAD[case]
    assert main(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.endswith("\n")
    assert err.count("\n") == 1
    assert words in err
    assert "Traceback" not in err
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("make --set a=1 b=2 part --out x", "make part --set a=1 b=2 --out x"),
        ("make --out x --set a=1 p.py:f", "make p.py:f --out x --set a=1"),
        ("solve --vary a=1..2 part --target mass=1kg", "solve part --vary a=1..2 --target mass=1kg"),
        ("make part --set a=1 b", None),
        ("make --set part", None),
        ("make --out part", None),
        ("make", None),
    ],
)
def test_a_recipe_behind_its_parameters_is_found(words: str, wanted: str | None) -> None:
    """It is not NAME=VALUE; what follows a recipe in front, or no value at all, is left to be refused."""
    assert arranged(words.split()) == (wanted or words).split()


def test_parameters_may_stand_before_the_recipe(capsys: pytest.CaptureFixture[str]) -> None:
    """The same complaint of the same part, wherever it is."""
    assert main(["make", "z_clip", "--set", "foot=nan"]) == main(["make", "--set", "foot=nan", "z_clip"]) == 2
    first, second = capsys.readouterr().err.splitlines()
    assert first == second


def test_out_is_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "taken").write_text("mine")
    assert main(["make", "z_clip", "--out", str(tmp_path / "taken")]) == 2
    assert "is a file, and a folder is wanted" in capsys.readouterr().err
    assert main(["make", "z_clip", "--out", str(tmp_path / "taken" / "below")]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert (tmp_path / "taken").read_text() == "mine"


def test_no_permission_to_write(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder that even root cannot write to is the process table; for others a read-only one is as good."""
    tmp_path.chmod(0o500)
    place = "/proc/self" if os.access(tmp_path, os.W_OK) else str(tmp_path)
    if not Path(place).is_dir():
        pytest.skip("this system lets root write everywhere, and has no process table")
    assert main(["make", "z_clip", "--out", place]) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert place in err


@pytest.mark.slow
def test_all_is_well_exits_0(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["make", "z_clip", "--set", "foot=40", "rise=1 in", "--out", str(tmp_path)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert "z_clip: DX51D+Z, 2 mm" in out
    assert max(map(len, out.splitlines())) < 200
    data = json.loads((tmp_path / "z_clip.json").read_text())
    assert (data["parameters"]["foot"], data["parameters"]["rise"]) == (40.0, 25.4)


@pytest.mark.slow
def test_drawing_that_is_off_exits_1_and_says_by_how_much(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Twice the mass of the part is 50 % off, whatever the part weighs."""
    mass = properties(find_recipe("z_clip")()).mass
    twice = ["make", "z_clip", "--out", str(tmp_path), "--expect", f"mass={2 * mass}kg"]
    assert main(twice) == 1
    assert "-50.000 %, allowed 0.5 %" in capsys.readouterr().out
    assert main([*twice, "--tolerance", "50%"]) == 0
    data = json.loads((tmp_path / "z_clip.json").read_text())
    assert data["expected"][0]["deviation_percent"] == pytest.approx(-50)
    assert data["expected"][0]["within_tolerance"] is True


@pytest.mark.slow
def test_overlapping_blank_writes_its_files_and_exits_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["make", "ring_riser", "--set", "lug_count=9", "--out", str(tmp_path)]) == 1
    out, err = capsys.readouterr()
    assert err == ""
    assert "error: blank: lug[1..8].tip and lug[2..9].tip overlap by 2.8 mm (9 places)" in out
    assert {path.suffix for path in tmp_path.iterdir()} >= {".step", ".dxf", ".svg", ".png", ".json"}
    data = json.loads((tmp_path / "ring_riser.json").read_text())
    assert data["blank"]["overlaps"]
    schema = json.loads((ROOT / "formparts" / "data" / "part.schema.json").read_text())
    jsonschema.validate(data, schema, jsonschema.Draft202012Validator)


PATH_RECIPE = '''"""A recipe of one's own."""
from typing import Annotated
from formparts import Body, Length, Sheet, plate, recipe, rectangle

@recipe
def shim(side: Annotated[float, Length("of the square", 5, 500)] = 40) -> Body:
    """Square shim."""
    return plate(Sheet(2, 2, "DC01"), rectangle(side, side), "shim")

@recipe
def broken(side: Annotated[float, Length("of the square", 5, 500)] = 40) -> Body:
    """Square shim whose author made a mistake."""
    return plate(Sheet(2, 2, "DC01"), rectangle(side, 1 / 0), "shim")
'''


def test_recipe_by_path(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By hand: 30 x 30 x 2 mm of steel at 7850 kg/m3 is 14.13 g."""
    (tmp_path / "own.py").write_text(PATH_RECIPE)
    place = f"{tmp_path / 'own.py'}:shim"
    arguments = [
        "make",
        place,
        "--set",
        "side=30",
        "--out",
        str(tmp_path / "out"),
        "--expect",
        "mass=14.13 g",
    ]
    assert main([*arguments, "--tolerance", "1e-9"]) == 0
    assert "14.13 g" in capsys.readouterr().out
    assert main(["describe", place]) == 0
    assert "of the square" in capsys.readouterr().out
    assert main(["make", f"{tmp_path / 'own.py'}:nothing"]) == 2
    assert "it holds: " in capsys.readouterr().err


def test_recipe_whose_own_code_fails_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "own.py").write_text(PATH_RECIPE)
    assert main(["make", f"{tmp_path / 'own.py'}:broken", "--out", str(tmp_path / "out")]) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert "division by zero" in err
    (tmp_path / "worse.py").write_text("def part(:\n")
    assert main(["make", f"{tmp_path / 'worse.py'}:part"]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_list_and_describe(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["list"]) == 0
    listed = capsys.readouterr().out
    for name in ("ring_riser", "z_clip", "u_channel", "hat_section", "corner_tray", "stepped_seat"):
        assert name in listed
        assert main(["describe", name]) == 0
        described = capsys.readouterr().out
        assert "thickness" in described
        assert "mm" in described
    assert "riser_stack" in listed
    for reference in ("riser_stack", f"{ROOT / 'recipes' / 'assemblies' / 'riser_stack.py'}:riser_stack"):
        assert main(["describe", reference]) == 0
        assert "meter_height" in capsys.readouterr().out


HEAVY = ("OCP", "cadquery", "trimesh", "ezdxf", "pint", "vtk", "numpy", "matplotlib")
LOADED = """
import sys
from formparts.cli import main
from formparts.closed_forms import properties
from formparts.recipe_functions import find_recipe
try:
    main(sys.argv[1:])
except SystemExit:
    pass
print("LOADED", *sorted({name.split(".")[0] for name in sys.modules}))
"""


@pytest.mark.parametrize(
    "arguments", [["--help"], ["--version"], ["list"], ["describe", "ring_riser"], ["make", "--help"]]
)
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    """The kernel alone takes most of a second; the set of what is loaded tells more surely than a clock."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    run = [sys.executable, "-c", LOADED, *arguments]
    done = subprocess.run(run, capture_output=True, text=True, env=environment, check=True)
    loaded = set(done.stdout.splitlines()[-1].split()[1:])
    assert "formparts" in loaded
    assert loaded.isdisjoint(HEAVY)
    assert done.stderr == ""


def test_bad_input_is_found_without_the_kernel() -> None:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    run = [sys.executable, "-c", LOADED, "make", "z_clip", "--set", "foot=0"]
    done = subprocess.run(run, capture_output=True, text=True, env=environment, check=True)
    assert set(done.stdout.splitlines()[-1].split()[1:]).isdisjoint({"OCP", "cadquery"})


@pytest.mark.parametrize("arguments", [["list"], ["describe", "ring_riser"]])
def test_reader_that_goes_away_is_no_error(arguments: list[str]) -> None:
    """As `formparts describe ring_riser | head -1` does; nothing is printed on stderr."""
    reader, writer = os.pipe()
    os.close(reader)
    try:
        environment = {**os.environ, "PYTHONPATH": str(ROOT)}
        run = [sys.executable, "-m", "formparts", *arguments]
        done = subprocess.run(
            run, stdout=writer, stderr=subprocess.PIPE, text=True, env=environment, check=False
        )
    finally:
        os.close(writer)
    assert done.stderr == ""
    assert done.returncode == 0


@pytest.mark.slow
def test_same_bytes_from_two_processes(tmp_path: Path) -> None:
    """DESIGN 5.7 through the command: STEP, DXF, JSON, SVG, CSV, PNG alike, whatever the order of hashes."""
    here, there = tmp_path / "here", tmp_path / "there"
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    done = command("make", "z_clip", "--out", str(there), env={"PYTHONHASHSEED": seed})
    assert done.returncode == 0, done.stderr
    assert main(["make", "z_clip", "--out", str(here)]) == 0
    contents = [{path.name: path.read_bytes() for path in folder.glob("[!.]*")} for folder in (here, there)]
    assert len(contents[0]) == 6
    assert contents[0] == contents[1]


def test_a_slip_of_our_own_is_one_line_and_a_trace_on_file(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Not foreseen, so not blamed on what was given; the trace is kept, and shown on request."""
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr("formparts.materials.known_materials", lambda: {}["nothing"])
    assert main(["materials"]) == 1
    said = capsys.readouterr().err.splitlines()
    assert said[0].startswith(
        "formparts: formparts itself failed (KeyError: 'nothing', test_command.py line "
    )
    (log,) = tmp_path.iterdir()
    assert said[1:] == [f"the trace is in {log}; formparts --debug COMMAND shows it"]
    assert "Traceback" in log.read_text()
    assert main(["--debug", "materials"]) == 1
    assert "Traceback" in capsys.readouterr().err


def test_module_and_script_are_one_command() -> None:
    done = command("make", "bracket")
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
