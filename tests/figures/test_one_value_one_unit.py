"""One figure, one value, one unit: every output of two parts worked by hand, read back as people and programs do."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator, Sequence
from contextlib import redirect_stdout
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from formparts import Body, family, find_recipe
from formparts.assembly import Assembly, Placed, write_bill
from formparts.body import Frame
from formparts.cli import main
from tests.figures.hand import HEAVY, JOGGED, RECIPES, Hand
from tests.figures.reading import agrees, keyed

Reading = tuple[str, str, str]
"""What is meant, as it is printed, and the unit beside it."""

PARTS = {"jogged": JOGGED, "heavy": HEAVY}
SIDES = {"rear": "up", "fore": "down"}


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every output of both parts, by the command; what it printed is beside the files."""
    folder = tmp_path_factory.mktemp("out")
    for name, *words in (
        ("jogged", "make", "--report"), ("jogged", "draw"), ("jogged", "plan", "--as", "svg"),
        ("heavy", "make", "--report"), ("heavy", "draw", "--as", "svg"),
    ):  # fmt: skip
        said = io.StringIO()
        with redirect_stdout(said):
            assert main([words[0], f"{RECIPES}:{name}", *words[1:], "--out", str(folder)]) in (0, 1)
        (folder / f"{name}-{words[0]}.txt").write_text(said.getvalue(), encoding="utf-8")
    return folder


def found(hand: Hand, readings: Sequence[Reading], at_least: int) -> None:
    """Every reading is the hand's, and there are as many as the output is known to have."""
    faults = [fault for reading in readings if (fault := agrees(hand, *reading))]
    assert faults == []
    assert len(readings) >= at_least, readings


def of_text(text: str, patterns: Sequence[tuple[str, Sequence[str]]]) -> Iterator[Reading]:
    """Readings of a text: each pattern's groups are a figure and its unit in turn, or figures of one last unit."""
    for pattern, facts in patterns:
        matches = list(re.finditer(pattern, text, re.MULTILINE))
        assert matches, f"{pattern} is not in the text"
        for match in matches:
            *figures, unit = match.groups()
            yield from ((fact, figure, unit) for fact, figure in zip(facts, figures, strict=True))


@pytest.mark.parametrize("name", PARTS)
def test_console(name: str, out: Path) -> None:
    """What `make` prints; up and down by the names of the bends."""
    text = (out / f"{name}-make.txt").read_text(encoding="utf-8")
    patterns = [
        (r"^\w+: S235JR, ([\d.]+) (mm), K-factor 0.4$", ["thickness"]),
        (r"^  mass +([\d.]+) (g|kg) at", ["mass"]),
        (r" at ([\d.]+) (kg/m3)$", ["density"]),
        (r"^  volume +([\d.]+) (mm3)$", ["volume"]),
        (r"^  envelope +([\d.]+) x ([\d.]+) x ([\d.]+) (mm)$", ["envelope x", "envelope y", "envelope z"]),
        (r"^  blank +([\d.]+) x ([\d.]+) (mm), area", ["blank length", "blank width"]),
        (r"area ([\d.]+) (mm2)$", ["blank area"]),
        (r"^  cut +([\d.]+) (mm), 1 pierce", ["cut length"]),
        (r" x ([\d.]+) (deg) ", ["angle"]),
        (r"R ([\d.]+), [\d.]+ (mm) long", ["inside radius"]),
        (r", ([\d.]+) (mm) long", ["bend line"]),
        (r"allowance ([\d.]+) (mm)", ["allowance"]),
    ]
    found(PARTS[name], list(of_text(text, patterns)), 15)
    sides = re.findall(r"deg (up|down) .*: (\w+)\.bend$", text, re.MULTILINE)
    assert {bend: side for side, bend in sides} == {bend: SIDES[bend] for _, bend in sides}


IN_JSON = {
    "sheet/thickness": "thickness", "sheet/inside_radius": "inside radius", "sheet/density": "density",
    "volume": "volume", "mass": "mass", "surface": "surface", "envelope[0]": "envelope x", "envelope[1]": "envelope y",
    "envelope[2]": "envelope z", "blank/length": "blank length", "blank/width": "blank width",
    "blank/area": "blank area",
    "blank/cut_length": "cut length", "blank/pierces": "pierces", "bends/angle": "angle",
    "bends/inside_radius": "inside radius", "bends/bend_line_length": "bend line", "bends/allowance": "allowance",
    "schedule/strength": "strength",
}  # fmt: skip
IN_SCHEDULE = {
    "angle": "angle", "inside_radius": "inside radius", "bend_line_length": "bend line", "allowance": "allowance",
    "die_opening": "die opening", "natural_radius": "natural radius", "minimum_flange": "minimum flange",
    "strain": "strain", "stop": "stop of {}", "flange": "flange of {}",
}  # fmt: skip
NOT_BY_HAND = {
    "start": "ends of the bend line are the picture's, see the invariants", "end": "as start",
    "start_x": "as start", "start_y": "as start", "end_x": "as start", "end_y": "as start",
    "sight_line": "of a folding brake: tests/schedules", "angle_under_load": "springback: tests/forming",
    "overbend": "as angle_under_load", "radius_under_load": "as angle_under_load", "centroid": "tests/invariants",
    "line_on_blank": "as start", "number": "counts", "step": "counts",
    "die_sections": "tool lengths: tests/planning", "punch_sections": "as die_sections",
}  # fmt: skip
"""What is not worked by hand here, and where it is held; any other figure of these outputs has to be."""


def of_bend(row: dict[str, Any], hand: Hand) -> Iterator[Reading]:
    """The figures of one bend of a schedule, by its keys or headings; none may be unknown."""
    bend = str(row["name"]).partition(".")[0]
    assert row["side"] == SIDES[bend]
    for key, value in row.items():
        what, unit = keyed(key)
        if what == "force":
            fact = "force by length" if unit == "N/mm" else "force"
        elif what in IN_SCHEDULE:
            fact = IN_SCHEDULE[what].format(bend)
        else:
            words = what in (
                "name",
                "side",
                "turn",
                "die",
                "punch",
                "stop_edge",
                "notes",
                "process",
                "source",
                "rule",
            )
            assert words or what in NOT_BY_HAND or value in ("", None), (
                f"{key}: a figure that nobody has worked out"
            )
            continue
        if fact in hand:
            yield fact, f"{value!r}" if isinstance(value, float) else str(value), unit


@pytest.mark.parametrize("name", PARTS)
def test_json(name: str, out: Path) -> None:
    """Every figure of part, sheet, blank, bends and schedule, with the unit that its key ends in."""
    data = json.loads((out / f"{name}.json").read_text(encoding="utf-8"))
    flat: dict[str, Any] = {**{k: v for k, v in data.items() if not isinstance(v, (dict, list))}}
    for part in ("sheet", "blank", "schedule"):
        flat |= {f"{part}/{k}": v for k, v in data[part].items() if not isinstance(v, (dict, list))}
    flat |= {f"envelope_mm[{axis}]": value for axis, value in enumerate(data["envelope_mm"])}
    flat |= {
        f"bends/{k}": v for bend in data["bends"] for k, v in bend.items() if isinstance(v, (int, float))
    }
    readings = []
    for key, value in flat.items():
        bare, axis = re.fullmatch(r"(.*?)((?:\[\d\])?)", key).groups()  # type: ignore[union-attr]
        what, unit = keyed(bare)
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            assert what + axis in IN_JSON, f"{key}: a figure that nobody has worked out"
            readings.append((IN_JSON[what + axis], repr(value), unit))
    for row in data["schedule"]["bends"]:
        readings += of_bend(row, PARTS[name])
    found(PARTS[name], readings, 26)


@pytest.mark.parametrize("name", PARTS)
def test_bend_table_as_csv(name: str, out: Path) -> None:
    """Each column with the unit of its heading."""
    text = (out / f"{name}-bends.csv").read_text(encoding="utf-8-sig")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    readings = [reading for row in csv.DictReader(lines) for reading in of_bend(row, PARTS[name])]
    found(PARTS[name], readings, 7)
    found(PARTS[name], list(of_text(text, [(r"strength ([\d.]+) (MPa)", ["strength"])])), 1)


def tables_of(path: Path) -> tuple[list[list[str]], str]:
    """The rows of all tables of a page, and all its text."""

    class Tables(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.rows: list[list[str]] = []
            self.cell, self.silent, self.text = False, 0, ""

        def handle_starttag(self, tag: str, attrs: Any) -> None:
            del attrs
            self.silent += tag in ("script", "style")
            if tag == "tr":
                self.rows.append([])
            if tag in ("td", "th") and self.rows:
                self.rows[-1].append("")
                self.cell = True

        def handle_endtag(self, tag: str) -> None:
            self.silent -= tag in ("script", "style")
            self.cell = self.cell and tag not in ("td", "th")

        def handle_data(self, data: str) -> None:
            if not self.silent:
                self.text += data.strip() + "\n"
                if self.cell:
                    self.rows[-1][-1] += data.strip()

    page = Tables()
    page.feed(path.read_text(encoding="utf-8"))
    return page.rows, page.text


@pytest.mark.parametrize("name", PARTS)
def test_page(name: str, out: Path) -> None:
    """Title block, table of bends and table of figures of the report."""
    rows, text = tables_of(out / f"{name}.html")
    figures = [row for row in rows if len(row) == 2]
    patterns = [
        ("mass", r"([\d.]+) (k?g)", ["mass"]),
        ("volume", r"([\d.]+) (mm³)", ["volume"]),
        ("surface", r"([\d.]+) (mm²)", ["surface"]),
        ("envelope", r"([\d.]+) × ([\d.]+) × ([\d.]+) (mm)", ["envelope x", "envelope y", "envelope z"]),
        ("blank", r"([\d.]+) × ([\d.]+) (mm)", ["blank length", "blank width"]),
        ("blank", r"area ([\d.]+) (mm²)", ["blank area"]),
        ("cut", r"([\d.]+) (mm), pierces: 1", ["cut length"]),
        ("sheet", r"([\d.]+) (mm)", ["thickness"]),
        ("material", r"([\d.]+) (kg/m³)", ["density"]),
    ]
    readings: list[Reading] = []
    for label, pattern, facts in patterns:
        shown = [row[1] for row in figures if row[0] == label and re.search(pattern, row[1])]
        assert shown, label
        for cell in shown:
            readings += of_text(cell, [(pattern, facts)])
    heading = next(row for row in rows if "allowance" in row and "die V" in row)
    bends = [
        dict(zip(heading, row, strict=True)) for row in rows if len(row) == len(heading) and row[0].isdigit()
    ]
    for row in bends:
        bend = row["bend"].partition(".")[0]
        assert row["side"] == SIDES[bend]
        columns = [
            ("inside radius", "inside radius", "mm"), ("length", "bend line", "mm"), ("allowance", "allowance", "mm"),
        ]  # fmt: skip
        readings += [(fact, row[column], unit) for column, fact, unit in columns]
        readings += [("angle", row["angle"].rstrip("°"), "°")]
        readings += [(f"stop of {bend}", row["stop"].partition(",")[0], "mm")]
        if "force" in PARTS[name]:
            (force,) = (column for column in row if column.startswith("force"))
            readings += [("force", row[force], keyed(force)[1]), ("die opening", row["die V"], "mm")]
    found(PARTS[name], readings, 17)
    assert "lengths in mm" in text


def words_of_svg(path: Path) -> list[str]:
    return re.findall(r">([^<>\n]+)<", path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", PARTS)
def test_blank_as_svg(name: str, out: Path) -> None:
    """Length across and width up the picture, area and cut length, and the table of bends, up and down in words."""
    words = words_of_svg(out / f"{name}-blank.svg")
    text = "\n".join(words)
    patterns = [
        (r"area ([\d.]+) (mm²)", ["blank area"]),
        (r"cut length ([\d.]+) (mm)", ["cut length"]),
        (r"blank of ([\d.]+) (mm) sheet", ["thickness"]),
    ]
    readings = list(of_text(text, patterns))
    assert "lengths in mm" in text
    turned = re.findall(
        r'<text[^>]*transform="[^"]*rotate[^>]*>([\d.]+)<', (out / f"{name}-blank.svg").read_text()
    )
    plain = [word for word in words[: words.index("bend")] if re.fullmatch(r"\d+\.?\d*", word)]
    readings += [("blank width", word, "mm") for word in turned if "." in word]
    readings += [("blank length", plain[0], "mm")]
    at = words.index("bend line") + 1
    while at + 6 <= len(words) and words[at].isdigit():
        _, bend, angle, side, radius, length = words[at : at + 6]
        assert side.startswith(f"bend {SIDES[bend.partition('.')[0]]}")
        readings += [("angle", angle.rstrip("°"), "°"), ("inside radius", radius.removeprefix("R "), "mm")]
        readings += [("bend line", length, "mm")]
        at += 6
    found(PARTS[name], readings, 7)


def drawn_words(path: Path) -> str:
    """All words of a drawing, a line each, whatever its format."""
    if path.suffix == ".dxf":
        drawn = ezdxf.readfile(path).modelspace()
        for dimension in drawn.query(
            "DIMENSION"
        ):  # what is written is what is measured, at the drawing's scale
            factor = dimension.override().get("dimlfac", 1.0)
            written = float(dimension.dxf.text.strip("()"))
            assert written == pytest.approx(float(dimension.get_measurement()) * factor, abs=0.0051)
        return "\n".join(str(text.dxf.text) for text in drawn.query("TEXT DIMENSION"))
    if path.suffix == ".pdf":
        done = subprocess.run(["pdftotext", "-raw", str(path), "-"], capture_output=True, check=True)
        return done.stdout.decode()
    return "\n".join(words_of_svg(path))


@pytest.mark.parametrize(
    ("name", "kind"), [("jogged", "svg"), ("jogged", "dxf"), ("jogged", "pdf"), ("heavy", "svg")]
)
def test_drawing(name: str, kind: str, out: Path) -> None:
    """Title block, dimensions and bend table of every format: lengths in mm, as it says."""
    if kind == "pdf" and shutil.which("pdftotext") is None:
        pytest.skip("no reader of PDF text on this machine (Debian package poppler-utils)")
    hand, text = PARTS[name], drawn_words(out / f"{name}-drawing.{kind}")
    patterns = [
        (r"(?:^|\s)([\d.]+) (k?g)(?:\s|$)", ["mass"]),
        (r"thickness\s+([\d.]+) (mm)", ["thickness"]),
    ]
    readings = list(of_text(text, patterns))
    assert re.search(r"lengths in\s+mm", text)
    figures = set(re.findall(r"[\d.]*\d", text))
    for fact in ("envelope x", "envelope y", "flange of rear", "flange of fore", "blank width", "deduction"):
        shown = f"{round(hand.get(fact, (0, ''))[0], 3 if fact == 'deduction' else 2):g}"
        assert fact not in hand or shown in figures, (fact, shown)
    rows = re.findall(
        r"(\w+)\.bend\s+([\d.]+)(°)\s+(up|down)\s+R([\d.]+)\s+([\d.]+)\s+([\d.]+)\s+([\d.]+)\s+\w ([\d.]+)",
        text,
    )
    assert rows
    for bend, angle, degree, side, radius, length, allowance, deduction, position in rows:
        assert side == SIDES[bend]
        facts = ("inside radius", "bend line", "allowance", "deduction", f"position of {bend}")
        values = (radius, length, allowance, deduction, position)
        readings += [("angle", angle, degree), *((f, v, "mm") for f, v in zip(facts, values, strict=True))]
    found(hand, readings, 8)


def test_setter_sheet(out: Path) -> None:
    """Stops, force and radius of each step of the plan, printed and on the sheet."""
    text = (out / "jogged-plan.txt").read_text(encoding="utf-8")
    stops = dict(re.findall(r"Stop ([\d.]+ mm), edge of (\w+)", text))
    readings = [(f"stop of {flange}", *stop.split()) for stop, flange in stops.items()]
    readings += of_text(text, [(r"Force ([\d.]+) (kN)", ["force"])])
    readings += of_text(text, [(r"Bend angle ([\d.]+) (deg)", ["angle"])])
    readings += of_text(text, [(r"Inside radius ([\d.]+) (mm)", ["inside radius"])])
    found(JOGGED, readings, 8)
    sheet = "\n".join(words_of_svg(out / "jogged-setter.svg"))
    found(JOGGED, list(of_text(sheet, [(r"^Force ([\d.]+) (kN)", ["force"])])), 2)


@pytest.mark.parametrize("name", PARTS)
def test_step(name: str, out: Path) -> None:
    """Validation properties and density, with the units that their entities lead to."""
    text = re.sub(r"\n\s*", "", (out / f"{name}.step").read_text(encoding="ascii"))
    entities = dict(re.findall(r"#(\d+) ?= ?(.*?);", text))
    readings = []
    for label, kind, fact in (
        ("volume measure", "VOLUME_MEASURE", "volume"),
        ("surface area measure", "AREA_MEASURE", "surface"),
        ("density measure", "POSITIVE_RATIO_MEASURE", "density"),
    ):
        (match,) = re.findall(rf"'{label}',{kind}\(([^)]*)\),#(\d+)\)", text)
        readings.append((fact, match[0].rstrip("."), step_unit(entities, match[1])))
    found(PARTS[name], readings, 3)


def step_unit(entities: dict[str, str], number: str) -> str:
    """The unit of an entity: a derived unit's elements, each an SI unit with its prefix and its power."""
    elements = re.findall(r"#(\d+)", entities[number])
    words = []
    for element in elements:
        base, power = re.fullmatch(r"DERIVED_UNIT_ELEMENT\(#(\d+),(-?\d+)\.\)", entities[element]).groups()  # type: ignore[union-attr]
        prefix, unit = re.search(r"SI_UNIT\((\$|\.\w+\.),\.(\w+)\.\)", entities[base]).groups()  # type: ignore[union-attr]
        words.append(f"{prefix.strip('.$').lower()}{unit.lower()}**{power}")
    return "*".join(words).replace("metre", "meter")


FAMILY = {
    "mass": "mass", "volume": "volume", "surface": "surface", "envelope_x": "envelope x", "envelope_y": "envelope y",
    "envelope_z": "envelope z", "blank_length": "blank length", "blank_width": "blank width",
    "blank_area": "blank area",
    "cut_length": "cut length", "pierces": "pierces", "bends": "bends", "bend_force": "force",
}  # fmt: skip


@pytest.mark.parametrize("name", PARTS)
def test_family_table_and_page(name: str, tmp_path: Path) -> None:
    """Every column of the table and every figure of the page with its unit; the card in its words."""
    recipe = find_recipe(f"{RECIPES}:{name}")
    (made,) = family(recipe, [{"name": "a"}], tmp_path, only=(), workers=1)
    with (tmp_path / "family.csv").open(encoding="utf-8-sig", newline="") as file:
        (row,) = csv.DictReader(file)
    page = (tmp_path / "family.html").read_text(encoding="utf-8")
    data = json.loads(re.search(r"<script[^>]*>(\{.*?\})</script>", page, re.DOTALL)[1])  # type: ignore[index]
    (point,) = data["rows"]
    hand, readings = PARTS[name], []
    for key in made.figures:
        what, unit = keyed(key)
        assert what in FAMILY, f"{key}: a figure that nobody has worked out"
        if FAMILY[what] in hand:
            readings += [(FAMILY[what], row[key], unit), (FAMILY[what], repr(point[key]), data["units"][key])]
    card = [
        (r"<p>([\d.]+) (kg)</p>", ["mass"]),
        (r"blank ([\d.]+) x ([\d.]+) (mm)", ["blank length", "blank width"]),
    ]
    found(hand, [*readings, *of_text(page, card)], 26)


@pytest.mark.parametrize("name", PARTS)
def test_bill(name: str, tmp_path: Path) -> None:
    """Mass of one and of all in kg, as the headings say."""
    made = body(name)
    items = (Placed("one", made), Placed("two", made, Frame((0, 0, 300))))
    path = write_bill(Assembly("pair", items), tmp_path / "bill.csv")
    rows = list(csv.DictReader(path.read_text(encoding="utf-8-sig").splitlines()))
    readings = [("mass", row[key], keyed(key)[1]) for row in rows[:-1] for key in ("mass_kg",)]
    twice = {"mass": (2 * PARTS[name]["mass"][0], PARTS[name]["mass"][1])}
    found(PARTS[name], readings, 1)
    found(twice, [("mass", row["total_kg"], "kg") for row in rows], 2)


def test_deck(tmp_path: Path) -> None:
    """Tonnes, mm, N, s: the density of the deck in t/mm3, and the thickness of its shells."""
    from formparts.fea import FeaOrder, study, write_study

    paths = write_study(study(body("jogged"), FeaOrder("shell", 12.0)), tmp_path / "deck")
    text = next(path for path in paths if path.suffix == ".inp").read_text(encoding="ascii")
    patterns = [
        (r"^\*DENSITY\n([\d.e+-]+)()$", ["density"]),
        (r"^\*SHELL SECTION.*\n([\d.]+)()$", ["thickness"]),
    ]
    units = {"density": "t/mm3", "thickness": "mm"}
    found(JOGGED, [(fact, value, units[fact]) for fact, value, _ in of_text(text, patterns)], 2)


def body(name: str) -> Body:
    return find_recipe(f"{RECIPES}:{name}")()


READ: dict[str, Callable[..., None] | str] = {
    ".step": test_step, "-blank.svg": test_blank_as_svg, "-bends.csv": test_bend_table_as_csv, ".json": test_json,
    ".html": test_page, "-drawing.pdf": test_drawing, "-drawing.dxf": test_drawing, "-drawing.svg": test_drawing,
    "-setter.svg": test_setter_sheet, "-setter.pdf": "the same sheet as the SVG",
    "-make.txt": test_console, "-plan.txt": test_setter_sheet,
    "-blank.dxf": "shape alone, no figure: tests/export/test_dxf.py measures it",
    ".png": "a picture", "-lines.svg": "a picture", "-draw.txt": "size and scale of the sheet: tests/drawings",
}  # fmt: skip
"""Which test reads an output, or why it holds no figure."""

COMMANDS: dict[str, Callable[..., None] | str] = {
    "make": test_console, "draw": test_drawing, "plan": test_setter_sheet, "family": test_family_table_and_page,
    "assemble": test_bill, "list": "no figures", "describe": "limits of parameters: tests/recipe_functions",
    "check": "figures stand in findings: tests/checks", "compare": "tests/comparison", "region": "tests/families",
    "solve": "prints what make prints", "unfold": "tests/unfolded_files", "verify": "tests/verification",
    "materials": "tests/cli/test_materials.py", "test-strips": "tests/bending/test_measured_k.py",
    "watch": "tables of the page, see test_page", "fea": "tests/fea", "recipe": "tests/recipe_writing",
    "manual": "runs the others: tests/manual", "new": "no figures",
}  # fmt: skip


def test_a_new_output_enters_itself(out: Path) -> None:
    """A file of another ending, or a command that nobody has entered, fails here: read it, or say why not."""
    from formparts.cli import _parser

    ends = {path.name.removeprefix(name) for name in PARTS for path in out.glob(f"{name}[.-]*")}
    assert ends - READ.keys() == set()
    (commands,) = (action.choices for action in _parser()._actions if isinstance(action.choices, dict))
    assert set(commands) - COMMANDS.keys() == set()


@pytest.mark.parametrize(
    ("fact", "text", "unit"),
    [
        ("mass", "65530", "g"), ("mass", "65.53", "kg"), ("blank width", "60.00", "mm"), ("force", "17.0", "N"),
        ("force by length", "283.33", "kN/mm"), ("allowance", "60", "mm"), ("density", "7850", "kg/m²"),
        ("blank area", "4136.3", "mm³"), ("thickness", "2", ""), ("pierces", "1", "mm"),
    ],
)  # fmt: skip
def test_a_wrong_figure_or_unit_is_noticed(fact: str, text: str, unit: str) -> None:
    """The faults that once went unnoticed, each planted as it would be printed."""
    import pint

    try:
        assert agrees(JOGGED, fact, text, unit)
    except pint.DimensionalityError:
        return
