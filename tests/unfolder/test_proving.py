"""A skin that was rolled out wrong is refused: what its loops enclose is held against its faces."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from typing import Any

import cadquery as cq
import pytest

from formparts.errors import InputError
from formparts.outline import Motion
from formparts.outline.edges import Arc, Line
from formparts.unfolder import unfold
from formparts.unfolder.proving import require_covered
from tests.unfolder.foreign import by_k, cone, filleted_angle

unfolding = import_module("formparts.unfolder.unfolding")  # `formparts.unfolder` is a function too


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Any, Any]]:
    """What the proof is asked for: the sheet, and each of its skins."""
    asked: list[tuple[Any, Any]] = []

    def noted(sheet: Any, skin: Any) -> None:
        asked.append((sheet, skin))
        require_covered(sheet, skin)

    monkeypatch.setattr(unfolding, "require_covered", noted)
    return asked


def test_both_skins_are_proved_and_what_is_off_by_little_is_found(seen: list[tuple[Any, Any]]) -> None:
    """An angle with a hole: a corner that is 0.01 mm off, and the hole left out."""
    unfold(filleted_angle().cut(cq.Workplane().center(30, 12).circle(4).extrude(10, both=True)), by_k)
    assert len(seen) == 2
    for sheet, skin in seen:
        require_covered(sheet, skin)
        shifted = [loop.moved(Motion.shift(0.0, 0.01)) for loop in skin.loops]
        require_covered(sheet, replace(skin, loops=shifted))  # the area is all that is held
        edges = skin.loops[0].edges
        off = [replace(edges[0], end=_beside(edges[0].end)), replace(edges[1], start=_beside(edges[0].end))]
        for wrong in ([replace(skin.loops[0], edges=(*off, *edges[2:]))], skin.loops[:-1]):
            with pytest.raises(InputError, match=r"blank = .* mm2: is not what the faces of the solid cover"):
                require_covered(sheet, replace(skin, loops=wrong))


def _beside(place: tuple[float, float]) -> tuple[float, float]:
    return (place[0] + 0.01, place[1] + 0.01)


def test_a_cone_has_no_ratio_to_be_held_against(seen: list[tuple[Any, Any]]) -> None:
    """Its neutral fibre lies off its face: nothing is refused, whatever the loops are."""
    unfold(cone(), by_k)
    sheet, skin = seen[0]
    assert {type(edge) for loop in skin.loops for edge in loop.edges} == {Line, Arc}
    require_covered(sheet, replace(skin, loops=[loop.reversed() for loop in skin.loops]))
