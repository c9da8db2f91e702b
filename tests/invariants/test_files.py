"""DESIGN 5.4 and 5.7: files read back as what was meant, have the same bytes each time, and leave the body alone."""

from __future__ import annotations

import hashlib
import pickle
from pathlib import Path

import pytest

from formparts.blanks import blank
from formparts.closed_forms import properties
from formparts.export import read_step, write_blank_dxf, write_blank_svg, write_step
from formparts.kernel import measured
from formparts.solids import solid
from formparts.tolerances import LENGTH, VOLUME_REL
from tests.invariants.subjects import SUBJECTS, blank_of, body_of, figures_of, solid_of
from tests.parts import CAST

SHOWN = ("lug_ring", "reliefs", "turned", "bend_on_a_hole")
DATE = "SOURCE_DATE_EPOCH"


def fingerprints(folder: Path) -> dict[str, str]:
    """Hashes of all files of some parts, written afresh."""
    found = {}
    for name in SHOWN:
        body = CAST[name]()
        made, flat = solid(body), blank(body)
        write_step(made, folder / f"{name}.step")
        write_blank_dxf(flat, folder / f"{name}.dxf")
        write_blank_svg(flat, folder / f"{name}.svg")
    for path in sorted(folder.iterdir()):
        found[path.name] = hashlib.sha256(path.read_bytes()).hexdigest()
    return found


@pytest.mark.parametrize("subject", SUBJECTS)
def test_step_file_reads_back_as_the_part(subject: str, tmp_path: Path) -> None:
    made, closed = solid_of(subject), figures_of(subject)
    path = write_step(made, tmp_path / "part.step", volume=closed.volume)
    part = read_step(path)
    read = measured(part.shape)
    assert read.volume == pytest.approx(closed.volume, rel=VOLUME_REL)
    assert read.surface == pytest.approx(closed.surface, rel=VOLUME_REL)
    assert read.centroid == pytest.approx(closed.centroid, abs=LENGTH)
    assert part.name == body_of(subject).name
    assert part.faces.keys() == made.faces.keys()


def test_same_bytes_twice_and_another_date_other_bytes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for folder in ("one", "two", "three"):
        (tmp_path / folder).mkdir()
    monkeypatch.delenv(DATE, raising=False)
    first, second = fingerprints(tmp_path / "one"), fingerprints(tmp_path / "two")
    assert first == second
    monkeypatch.setenv(DATE, "1700000000")
    third = fingerprints(tmp_path / "three")
    assert all(third[name] != first[name] for name in first if name.endswith((".step", ".dxf")))


@pytest.mark.parametrize("subject", CAST)
def test_writing_changes_nothing_in_the_body(subject: str, tmp_path: Path) -> None:
    body = CAST[subject]()
    before, text, figures = pickle.dumps(body), repr(body), properties(body)
    made, flat = solid(body), blank(body)
    write_step(made, tmp_path / "a.step")
    write_blank_dxf(flat, tmp_path / "a.dxf")
    write_blank_svg(flat, tmp_path / "a.svg")
    assert repr(body) == text
    assert body == CAST[subject]()
    assert (properties(body), blank(body)) == (figures, flat)
    assert pickle.loads(before) == body


@pytest.mark.parametrize("subject", CAST)
def test_a_body_can_be_hashed_compared_and_pickled(subject: str) -> None:
    body = CAST[subject]()
    again = pickle.loads(pickle.dumps(body))
    assert again == body
    assert hash(again) == hash(body) == hash(CAST[subject]())
    assert blank(again) == blank_of(subject)
