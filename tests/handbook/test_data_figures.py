"""No digit of a data file changes unnoticed, and each says whether it was seen in its source."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from formparts import bending, forming, materials, toml
from formparts.sources import bibliography, is_common_practice, is_known, source_of
from tests.handbook.data_figures import CHOSEN, DATA, STATES, data_figures, listing, share_seen, summary


def test_every_figure_of_the_data_files_is_that_of_the_second_listing() -> None:
    """The second listing holds each once more; a changed, added or lost figure is named with its place."""
    data, listed = data_figures(), listing()
    faults = [
        f"{place}: {data.get(place)} in the data file, {listed[place].values if place in listed else None} listed"
        for place in sorted(data.keys() | listed.keys())
        if place not in listed or data.get(place) != listed[place].values
    ]
    assert faults == []


def test_seven_in_ten_figures_were_seen_in_their_source() -> None:
    assert {listed.state for listed in listing().values()} == {*STATES, CHOSEN}
    assert share_seen() >= 0.7, summary()


def test_only_the_tools_are_chosen() -> None:
    """What is chosen does not count among the published figures, so nothing else may call itself so."""
    chosen = {place.partition(":")[0] for place, listed in listing().items() if listed.state == CHOSEN}
    assert chosen == {"tools.toml"}


@pytest.mark.parametrize("change", [1e-6, -0.01, 0.0])
def test_one_digit_that_changes_is_noticed(change: float) -> None:
    """The comparison is exact: the same figures agree, and the smallest change of one does not."""
    place, values = "materials.toml: DC01.density", data_figures()["materials.toml: DC01.density"]
    assert ((values[0] + change,) == listing()[place].values) == (change == 0.0)


def test_common_practice_and_published_figures_are_not_mixed_up() -> None:
    """A figure whose citation is common practice was not read in a standard, and the other way round."""
    states = {place: listed.state for place, listed in listing().items()}
    for grade in materials.known_materials():
        for figure, citation in grade.sources.items():
            place = f"materials.toml: {grade.name}.{figure}"
            if states.get(place) == "common practice":
                assert is_common_practice(citation), place


def _cited(value: Any) -> Iterator[str]:
    """The texts under `source`, `source_at_180` and `sources`, wherever they are in a data file."""
    if isinstance(value, list):
        for each in value:
            yield from _cited(each)
    elif isinstance(value, dict):
        for key, each in value.items():
            texts = each.values() if isinstance(each, dict) else [each]
            yield from texts if key.startswith("source") else _cited(each)


def _citations() -> list[str]:
    """Every source string that the data files and the tables of rules have."""
    files = [path for path in DATA.glob("*.toml") if path.name != "sources.toml"]
    return [
        *_cited([toml.loads(path.read_text(encoding="utf-8")) for path in files]),
        *(rule.source for rule in forming.FORCE_RULES.values()),
        *(band.source for band in forming.DIE_BANDS),
        *(source for _, source in forming.AIR_BEND_SHARES.values()),
        *(rule.source for rule in bending.RULES),
        *(one.source for name in materials.THICKNESS_SERIES for one in materials.standard_thicknesses(name)),
        forming.under_load("DC01", 90, 2, 2).source,
        forming.minimum_bend_radius("6082-T6", 2, 135).source,
    ]


def test_every_citation_is_in_the_bibliography() -> None:
    """A reader can look each one up; nothing is marked as seen or remembered, which is for contributors."""
    citations = _citations()
    assert len(citations) > 500
    assert [text for text in citations if not is_known(text)] == []
    assert [text for text in citations if "seen)" in text or "memory" in text] == []


def test_every_citation_says_where_in_its_publication() -> None:
    """A table, a clause or what it is about follows the key."""
    parts = {part.strip() for text in _citations() for part in text.split(";")}
    assert [part for part in parts if (source := source_of(part)) and part == source.key] == []


def test_the_bibliography_is_whole_and_used() -> None:
    """Each entry has its author, title, edition and year (or says that it bears no date), and is cited somewhere."""
    keys = [source.key for source in bibliography()]
    assert keys == sorted(set(keys))
    for source in bibliography():
        assert min(len(source.author), len(source.title), len(source.edition)) > 2, source.key
        assert (source.year is None) == ("no date" in source.edition), source.key
        assert source.year is None or 1900 < source.year < 2030
    texts = _citations()
    cited = {key for key in keys if any(key in text for text in texts)}
    in_code = {
        "ASTM B258",
        "FAA memorandum ANM-112N-03-11",
        "Gardiner",
        "ASM Metals Handbook",
        "KME, CuZn37",
        "Benson",
    }
    assert cited | in_code == set(keys)
