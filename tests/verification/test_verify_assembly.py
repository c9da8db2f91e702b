"""An assembly's STEP file is held against itself and against its recipe, by us and by a reader that is not a kernel."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from formparts.assembly import Assembly, Placed, Turned, write_assembly_step
from formparts.assembly.facts import part_colour, whole_facts
from formparts.assembly_recipes import Assembled, assemble, find_assembly
from formparts.body import Frame
from formparts.cli import main
from formparts.errors import InputError
from formparts.export.step_products import read_product_facts
from formparts.export.step_reading import check_readable
from formparts.recipe_functions import find_recipe
from formparts.verification import Verified, verify
from tests.referees import gmsh_session
from tests.verification.test_verify import materials_by_the_kernel

NAME = "riser_stack"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Assembled:
    """The shipped stack, of other measures than the recipe's own."""
    return assemble(find_assembly(NAME), tmp_path_factory.mktemp("stack"), lug_count=3, rise="15 mm")


@pytest.fixture(scope="module")
def path(made: Assembled) -> Path:
    return made.files[0]


def wrong(found: Verified) -> list[str]:
    """What does not agree, but for the hash."""
    assert not found.ok
    return [row.what for row in found.rows if not row.agrees and row.what != "content"]


def spoilt(path: Path, old: str, new: str) -> Path:
    text = path.read_text()
    assert text.count(old) == 1
    other = path.with_name("spoilt.step")
    other.write_text(text.replace(old, new))
    return other


def test_the_shipped_stack_is_what_it_says(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every product as stated and as made again, every instance by name and in its place; nought has no sign."""
    assert main(["verify", str(path)]) == 0
    said = capsys.readouterr().out
    for line in (
        "ring_riser, as stated",
        "meter, made again",
        "bolt, made again",
        "places  ",
        "\n  verified",
    ):
        assert line in said
    assert "9 instances" in said  # two seats, the meter, three bolts for either seat
    assert "-0.000000" not in said


@pytest.mark.parametrize(
    ("old", "new", "rows"),
    [
        # The stack is 90 mm of meter and twice 15 + 2 mm of seat high; the upper seat's plate is its top.
        ("CARTESIAN_POINT('',(0.,0.,124.))", "CARTESIAN_POINT('',(0.,0.,125.))",
         ["centroid stated, mm", "centroid, made again, mm", "place of upper_seat, mm"]),
        ("'3','upper_seat',", "'3','Upper seat',", ["names of instances"]),
        ("PRODUCT('bolt','bolt',", "PRODUCT('bolt','screw',", ["part of lower_seat.bolt[1] and 5 more"]),
        ("PRODUCT('riser_stack','riser_stack',", "PRODUCT('riser_stack','stack',", ["name"]),
        ("ADVANCED_FACE('meter.bore',", "ADVANCED_FACE('meter.hole',", ["meter, made again: names of faces"]),
        ("DESCRIPTIVE_REPRESENTATION_ITEM('steel','steel')", "DESCRIPTIVE_REPRESENTATION_ITEM('steel','brass')",
         ["bolt, made again: material"]),
    ],
    ids=["moved", "instance renamed", "part renamed", "whole renamed", "face renamed", "material"],
)  # fmt: skip
def test_what_was_changed_in_the_text_is_seen(path: Path, old: str, new: str, rows: list[str]) -> None:
    """A place, a name, a material: each by its own row and no other, and by the hash."""
    found = verify(spoilt(path, old, new))
    assert next(row for row in found.rows if row.what == "content").agrees is False
    assert wrong(found) == rows


def test_a_changed_parameter_is_seen(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A meter 5 mm higher is another part, and what rests on it is 5 mm higher; the lower seat is the same."""
    assert main(["verify", str(spoilt(path, '"meter_height": 90.0', '"meter_height": 95.0'))]) == 1
    said = capsys.readouterr().out
    assert "IS NOT  0.000000, 0.000000, 129.000000" in said
    odd = {line.split("  ")[1] for line in said.splitlines() if "IS NOT" in line}
    assert {"meter, made again: volume, mm3", "place of upper_seat.bolt[3], mm"} <= odd
    assert not any("lower_seat" in what or "ring_riser" in what for what in odd)


def _swapped(items: tuple[Placed, ...]) -> tuple[Placed, ...]:
    """The first bolt is where the meter was, and the meter where the bolt did."""
    meter, bolt = items[1], items[3]
    return (items[0], replace(meter, part=bolt.part), items[2], replace(bolt, part=meter.part), *items[4:])


def _turned(items: tuple[Placed, ...]) -> tuple[Placed, ...]:
    seat = items[2]
    turn = Frame(seat.frame.origin, seat.frame.y, tuple(-a for a in seat.frame.x), seat.frame.z)
    return (*items[:2], replace(seat, frame=turn), *items[3:])


def _thicker(items: tuple[Placed, ...]) -> tuple[Placed, ...]:
    """All bolts of another shape, under their old name, and of the old material."""
    thick = Turned("bolt", ((8, 12), (13, 5.2)), "steel")
    return tuple(replace(item, part=thick) if item.part.name == "bolt" else item for item in items)


@pytest.mark.parametrize(
    ("change", "rows"),
    [
        (_swapped, {"part of meter", "part of lower_seat.bolt[1]"}),
        (_turned, {"axes of upper_seat"}),
        (_thicker, {"bolt, made again: volume, mm3", "bolt, made again: mass, kg"}),
        (lambda items: items[:-1], {"count of instances", "names of instances", "mass, made again, kg"}),
    ],
    ids=["swapped", "turned", "another shape", "one missing"],
)
def test_a_whole_file_of_something_else(
    made: Assembled,
    tmp_path: Path,
    change: Callable[[tuple[Placed, ...]], tuple[Placed, ...]],
    rows: set[str],
) -> None:
    """A file that agrees with itself, hash and all, and states a recipe that it is not from."""
    other = Assembly(NAME, change(made.assembly.items))
    facts = replace(whole_facts(other), recipe=NAME, parameters=made.parameters, version="0")
    found = verify(write_assembly_step(other, tmp_path / "other.step", facts=facts))
    assert next(row for row in found.rows if row.what == "content").agrees
    said = wrong(found)
    assert rows <= set(said)
    assert not any("stated" in what for what in said)


def test_a_file_of_others(path: Path) -> None:
    """Without a recipe the validation properties of every product and of the whole are compared, and no more."""
    foreign = path.with_name("foreign.step")
    foreign.write_text(path.read_text().replace("REPRESENTATION('formparts'", "REPRESENTATION('something'"))
    found = verify(foreign)
    assert found.ok
    assert found.recipe == ""
    assert [row.what.partition(",")[0] for row in found.rows] == [
        "ring_riser", "meter", "bolt", "volume stated", "surface area stated", "centroid stated"
    ]  # fmt: skip
    text = foreign.read_text()
    assert text.count("AREA_MEASURE(") == 4
    foreign.write_text(text.replace("AREA_MEASURE(", "AREA_MEASURE(1", 1))
    assert wrong(verify(foreign)) == ["ring_riser, as stated: surface area, mm2"]


def test_which_recipe(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A name in the file is never followed as a path; the user may name a file; a part's recipe is refused."""
    hostile = spoilt(path, "'recipe','riser_stack'", "'recipe','hostile.py:f'")
    assert main(["verify", str(hostile)]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "--recipe path/to/file.py:function" in said
    shipped = Path(__file__).parents[2] / "recipes" / "assemblies" / f"{NAME}.py"
    assert main(["verify", str(path), "--recipe", f"{shipped}:{NAME}"]) == 0
    with pytest.raises(InputError, match="makes a part, and the file holds an assembly"):
        verify(path, find_recipe("ring_riser"))
    broken = spoilt(path, '"lug_count": 3', '"lug_count": 30')
    assert main(["verify", str(broken)]) == 2
    assert main(["verify", str(tmp_path / "nowhere.step")]) == 2


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("#4 = PRODUCT_DEFINITION_SHAPE(", "#4 = PRODUCT_DEFINITIO_SHAPE("),
        ("#10 = SHAPE_REPRESENTATION(", "#10 = SHAPE_REPRESEN9TATION("),
        ("#7 = PRODUCT(", "#7 = PRDUCT("),
        ("('3','upper_seat','',#5,", "('3','upper_seat','',$,"),
        ("('3','upper_seat','',#5,", "('3','upper_seat','',#7,"),
    ],
)  # fmt: skip
def test_a_damaged_file_is_refused_before_the_kernel_reads_it(path: Path, old: str, new: str) -> None:
    """The kernel's reader would follow these references to nowhere and take the whole program down."""
    with pytest.raises(InputError, match=r"is damaged: entity #\d+ refers to what it may not"):
        check_readable(spoilt(path, old, new))


def test_damaged_properties_do_not_bring_the_kernel_down(path: Path) -> None:
    """They are read from the text alone: what is not a number is not stated, and the hash says the rest."""
    text = path.read_text().replace("MEASURE_REPRESENTATION_ITEM('vol", "MEASURE_REPRESENTATIO_ITEM('vol", 1)
    other = path.with_name("damaged.step")
    other.write_text(
        text.replace("CARTESIAN_POINT('centre point',(0.,", "CARTESIAN_POINT('centre point',(0-.,")
    )
    command = [sys.executable, "-m", "formparts", "verify", str(other)]
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)
    assert done.returncode == 1, done.stderr
    assert "its hash  IS NOT" in done.stdout


def test_the_kernel_reads_the_materials_of_the_parts(path: Path) -> None:
    """One material for each part with its density; the whole, which has none, gains none."""
    assert {(name, round(density * 1e6)) for name, _, density in materials_by_the_kernel(path)} == {
        ("S235JR", 7850), ("1.4301", 7900), ("steel", 7850)
    }  # fmt: skip


def test_gmsh_finds_what_the_file_states(path: Path, made: Assembled) -> None:
    """Gmsh's own reading: each instance by its name and its product's, its colour, its volume and its position; the
    sum over all is what the file states of the whole. That is what validation properties are for."""
    stated = dict(read_product_facts(path))
    with gmsh_session() as gmsh:
        gmsh.option.setNumber("Geometry.OCCImportLabels", 1)
        gmsh.open(str(path))
        read = {
            gmsh.model.getEntityName(3, tag): (
                gmsh.model.occ.getMass(3, tag), gmsh.model.occ.getCenterOfMass(3, tag), gmsh.model.getColor(3, tag)
            )
            for _, tag in gmsh.model.getEntities(3)
        }  # fmt: skip
        area = sum(gmsh.model.occ.getMass(2, tag) for _, tag in gmsh.model.getEntities(2))
    items = {f"Shapes/{NAME}/{item.name}/{item.part.name}": item for item in made.assembly.items}
    assert read.keys() == items.keys()
    for name, (volume, centre, colour) in read.items():
        item, facts = items[name], stated[items[name].part.name]
        assert volume == pytest.approx(facts.volume, rel=1e-9)
        assert centre == pytest.approx(item.frame.point(facts.centroid[:2], facts.centroid[2]), abs=1e-6)
        assert colour[:3] == pytest.approx([255 * part for part in part_colour(item.part)], abs=1)
    whole = stated[NAME]
    volume = sum(volume for volume, _, _ in read.values())
    assert volume == pytest.approx(whole.volume, rel=1e-9)
    assert area == pytest.approx(whole.area, rel=1e-9)
    middle = [sum(v * c[axis] for v, c, _ in read.values()) / volume for axis in range(3)]
    assert middle == pytest.approx(whole.centroid, abs=1e-6)


def test_a_reader_that_is_no_kernel(path: Path, made: Assembled) -> None:
    """steputils, entity by entity: names of instances and products, each placement's origin and axes, the recipe."""
    p21 = pytest.importorskip("steputils.p21", reason="steputils comes with the extra `test`")
    (section,) = p21.loads(path.read_text()).data
    read = _instances(section)
    assert list(read) == [item.name for item in made.assembly.items]
    for item in made.assembly.items:
        product, origin, z, x = read[item.name]
        assert product == item.part.name
        assert origin == pytest.approx(item.frame.origin, abs=1e-9)
        assert z == pytest.approx(item.frame.z, abs=1e-9)
        assert x == pytest.approx(item.frame.x, abs=1e-9)
    said = dict(entity.params for _, entity in _simple(section, "DESCRIPTIVE_REPRESENTATION_ITEM"))
    assert said["recipe"] == NAME
    assert json.loads(said["parameters"]) == made.parameters


def _simple(section: Any, name: str) -> list[tuple[str, Any]]:
    items = section.instances.items()
    return [(ref, one.entity) for ref, one in items if hasattr(one, "entity") and one.entity.name == name]


def _instances(section: Any) -> dict[str, tuple[str, list[float], list[float], list[float]]]:
    """Name of each occurrence: its product, and the origin, z and x of where it is put."""

    def params(ref: str) -> Any:
        return section[ref].entity.params

    found = {}
    for _, placed in _simple(section, "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION"):
        (motion,) = [
            one.params[0] for one in section[placed.params[0]].entities
            if one.name == "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION"
        ]  # fmt: skip
        occurrence = params(params(placed.params[1])[2])
        product = params(params(params(occurrence[4])[2])[2])[1]
        _, point, z, x = params(params(motion)[3])
        found[occurrence[1]] = (product, *(list(params(ref)[1]) for ref in (point, z, x)))
    return found
