"""The feasible region: what is inside can be made, what is outside cannot, and the bound is where it is reported."""

from __future__ import annotations

import csv
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from formparts import InputError, find_recipe, region
from formparts.blanks import blank
from formparts.checks import findings
from formparts.families import regions
from formparts.families.region_files import write_region
from tests.families.helpers import STRIP

GRID = ("height=3..15mm:3", "length=40,80")


def fails(height: float, length: float) -> bool:
    """Whether a strip fails, asked of the recipe and the checks themselves."""
    try:
        body = find_recipe(STRIP)(height=height, length=length)
    except InputError:
        return True
    return any(found.severity == "error" for found in findings(body, blank(body)))


def test_the_map_and_its_bounds() -> None:
    """Every place is as the checks say; within 2 micrometres of a bound it turns; the check is named."""
    found = region(find_recipe(STRIP), GRID)
    assert [(p.across, p.up) for p in found.places] == [(h, w) for w in (40, 80) for h in (3, 6, 9, 12, 15)]
    assert [bool(p.failing) for p in found.places] == [fails(p.across, p.up) for p in found.places]
    assert {bool(p.failing) for p in found.places} == {True, False}  # the map has something to show
    assert [bound.side for bound in found.bounds] == ["least", "most"] * 2
    for bound in found.bounds:
        assert not fails(bound.across, bound.up)
        if bound.side == "least":
            assert fails(bound.across - 0.002, bound.up)
            assert bound.failing not in ("", "end of the range")
        else:
            assert (bound.across, bound.failing) == (15, "end of the range")


def test_files_of_the_map(tmp_path: Path) -> None:
    """A cell for each place in the table and in the picture, in the colour of its check."""
    recipe = find_recipe(STRIP)
    found = region(recipe, GRID)
    table, bounds, picture = write_region(recipe, found, tmp_path)
    with table.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [float(row["height [mm]"]) for row in rows] == [p.across for p in found.places]
    assert [row["can be made"] for row in rows] == ["no" if p.failing else "yes" for p in found.places]
    assert len(bounds.read_text(encoding="utf-8-sig").splitlines()) == 1 + len(found.bounds)
    cells = [e for e in ElementTree.parse(picture).iter() if e.tag.endswith("rect") and len(e)]
    assert len(cells) == len(found.places)
    bars = [e for e in ElementTree.parse(picture).iter() if e.tag.endswith("line")]
    assert len(bars) == sum(bound.failing != "end of the range" for bound in found.bounds) > 0
    colours = {(p.failing, cell.get("fill")) for p, cell in zip(found.places, cells, strict=True)}
    assert len(colours) == len({p.failing for p in found.places}) == len({colour for _, colour in colours})


@pytest.mark.parametrize(
    ("grid", "said"),
    [
        (("height=3..15mm:3",), "a map has two"),
        (("height=3..15mm:3", "height=4,5"), "name two"),
        (("height=3", "length=40,80"), "not an axis"),
        (("widht=3,4", "length=40,80"), "no such number"),
        (("bend_rule=1,2", "length=40,80"), "no such number"),
    ],
)
def test_bad_maps(grid: tuple[str, ...], said: str) -> None:
    """Refused in one line."""
    with pytest.raises(InputError, match=said):
        region(find_recipe(STRIP), grid)


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It says how much can be made, and what bounds it."""
    from formparts.cli import main

    assert main(["region", STRIP, "--grid", *GRID, "--out", str(tmp_path / "new")]) == 0
    said = capsys.readouterr().out
    assert "of 10 places can be made" in said
    assert "bounds height at its least" in said
    assert {path.name for path in (tmp_path / "new").glob("[!.]*")} == {
        "region.csv", "region-bounds.csv", "region.svg",
    }  # fmt: skip


def test_bounds_of_a_count_are_neighbours(monkeypatch: pytest.MonkeyPatch) -> None:
    """
    Of 2, 6, 10, 14 lugs 6 can be made and 10 cannot: the bound is found between them, with its neighbour's reason.

    What is asked of each number is set here: up to 8 it can be made, 9 fails one check, from 10 on another is first.
    """
    reasons = {9: ("web-too-narrow", "nine are too many"), 10: ("cannot be built", "ten do not fit")}

    def verdict(_: object, values: dict[str, float]) -> tuple[str, str]:
        count = values["lug_count"]
        assert isinstance(count, int)
        return reasons[min(count, 10)] if count > 8 else ("", "")

    monkeypatch.setattr(regions, "_verdict", verdict)
    found = region(find_recipe("ring_riser"), ("lug_count=2..14:4", "rise=20,21"))
    most = [bound for bound in found.bounds if bound.side == "most"]
    assert [(bound.across, bound.failing, bound.why) for bound in most] == [(8, *reasons[9])] * 2


def test_the_riser_has_its_most_lugs_from_a_map_of_every_fourth() -> None:
    """The number reported can be made, and one more cannot, asked of the recipe itself."""
    recipe = find_recipe("ring_riser")
    found = region(recipe, ("lug_count=6..10:4", "rise=20,21"))
    for bound in found.bounds:
        if bound.side == "most":
            at = ({"lug_count": bound.across + more, "rise": bound.up} for more in (0, 1))
            assert [bool(regions._verdict(recipe, values)[0]) for values in at] == [False, True]
