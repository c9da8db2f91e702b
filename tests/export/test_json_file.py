"""Plain data goes into JSON and comes back, or no file is there."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from formparts.errors import FileProofError
from formparts.export import write_json


def test_json_keeps_order_letters_and_every_digit(tmp_path: Path) -> None:
    data = {"z": 0.1 + 0.2, "a": ["Träger", (1, 2.5)], "n": None}
    path = write_json(data, tmp_path / "a.json")
    assert json.loads(path.read_text(encoding="utf-8")) == {
        "z": 0.1 + 0.2,
        "a": ["Träger", [1, 2.5]],
        "n": None,
    }
    assert path.read_text(encoding="utf-8").index("z") < path.read_text(encoding="utf-8").index("Träger")
    assert path.read_bytes().endswith(b"}\n")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), object(), {1: "a number as a name"}])
def test_json_of_what_is_no_plain_finite_figure_is_not_delivered(tmp_path: Path, value: object) -> None:
    with pytest.raises(FileProofError):
        write_json({"volume_mm3": value}, tmp_path / "a.json")
    assert list(tmp_path.iterdir()) == []
