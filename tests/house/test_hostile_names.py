"""Names that would be markup, script or a formula: in every file that we write they are text."""

from __future__ import annotations

import csv
import html.parser
import io
import json
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from formparts import (
    Body,
    InputError,
    Motion,
    Sheet,
    add_flange,
    cut_opening,
    disc,
    material,
    plate,
    rectangle,
)
from formparts.assembly import Assembly, Placed, write_assembly_step, write_bill
from formparts.blanks import blank
from formparts.checks import findings
from formparts.closed_forms import properties
from formparts.drawings import drawing, write_drawing, write_line_picture
from formparts.export import StepFacts, read_facts, write_blank_dxf, write_blank_svg, write_step
from formparts.export.csv_text import cell_text, comment_text
from formparts.export.schedule import write_schedule
from formparts.families.ledger import Outcome
from formparts.families.page import write_page
from formparts.families.region_files import write_region
from formparts.families.regions import Bound, MapPoint, Region
from formparts.families.tables import write_table
from formparts.fea import LoadCase, mesh_of, write_deck
from formparts.materials import Material
from formparts.part import Part
from formparts.planning import plan_bends
from formparts.recipe_functions import find_recipe
from formparts.report.html import report_page
from formparts.schedules import schedule
from formparts.solids import solid
from formparts.watch.page import watch_page
from tests.parts import CAST

EVIL = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</script><svg onload=alert(1)>",
    "a&b'c]]>-->",
)
FORMULAS = ("=1+1", "+1", "-1", "@SUM(A1)", "x,=1+1", '=HYPERLINK("http://x")')


def hostile(name: str) -> Body:
    """A plate with a flange and a hole, everything of it called so."""
    metal = Material(name, 7850.0, description=name, note=name)
    body = plate(Sheet(2, 2.5, metal, 0.44), rectangle(60, 40), name=name)
    body = cut_opening(
        add_flange(body, "back", 20), disc(2), name, [Motion.shift(-27.0, 0.0)], name=f"{name}.hole"
    )
    return replace(body, name=name)


class Elements(html.parser.HTMLParser):
    """The elements of a page, their event attributes, and its words."""

    def __init__(self) -> None:
        super().__init__()
        self.kinds: list[str] = []
        self.events: list[str] = []
        self.scripts: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.kinds.append(tag)
        self.events += [name for name, _ in attrs if name.startswith("on")]
        if tag == "script":
            self.scripts.append("")

    def handle_data(self, data: str) -> None:
        if self.cdata_elem == "script":
            self.scripts[-1] += data
        else:
            self.words += data


def parsed(text: str) -> Elements:
    page = Elements()
    page.feed(text)
    page.close()
    return page


def pages(name: str, folder: Path) -> Iterator[tuple[str, bool]]:
    """Every page for a part of that name, and whether the name is to be read on it."""
    body, recipe = hostile(name), replace(find_recipe("z_clip"), name=name, summary=name, doc=name)
    yield report_page(Part(body)), True
    yield watch_page(recipe), True
    finding = {"severity": "error", "message": name, "code": name}
    figures = {"mass_kg": 1.0, "blank_length_mm": 1.0, "blank_width_mm": 1.0}
    outcomes = [
        Outcome(name, "folder", "", "made", "", find_recipe("z_clip").resolved(), figures, (finding,)),
        Outcome(name, "folder", "", "failed", name, {}),
    ]
    yield write_page(recipe, outcomes, folder, folder).read_text(encoding="utf-8"), True


@pytest.mark.parametrize("name", EVIL)
def test_pages_show_names_as_text(name: str, tmp_path: Path) -> None:
    """As many scripts as for a plain name, no element or event from the name, and the name to be read."""
    for (text, shown), (plain, _) in zip(pages(name, tmp_path), pages("plain", tmp_path), strict=True):
        page, other = parsed(text), parsed(plain)
        assert len(page.scripts) == len(other.scripts)
        assert page.events == other.events
        assert page.kinds == other.kinds
        assert (name in page.words) is shown
        for one, two in zip(page.scripts, other.scripts, strict=True):
            if two.lstrip().startswith(("{", "[")):
                json.loads(one)


@pytest.mark.parametrize("name", EVIL)
def test_pictures_show_names_as_text(name: str, tmp_path: Path) -> None:
    """Blank, drawing, lines and region as SVG: sound XML with no script, no event, no foreign element."""
    body = hostile(name)
    flat = blank(body)
    recipe = replace(find_recipe("z_clip"), name=name)
    places = tuple(MapPoint(x, y, name, name) for x in (1.0, 2.0) for y in (1.0, 2.0))
    found = Region("rise", "foot", places, (Bound(1.0, "least", 1.0, name, name),))
    written = [
        write_blank_svg(flat, tmp_path / "blank.svg"),
        write_drawing(drawing(body), tmp_path / "drawing.svg"),
        write_line_picture(solid(body), tmp_path / "lines.svg"),
        *(path for path in write_region(recipe, found, tmp_path) if path.suffix == ".svg"),
    ]
    for path in written:
        elements = list(ET.fromstring(path.read_text(encoding="utf-8")).iter())
        kinds = {element.tag.rpartition("}")[2] for element in elements}
        assert not kinds & {"script", "img", "image", "foreignObject", "a"}, path.name
        assert not [key for element in elements for key in element.attrib if key.startswith("on")], path.name
    assert any(
        name in "".join(ET.fromstring(path.read_text(encoding="utf-8")).itertext()) for path in written
    )


@pytest.mark.parametrize("text", FORMULAS)
def test_no_cell_is_a_formula(text: str, tmp_path: Path) -> None:
    """Bends, bill of materials, family and region: no cell begins as a spreadsheet's formula does, but for numbers."""
    body = hostile(text)
    recipe = find_recipe("z_clip")
    outcome = Outcome(text, text, text, "failed", text, {"material": text})
    places = (MapPoint(1.0, 1.0, text, text),)
    files = [
        write_schedule(schedule(plan_bends(body)), tmp_path / "bends.csv"),
        write_bill(Assembly(text, (Placed(text, body),)), tmp_path / "bill.csv"),
        write_table(recipe, [outcome], tmp_path),
        *write_region(recipe, Region("rise", "foot", places, ()), tmp_path),
    ]
    for path in files:
        if path.suffix == ".csv":
            for cell in cells(path.read_text(encoding="utf-8-sig")):
                assert not cell.startswith(("=", "+", "-", "@", "\t")) or is_number(cell), (path.name, cell)


def cells(text: str) -> list[str]:
    return [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    # A text that was given as a number would be one for a spreadsheet too, and runs nothing.
    return True


def test_what_is_harmless_stays_as_it_is() -> None:
    assert [cell_text(text) for text in ("lug[2].bend", "x = 1", "a-b", "=x", " \t@x", "\0=x")] == [
        "lug[2].bend",
        "x = 1",
        "a-b",
        "'=x",
        "'@x",
        "'=x",
    ]
    assert comment_text("of a,=b, -c;@d, 2 mm") == "of a, '=b, -c; '@d, 2 mm"


def test_findings_of_such_a_part_are_one_line() -> None:
    assert all("\n" not in found.message for found in findings(hostile(EVIL[0]), blank(hostile(EVIL[0]))))


INJECTIONS = (
    "a\n0\nLINE\n8\ncut\nb",
    "a';\n#1=EVIL('x",
    "a\r\n999\rx",
    "x\n*INCLUDE, INPUT=/etc/passwd",
    "../../x",
    "a\x1b[31m",
    "%%c^J{\\P;x}",
)


def kinds(path: Path) -> list[str]:
    """The kinds of all entities of a file, of all keywords of a deck, and the positions of its words."""
    text = path.read_text(encoding="latin-1")
    patterns = {
        ".step": r"^#\d+ ?= ?\(? ?([A-Z_0-9]+)",
        ".dxf": r"\r?\n *(?:0|8)\r?\n(.+)",
        ".inp": r"^\*([A-Z]\w*)",
    }
    return re.findall(patterns[path.suffix], text, re.MULTILINE)


def written_with(name: str, folder: Path) -> list[Path]:
    """Every line-based file of a part whose name and material are called so, past the builders, who would refuse it."""
    metal = replace(material("DC01"), name=name, description=name, note=name)
    body = add_flange(plate(Sheet(2, 2.5, metal, 0.44), rectangle(60, 40), name="base"), "back", 20)
    body, folder = replace(body, name=name), folder / str(len(name))
    folder.mkdir()
    figures = properties(body)
    facts = StepFacts(
        figures.volume, figures.surface, figures.centroid, name, 7850.0, name, {name: name}, name
    )
    return [
        # A name with a carriage return does not come back from the kernel as it was, and is not delivered.
        write_step(solid(replace(body, name=name.replace("\r", ""))), folder / "part.step", facts=facts),
        write_blank_dxf(blank(body), folder / "blank.dxf"),
        write_drawing(drawing(body), folder / "drawing.dxf"),
        write_deck(mesh_of(body, "shell"), LoadCase(), folder / "mesh.inp"),
    ]


def test_no_name_becomes_an_entity(tmp_path: Path) -> None:
    """Line feeds, quotes and keywords in a name: STEP, DXF and deck hold what they hold for a plain name, no more."""
    plain = written_with("plain", tmp_path)
    assert all(len(kinds(path)) > 10 for path in plain)
    for name in INJECTIONS:
        for path, other in zip(written_with(name, tmp_path), plain, strict=True):
            assert kinds(path) == kinds(other), (name, path.name)


@pytest.mark.parametrize("name", ["a')", "a',b", "a' )", "a'');", "')#1=X('"])
def test_a_name_that_brings_the_kernels_reader_down_is_refused(name: str, tmp_path: Path) -> None:
    """It thinks that a string ends at a quote before a bracket or a comma, and then crashes."""
    with pytest.raises(InputError, match="holds a quote before a bracket"):
        plate(Sheet(2, 2.5, "DC01", 0.44), rectangle(60, 40), name=name)
    body = replace(plate(Sheet(2, 2.5, "DC01", 0.44), rectangle(60, 40), name="base"), name=name)
    with pytest.raises(InputError, match="holds a quote before a bracket"):
        write_step(solid(body), tmp_path / "part.step")
    placed = Assembly("whole", (Placed(name, CAST["zed"]()),))
    with pytest.raises(InputError, match="holds a quote before a bracket"):
        write_assembly_step(placed, tmp_path / "whole.step")
    figures = properties(body)
    facts = StepFacts(figures.volume, figures.surface, figures.centroid, name, 7850.0, "r", {name: name}, "v")
    path = write_step(solid(replace(body, name="base")), tmp_path / "base.step", facts=facts)
    assert read_facts(path).material == name
    assert f"'{name}" not in path.read_text()
