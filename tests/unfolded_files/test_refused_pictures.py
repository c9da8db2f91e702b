"""Whoever is refused sees on a picture which face is meant; what cannot be drawn is refused all the same."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cadquery as cq
import numpy as np
import pytest
from PIL import Image

from formparts import refused_pictures
from formparts.cli import main
from formparts.errors import InputError
from formparts.refused_pictures import MARKED, refused_picture


def plate(up: bool) -> cq.Workplane:
    """100 x 60 x 3 with a pocket of 20 x 10, 1.5 deep, in its upper or its lower side."""
    pocket = cq.Workplane().box(20, 10, 1.5).translate((30, 0, 0.75 if up else -0.75))
    return cq.Workplane().box(100, 60, 3).cut(pocket)


def red(picture: bytes) -> np.ndarray[Any, Any]:
    """Where a picture has the hue of the mark, in whatever light."""
    pixels = np.asarray(Image.open(io.BytesIO(picture)).convert("RGB")).astype(float)
    return pixels[:, :, 0] > 0.6 * MARKED[0] / MARKED[1] * pixels[:, :, 1]


def refusal_at(place: str) -> InputError:
    return InputError("part", "thickness", "3 mm", f"is not constant: a pocket ends at {place}", "fill it")


@pytest.mark.parametrize(("up", "place"), [(True, "(30, 0, 0) mm"), (False, "(30, 0, 0) mm")])
def test_the_floor_of_a_pocket_is_red_from_whichever_side_it_is_seen(up: bool, place: str) -> None:
    """One patch of the picture, and a small one: 20 x 10 of a plate of 100 x 60."""
    drawn = refused_picture(plate(up), refusal_at(place))
    assert drawn is not None
    marked = red(drawn)
    rows, columns = np.nonzero(marked)
    assert 2_000 < len(rows) < 40_000
    assert np.ptp(columns) < 250
    assert np.ptp(rows) < 150


def test_a_place_on_an_edge_stands_for_the_round_face_beside_it() -> None:
    """The bend line of a closed tube: its bend is meant, and not the rim."""
    tube = cq.Workplane().rect(40, 30).extrude(100).edges("|Z").fillet(5).faces("<Z or >Z").shell(-2)
    drawn = refused_picture(tube, refusal_at("(18.536, 13.536, 100) mm"))
    assert drawn is not None
    rows, _ = np.nonzero(red(drawn))
    assert np.ptp(rows) > 300  # all along the tube


def test_no_place_no_picture() -> None:
    refusal = InputError("part", "thickness", "not constant", "no two parallel faces", "make it one")
    assert refused_picture(plate(True), refusal) is None


def test_the_command_says_where_the_picture_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 2, one line, and no other file."""
    path = tmp_path / "pocket.step"
    cq.exporters.export(plate(True), str(path))
    assert main(["unfold", str(path), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.endswith(f"; {tmp_path / 'out' / 'pocket-refused.png'} shows the place\n")
    assert said.err.count("\n") == 1
    shown = [each.name for each in (tmp_path / "out").iterdir() if not each.name.startswith(".")]
    assert shown == ["pocket-refused.png"]
    assert red((tmp_path / "out" / "pocket-refused.png").read_bytes()).any()


def test_what_cannot_be_drawn_is_refused_in_the_same_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: object) -> Callable[[], None]:
        raise RuntimeError("StdFail_NotDone: no triangles")

    monkeypatch.setattr(refused_pictures, "_mesh", broken)
    path = tmp_path / "pocket.step"
    cq.exporters.export(plate(True), str(path))
    assert main(["unfold", str(path), "--out", str(tmp_path / "out")]) == 2
    assert capsys.readouterr().err.endswith("or run them right through\n")
