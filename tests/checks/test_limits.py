"""Limits: profiles, a shop's own file, and what is refused in it."""

from __future__ import annotations

from pathlib import Path

import pytest

from formparts import InputError, limit_profile
from formparts.blanks import blank
from formparts.checks import GENERAL, Limit, findings, limit_profiles
from formparts.expect import expectations_from
from formparts.sources import is_known
from recipes.u_channel import u_channel


def shop(folder: Path, text: str) -> str:
    path = folder / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_every_shipped_limit_says_where_it_is_from() -> None:
    """Each is a citation of the bibliography, or common practice: nothing else."""
    assert [profile.name for profile in limit_profiles()] == [GENERAL, "structural", "aircraft"]
    for profile in limit_profiles():
        for limit in profile.limits.values():
            assert is_known(limit.source), (profile.name, limit.name)


def test_the_aircraft_relief_grows_with_the_sheet() -> None:
    """FAA-H-8083-31, Folding a box: 1/8 in up to 0.064 in of sheet, 3/16 in from 0.072 to 0.128 in, 1/4 in above."""
    limit = limit_profile("aircraft").limits["relief_width"]
    for sheet, relief in ((0.032, 1 / 8), (0.064, 1 / 8), (0.072, 3 / 16), (0.128, 3 / 16), (0.160, 1 / 4)):
        assert limit.at(sheet * 25.4) == pytest.approx(relief * 25.4, rel=1e-12)


@pytest.mark.parametrize(
    ("profile", "name", "figures", "expected"),
    [
        # Stamping design guide: 1.5 t + R from the start of a bend.
        (GENERAL, "opening_to_bend", {"thickness": 2.0, "radius": 2.5}, 5.5),
        # Bralla (from memory): relief 1 t wide and 1 mm at least, R + t deep.
        (GENERAL, "relief_width", {"thickness": 0.8}, 1.0),
        (GENERAL, "relief_depth", {"thickness": 0.8, "radius": 1.0}, 1.8),
        # EN 1993-1-8, table 3.3 (from memory): a bolt of 20 mm in a hole of 22 mm is 1.2 d = 26.4 mm from the
        # edge, so 15.4 mm of steel are left; and 2.2 d = 48.4 mm from the next, so 26.4 mm.
        ("structural", "opening_to_edge", {"thickness": 5.0, "diameter": 22.0}, 15.4),
        ("structural", "opening_to_opening", {"thickness": 5.0, "diameter": 22.0}, 26.4),
        # A bore of 150 mm holds no bolt.
        ("structural", "opening_to_edge", {"thickness": 5.0, "diameter": 150.0}, 0.0),
        # AC 43.13-1B (from memory): a rivet of 4 mm 2 d = 8 mm from the edge, so 6 mm beside its hole.
        ("aircraft", "opening_to_edge", {"thickness": 1.0, "diameter": 4.0}, 6.0),
        # FAA-H-8083-31: relief hole of 1/8 in in thin sheet.
        ("aircraft", "relief_width", {"thickness": 1.0}, 3.175),
    ],
)
def test_limits_are_those_of_their_sources(
    profile: str, name: str, figures: dict[str, float], expected: float
) -> None:
    """Reckoned by hand from the source beside each row."""
    assert limit_profile(profile).limits[name].at(**figures) == pytest.approx(expected, rel=1e-12)


def test_a_shop_overrides_what_it_names_and_keeps_the_rest(tmp_path: Path) -> None:
    """Its source is in the finding."""
    text = 'name = "our shop"\n[limit.opening_size]\nvalue = "0.3 in"\nsource = "our punches"\n'
    profile = limit_profile(shop(tmp_path, text))
    assert profile.name == "our shop"
    assert profile.limits["opening_size"] == Limit("opening_size", "mm", "our punches", value=7.62)
    assert profile.limits["web"] == limit_profile(GENERAL).limits["web"]
    body = u_channel(hole_diameter=7.61)
    (item, *_) = findings(body, blank(body), profile)
    assert (item.code, item.source) == ("opening-too-small", "our punches [our shop]")
    body = u_channel(hole_diameter=7.63)
    assert findings(body, blank(body), profile) == ()


def test_a_shop_may_start_from_another_profile(tmp_path: Path) -> None:
    """An empty file based on a profile is that profile."""
    profile = limit_profile(shop(tmp_path, 'based_on = "aircraft"\n'))
    assert profile.limits == limit_profile("aircraft").limits
    assert profile.name == "shop"


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("[limit.wep]\nvalue = 1\nsource = 'x'", "did you mean web?"),
        ("[limit.web]\nvalue = 1", "limit.web.source"),
        ("[limit.web]\nsource = 'x'", "it has no figure"),
        ("[limit.web]\nvalue = -1\nsource = 'x'", "limit.web.value = -1"),
        ("[limit.web]\nvalue = '1 kg'\nsource = 'x'", "limit.web.value"),
        ("[limit.web]\nvalue = nan\nsource = 'x'", "limit.web.value"),
        ("[limit.web]\nradii = 1\nsource = 'x'", "radii"),
        ("[limit.press_force]\nleast = true\nsource = 'x'", "limit.press_force.least"),
        ("limit = 3", "is not a table"),
        ("[limit]\nweb = 3", "limit.web = 3"),
        ("limits = 3", "did you mean limit?"),
        ("based_on = 'boats'", "there is no such profile"),
        ("name = 3", "is not a text"),
        ("[limit.web", "is not TOML"),
    ],
)
def test_a_bad_file_is_refused_in_one_line(tmp_path: Path, text: str, part: str) -> None:
    """The line names the entry."""
    with pytest.raises(InputError) as caught:
        limit_profile(shop(tmp_path, text))
    assert part in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("name", ["aircrafts", "", "nowhere/shop.toml"])
def test_an_unknown_profile_is_refused(name: str) -> None:
    """Near names are offered, files that are not there are named."""
    with pytest.raises(InputError, match=r"no such profile|cannot be read"):
        limit_profile(name)


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    """Bytes that are not UTF-8."""
    path = tmp_path / "shop.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="is not TOML"):
        limit_profile(str(path))


def test_files_that_are_based_on_each_other_are_refused(tmp_path: Path) -> None:
    """In a ring, or one on itself."""
    one, other = tmp_path / "one.toml", tmp_path / "other.toml"
    one.write_text(f"based_on = '{other}'\n", encoding="utf-8")
    other.write_text(f"based_on = '{one}'\n", encoding="utf-8")
    with pytest.raises(InputError, match="is based on itself"):
        limit_profile(str(one))
    other.write_text("based_on = 'aircraft'\n", encoding="utf-8")
    assert limit_profile(str(one)).limits == limit_profile("aircraft").limits


def test_a_mark_of_byte_order_does_no_harm(tmp_path: Path) -> None:
    """Some editors begin a file with one; what the drawing says is read alike."""
    path = tmp_path / "file.toml"
    path.write_text('based_on = "aircraft"\n', encoding="utf-8-sig")
    assert limit_profile(str(path)).limits == limit_profile("aircraft").limits
    path.write_text('mass = "2 kg"\n', encoding="utf-8-sig")
    assert [each.figure for each in expectations_from(path, 0.01)] == ["mass"]
