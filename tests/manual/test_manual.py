"""The manual: every public name is in it, every link leads somewhere, and the examples print what their text has."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pytest

import formparts
from formparts.bending import bend_rule
from formparts.checks.rules import RULES
from formparts.drawings.curves import Words
from formparts.drawings.loose import LoosePicture, loose_svg
from formparts.manual.command_pages import examples_of, parsers
from formparts.manual.examples import is_example, run_example
from formparts.manual.following import figures_of, names_by_moving, remaking
from formparts.manual.guide_pages import blocks
from formparts.manual.prose import docstring
from formparts.manual.rooms import PICTURED, ROOMS, all_names, namespace
from formparts.manual.rule_pages import curve_of
from formparts.manual.shell import shared_files
from formparts.manual.site import anchors_of, built, links_of, planned_pages, words_file, write_manual
from formparts.writers import WRITERS
from tests.house.public import HOME_OF, MODULES
from tests.html.axe import script, serious_faults
from tests.html.browser import PROGRAM, browser

CHEAP = (
    "words",
    "room-errors",
    "room-parameters",
    "bend-rules",
    "check-web",
    "obround",
    "room-shapes",
)
"""Pages that the normal run builds; the long run builds all of them."""

SEEN = ("words", "check-web", "obround", "room-shapes")
"""Pages that are opened in a browser."""


@cache
def page(name: str) -> tuple[str, tuple[str, ...]]:
    return built(name)


def test_every_public_name_is_planned() -> None:
    """What is public is in the manual, and so does every room that has public names."""
    assert sorted(set(HOME_OF) - set(all_names())) == []
    assert sorted(set(formparts.__all__) - set(all_names()) - {"__version__"}) == []
    assert sorted(set(MODULES) - set(ROOMS)) == []


def test_every_check_command_and_file_is_planned() -> None:
    """Rules, words of the command and formats enter themselves."""
    words = {entry.word for each in planned_pages() for entry in each.entries}
    assert {code for rule in RULES for code in rule.codes} <= words
    assert set(WRITERS) <= words
    assert {"formparts make", "formparts watch", "formparts manual"} <= words


@pytest.mark.parametrize("name", CHEAP)
def test_page_is_whole_and_its_links_lead_somewhere(name: str) -> None:
    """Links go to planned pages, and places on a page that is built are there."""
    text, faults = page(name)
    assert faults == ()
    assert "Traceback" not in text
    assert _dead_links({name: text}) == []


def _dead_links(texts: Mapping[str, str]) -> list[str]:
    planned = {f"{each.name}.html" for each in planned_pages()}
    homes = {f"{named.page}.html#{named.name}" for named in all_names().values()}
    dead = []
    for name, text in texts.items():
        for link in links_of(text):
            target, _, anchor = link.partition("#")
            stem = target.removesuffix(".html") or name
            known = target in planned or not target or target in ("manual.css", "manual.js", "words.js")
            there = (
                not anchor or link in homes or anchor in anchors_of(texts.get(stem, "")) or stem not in texts
            )
            if not (known and there):
                dead.append(f"{name}: {link}")
    return dead


def test_a_dead_link_is_found() -> None:
    """The reader of links can fail."""
    assert _dead_links({"words": '<a href="nowhere.html">'}) == ["words: nowhere.html"]
    assert _dead_links({"words": '<a href="#nowhere"><p id="here">'}) == ["words: #nowhere"]


def test_builders_and_outlines_have_examples() -> None:
    """Without one a builder has no picture; a cheap look at an outline needs none."""
    public = [each for each in all_names().values() if each.home in PICTURED and each.name in HOME_OF]
    functions = [each for each in public if each.name[0].islower()]
    without = {each.name for each in functions if not is_example(docstring(each.doc).examples)}
    assert len(functions) > 30
    assert without <= {
        "alike",
        "common_edges",
        "merged",
        "minimal_width",
        "outline_of",
        "problem",
        "reaches_into",
    }


def test_every_command_has_a_run() -> None:
    """Each page of the command shows real output; the manual's own would run it within itself."""
    without = {word for word, parser in parsers().items() if not examples_of(parser)}
    assert without == {"manual"}


def test_every_rule_has_a_part_inside_and_one_outside() -> None:
    """Each page of a check shows both."""
    import inspect

    texts = {rule.name: inspect.getdoc(rule.function) or "" for rule in RULES}
    assert [name for name, text in texts.items() if "inside" not in text or "outside" not in text] == []


def test_a_wrong_output_is_a_fault() -> None:
    """An example that prints something else is reported."""
    assert run_example(">>> 1 + 1\n3\n", {}).faults == ["1 + 1 printed '2'"]
    assert run_example(">>> 1 / 0\n", {}).faults


def test_dimensions_follow_the_figures_of_a_call() -> None:
    """A flange of 25 mm: by hand, its height follows `height`, its hole's middle is at height less distance."""
    space = namespace()
    source = 'b = add_flange(plate(Sheet(2, 2.5), rectangle(60, 40), "p"), "back", 25, hole=hole(8, 10))\n'
    figures = figures_of(source, "add_flange", space)
    own = {"height": 25.0, "hole.diameter": 8.0, "hole.distance": 10.0}
    nested = {"rectangle.length": 60.0, "rectangle.width": 40.0}
    stock = {"Sheet.thickness": 2.0, "Sheet.inside_radius": 2.5}
    assert {each.name: each.value for each in figures} == {**own, **nested, **stock}
    make = remaking(source, space, figures, lambda made: made["b"])
    names, of_blank = names_by_moving(make, {"height": 25.0, "hole.distance": 10.0})
    assert set(names.values()) == {"height", "height − hole.distance"}
    assert of_blank == {"width": "height"}


def test_figures_are_those_of_the_call_that_made_the_part() -> None:
    """A later call of the same builder, in a row of options, does not name the dimensions of the first."""
    source = "a = disc(30)\nothers = {size: disc(40) for size in (1, 2)}\n"
    assert [each.value for each in figures_of(source, "disc", namespace(), "a")] == [30.0]
    assert [each.value for each in figures_of(source, "disc", namespace())] == [40.0]


def test_each_name_beside_a_figure_is_marked_by_itself() -> None:
    """Two figures in one line have a name each, and a name may have an index."""
    line = Words("8× 60° [slope] R2.5 [radii[1]] deep", (0.0, 0.0))
    svg = loose_svg(LoosePicture("top", "", (line,)))
    assert re.findall(r'<tspan class="name">(.*?)</tspan>', svg) == ["slope", "radii[1]"]


def test_curve_of_a_bend_rule_is_its_k_factor() -> None:
    """K-factor 0.44 is 0.44 at every radius; DIN 6935's k/2 ends at 0.5 from R/t = 5 on (its equation 3)."""
    assert {round(k, 9) for _, k in curve_of(bend_rule("0.44"))} == {0.44}
    assert curve_of(bend_rule("DIN 6935"))[-1] == (6.0, pytest.approx(0.5))


def test_guides_are_cut_into_what_they_are() -> None:
    """A heading, words, Python, a file with an empty line in it, and a command."""
    text = "## Title\n\nWords.\n\n>>> 1\n1\n\nfile a.py\n    a = 1\n\n    b = 2\n\n$ formparts list\n"
    assert [kind for kind, _ in blocks(text)] == ["heading", "prose", "python", "file", "command"]
    assert list(blocks(text))[3][1].endswith("b = 2")


def test_new_builders_enter_themselves(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever a room exports with a docstring is planned, without a list in the manual."""
    from formparts import shapes
    from formparts.manual import reference, rooms

    def add_rib(body: object) -> object:
        """
        Add a rib.

        Returns
        -------
        Body
        """
        return body

    monkeypatch.setattr(shapes, "add_rib", add_rib, raising=False)
    monkeypatch.setattr(shapes, "__all__", [*shapes.__all__, "add_rib"])
    rooms.all_names.cache_clear()
    try:
        assert "add_rib" in {each.name for each in reference.reference_pages()}
    finally:
        rooms.all_names.cache_clear()


@pytest.mark.skipif(PROGRAM is None, reason="no Chromium on this machine (Debian package chromium)")
def test_pages_in_a_browser(tmp_path: Path) -> None:
    """No complaint, nothing off the edge at 400 px, accessible light and dark, and the search works by keyboard."""
    for name in SEEN:
        (tmp_path / f"{name}.html").write_text(page(name)[0], encoding="utf-8")
    for name, text in {**shared_files(), "words.js": words_file()}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    with browser() as opened:
        for name, scheme in zip(SEEN, ("light", "dark") * 2, strict=True):
            opened.size(400, 900, phone=True)
            opened.scheme(scheme)
            opened.open((tmp_path / f"{name}.html").as_uri())
            assert opened.ask("document.documentElement.scrollWidth") <= 400, name
            opened.ask(script())
            assert serious_faults(opened) == [], name
        opened.ask("document.getElementById('search').focus()")
        opened.call("Input.insertText", text="edge_to")
        opened.key("Tab")
        assert opened.ask("document.activeElement.href").endswith("add_flange.html#add_flange")
        assert opened.complaints == []


@pytest.mark.soak
def test_the_whole_manual(tmp_path: Path) -> None:
    """All pages: no fault, no dead link, every word that the search finds is there, under 15 MB."""
    made = write_manual(tmp_path / "manual")
    texts = {path.stem: path.read_text(encoding="utf-8") for path in made.folder.glob("*.html")}
    assert made.faults == ()
    found = json.loads(words_file().removeprefix("const WORDS = ").rstrip().removesuffix(";"))
    texts["words"] += "".join(f'<a href="{place}">' for _, place, _ in found)
    assert len(found) > 900
    assert _dead_links(texts) == []
    assert made.size < 15e6
    assert all(re.search(r"<h1[ >]", text) for text in texts.values())
