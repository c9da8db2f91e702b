"""Folder names: never out of the family's folder, never a device, never two that are one."""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Callable
from functools import partial
from pathlib import Path, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formparts import find_recipe
from formparts.families import checked, rows_of
from formparts.families.names import clash_key, folder_of

RISER = find_recipe("ring_riser")

if sys.version_info >= (3, 13):
    from ntpath import isreserved as is_reserved
else:

    def is_reserved(name: str) -> bool:
        """The same question before Python 3.13."""
        return PureWindowsPath(name).is_reserved()


@pytest.mark.parametrize("name", ["small", "M12-3", "a.b", "x_1", "Träger", "7"])
def test_a_safe_name_is_its_own_folder(name: str) -> None:
    """Nothing is changed without need."""
    assert folder_of(name) == name


@pytest.mark.parametrize(
    "name",
    ["../x", "..", ".", "/etc/passwd", "a/b", "a\\b", "C:x", "CON", "con.txt", "lpt9", "COM¹", "NUL.", "x" * 300,
     " x", "x ", "x.", ".hidden", "a\0b", "a\nb", "tab\t", "family.csv", "family", "*?", "ä" * 200, "\ud800", "😀"],
)  # fmt: skip
def test_an_unsafe_name_gets_a_safe_folder_with_a_mark(name: str) -> None:
    """Another name than its own, that holds on every system."""
    folder = folder_of(name)
    assert folder != name
    assert_safe(folder)


def assert_safe(folder: str) -> None:
    """Rules of Windows (Microsoft, "Naming Files, Paths, and Namespaces", from memory) and of POSIX at once."""
    assert folder
    assert not is_reserved(folder)
    assert not set(folder) & set('<>:"/\\|?*')
    assert all(ord(sign) >= 32 for sign in folder)
    assert folder[0] not in ". "
    assert folder[-1] not in ". "
    assert len(folder.encode()) <= 255 - len("-blank.dxf")
    assert Path("family", folder).resolve().parent == Path("family").resolve()
    assert not folder.casefold().startswith("family.")


@given(st.text(min_size=1, max_size=400))
def test_any_text_gives_a_safe_folder(name: str) -> None:
    """Whatever Unicode holds."""
    assert_safe(folder_of(name))


OTHERS = (
    str,
    str.swapcase,
    str.upper,
    str.casefold,
    *(partial(unicodedata.normalize, form) for form in ("NFC", "NFD", "NFKC")),
    "x{}".format,
)
"""What makes a name another one, of which some are one folder to some systems."""


@given(st.text(min_size=1, max_size=30), st.sampled_from(OTHERS))
def test_two_names_are_two_folders_or_refused(one: str, other: Callable[[str], str]) -> None:
    """On a file system that is deaf to case and to Unicode forms, too."""
    two = other(one)
    first, second = (unicodedata.normalize("NFD", folder_of(name)).casefold() for name in (one, two))
    variants, faults = checked(RISER, rows_of([{"name": one}, {"name": two}]))
    if one.strip() and two.strip():
        assert (first == second) == (len(faults) == 1), (variants, faults)


def test_names_that_differ_by_case_are_refused() -> None:
    """`a` and `A` would be one folder on many a system."""
    _, (fault,) = checked(RISER, rows_of([{"name": "plate A"}, {"name": "PlateB"}, {"name": "plateb"}]))
    assert "differs only by case from 'PlateB' of row 2" in fault.reason


def test_unsafe_names_that_look_alike_stay_apart() -> None:
    """The mark is of the whole name."""
    assert len({clash_key(name) for name in ("a/b", "a:b", "a_b", "A/b", "a/b ")}) == 5
