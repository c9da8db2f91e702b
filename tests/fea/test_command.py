"""`make --fea`: the deck of a real part with its load case, by names; solved and drawn when it is asked for."""

from __future__ import annotations

import json
import math
import re
from argparse import ArgumentParser
from base64 import b64decode
from dataclasses import replace
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
from PIL import Image

from formparts.body import Sheet
from formparts.cli import main
from formparts.commands.fea import add_options, lines, order_of
from formparts.errors import InputError
from formparts.fea import FeaOrder, LoadCase, read_load, solver_there, study, study_record
from formparts.fea.decks import deck
from formparts.materials import material
from formparts.outline import rectangle
from formparts.part import Part
from formparts.recipe_functions import find_recipe
from formparts.shapes import plate

needs_solver = pytest.mark.skipif(
    not solver_there(), reason="CalculiX is not on this machine: install the Debian package calculix-ccx"
)
CASE = ["--fix", "foot_hole[1]", "--load", "z_clip.head.upper=80N"]


def run(out: Path, *more: str) -> int:
    return main(["make", "z_clip", "--out", str(out), *more])


def test_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Deck, MSH and VTU of a shell; mass as in the report; the section by hand; the caution. Unsolved:
    there is no answer of the solver. Without a deck there is no key."""
    assert run(tmp_path, "--fea", "shell", "--size", "8 mm", *CASE, "--report") == 0
    assert {f"z_clip-shell.{end}" for end in ("inp", "msh", "vtu")} <= {
        path.name for path in tmp_path.iterdir()
    }
    said = capsys.readouterr().out
    assert "mass 0.0434115 kg" in said
    assert "mass       43.41 g" in said
    # The section in the middle, by hand: 2 mm by the middle line of 25.5 + 13 + 22.5 and two quarters of R 3.5, less
    # the hole of 7 and the slot of 6 across.
    length = 61 + math.pi * 3.5 - 13
    assert f"section across the bends {2 * length:.5g} mm2" in said
    assert "a licensed practitioner decides" in said
    found = said_in_json(tmp_path)
    assert found["by_hand"]["area_mm2"] == pytest.approx(2 * length, rel=1e-9)
    assert found["by_hand"]["torsion_mm4"] == pytest.approx(length * 2**3 / 3, rel=1e-9)
    assert (found["solver"], found["largest_displacement_mm"]) == ("", None)
    page = (tmp_path / "z_clip.html").read_text(encoding="utf-8")
    assert f"{found['by_hand']['inertia_u_mm4']:.6g} mm⁴" in page
    assert "fea" not in json.loads(Part(find_recipe("z_clip")()).write(tmp_path / "bare.json").read_text())


def said_in_json(folder: Path) -> dict[str, Any]:
    """What the part's JSON says of its loading; the whole file keeps to the schema."""
    data = json.loads((folder / "z_clip.json").read_text())
    schema = json.loads(files("formparts").joinpath("data/part.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(data, schema)
    found: dict[str, Any] = data["fea"]
    (case,) = found["cases"]
    return {**found, **case}


@needs_solver
def test_report_and_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The page shows the picture beside it, and the figures of the JSON; reaction against load."""
    assert run(tmp_path, "--fea", "shell", "--size", "5", *CASE, "--solve", "--report") == 0
    assert "80 N: equal and opposite to the load" in capsys.readouterr().out
    found = said_in_json(tmp_path)
    # The head lies level, its upper face looks up: 80 N press downwards, and the support answers upwards.
    assert found["load_n"] == pytest.approx([0, 0, -80], abs=1e-6)
    assert found["reaction_n"] == pytest.approx([0, 0, 80], abs=80 * 1e-4)
    assert found["solver"].startswith("CalculiX 2")
    assert found["size_mm"] == 5
    assert found["mass_kg"] == pytest.approx(0.0434115, rel=1e-5)
    assert found["largest_displacement_mm"] > 0
    assert found["frequencies_hz"] == []
    page = (tmp_path / "z_clip.html").read_text(encoding="utf-8")
    shown = re.findall(r'<img class="deflected" alt="[^"]+" src="data:image/png;base64,([^"]+)">', page)
    files = [tmp_path / f"z_clip-shell-{name}.png" for name in ("deflected", "stress")]
    assert [b64decode(each) for each in shown] == [file.read_bytes() for file in files]
    for words in (
        f"{found['largest_displacement_mm']:.4g} mm", "0, 0, -80 N", "80 N", found["solver"], "size 5 mm",
        "z_clip.head.upper: 80 N, pressing", "foot_hole[1]", "Elastic, as formed", "a licensed practitioner decides",
    ):  # fmt: skip
        assert words in page


@needs_solver
def test_large_displacements_are_chosen_and_said() -> None:
    """A cantilever under P L^2 / E I = 1: linear it sinks by L / 3, in truth by 0.3017 L (K. E. Bisshopp and D. C.
    Drucker, Q. Appl. Math. 3, 1945, from memory). Under a hundredth of it nothing is reported."""
    metal = replace(material("S235JR"), modulus=200000.0, poisson=0.0)
    body = plate(Sheet(4, 4, metal), rectangle(120, 10), "strip")
    force = 200000 * (10 * 4**3 / 12) / 120**2
    cases = [
        LoadCase(("strip.left",), (read_load(f"strip.right={share * force}N@0,0,-1"),)) for share in (1, 0.01)
    ]
    made = study(body, FeaOrder("shell", 12, tuple(cases), True))
    large, small = made.solutions
    assert large.deflection is not None
    assert small.deflection is not None
    assert large.linear == pytest.approx(120 / 3, rel=0.01)
    assert abs(large.answer.displacements[:, 2]).max() == pytest.approx(0.3017 * 120, rel=0.01)  # type: ignore[union-attr]
    assert (large.case.large, small.case.large, small.linear) == (True, False, None)
    assert not any("largest displacement" in words for words in small.cautions)
    (said,) = (words for words in large.cautions if "largest displacement" in words)
    assert f"{large.linear:.4g} mm, is more than half the thickness: solved with large displacements" in said
    assert all(words in "\n".join(lines(made)) for words in made.cautions)
    assert "NLGEOM" in deck(large.mesh, large.case)


@needs_solver
def test_frequencies_in_report_and_json(tmp_path: Path) -> None:
    """As many as were asked for, rising; no deflected shape, for there is no load."""
    assert (
        run(tmp_path, "--fea", "shell", "--size", "5", *CASE[:2], "--frequencies", "2", "--solve", "--report")
        == 0
    )
    found = said_in_json(tmp_path)
    assert len(found["frequencies_hz"]) == 2
    assert 0 < found["frequencies_hz"][0] < found["frequencies_hz"][1]
    assert (found["largest_displacement_mm"], found["reaction_n"]) == (None, None)
    page = (tmp_path / "z_clip.html").read_text(encoding="utf-8")
    assert '<img class="deflected"' not in page
    shown = re.findall(r'<img class="mode" alt="Mode \d" src="data:image/png;base64,([^"]+)">', page)
    for value, content in zip(found["frequencies_hz"], shown, strict=True):
        assert f"{value:.5g} Hz; drawn moving to and fro" in page
        moving = Image.open(BytesIO(b64decode(content)))
        frames = [np.asarray(_frame(moving, number)) for number in range(moving.n_frames)]
        # Eight moments of a cosine: out, back through rest, and the same way home.
        assert len(frames) == 8
        assert all(np.array_equal(frames[step], frames[8 - step]) for step in (1, 2, 3))
        assert len({frame.tobytes() for frame in frames}) == 5


def _frame(moving: Image.Image, number: int) -> Image.Image:
    moving.seek(number)
    return moving.convert("RGB")


def ordered(*given: str) -> FeaOrder:
    """What the command asks for by its options."""
    parser = ArgumentParser()
    add_options(parser)
    order = order_of(parser.parse_args(given))
    assert order is not None
    return order


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--size", "3"], "--fea"),
        (["--fea", "shell", "--fix", "no.such"], "names nothing of the part"),
        (["--fea", "shell", "--load", "z_clip.head.upper=80kg"], "NAMES=FORCE"),
        (["--fea", "shell", "--solve"], "nothing is held"),
        (["--fea", "shell", "--frequencies", "-1"], "less than none"),
    ],
)
def test_bad_input(more: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line, and exit code 2. Wrong options stop all; a wrong mesh or case stops its own files alone, and the part's
    other files are written."""
    assert run(tmp_path, *more) == 2
    assert not list(tmp_path.glob("z_clip-shell*"))
    options = said in ("--fea", "nothing is held", "less than none")
    assert (tmp_path / "z_clip.step").exists() is not options
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert said in line


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["cubes"], "is not a kind of mesh"),
        (["shell", "--fix", "foot_hole[9]*"], "there are: "),
        (["shell", "--fix", "foot_hole[1]", "--load", "*.no_such.*=80N"], "names nothing of the part"),
        (["shell", "--fix", "foot_hole[1]", "--load", "*_hole[1]=80N"], "say which way"),
        (["shell", "--fix", "z_clip.head", "--load", "*.head.upper=80N"], "acts on what is fixed"),
        (["shell", "--load", "z_clip.head.upper=80N"], "not held"),
    ],
)
def test_what_cannot_be_solved(more: list[str], said: str) -> None:
    """As above, without the part's other files: one line each."""
    with pytest.raises(InputError, match=said) as refused:
        study(find_recipe("z_clip")(), ordered("--fea", *more))
    assert len(str(refused.value).splitlines()) == 1


def test_a_wildcard_loads_all_that_it_names() -> None:
    """A pattern that begins with a star: the load is shared over all tips, and its total is what was asked for."""
    order = ordered("--fea", "shell", "--size", "20", "--fix", "ear_*", "--load", "*.tip.upper=500N")
    made = study(find_recipe("ring_riser")(), order)
    assert study_record(made)["cases"][0]["load_n"] == pytest.approx([0, 0, -500], abs=1e-6)
    text = deck(made.mesh, made.first.case)
    numbers = {int(row.split(",")[0]) for row in _cload(text)}
    for lug in (1, 2, 3, 4):
        assert numbers & _nset(text, f"LUG_{lug}_TIP_UPPER")


def _cload(deck: str) -> list[str]:
    return deck.partition("*CLOAD\n")[2].partition("*")[0].split("\n")[:-1]


def _nset(deck: str, name: str) -> set[int]:
    lines = deck.partition(f"*NSET, NSET={name}\n")[2].partition("*")[0]
    return {int(part) for part in lines.replace("\n", ",").split(",") if part.strip()}
