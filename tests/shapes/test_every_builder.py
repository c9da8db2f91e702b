"""
Everything follows: each builder's own examples go through every output, and random bodies grow by each builder.

The builders are read from `formparts.shapes`: a new one enters itself, by the example that its docstring must have.
"""

from __future__ import annotations

import ast
import inspect
import json
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest

from formparts import shapes
from formparts.body import Body, sunk_volume
from formparts.closed_forms import properties
from formparts.drawings import dimension_list, list_from, rebuilt
from formparts.fea import mesh_of
from formparts.manual.examples import run_example
from formparts.manual.prose import docstring
from formparts.manual.rooms import namespace
from formparts.part import Part
from formparts.recipe_writing import recipe_text
from formparts.recipe_writing.likeness import same_part
from formparts.recognition import body_from
from formparts.unfolded_files import unfold_file
from tests.recipe_writing.test_round_trip import run_text

MADE = ("Body", "tuple[Body, ...]", "RoundHole", "MarkShape", "tuple[Motion, ...]")
"""What a builder gives: a body, several, or what is cut into one or marked on it."""
BUILDERS = [
    name
    for name in shapes.__all__
    if inspect.isfunction(found := getattr(shapes, name))
    and inspect.signature(found).return_annotation in MADE
]


@cache
def bodies_of(name: str) -> dict[str, Body]:
    """The last body of a builder's examples, and those of its last comparison."""
    text = docstring(inspect.getdoc(getattr(shapes, name)) or "").sections["Examples"]
    made = run_example(text, namespace("formparts.shapes")).made
    single = {called: thing for called, thing in made.items() if isinstance(thing, Body | Part)}
    several = [thing for thing in made.values() if isinstance(thing, dict)]
    things = {**dict([*single.items()][-1:]), **(several[-1] if several else {})}
    return {str(called): getattr(thing, "body", thing) for called, thing in things.items()}


def same_volume(body: Body, other: float, rel: float = 1e-6) -> None:
    assert other == pytest.approx(properties(body).volume, rel=rel)


def audited(part: Part, _: Path) -> None:
    """Closed form, solid, meshes, STEP file read back, blank and unfolder agree."""
    assert [row.figure for row in part.audit() if not row.agrees] == []


def unfolded(part: Part, folder: Path) -> None:
    """As a stranger's file, by the rule of its sheet alone: no bend of the examples has a rule of its own."""
    part.write(folder / "part.step")
    found = unfold_file(folder / "part.step", bend_rule=part.sheet.bend_rule).found.blank
    assert (found.area, found.cut_length) == pytest.approx((part.blank.area, part.blank.cut_length), rel=1e-9)


def recognised(part: Part, folder: Path) -> None:
    part.write(folder / "part.step")
    same_volume(part.body, properties(body_from(folder / "part.step", part.sheet.bend_rule)).volume)


def filed(part: Part, folder: Path) -> None:
    """Files for cutter and press brake, each proved as it is written; the JSON has the volume and every bend."""
    for ending in ("-blank.dxf", "-blank.svg", ".json", *(("-bends.csv",) if part.bends else ())):
        assert part.write(folder / f"part{ending}").stat().st_size > 0
    figures = json.loads((folder / "part.json").read_text())
    same_volume(part.body, figures["volume_mm3"], 1e-12)
    assert sorted(bend["name"] for bend in figures["bends"]) == sorted(bend.name for bend in part.bends)


def written(part: Part, _: Path) -> None:
    assert same_part(run_text(recipe_text(part.body))(), part.body, 1e-5)


def drawn(part: Part, _: Path) -> None:
    """The sheet is drawn, and its dimensions alone make the part again; what is sunk is in its callouts."""
    again = rebuilt(list_from(json.loads(json.dumps(dimension_list(part.body).data()))))
    same_volume(part.body, properties(again).volume - sunk_volume(part.body))
    assert part.drawing().pages


def planned(part: Part, _: Path) -> None:
    """Each bend is a step of the order, or the checks say that there is none."""
    made = {name for step in part.plan.steps for name in step.bends}
    has_order = made == {bend.name for bend in part.bends}
    assert has_order != ("no-bend-order" in {found.code for found in part.findings()})


def meshed(part: Part, _: Path) -> None:
    same_volume(part.body, mesh_of(part.body, "shell").volume - sunk_volume(part.body), 1e-3)


def checked(part: Part, _: Path) -> None:
    """Nothing that is an error; each finding has its source and a way out."""
    for found in part.findings():
        assert found.severity != "error"
        assert found.source
        assert found.fix


OUTPUTS: tuple[Callable[[Part, Path], None], ...] = (
    audited, unfolded, recognised, filed, written, drawn, planned, meshed, checked,
)  # fmt: skip


def test_the_registry_is_read() -> None:
    """A builder that this test does not know of would be one that returns something else."""
    assert len(BUILDERS) >= 34
    assert {"add_flange", "array_about", "tapped", "lettering", "perforation"} <= set(BUILDERS)


@pytest.mark.parametrize("output", OUTPUTS, ids=lambda output: output.__name__)
@pytest.mark.parametrize("name", BUILDERS)
def test_every_output_takes_every_builder(
    name: str, output: Callable[[Part, Path], None], tmp_path: Path
) -> None:
    made = bodies_of(name)
    assert made, f"the examples of {name} make no body"
    for called, body in made.items():
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        folder.mkdir()
        try:
            output(Part(body), folder)
        except Exception as error:
            error.add_note(f"{name}: {called}")
            raise


def _calls(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func)
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "st.builds":
            yield ast.unparse(node.args[0])


def test_random_bodies_grow_by_every_builder() -> None:
    """Each is called by a step of growth, or drawn into one."""
    here = Path(__file__).parents[1]
    called = {
        name for file in ("growing.py", "growing_formed.py", "strategies.py") for name in _calls(here / file)
    }
    assert sorted(set(BUILDERS) - called) == []
