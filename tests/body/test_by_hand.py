"""A body that is put together by hand, flat by flat: what cannot be is refused in one line when it is made."""

from __future__ import annotations

import math
from typing import Any

import pytest

from formparts.blanks import blank
from formparts.body import Bend, Body, Flat, Frame, Opening, Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.outline import Arc, Line, Loop, Outline, disc, rectangle

SHEET = Sheet(2.0, 3.0)
BASE, LEG = Flat("base", rectangle(60, 40)), Flat("leg", rectangle(30, 40))
RIGHT, LEFT = ((30.0, -20.0), (30.0, 20.0)), ((-15.0, -20.0), (-15.0, 20.0))
NAN, INF = math.nan, math.inf


def bend(**changed: Any) -> Bend:
    given = {
        "parent_line": RIGHT,
        "child_line": LEFT,
        "angle": 90.0,
        "side": "up",
        "inside_radius": 3.0,
        **changed,
    }
    return Bend("bend", "base", "leg", **given)


def body(**changed: Any) -> Body:
    given = {
        "name": "part",
        "sheet": SHEET,
        "flats": (BASE, LEG),
        "bends": (bend(),),
        "frame": Frame(),
        **changed,
    }
    return Body(**given)


def chain(*corners: Any) -> Outline:
    """An outline through some corners, as it is not checked by any builder."""
    ends = zip(corners, (*corners[1:], corners[0]), strict=True)
    return Outline(Loop(tuple(Line(start, end) for start, end in ends)))


def test_a_sound_body_by_hand() -> None:
    """Two plates of 60 x 40 and 30 x 40, 2 thick, and a quarter of a ring of mean radius 4 between them."""
    assert properties(body()).volume == pytest.approx(90 * 40 * 2 + math.pi / 2 * 4 * 2 * 40, rel=1e-12)
    # The neutral fibre of K 0.44 runs at 3 + 0.44 * 2 from the middle.
    assert blank(body()).length == pytest.approx(90 + math.pi / 2 * 3.88, rel=1e-12)


@pytest.mark.parametrize("angle", [0, -90, 171, 400, NAN, INF, "x", None])
def test_no_such_angle(angle: Any) -> None:
    with pytest.raises(InputError, match=r"^bend: angle = .*more than 0 deg and at most 170 deg is allowed$"):
        bend(angle=angle)


@pytest.mark.parametrize("radius", [0, -3, NAN, INF, "x", None])
def test_no_such_radius(radius: Any) -> None:
    with pytest.raises(InputError, match=r"^bend: inside_radius = .*0.001 to 1000000 mm is allowed$"):
        bend(inside_radius=radius)


@pytest.mark.parametrize(
    "line",
    [
        ((30.0, 0.0), (30.0, 0.0)),
        ((30.0, 0.0), (30.0, 9e-4)),
        ((30.0, -20.0), (30.0, 19.0)),
        ((NAN, -20.0), (30.0, 20.0)),
        ((30.0, -20.0), (INF, 20.0)),
        ((30.0, -20.0),),
        ("ab", "cd"),
        (1.0, 2.0),
        None,
    ],
)
@pytest.mark.parametrize("which", ["parent_line", "child_line"])
def test_no_such_line(which: str, line: Any) -> None:
    with pytest.raises(
        InputError, match=r"^bend: parent_line, child_line = .*are not the two of a bend; two pairs of"
    ):
        bend(**{which: line})


def test_the_two_lines_of_a_bend_may_be_short_but_both_without_length_are_none() -> None:
    spot = ((30.0, 0.0), (30.0, 0.0))
    with pytest.raises(InputError, match="are not the two of a bend"):
        bend(parent_line=spot, child_line=spot)
    short = ((30.0, 0.0), (30.0, 1e-3))
    assert bend(parent_line=short, child_line=short).width == pytest.approx(1e-3)


def test_no_such_side() -> None:
    with pytest.raises(InputError, match=r"^bend: side = left: is not a side; give up or down$"):
        bend(side="left")


OUTLINES: dict[str, tuple[Any, str]] = {
    "open": (
        Outline(
            Loop((Line((0.0, 0.0), (9.0, 0.0)), Line((9.0, 0.0), (9.0, 9.0)), Line((9.0, 9.0), (0.0, 5.0))))
        ),
        r"not closed: a gap of 5 mm at \(0, 0\)",
    ),
    "not finite": (chain((0.0, 0.0), (NAN, 0.0), (9.0, 9.0)), "not a finite number"),
    "crossing itself": (
        chain((0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 9.0)),
        r"crosses itself at \(4.5, 4.5\)",
    ),
    "clockwise": (chain((0.0, 0.0), (0.0, 9.0), (9.0, 0.0)), "its outer loop runs clockwise"),
    "arc off its circle": (
        Outline(Loop((Arc((0.0, 0.0), (9.0, 0.0), (4.5, 0.0), 5.0, True), Line((9.0, 0.0), (0.0, 0.0))))),
        "an end of an arc is 0.5 mm off its circle",
    ),
    "radius as text": (
        Outline(Loop((Arc((0.0, 0.0), (9.0, 0.0), (4.5, 0.0), "5", True), Line((9.0, 0.0), (0.0, 0.0))))),  # type: ignore[arg-type]
        "a corner that is not a pair of numbers",
    ),
    "corner of text": (chain("ab", "cd", "ef"), "a corner that is not a pair of numbers"),
    "corner of nothing": (chain(None, None), "a corner that is not a pair of numbers"),
    "no edge": (Outline(Loop((1, 2))), "an edge that is neither line nor arc"),  # type: ignore[arg-type]
    "no edges": (Outline(Loop(())), "a loop that is not a chain of edges"),
    "no loop": (Outline(None), "a loop that is not a chain of edges"),  # type: ignore[arg-type]
    "none": (None, "is of type NoneType; Outline is wanted"),
}


@pytest.mark.parametrize(("outline", "said"), OUTLINES.values(), ids=OUTLINES)
def test_no_such_outline(outline: Any, said: str) -> None:
    """Neither as a flat's own outline nor as that of its opening."""
    with pytest.raises(InputError, match=said):
        body(flats=(Flat("base", outline),), bends=())
    with pytest.raises(InputError, match=said):
        Flat("base", rectangle(60, 40), (Opening("eye", outline),))


@pytest.mark.parametrize(
    "frame",
    [
        Frame((NAN, 0.0, 0.0)),
        Frame((0.0, 0.0, INF)),
        Frame((0.0, 0.0)),  # type: ignore[arg-type]
        Frame(x=(2.0, 0.0, 0.0)),
        Frame(z=(0.0, 0.0, -1.0)),
        Frame(x=(math.cos(1e-8), math.sin(1e-8), 0.0)),
        Frame("abc"),  # type: ignore[arg-type]
    ],
)
def test_no_such_frame(frame: Frame) -> None:
    with pytest.raises(
        InputError, match=r"^part: frame = .*is not a frame; give finite figures, and x, y, z of length one"
    ):
        body(frame=frame)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"name": 3}, "name = 3: is of type int; str is wanted"),
        ({"sheet": None}, "sheet = None: is of type NoneType; Sheet is wanted"),
        ({"frame": "here"}, "frame = here: is of type str; Frame is wanted"),
        ({"flats": BASE}, "is of type Flat; tuple is wanted"),
        ({"flats": (BASE, "leg")}, "flats = leg: is of type str; Flat is wanted"),
        ({"bends": None}, "bends = None: is of type NoneType; tuple is wanted"),
        ({"bends": (3,)}, "bends = 3: is of type int; Bend is wanted"),
        ({"flats": (Flat(None, disc(9)),), "bends": ()}, "name of a piece = None"),  # type: ignore[arg-type]
        (
            {"flats": (Flat("a", rectangle(60, 40), (Opening(5, disc(9)),)),), "bends": ()},  # type: ignore[arg-type]
            "name of a piece = 5",
        ),
    ],
)
def test_no_such_piece(changed: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=said) as refused:
        body(**changed)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(("openings", "said"), [(None, "tuple is wanted"), (("eye",), "Opening is wanted")])
def test_no_such_opening(openings: Any, said: str) -> None:
    with pytest.raises(InputError, match=said):
        Flat("base", rectangle(60, 40), openings)
