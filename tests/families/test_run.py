"""A family's folder: built, kept, built again when something changed, and one bad variant stops nothing."""

from __future__ import annotations

import json
import math
import shutil
import sqlite3
import threading
import time
from contextlib import closing
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from formparts import InputError, family, find_recipe
from formparts.families import as_array, as_table, ledger, pool
from tests.families.helpers import (
    SAMPLES,
    STRIP,
    TROUBLE,
    contents,
    csv_rows,
    ledger_rows,
    ran,
    started,
    whole,
)

QUICK = ("blank", "json")


def test_figures_by_hand_without_a_folder() -> None:
    """Volume, mass and blank of the strip as its docstring has them by hand; density of DC01 7850 kg/m3."""
    (outcome,) = family(find_recipe(STRIP), [{"name": "a"}])
    volume = 60 * (18 + 10) + 60 * 1.5 * math.pi / 2
    assert outcome.state == "made"
    assert outcome.figures["volume_mm3"] == pytest.approx(volume, rel=1e-12)
    assert outcome.figures["mass_kg"] == pytest.approx(volume * 7.85e-6, rel=1e-12)
    assert outcome.figures["blank_width_mm"] == pytest.approx(28 + 1.44 * math.pi / 2, rel=1e-12)
    assert (outcome.figures["pierces"], outcome.figures["bends"]) == (1, 1)
    assert outcome.files == {}


def test_a_list_an_array_a_table() -> None:
    """The same figures in each; volume grows with the length, by hand 28 + 1.5 pi/2 mm3 a millimetre."""
    rows = [{"name": f"l{length}", "length": length} for length in (50, 60, 80)]
    outcomes = list(family(find_recipe(STRIP), rows))
    array, table = as_array(outcomes), as_table(outcomes)
    assert array["name"].tolist() == ["l50", "l60", "l80"]
    assert array["volume_mm3"].tolist() == [row["volume_mm3"] for row in table]
    assert array["length"].tolist() == [50.0, 60.0, 80.0]
    slope = (array["volume_mm3"][2] - array["volume_mm3"][0]) / 30
    assert slope == pytest.approx(28 + 1.5 * math.pi / 2, rel=1e-12)
    assert as_array([]).shape == (0,)


def test_an_error_is_a_row() -> None:
    """A recipe that fails does so alone; the array has not-a-number where there is no figure."""
    outcomes = list(family(find_recipe(STRIP), [{"name": "a"}, {"name": "other", "bend_rule": "K 0.4"}]))
    odd = list(family(find_recipe(TROUBLE), [{"name": "b", "kind": 3}, {"name": "c"}]))
    assert [outcome.state for outcome in odd] == ["failed", "made"]
    assert "ZeroDivisionError: planted" in odd[0].error
    assert math.isnan(as_array(odd)["mass_kg"][0])
    assert outcomes[0].state == "made"


def test_rows_are_checked_before_anything_is_built() -> None:
    """At the call, not at the first outcome; with keep_going a bad row is an outcome of its own."""
    rows = [{"name": "a"}, {"name": "b", "length": 9}, {"name": "c", "widht": 9}]
    with pytest.raises(InputError, match=r"2 of 3 bad.*row 2 \(b\).*row 3 \(c\)"):
        family(find_recipe(STRIP), rows)
    outcomes = list(family(find_recipe(STRIP), rows, keep_going=True))
    assert sorted((outcome.name, outcome.state) for outcome in outcomes) == [
        ("a", "made"), ("b", "failed"), ("c", "failed"),
    ]  # fmt: skip


def build(folder: Path, rows: list[dict[str, object]], recipe: str = STRIP, **how: object) -> dict[str, bool]:
    """Build a quick family; say of each variant whether it was kept."""
    outcomes = list(family(find_recipe(recipe), rows, folder, only=QUICK, workers=1, **how))  # type: ignore[arg-type]
    assert all(outcome.state == "made" for outcome in outcomes), outcomes
    return {outcome.name: outcome.kept for outcome in outcomes}


def test_what_is_finished_is_kept_and_what_changed_is_built(tmp_path: Path) -> None:
    """
    Same parameters: kept. Another parameter, a file lost or altered, another recipe text or rule: built again.

    What was altered is the user's own now, and is replaced only on request.
    """
    recipe = tmp_path / "own.py"
    shutil.copy(SAMPLES, recipe)
    rule = tmp_path / "rule.csv"
    table = "thickness [mm],inside_radius [mm],angle [deg],allowance [mm]\n1,1,90,{}\n"
    rule.write_text(table.format(2.2))
    rows: list[dict[str, object]] = [
        {"name": "a"},
        {"name": "b", "length": 70},
        {"name": "c", "bend_rule": str(rule)},
    ]
    out, own = tmp_path / "out", f"{recipe}:strip"
    assert build(out, rows, own) == {"a": False, "b": False, "c": False}
    before = contents(out)
    assert build(out, rows, own) == {"a": True, "b": True, "c": True}
    assert contents(out) == before
    rows[1]["length"] = 75
    assert build(out, rows, own) == {"a": True, "b": False, "c": True}
    next((out / "a").glob("*.json")).unlink()
    next((out / "b").glob("*.dxf")).write_text("altered")
    with pytest.raises(InputError, match=r"b-blank.dxf: it was changed since.*--overwrite"):
        build(out, rows, own)
    assert build(out, rows, own, overwrite=True) == {"a": False, "b": False, "c": True}
    rule.write_text(table.format(2.3))
    assert build(out, rows, own) == {"a": True, "b": True, "c": False}
    recipe.write_text(recipe.read_text().replace("rectangle(length, 20)", "rectangle(length, 21)"))
    assert build(out, rows, own) == {"a": False, "b": False, "c": False}
    assert build(out, rows, own, fresh=True) == {"a": False, "b": False, "c": False}
    whole(out)


def test_material_of_ones_own_that_changed_is_built_again(tmp_path: Path) -> None:
    """Mass is volume times density: with 2700 kg/m3 made 5400 it is twice as great, and nothing old is kept."""
    shop, out = tmp_path / "shop.toml", tmp_path / "out"
    row: list[dict[str, object]] = [{"name": "a", "material": f"{shop}:panel"}]
    masses = []
    for density in (2700, 5400):
        shop.write_text(f'[[material]]\nname = "panel"\ndensity = {density}\n')
        assert build(out, row, "z_clip") == {"a": False}
        assert build(out, row, "z_clip") == {"a": True}
        (path,) = (out / "a").glob("*.json")
        masses.append(json.loads(path.read_text())["mass_kg"])
    assert masses[1] == pytest.approx(2 * masses[0], rel=1e-12)


HOSTILE = "../</script><script>alert(1)</script><img src=x>"


@pytest.fixture(scope="module")
def solid_family(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[ledger.Outcome]]:
    """Two strips with all their files, under names that mean harm to a path, a page, or an old system."""
    folder = tmp_path_factory.mktemp("solid")
    rows = [{"name": HOSTILE}, {"name": "CON", "length": 70}]
    return folder, list(family(find_recipe(STRIP), rows, folder / "out", workers=1))


def test_all_files_of_a_solid_family(solid_family: tuple[Path, list[ledger.Outcome]]) -> None:
    """STEP, DXF, SVG, picture and JSON of each, hashes in the table, no name out of the folder."""
    folder, outcomes = solid_family
    out = folder / "out"
    assert [outcome.state for outcome in outcomes] == ["made", "made"]
    assert {path.name for path in folder.iterdir()} == {"out"}
    for outcome, row in zip(outcomes, csv_rows(out), strict=True):
        ends = {name.removeprefix(outcome.folder) for name in outcome.files}
        assert {".step", "-blank.dxf", "-blank.svg", ".png", ".json"} <= ends
        assert row["name"] == outcome.name
        assert row["hash"] == outcome.hash
        assert dict(part.split("=") for part in row["files"].split()) == outcome.files
        record = json.loads((out / outcome.folder / f"{outcome.folder}.json").read_text())
        assert float(row["mass_kg"]) == record["mass_kg"] == outcome.figures["mass_kg"]
    whole(out)


def test_a_folder_of_another_recipe_or_with_a_broken_ledger_is_refused(tmp_path: Path) -> None:
    """
    Each with the way out, which works: for another recipe --fresh, while a ledger that cannot be read stays.

    Without it nobody knows whose its variants' folders are, so that they are in the way.
    """
    build(tmp_path, [{"name": "a"}])
    with pytest.raises(InputError, match=r"family of strip.*--fresh"):
        list(family(find_recipe(TROUBLE), [{"name": "a"}], tmp_path, only=QUICK))
    (tmp_path / "family.sqlite").write_bytes(b"no ledger at all" * 100)
    for fresh in (False, True):
        with pytest.raises(InputError, match=r"ledger cannot be used.*move family.sqlite and the folders"):
            build(tmp_path, [{"name": "a"}], fresh=fresh)
    (tmp_path / "family.sqlite").rename(tmp_path / "moved.sqlite")
    with pytest.raises(InputError, match=r"family.csv \(and family.html\): formparts did not write it"):
        build(tmp_path, [{"name": "a"}])
    with pytest.raises(InputError, match=r"/a/a-blank.dxf .*formparts did not write it"):
        build(tmp_path, [{"name": "a"}], overwrite=True)
    (tmp_path / "a").rename(tmp_path / "moved")
    assert build(tmp_path, [{"name": "a"}], overwrite=True) == {"a": False}
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError, match="is a file, and a folder is wanted"):
        list(family(find_recipe(STRIP), [{"name": "a"}], tmp_path / "file", only=QUICK))


def test_fresh_removes_nothing_but_its_own(tmp_path: Path) -> None:
    """What the ledger does not hold stays, also when a row of it points out of the folder."""
    out = tmp_path / "out"
    build(out, [{"name": "a"}, {"name": "b"}])
    (out / "mine").mkdir()
    (out / "mine" / "note.txt").write_text("keep")
    with closing(sqlite3.connect(out / "family.sqlite")) as book, book:
        book.execute("UPDATE variant SET folder = '../elsewhere' WHERE name = 'b'")
        book.execute(
            "INSERT INTO written SELECT '../elsewhere/b.json', hash FROM written WHERE path = 'b/b.json'"
        )
    (tmp_path / "elsewhere").mkdir()
    shutil.copy(out / "b" / "b.json", tmp_path / "elsewhere")
    build(out, [{"name": "c"}], fresh=True)
    assert (tmp_path / "elsewhere" / "b.json").is_file()
    assert (out / "mine" / "note.txt").read_text() == "keep"
    assert not (out / "a").exists()


FOREIGN_ROWS = (
    "findings = 'null'", "findings = '[5]'", "findings = '{'", "findings = x'ff'",
    "parameters = '[1]'", "parameters = '['", "files = '[]'", "files = '{\"../a.json\": \"00\"}'",
    "files = '{\"a.json\": 5}'", "seconds = 'long'", "mass_kg = 'heavy'", "state = 'odd'",
    "parameters = '{\"width\": NaN}'", "parameters = '{\"width\": \"\\ud800\"}'", "parameters = '{\"width\": [1]}'",
    "mass_kg = 1e999", "folder = '../elsewhere'", "hash = x'00'", "error = x'00'",
)  # fmt: skip


def test_a_row_that_we_did_not_write_is_built_anew(tmp_path: Path) -> None:
    """The ledger is data and may come from anybody: what is not as we enter it counts for nothing."""
    assert build(tmp_path, [{"name": "a"}]) == {"a": False}
    with closing(ledger.opened(tmp_path)) as book:
        kept = ledger.found(tmp_path, book, "a")
        assert kept is not None
        for row in FOREIGN_ROWS:
            book.execute(f"UPDATE variant SET {row}")
            assert ledger.found(tmp_path, book, "a") is None, row
            ledger.entered(tmp_path, book, [kept])
            assert ledger.found(tmp_path, book, "a") == kept
        book.execute(f"UPDATE variant SET {FOREIGN_ROWS[0]}")
    assert build(tmp_path, [{"name": "a"}]) == {"a": False}
    assert build(tmp_path, [{"name": "a"}]) == {"a": True}


def test_a_ledger_with_broken_pages_is_refused(tmp_path: Path) -> None:
    """SQLite finds it when the rows are read; the error gives the way out."""
    build(tmp_path, [{"name": "a"}])
    file = tmp_path / "family.sqlite"
    with closing(sqlite3.connect(file)) as book:
        (page,) = book.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'variant'").fetchone()
        (size,) = book.execute("PRAGMA page_size").fetchone()
    content = bytearray(file.read_bytes())
    content[(page - 1) * size : page * size] = b"\xff" * size
    file.write_bytes(content)
    with pytest.raises(InputError, match=r"ledger cannot be used.*choose another folder"):
        build(tmp_path, [{"name": "a"}])


@pytest.mark.parametrize("sign", [b"\x9d", b"\xff", b"'"])
@pytest.mark.parametrize("places", [("CREATE TABLE variant",), ("tablevariant", "CREATE TABLE")])
def test_a_ledger_with_broken_words_is_refused(sign: bytes, places: tuple[str, ...], tmp_path: Path) -> None:
    """Letters of its own description, or of its table's name too, are others: SQLite quotes them, text or no text."""
    build(tmp_path, [{"name": "a"}])
    file = tmp_path / "family.sqlite"
    content = bytearray(file.read_bytes())
    for place in places:
        end = content.index(place.encode()) + len(place)
        content[end - 1 : end] = sign
    file.write_bytes(content)
    with pytest.raises(InputError, match=r"ledger cannot be used.*choose another folder") as refused:
        build(tmp_path, [{"name": "a"}])
    assert "\n" not in str(refused.value)


def test_a_killed_run_s_drafts_are_swept_and_nothing_else(tmp_path: Path) -> None:
    """Of the working folder only what the ledger notes as a run's own goes; the rest stays, whatever it is called."""
    build(tmp_path, [{"name": "a"}])
    work = tmp_path / ".family.work"
    for name in ("0123456789ab", "abcdef012345"):
        (work / name / "b").mkdir(parents=True)
        (work / name / "b" / "b.step").write_text("half", encoding="utf-8")
    others = [tmp_path / ".1e890a876a30a790.csv", tmp_path / ".notes.csv"]
    for path in others:
        path.write_text("mine", encoding="utf-8")
    with closing(ledger.opened(tmp_path)) as book:
        assert ledger.workshops(tmp_path, book, "0123456789ab") == ["0123456789ab"]
    build(tmp_path, [{"name": "a"}])
    assert [path.name for path in work.iterdir()] == ["abcdef012345"]
    assert all(path.exists() for path in others)
    with closing(ledger.opened(tmp_path)) as book:
        assert ledger.workshops(tmp_path, book) == []


@pytest.mark.slow
@pytest.mark.usefixtures("new_workers")
def test_aborts_and_endless_loops_are_rows(tmp_path: Path) -> None:
    """A worker that aborts, ends itself or never ends costs its own variant only, and says why."""
    rows = [{"name": f"k{kind}", "kind": kind} for kind in (1, 0, 2, 3, 4)] + [{"name": "last", "length": 91}]
    outcomes = list(family(find_recipe(TROUBLE), rows, tmp_path, only=QUICK, workers=2, time_limit=4))
    said = {outcome.name: outcome.error for outcome in outcomes}
    assert {name for name, error in said.items() if not error} == {"k0", "last"}
    assert "SIGABRT" in said["k1"]
    assert "longer than 4 s" in said["k2"]
    assert "ZeroDivisionError: planted" in said["k3"]
    assert "exit code 3" in said["k4"]
    table = {row["name"]: row for row in csv_rows(tmp_path)}
    assert [table[f"k{kind}"]["state"] for kind in (1, 0, 2, 3, 4)] == [
        "failed",
        "made",
        "failed",
        "failed",
        "failed",
    ]
    assert table["k1"]["error"] == said["k1"]
    whole(tmp_path)
    assert not (tmp_path / ".family.work").exists()


def test_workers_are_replaced_when_worn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After so many variants, or at so much memory, the next one gets a fresh process."""
    begun = []
    monkeypatch.setattr(pool, "started", lambda start=pool.started: begun.append(1) or start())
    monkeypatch.setattr(pool, "RECYCLED_AFTER", 2)
    monkeypatch.setattr(pool, "MOST_MEMORY_MB", 1e6)  # a fork of the tests may hold much
    build(tmp_path / "a", [{"name": f"v{n}", "length": 50 + n} for n in range(4)])
    assert len(begun) == 2
    monkeypatch.setattr(pool, "RECYCLED_AFTER", 100)
    monkeypatch.setattr(pool, "MOST_MEMORY_MB", 1.0)
    build(tmp_path / "b", [{"name": f"v{n}", "length": 50 + n} for n in range(2)])
    assert len(begun) == 4


def test_a_worker_that_was_stopped_as_it_answered_gets_no_more_tasks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its time is up just after its answer has come: the answer holds, and the next variant is not blamed for it."""

    class Late(threading.Timer):
        def cancel(self) -> None:
            super().cancel()
            self.function(*self.args)

    monkeypatch.setattr(pool.threading, "Timer", Late)
    worker = pool.started()
    try:
        variant = {"folder": "a", "parameters": {}, "into": ""}
        task = {"recipe": STRIP, "wanted": [], "all_checks": False, "variants": [variant]}
        task["text"] = SAMPLES.read_bytes().decode("latin-1")
        (answer,) = pool.asked(worker, task, 60.0)
        assert answer["state"] == "made"
        assert worker.worn
    finally:
        pool.ended(worker)


def test_closing_the_iterator_ends_the_workers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever has seen enough stops the work at once; what is finished is kept."""
    begun: list[pool.Worker] = []
    monkeypatch.setattr(pool, "started", lambda start=pool.started: begun.append(start()) or begun[-1])
    rows: list[dict[str, object]] = [{"name": "quick"}, {"name": "sleepy", "kind": 5}]
    outcomes = family(find_recipe(TROUBLE), rows, tmp_path, only=QUICK, workers=1)
    assert next(outcomes).name == "quick"
    began = time.monotonic()
    outcomes.close()  # type: ignore[attr-defined]  # a generator has it
    assert time.monotonic() - began < 20  # the sleep alone is a minute
    assert begun
    assert all(worker.process.poll() is not None for worker in begun)
    assert set(ledger_rows(tmp_path)) == {"quick"}
    assert not (tmp_path / ".family.work").exists()


def test_a_second_run_is_refused(tmp_path: Path) -> None:
    """Two runs at once in one folder: the second ends with 2 and one line; the first goes on."""
    first = started(TROUBLE, "--grid", "kind=0,5", "--only", "json", "--out", tmp_path, "--workers", "1")
    try:
        deadline = time.monotonic() + 60
        while not ledger_rows(tmp_path) and time.monotonic() < deadline:
            time.sleep(0.05)
        second = ran(TROUBLE, "--grid", "kind=0", "--only", "json", "--out", tmp_path)
        assert second.returncode == 2
        assert "another run is at work there" in second.stderr
        assert second.stderr.count("\n") == 1
        assert first.poll() is None
    finally:
        first.kill()
        first.communicate()
    third = ran(TROUBLE, "--grid", "kind=0", "--only", "json", "--out", tmp_path)
    assert third.returncode == 0, third.stderr  # a killed run leaves no lock
    assert "1 of them were there" in third.stdout


def test_the_command_says_what_came_of_it(tmp_path: Path) -> None:
    """Exit 0 when all is well, 1 when a variant failed, 2 on bad rows, which are all named, and nothing is built."""
    bad = tmp_path / "bad.csv"
    bad.write_text("name,length [mm]\na,60\n,60\nb,6\n")
    refused = ran(STRIP, bad, "--out", tmp_path / "out", "--only", "json")
    assert refused.returncode == 2
    assert [line.split(":")[1].strip() for line in refused.stderr.splitlines()[:2]] == [
        "row 3 ('')",
        "row 4 (b)",
    ]
    assert not (tmp_path / "out").exists()
    partly = ran(STRIP, bad, "--out", tmp_path / "out", "--only", "json", "--keep-going", "--workers", "1")
    assert partly.returncode == 1
    assert [row["state"] for row in csv_rows(tmp_path / "out")] == ["made", "failed", "failed"]
    well = ran(STRIP, "--grid", "length=60..62mm:0.5", "--out", tmp_path / "figures", "--figures-only")
    assert well.returncode == 0, well.stderr
    assert "5 made" in well.stdout
    assert {path.name for path in (tmp_path / "figures").iterdir()} == {
        "family.csv", "family.html", "family.sqlite", ".family.lock",
    }  # fmt: skip
    assert [row["length [mm]"] for row in csv_rows(tmp_path / "figures")] == [
        "60.0",
        "60.5",
        "61.0",
        "61.5",
        "62.0",
    ]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--grid", "length=60"), "one of the two"),
        ((), "one of the two"),
        (("--grid", "length=60", "--only", "solid,drawings"), "no such kind"),
        (("--grid", "length=60", "--workers", "-1"), "not a number of processes"),
        (("--grid", "length=60", "--time-limit", "0"), "not a time"),
        (("--grid", "length=60", "--figures-only", "--only", "solid"), "writes none"),
    ],
)
def test_bad_options(
    tmp_path: Path, words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line, and 2."""
    from formparts.cli import main

    table = ["t.csv"] if said == "one of the two" and words else []
    assert main(["family", STRIP, *table, "--out", str(tmp_path / "out"), *words]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_no_cell_of_the_table_begins_a_formula(tmp_path: Path) -> None:
    """A spreadsheet takes =, +, - and @ for the beginning of a formula (OWASP, "CSV injection", from memory)."""
    names = ["=1+1", "+x", "-y", "@z", "=cmd|' /C calc'!A0"]
    build(tmp_path, [{"name": name, "length": 60 + n} for n, name in enumerate(names)])
    rows = csv_rows(tmp_path)
    assert [row["name"] for row in rows] == [f"'{name}" for name in names]
    assert (tmp_path / "family.csv").read_bytes().startswith(b"\xef\xbb\xbfname,")


class Page(HTMLParser):
    """The tags, and the text of the script elements, of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.scripts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "script":
            self.scripts.append("")

    def handle_data(self, data: str) -> None:
        if self.tags and self.tags[-1][0] == "script" and self.scripts:
            self.scripts[-1] += data


def test_the_page_shows_every_variant_and_runs_no_name(
    solid_family: tuple[Path, list[ledger.Outcome]],
) -> None:
    """A picture each, figures for the plot, and a name that is HTML stays text; nothing comes from the network."""
    out = solid_family[0] / "out"
    text = (out / "family.html").read_text(encoding="utf-8")
    page = Page()
    page.feed(text)
    pictures = [values["src"] for tag, values in page.tags if tag == "img"]
    assert len(pictures) == 2
    assert all((out / str(picture)).is_file() for picture in pictures)
    assert len(page.scripts) == 2
    data = json.loads(page.scripts[0])
    assert [row[" name"] for row in data["rows"]] == [HOSTILE, "CON"]
    assert data["parameters"][0] == "length"  # what differs goes first
    assert "mass_kg" in data["figures"]
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "")


def test_outcomes_know_whether_all_is_well() -> None:
    """A finding of an error is not well, a warning is; so is a failure not."""
    (outcome,) = family(find_recipe(STRIP), [{"name": "a"}])
    assert outcome.well
    assert replace(outcome, findings=({"severity": "warning", "message": "x"},)).well
    assert not replace(outcome, findings=({"severity": "error", "message": "x"},)).well
    assert not replace(outcome, state="failed").well
