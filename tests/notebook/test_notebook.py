"""The notebook runs from top to bottom, and shows what it says."""

from __future__ import annotations

import ast
import base64
import html
import json
import linecache
import math
import os
import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from formparts import InputError, find_recipe
from formparts.blanks import blank
from formparts.closed_forms import properties
from formparts.recipe_functions.cells import is_in_a_cell, text_of
from formparts.report.html import notebook_view
from formparts.report.html.notebook import blank_view, several_view

NOTEBOOK = Path(__file__).with_name("part.ipynb")


def shown(name: str) -> str:
    return html.unescape(notebook_view(find_recipe(name).part()))


def test_a_body_has_a_frame_of_its_own() -> None:
    """The view is in a sandboxed frame: it runs its own scripts, and reaches neither the notebook nor the network."""
    view = notebook_view(find_recipe("z_clip").part())
    assert view.startswith("<iframe srcdoc=")
    assert 'sandbox="allow-scripts"' in view
    assert view.count("<") == 2  # all that is inside is escaped
    assert "default-src 'none'" in html.unescape(view)


def test_the_view_has_the_figures() -> None:
    """Mass and blank with their units, and the model that folds."""
    text = shown("ring_riser")
    mass = 1000 * properties(find_recipe("ring_riser")()).mass
    assert f"{mass:.2f} g" in text
    model = re.search(r'id="model">(.*?)</script>', text)
    assert model is not None
    assert json.loads(model[1])["name"] == "ring_riser"


@pytest.fixture(scope="module")
def outputs() -> dict[str, Any]:
    """Everything that the cells showed, run by the notebook's own machinery in a kernel of its own."""
    client = pytest.importorskip("nbclient", reason="the test package nbclient is not installed")
    pytest.importorskip("ipykernel", reason="the test package ipykernel is not installed")
    import nbformat

    os.environ.setdefault("JUPYTER_PLATFORM_DIRS", "1")
    book = nbformat.read(NOTEBOOK, as_version=4)
    runner = client.NotebookClient(
        book, timeout=120, kernel_name="python3", resources={"metadata": {"path": _root()}}
    )
    runner.km = runner.create_kernel_manager()
    runner.km.kernel_spec.argv[0] = sys.executable
    runner.execute()
    cells = (cell for cell in book.cells if cell.cell_type == "code")
    return {cell.id: [output for output in cell.outputs if "data" in output] for cell in cells}


def _root() -> str:
    return str(Path(__file__).parents[2])


def test_the_notebook_runs(outputs: dict[str, Any]) -> None:
    """A body shows its view, a mass its unit, and a length given as a quantity makes the same part."""
    (view,) = outputs["make"]
    assert "<iframe" in view["data"]["text/html"]
    (mass,) = outputs["mass"]
    assert "gram" in mass["data"]["text/plain"]
    assert outputs["quantity"][0]["data"]["text/plain"] == "True"
    assert int(outputs["report"][0]["data"]["text/plain"]) >= 10  # one for each part of the report


def test_the_notebook_shows_figures_with_units(outputs: dict[str, Any]) -> None:
    """
    Properties and blank come as tables in which every figure has its unit.

    By hand: steel of 7850 kg/m3 (the customary figure) weighs 7.85 mg for each mm3.
    """
    figures, flat = (rows(outputs[cell][0]["data"]["text/html"]) for cell in ("figures", "blank"))
    assert set(figures) == {"mass", "volume", "surface", "centre of mass", "envelope"}
    ends = {"mass": "g", "volume": "mm³", "surface": "mm²", "centre of mass": "mm", "envelope": "mm"}
    assert {name: value.split()[-1] for name, value in figures.items()} == ends
    volume, mass = (float(figures[name].split()[0]) for name in ("volume", "mass"))
    assert mass == pytest.approx(volume * 7.85e-3, abs=0.006)
    assert set(flat) == {"blank", "cut", "sheet", "bends"}
    assert flat["blank"].endswith("mm²")


def test_a_recipe_in_a_cell_works_on_worker_processes(outputs: dict[str, Any]) -> None:
    """
    Its import, its helper and its value of another cell go with it, as they are at that moment.

    By hand: sheet of 2 mm, R 2 and K 0.44, plate and flange to the outside: the blank is so much less than the plate's
    width of 30 and then 40 mm plus 20 mm as twice the setback of 4 mm is more than the arc of pi / 2 (2 + 0.88) mm.
    """
    assert "of the plate" in outputs["cell-recipe"][0]["data"]["text/html"]
    before, after, here = ast.literal_eval(outputs["cell-family"][0]["data"]["text/plain"])
    assert [error for _, error, _ in before + after] == [""] * 4
    for found, width in ((before, 30.0), (after, 40.0)):
        developed = width + 20.0 - 2 * 4.0 + math.pi / 2.0 * 2.88
        assert [area for _, _, area in found] == pytest.approx([40.0 * developed, 60.0 * developed])
    assert [area for _, _, area in after] == pytest.approx(here)


def test_drawing_plan_and_findings_have_views(outputs: dict[str, Any]) -> None:
    """Pictures that are shown and never run, and a table; another tuple is shown as it is."""
    for cell, words in (("drawing", "Drawing of lug"), ("plan", "Setter's sheet of lug: 1 step")):
        view = html.unescape(outputs[cell][0]["data"]["text/html"])
        assert view.startswith("<img ")
        assert f'alt="{words}' in view
        assert b"<svg" in base64.b64decode(re.findall('base64,([^"]*)', view)[0])
    assert "<strong" in outputs["findings"][0]["data"]["text/html"]
    assert several_view((1, 2)) is None
    assert several_view(()) is None


CELL = "WIDTH = {}\ndef body(length):\n    return WIDTH * length\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (CELL.format("object()"), "is of type object and stands in another cell"),
        (
            "def outer(more):\n    return lambda length: more\nbody = outer(3)\n",
            "stands inside of another function",
        ),
    ],
)
def test_what_no_other_process_can_have_is_refused(
    text: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a console does it: the text of the cell is where Python looks for lines, and in no file."""
    names: dict[str, Any] = {"__name__": "__main__"}
    exec(compile(text, "<cell>", "exec"), names)
    monkeypatch.setitem(
        linecache.cache, "<cell>", (len(text), None, text.splitlines(keepends=True), "<cell>")
    )
    assert is_in_a_cell(names["body"])
    with pytest.raises(InputError, match=said):
        text_of(names["body"])


def rows(table: str) -> dict[str, str]:
    """First and second cell of each row of a table."""
    return dict(re.findall(r"<tr><td>(.*?)</td><td>(.*?)</td></tr>", table))


def test_a_table_of_a_notebook_is_escaped() -> None:
    """Markup in the name of a part stays text."""
    body = replace(find_recipe("z_clip")(), name="<img src=x onerror=alert(1)>")
    table = blank_view(blank(body))
    assert "<img" not in table
    assert "&lt;img src=x onerror=alert(1)&gt;" in table
