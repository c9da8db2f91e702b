"""Assemblies in one deck, run by CalculiX and held against beams, bolts and blocks by hand."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from formparts.assembly import Assembly, Joint, Placed, Turned
from formparts.body import Body, Frame, Sheet
from formparts.cli import main
from formparts.errors import InputError
from formparts.fea import LoadCase, read_load, solver_there
from formparts.fea.assembled import (
    AssemblyMesh,
    assembly_deck,
    assembly_mesh,
    assembly_solved,
    write_assembly_deck,
)
from formparts.fea.bolts import bolt_stiffness
from formparts.fea.deck_proof import keyword_blocks
from formparts.fea.gaps import distances
from formparts.materials import Material, material
from formparts.outline import Motion, disc, rectangle
from formparts.shapes import cut_opening, plate

needs_solver = pytest.mark.skipif(
    not solver_there(), reason="CalculiX is not on this machine: install the Debian package calculix-ccx"
)


def metal(modulus: float = 210000.0, poisson: float = 0.0) -> Material:
    return replace(material("S235JR"), modulus=modulus, poisson=poisson)


def strip(name: str, length: float = 60, hole: float = 0.0) -> Body:
    """Length x 20 x 2 about the origin, with a hole in its middle or none; Poisson's ratio 0."""
    body = plate(Sheet(2, 2, metal()), rectangle(length, 20), name)
    return cut_opening(body, disc(hole), name="hole") if hole else body


def moved(made: AssemblyMesh, case: LoadCase, name: str) -> np.ndarray:
    answer = assembly_solved(made, case)
    nodes = np.unique(np.concatenate([faces.ravel() for faces in made.mesh.surfaces[name]]))
    return np.asarray(answer.displacements[nodes].mean(axis=0))


@needs_solver
def test_two_bonded_strips_are_one_of_twice_the_thickness() -> None:
    """A cantilever 60 x 20 x 4 under 40 N: P L^3 / 3 E I + 6/5 P L / G A (Timoshenko, Strength of Materials, from
    memory); two strips that are not joined would sink four times as far. The second lies the other way round."""
    turned = Placed("high", strip("high"), Frame((0, 0, 2), (-1, 0, 0), (0, -1, 0), (0, 0, 1)))
    whole = Assembly(
        "double",
        (Placed("low", strip("low")), turned),
        joints=(Joint("bonded", "low: low.upper", "high: high.lower"),),
    )
    made = assembly_mesh(whole, "bricks", 5)
    case = LoadCase(
        ("low: low.left", "high: high.right"),
        tuple(map(read_load, ("low: low.right=20N@0,0,-1", "high: high.left=20N@0,0,-1"))),
    )
    beam = 40 * 60**3 / (3 * 210000 * 20 * 4**3 / 12) + 1.2 * 40 * 60 / (105000 * 80)
    assert -moved(made, case, "low: low.right")[2] == pytest.approx(beam, rel=0.01)


def bonded_cantilever(length: float = 60, gap: float = 0.0) -> Assembly:
    """Two strips of 20 x 2 on one another, of steel below and of aluminium above, both without Poisson's ratio."""
    light = replace(material("EN AW-5754-H111"), poisson=0.0)
    high = plate(Sheet(2, 2, light), rectangle(length, 20), "high")
    return Assembly(
        "bimetal", (Placed("low", strip("low", length)), Placed("high", high, Frame((0, 0, 2 + gap)))),
        joints=(Joint("bonded", "low: low.upper", "high: high.lower"),),
    )  # fmt: skip


@needs_solver
def test_weight_and_modes_of_two_metals() -> None:
    """The support bears both masses, each with its own density, times 9.80665 m/s2; and the cantilever of two metals
    rings at (1.875104 / L)^2 sqrt(E I / m) / 2 pi, with E I of the transformed section (Timoshenko, Strength of
    Materials; Vibration Problems in Engineering; both from memory), shear apart, which takes less than 1 %."""
    made = assembly_mesh(bonded_cantilever(), "bricks", 6, 2, (("low: low.left", 4),))
    steel, light = (item.part.sheet.material for item in made.items if isinstance(item.part, Body))
    assert steel.modulus is not None
    assert light.modulus is not None
    held_at = ("low: low.left", "high: high.left")
    heavy = assembly_solved(made, LoadCase(held_at, gravity=(0, 0, -1)))
    line = 20 * 2 * (steel.density + light.density) * 1e-9  # kg/mm
    assert heavy.reaction[2] == pytest.approx(60 * line * 9.80665, rel=1e-5)
    moduli = steel.modulus, light.modulus
    middle = sum(e * z for e, z in zip(moduli, (1, 3), strict=True)) / sum(moduli)
    rigid = sum(
        e * (20 * 2**3 / 12 + 20 * 2 * (z - middle) ** 2) for e, z in zip(moduli, (1, 3), strict=True)
    )
    wanted = (1.875104 / 60) ** 2 * math.sqrt(rigid / (line * 1e-3)) / math.tau
    found = assembly_solved(made, LoadCase(held_at, (), 1)).frequencies
    assert found[0] == pytest.approx(wanted, rel=0.01)


def test_a_bond_over_a_gap_is_refused() -> None:
    """The solver ties what lies within a tolerance, and passes over the rest without a word."""
    made = assembly_mesh(bonded_cantilever(20, 0.5), "bricks", 10)
    with pytest.raises(InputError, match=r"lies 0\.5 mm from 'high: high\.lower': no bond reaches farther"):
        assembly_deck(made, LoadCase(("low: low.left",)))


def test_distances_of_points_from_a_triangle() -> None:
    """Above its inside, beside an edge, beyond a corner: 2, 1 and 5 by hand (3, 4, 5)."""
    triangle = np.array([[(0, 0, 0), (6, 0, 0), (0, 6, 0)]], dtype=float)
    assert distances(np.array([(1.0, 1, 2), (2, -1, 0), (-3, -4, 0)]), triangle) == pytest.approx([2, 1, 5])


SOFT = 2.1
"""Modulus of a bolt so soft [MPa] that nothing else gives way."""


@needs_solver
@pytest.mark.parametrize(
    ("frame", "along"),
    [
        (Frame((0, 0, 2)), (1, 0, 0)),
        (Frame((0, 0, 2)), (0, 0, 1)),
        (Frame((0, 0, 2), (0.6, 0.8, 0), (-0.8, 0.6, 0), (0, 0, 1)), (0, 1, 0)),
    ],
)
def test_a_soft_bolt_gives_way_as_a_beam(frame: Frame, along: tuple[int, int, int]) -> None:
    """Two strips with a bolt of 8 mm, 2 mm between their middles: 10 N along it stretch it by F L / E A; square to it a
    clamped beam gives way by F (L^3 / 12 E I + L / k G A), by hand. The sheets are 100,000 times stiffer."""
    joint = Joint("bolted", "low: hole", "high: hole", 8, metal(SOFT, 0.3))
    whole = Assembly(
        "lap",
        (Placed("low", strip("low", 40, 9)), Placed("high", strip("high", 40, 9), frame)),
        joints=(joint,),
    )
    made = assembly_mesh(whole, "bricks", 6)
    others = "xy" if along[2] else "z"
    rims = [f"high: high.{side}@{others}" for side in ("left", "right", "front", "back")]
    load = read_load(f"high: hole=10N@{','.join(map(str, along))}")
    case = LoadCase(("low: low.left", "low: low.right", "low: low.front", "low: low.back", *rims), (load,))
    area, inertia, rigid = math.pi * 16, math.pi * 64, SOFT / 2.6
    stretch = 10 * 2 / (SOFT * area)
    give = 10 * (2**3 / (12 * SOFT * inertia) + 2 / (rigid * area * 7.8 / 8.8))
    found = moved(made, case, "high: hole")
    assert found @ np.array(along) == pytest.approx(stretch if along[2] else give, rel=0.005)


@needs_solver
def test_a_bolted_lap_turns_as_it_moves() -> None:
    """A lap of 108 mm that sinks by a sixth of its length: its clamp bears the load by the arm that is left (statics)
    to 1e-4. With linear equations, whose holes do not turn as far as they move, it does not."""
    low, high = (
        cut_opening(strip(name, 60), disc(5).moved(Motion.shift(x, 0)), name="hole")
        for name, x in (("low", 24), ("high", -24))
    )
    joint = Joint("bolted", "low: hole", "high: hole", 5, metal())
    whole = Assembly("lap", (Placed("low", low), Placed("high", high, Frame((48, 0, 2)))), joints=(joint,))
    made = assembly_mesh(whole, "bricks", 30, 1)
    case = LoadCase(("low: low.left",), (read_load("high: high.right=120N@0,0,-1"),), large=True)
    answer = assembly_solved(made, case)
    end = np.unique(np.concatenate([faces.ravel() for faces in made.mesh.surfaces["high: high.right"]]))
    along, _, down = answer.displacements[end].mean(axis=0)
    assert down < -108 / 7
    assert answer.reactions[0].moment[1] == pytest.approx(-120 * (108 + along), rel=1e-4)


@needs_solver
def test_contact_carries_a_pressure() -> None:
    """Two blocks without Poisson's ratio under 2 MPa: each is shortened by p t / E, and the penalty lets them sink into
    each other by p / K, 50 moduli to the millimetre; the upper one has nothing below it but the contact."""
    whole = Assembly(
        "blocks", (Placed("low", strip("low", 20)), Placed("high", strip("high", 20), Frame((0, 0, 2)))),
        joints=(Joint("contact", "low: low.upper", "high: high.lower"),),
    )  # fmt: skip
    made = assembly_mesh(whole, "bricks", 10)
    case = LoadCase(("low: low.lower@xyz", "high: high.upper@xy"), (read_load("high: high.upper=2MPa"),))
    wanted = 2 * (2 * 2 / 210000 + 1 / (50 * 210000))
    assert -moved(made, case, "high: high.upper")[2] == pytest.approx(wanted, rel=0.02)


DOUBLE = '''
from dataclasses import replace
from typing import Annotated
from formparts import Assembly, Frame, Placed, Sheet, Yes, assembly_recipe, material, plate, rectangle
from formparts.assembly import Joint


@assembly_recipe
def double(joined: Annotated[bool, Yes("whether they are bonded")] = True) -> Assembly:
    """Two strips of 60 x 20 x 2 on one another."""
    metal = replace(material("S235JR"), modulus=210000.0, poisson=0.0)
    low, high = (plate(Sheet(2, 2, metal), rectangle(60, 20), name) for name in ("low", "high"))
    joints = (Joint("bonded", "low: low.upper", "high: high.lower"),) if joined else ()
    return Assembly("double", (Placed("low", low), Placed("high", high, Frame((0, 0, 2)))), joints=joints)
'''
HELD = ["--fea", "bricks", "--size", "8", "--fix", "low: low.left", "--fix", "high: high.left"]


def assembled(folder: Path, *more: str) -> int:
    (folder / "double.py").write_text(DOUBLE)
    return main(["assemble", f"{folder / 'double.py'}:double", "--out", str(folder / "out"), *more])


@needs_solver
def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The cantilever of above by the command, 60 x 20 x 4 under 40 N: figures of console and JSON, and the files. At
    its root the bending stress is 6 P L / b h^2 = 45 MPa, 0.19 of the 235 MPa of the yield strength (by hand)."""
    load = ["--load", "low: low.right=20N@0,0,-1", "--load", "high: high.right=20N@0,0,-1"]
    assert assembled(tmp_path, *HELD, *load, "--solve") == 0
    text = (tmp_path / "out/double.json").read_text(encoding="utf-8")
    schema = json.loads(files("formparts").joinpath("data/assembly.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(json.loads(text), schema)
    found = json.loads(text)["fea"]
    (case,) = found["cases"]
    beam = 40 * 60**3 / (3 * 210000 * 20 * 4**3 / 12) + 1.2 * 40 * 60 / (105000 * 80)
    assert case["largest_displacement_mm"] == pytest.approx(beam, rel=0.015)
    assert case["reaction_n"] == pytest.approx([0, 0, 40], abs=4e-3)
    assert [row["item"] for row in case["stress_by_item"]] == ["low", "high"]
    for row in case["stress_by_item"]:
        assert row["von_mises_mpa"] == pytest.approx(45, rel=0.1)
        assert row["ratio_to_yield"] == pytest.approx(row["von_mises_mpa"] / 235)
    # Two strips of 8 x 3 bricks in two layers; edges of 7.5 mm or less.
    assert sum(found["elements"].values()) >= 2 * 2 * 24
    assert found["joints"] == [{"kind": "bonded", "first": "low: low.upper", "second": "high: high.lower"}]
    said = capsys.readouterr().out
    for words in (
        f"{case['largest_displacement_mm']:.4g} mm at",
        "a licensed practitioner decides",
        "joints: 1",
    ):
        assert words in said
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {f"double-bricks{end}" for end in (".inp", ".vtu", "-deflected.png", "-stress.png")} <= names


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--set", "joined=false", *HELD[:6]], "high: is held by no support, and joined to nothing that is"),
        (["--fea", "shell", "--fix", "low: low.left"], "is not a mesh of assemblies; choose bricks or solid"),
        ([*HELD, "--load", "low: lov.right=1N"], "names nothing"),
        ([*HELD, "--size", "low.left=2"], "does not say of which item; write it as 'ITEM: NAME=2'"),
        ([*HELD, "--converge"], "unrecognized arguments: --converge"),
        (["--fea", "bricks", "--fix", "low: low.left@x"], "leave the part free to move along"),
        (
            ["--fix", "low: low.left"],
            "assemble: --fix = given: means nothing without --fea; add --fea bricks",
        ),
    ],
)
def test_the_command_refuses(
    more: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line; the assembly's other files are there, and no deck, unless nothing was to be made."""
    assert assembled(tmp_path, *more) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert said in line
    out = tmp_path / "out"
    assert (out / "double.step").exists() == ("--fea" in more and "--converge" not in more)
    assert not list(out.glob("*.inp"))


def test_bolt_stiffness_by_hand() -> None:
    """Limits of the beam: long, 12 E I / L^3; E A / L, E I / L and G J / L whatever its length."""
    found = bolt_stiffness(8, 800, 210000, 0.3)
    inertia = math.pi * 8**4 / 64
    assert found.shear == pytest.approx(12 * 210000 * inertia / 800**3, rel=1e-3)
    assert found.axial == pytest.approx(210000 * math.pi * 16 / 800)
    assert found.bending == pytest.approx(210000 * inertia / 800)
    assert found.torsion == pytest.approx(210000 / 2.6 * 2 * inertia / 800)


def test_the_deck(tmp_path: Path) -> None:
    """Sections by item with their own metal, a bolt that is round is left out and its name reported."""
    items = (Placed("low", strip("low", 40, 9)), Placed("high", strip("high", 40, 9), Frame((0, 0, 2))))
    bolt = Placed("bolt", Turned("bolt", ((8, 12), (13, 5))))
    joints = (
        Joint("bolted", "low: hole", "high: hole", "8 mm"),
        Joint("bonded", "low: low.upper", "high: high.lower"),
    )
    made = assembly_mesh(Assembly("lap", (*items, bolt), joints=joints), "bricks", 10)
    assert made.left_out == ("bolt",)
    path = write_assembly_deck(
        made, LoadCase(("low: low.left",), (read_load("high: high.right=9N@1,0,0"),)), tmp_path / "lap.inp"
    )
    words = [word for word, _, _ in keyword_blocks(path.read_text())]
    assert (words.count("SOLID SECTION"), words.count("TIE"), words.count("SPRING")) == (2, 1, 6)
    total = sum(
        float(row.split(",")[2])
        for word, _, rows in keyword_blocks(path.read_text())
        if word == "CLOAD"
        for row in rows
    )
    assert total == pytest.approx(9)


def test_refusals() -> None:
    """Shells, an item or a face that is not there, a name of several, a bolt without thickness, modes."""
    items = (Placed("low", strip("low", 40, 9)), Placed("high", strip("high", 40, 9), Frame((0, 0, 2))))
    with pytest.raises(InputError, match="choose bricks or solid"):
        assembly_mesh(Assembly("lap", items), "shell")
    with pytest.raises(InputError, match="there are: low, high"):
        Assembly("lap", items, joints=(Joint("bonded", "mid: low.upper", "high: high.lower"),))
    for first, said in (("low: nothing", "names nothing"), ("low: low.*", "names 6 places")):
        made = assembly_mesh(
            Assembly("lap", items, joints=(Joint("bonded", first, "high: high.lower"),)), "bricks", 10
        )
        with pytest.raises(InputError, match=said):
            assembly_deck(made, LoadCase(("low: low.left",)))
    bolted = assembly_mesh(
        Assembly("lap", items, joints=(Joint("bolted", "low: hole", "high: hole", 8),)), "bricks", 10
    )
    with pytest.raises(InputError, match="the wall of a bolted hole"):
        assembly_deck(bolted, LoadCase(("low: low",)))
    with pytest.raises(InputError, match="give that of its shank"):
        Joint("bolted", "low: hole", "high: hole")
    with pytest.raises(InputError, match="is not a kind of joint"):
        Joint("glued", "low: hole", "high: hole")  # type: ignore[arg-type]
    with pytest.raises(InputError, match="write it as ITEM: NAME"):
        Joint("bonded", "hole", "high: hole")
    touching = Assembly("lap", items, joints=(Joint("contact", "low: low.upper", "high: high.lower"),))
    with pytest.raises(InputError, match="modes: are sought of joints in contact"):
        assembly_deck(assembly_mesh(touching, "bricks", 10), LoadCase(("low: low.left",), (), 2))
    loose = assembly_mesh(Assembly("lap", items), "bricks", 10)
    with pytest.raises(InputError, match="high: is held by no support"):
        assembly_deck(loose, LoadCase((), (), 2))
