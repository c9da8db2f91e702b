"""Bad input to every builder: one line that names what, its value, what is wrong and a way out; never a traceback."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import pytest

from formparts.body import Body, Sheet
from formparts.errors import InputError, UnitsError
from formparts.outline import Motion, disc, rectangle, ring
from formparts.shapes import (
    X_AXIS,
    Z_AXIS,
    Axis,
    add_flange,
    array_about,
    cut_opening,
    down,
    fuse,
    hole,
    mirror,
    offset_lug,
    pierced,
    plate,
    profile,
    relief,
    renamed,
    rooted,
    rotate,
    run,
    shifted,
    tip,
    tongue,
    translate,
    up,
)

SHEET = Sheet(2.0, 3.0)
NAN, INF = math.nan, math.inf
ANY: Any = None
"""What the type checker is not to look at."""


def base(wide: float = 60, name: str = "base") -> Body:
    return plate(SHEET, rectangle(wide, 40), name)


def angle() -> Body:
    return profile(SHEET, 40, run(40), up(90), run(30), name="angle")


def lug(**changed: Any) -> Body:
    return offset_lug(SHEET, **{"width": 12, "rise": 12, "reach": 40, "foot": 10, **changed})


def flange(**changed: Any) -> Body:
    given = {"body": base(), "edge": "right", "height": 20, **changed}
    return add_flange(given.pop("body"), given.pop("edge"), given.pop("height"), **given)


def opening(outline: Any, x: float = 0, y: float = 0, **more: Any) -> Body:
    return cut_opening(more.pop("body", base()), outline, places=[Motion.shift(x, y)], **more)


def two_with_flanges() -> tuple[Body, Body]:
    """Plates that project from the base left and right, each with a flange of the same name."""
    right = translate(flange(body=base(20, "a")), (30, 0, 0))
    return right, rotate(translate(flange(body=base(20, "b")), (30, 0, 0)), 180)


# What is made: words of the parameter, words of the message. Each line must hold both.
CASES: dict[str, tuple[Callable[[], Any], str, str]] = {
    # Sheet
    "thickness zero": (lambda: Sheet(0, 2), "thickness = 0 mm", "0.01 to 1000 mm is allowed"),
    "thickness negative": (lambda: Sheet(-2, 2), "thickness = -2 mm", "smaller than the least"),
    "thickness nan": (lambda: Sheet(NAN, 2), "thickness = nan", "not a finite number"),
    "thickness infinite": (lambda: Sheet(INF, 2), "thickness = inf", "not a finite number"),
    "thickness text": (lambda: Sheet("thick", 2), "thickness = thick", "cannot be read"),
    "thickness of a mass": (lambda: Sheet("3 kg", 2), "thickness = 3 kg", "kg measures mass"),
    "thickness bool": (lambda: Sheet(True, 2), "thickness = True", "of type bool"),
    "thickness none": (lambda: Sheet(None, 2), "thickness = None", "nothing was given"),
    "thickness too large": (lambda: Sheet("2 m", 2), "thickness = 2 m", "larger than the greatest"),
    "radius zero": (lambda: Sheet(2, 0), "inside_radius = 0 mm", "0.001 to 1000000 mm"),
    "radius negative": (lambda: Sheet(2, -1), "inside_radius = -1 mm", "smaller than the least"),
    "no such material": (lambda: Sheet(2, 2, "butter"), "= butter", "there are: "),
    "material a number": (lambda: Sheet(2, 2, ANY), "= None", "not the name of a material"),
    "no such rule": (lambda: Sheet(2, 2, "steel", "guess"), "'guess'", "one of: K 0.44"),
    "rule out of range": (lambda: Sheet(2, 2, "steel", 1.5), "1.5", "from 0 (inside) to 1"),
    # Profile
    "no pieces": (lambda: profile(SHEET, 10), "pieces = nothing", "begin and end with a run"),
    "two runs on end": (lambda: profile(SHEET, 10, run(9), run(9)), "pieces = run, run", "one bend between two"),
    "ends with a bend": (lambda: profile(SHEET, 10, run(9), up(9)), "pieces = run, turn", "one bend between two"),
    "piece is text": (lambda: profile(SHEET, 10, ANY or "run"), "pieces = str", "one bend between two"),
    "width zero": (lambda: profile(SHEET, 0, run(9)), "width = 0 mm", "at least 0.001 mm"),
    "width nan": (lambda: profile(SHEET, NAN, run(9)), "width = nan mm", "not a finite number"),
    "run negative": (lambda: run(-3), "length = -3 mm", "more than 0 mm"),
    "run in degrees": (lambda: run("3 deg"), "length = 3 deg", "a length is wanted"),
    "run to nowhere": (lambda: run(9, ANY or "middle"), "to = middle", "one of outside"),
    "run to none": (lambda: run(9, ANY), "to = None", "one of outside"),
    "run to three": (lambda: run(9, ANY or ("inside",) * 3), "to = ('inside'", "a pair of them"),
    "bend of zero": (lambda: up(0), "angle = 0 deg", "more than 0 deg and at most 170 deg"),
    "bend negative": (lambda: down(-90), "angle = -90 deg", "more than 0 deg"),
    "bend of 171": (lambda: up(171), "angle = 171 deg", "larger than the greatest, 170 deg"),
    "bend in mm": (lambda: up("90 mm"), "angle = 90 mm", "an angle is wanted"),
    "bend radius zero": (lambda: up(90, 0), "inside_radius = 0 mm", "0.001 to 1000000 mm"),
    "bend too slight": (
        lambda: profile(SHEET, 10, run(9), up(0.001), run(9)), "angle of bend 1 = 0.001 deg", "at least 0.0143",
    ),
    "run too short": (
        lambda: profile(SHEET, 9, run(4), up(90), run(9)), "run 1 = 4 mm", "make it 5.002 mm or longer",
    ),
    "run eaten by both bends": (
        lambda: profile(SHEET, 9, run(9), up(90), run(8), up(90), run(9)), "run 2 = 8 mm", "its bends take 10 mm",
    ),
    "root beyond": (lambda: profile(SHEET, 9, run(9), root=2), "root = 2", "give 1 to 1"),
    "root is true": (lambda: profile(SHEET, 9, run(9), root=True), "root = True", "give 1 to 1"),
    "name empty": (lambda: profile(SHEET, 9, run(9), name=" "), "name = ", "80 printable characters"),
    "name with a line feed": (lambda: run(9, name="a\nb"), "name = ", "80 printable characters"),
    "same name twice": (
        lambda: profile(SHEET, 9, run(30, name="a"), up(90), run(30, name="a")),
        "name = profile.a", "more than one piece",
    ),
    "profile of no sheet": (lambda: profile(ANY, 9, run(9)), "sheet = None", "make one with Sheet"),
    "longer than a part may be": (
        lambda: profile(SHEET, 9, run(30), up(90, "30 km"), run("40 km")),
        "inside_radius = 30 km", "30000000 mm is larger than the greatest",
    ),
    # Plate and outlines
    "plate of no outline": (lambda: plate(SHEET, ANY), "outline = None", "make one with rectangle"),
    "plate too large": (
        lambda: plate(SHEET, rectangle(3e6, 1)), "outline = plate", "no part is larger than 1e+06 mm",
    ),
    "plate beyond all figures": (lambda: plate(SHEET, rectangle(1e300, 1)), "outline = plate", "no part is larger"),
    "holes eat the plate": (lambda: pierced(disc(5), disc(6)), "holes = 1", "leave nothing of an outline of 5 x 5 mm"),
    "holes cut the plate": (lambda: pierced(rectangle(50, 5), rectangle(5, 50)), "holes = 1", "leave 2 pieces"),
    "hole is none": (lambda: pierced(disc(5), ANY), "outline = None", "is not an outline"),
    "shifted by nan": (lambda: shifted(disc(5), NAN), "x = nan mm", "not a finite number"),
    "turned by a length": (lambda: shifted(disc(5), turned="3 mm"), "turned = 3 mm", "an angle is wanted"),
    # Tongues, tips and holes
    "tip unknown": (lambda: tip(ANY or "pointed"), "shape = 'pointed'", "one of round, square"),
    "tip without size": (lambda: tip("chamfered"), "size = 0 mm", "more than 0 mm"),
    "tip too large": (
        lambda: tongue(SHEET, 30, 10, tip("radiused", 5)), "radiused tip = 5 mm", "make it smaller than 5 mm",
    ),
    "tongue shorter than its end": (
        lambda: tongue(SHEET, 5, 12), "length = 5 mm", "make it 6.002 mm or longer",
    ),
    "hole as wide as the tongue": (
        lambda: tongue(SHEET, 30, 10, hole=hole(10)), "hole diameter = 10 mm", "smaller than 9.998 mm",
    ),
    "hole breaks out": (
        lambda: tongue(SHEET, 30, 10, hole=hole(6, 2)), "hole distance = 2 mm", "breaks out of the strip by 1 mm",
    ),
    "hole off the tongue": (
        lambda: tongue(SHEET, 30, 10, hole=hole(6, 99)), "hole distance = 99 mm", "put its middle 3.002 to 26.998 mm",
    ),
    # By hand: the round end of a strip 12 mm wide and 8 mm long has its centre 2 mm from the start, the hole 5 mm.
    "hole of a short round end": (
        lambda: tongue(SHEET, 8, 12, hole=hole(10)),
        "hole distance = 2 mm from the start, the centre of the round end", "breaks out of the strip by 3 mm",
    ),
    "hole without place": (
        lambda: tongue(SHEET, 30, 10, "square", hole(6)),
        "hole distance = none", "say how far the hole is from the end",
    ),
    "hole from an absent bend": (
        lambda: tongue(SHEET, 30, 10, hole=hole(6, 9, "foot bend")), "hole datum = foot bend", "only an offset lug",
    ),
    "hole is a number": (lambda: tongue(SHEET, 30, 10, hole=ANY or 6), "hole = 6", "give hole(diameter, distance)"),
    "hole datum unknown": (lambda: hole(5, 3, ANY or "left"), "datum = 'left'", "one of end, start, foot bend"),
    "hole of zero": (lambda: hole(0), "diameter = 0 mm", "more than 0 mm"),
    # Offset lugs
    "rise too small": (lambda: lug(rise=7), "rise = 7 mm", "at least 8 mm at a slope of 90 deg"),
    "rise negative": (lambda: lug(rise=-7), "rise = -7 mm", "more than 0 mm"),
    "rise beyond all figures": (lambda: lug(rise=1e300), "rise = 1e+300 mm", "larger than the greatest"),
    "slope too flat": (lambda: lug(slope=14), "slope = 14 deg", "15 to 90 deg"),
    "slope too steep": (lambda: lug(slope=91), "slope = 91 deg", "15 to 90 deg"),
    "reach too short for its bends": (lambda: lug(reach=8), "reach = 8 mm", "at least 8.002 mm"),
    "reach too short for its tip": (lambda: lug(reach=12), "reach = 12 mm", "make it 14.002 mm or longer"),
    "hole in the bend": (
        lambda: lug(hole=hole(6, 9, "foot bend")), "hole distance = 9 mm", "breaks out of the strip by 2 mm",
    ),
    "foot zero": (lambda: lug(foot=0), "foot = 0 mm", "0.001 to 1000000 mm"),
    "side unknown": (lambda: lug(side="left"), "side = 'left'", 'give "up" or "down"'),
    "lug of text": (lambda: lug(width="wide"), "width = wide", "cannot be read"),
    # Flanges and reliefs
    "no such side": (lambda: flange(edge="top"), "edge = top", "one of front, back, left, right"),
    "no edge there": (
        lambda: flange(edge=((0, 0), (9, 9))), "edge = (0, 0) to (9, 9)", "two points of a straight edge",
    ),
    "edge is none": (lambda: flange(edge=None), "edge = None", "is not an edge"),
    "edge of one point": (lambda: flange(edge=((30, 0), (30, 0))), "edge = ", "its two points are one"),
    "flange on a round edge": (
        lambda: flange(body=plate(SHEET, disc(40), "lid")), "edge = right", "no straight edge facing so",
    ),
    "flange on an arc by points": (
        lambda: flange(body=plate(SHEET, disc(40), "lid"), edge=((20, 0), (0, 20))),
        "edge = ", "not on one straight edge",
    ),
    "flange too low": (lambda: flange(height=5), "height = 5 mm", "at least 5.002 mm"),
    "flange lower than its round end": (
        lambda: flange(height=20, end="round"), "height = 20 mm", "leaves 15 mm for a full-round end of 20 mm",
    ),
    "flange wider than its edge": (lambda: flange(width=41), "width = 41 mm", "past the end of its edge by 0.5 mm"),
    "flange off its edge": (
        lambda: flange(width=20, centre=15), "width = 20 mm", "past the end of its edge by 5 mm",
    ),
    "bend inside the edge": (lambda: flange(width=20), "relief = none", "edge_to='tangent line'"),
    "rounded corner beside the bend": (
        lambda: flange(body=plate(SHEET, rectangle(60, 40, 6), "base")), "relief = none", "give a relief",
    ),
    "relief is text": (lambda: flange(width=20, relief="round"), "relief = round", "give relief(width, depth)"),
    "relief of no width": (lambda: relief(0, 1), "width = 0 mm", "at least 0.001 mm; a laser's is 0.1 to 0.3 mm"),
    "relief of no shape": (lambda: relief(1, 1, ANY or "oval"), "shape = 'oval'", '"square" or "round"'),
    "relief wider than what is left": (
        lambda: flange(width=36, relief=relief(3, 3)), "relief width = 3 mm", "make it narrower than 1.999 mm",
    ),
    "relief too shallow": (
        lambda: flange(width=20, relief=relief(6, 2)), "relief depth = 2 mm", "at least 3 mm beyond the tangent line",
    ),
    "extend is a number": (lambda: flange(extend=3), "extend = 3", "give how far"),
    "extend negative": (lambda: flange(extend=(-1, 0)), "extend = -1 mm", "at least 0 mm"),
    "datum unknown": (lambda: flange(height_to="middle"), "datum = 'middle'", "one of outside"),
    "flange angle": (lambda: flange(angle=180), "angle = 180 deg", "at most 170 deg, or process='hem' (to 270 deg)"),
    "flange name twice": (lambda: flange(body=flange(), edge="left"), "name = flange", "more than one piece"),
    "flange called as the plate": (lambda: flange(name="base"), "name = base", "more than one piece"),
    "flange on no flat": (lambda: flange(flat="roof"), "flat = roof", "there are: base"),
    "notch in another bend": (
        lambda: flange(body=flange(name="first"), edge="back", name="second"),
        "second: place = on base", "first.bend",
    ),
    "bends on each other": (
        lambda: flange(
            body=flange(width=20, edge_to="tangent line", name="first"), width=20, centre=10, edge_to="tangent line",
            name="second",
        ),
        "second: edge = on base", "holds first.bend already",
    ),
    "flange on text": (lambda: flange(body="base"), "body = base", "is not a body"),
    # Openings
    "opening misses": (
        lambda: opening(disc(5), 100), "place = x 97.5 to 102.5", "whose own coordinates run over x -30",
    ),
    "opening beside": (lambda: opening(disc(10), 35), "place = x 30 to 40", "misses base"),
    "opening eats a bend": (
        lambda: opening(disc(8), 35, 20, body=angle(), flat="angle.run[1]"),
        "place = on angle.run[1]", "angle.bend[1]",
    ),
    "opening eats the plate": (lambda: opening(rectangle(99, 99)), "openings = opening", "leave nothing"),
    "opening cuts the plate in two": (lambda: opening(rectangle(5, 99)), "openings = opening", "into 2 pieces"),
    "opening round the middle": (lambda: cut_opening(base(), ring(36, 20)), "openings = opening", "into 2 pieces"),
    "opening of nothing": (
        lambda: opening(rectangle(1, 1), body=base(), flat="lid"), "flat = lid", "there are: base",
    ),
    "opening is none": (lambda: cut_opening(base(), ANY), "outline = None", "is not an outline"),
    "places are of three": (
        lambda: cut_opening(base(), disc(5), places=ANY or [(3, 4, 5)]), "places = (3, 4, 5)", "Motion.shift",
    ),
    "places are a number": (lambda: cut_opening(base(), disc(5), places=ANY or 5), "places = 5", "Motion.shift"),
    "opening name twice": (
        lambda: cut_opening(cut_opening(base(), disc(3), name="eye"), disc(4), name="eye"),
        "name = eye", "more than one",
    ),
    # Moves
    "translate by two": (lambda: translate(base(), (1, 2)), "by = (1, 2)", "give (x, y, z)"),
    "translate by nan": (lambda: translate(base(), (1, NAN, 2)), "by = nan mm", "not a finite number"),
    "translate too far": (lambda: translate(base(), (1e7, 0, 0)), "by = 1e+07 mm", "larger than the greatest"),
    "translate text": (lambda: translate(ANY or "base", (1, 2, 3)), "body = base", "is not a body"),
    "rotate by infinity": (lambda: rotate(base(), INF), "angle = inf deg", "not a finite number"),
    "rotate about a letter": (lambda: rotate(base(), 9, ANY or "z"), "axis = z", "Z_AXIS"),
    "axis of no length": (lambda: Axis((0, 0, 0), (0, 0, 0)), "direction = (0, 0, 0)", "has no length"),
    "axis of text": (lambda: Axis(direction=ANY or "z"), "direction = z", "give (x, y, z)"),
    "mirror in no plane": (lambda: mirror(base(), ANY or "zx"), "plane = zx", 'one of "xy", "yz", "xz"'),
    "mirror in a list": (lambda: mirror(base(), ANY or []), "plane = []", 'one of "xy", "yz", "xz"'),
    "array of none": (lambda: array_about(base(), Z_AXIS, 0), "copies = 0", "1 to 10000"),
    "array of a half": (lambda: array_about(base(), Z_AXIS, 2.5), "copies = 2.5", "not a whole number"),
    "array of many": (lambda: array_about(base(), Z_AXIS, 10**9), "copies = 1e+09", "1 to 10000"),
    "array of an array": (
        lambda: array_about(ANY or (base(),), Z_AXIS, 2), "body = ", "more than one body",
    ),
    "renamed to nothing": (lambda: renamed(base(), ""), "name = ", "80 printable characters"),
    "rooted nowhere": (lambda: rooted(base(), "lid"), "flat = lid", "there are: base"),
    # Fusing
    "nothing to fuse": (lambda: fuse(), "bodies = none", "give two bodies or more"),
    "fuse a list of none": (lambda: fuse([[], ()]), "bodies = none", "give two bodies or more"),
    "fuse text": (lambda: fuse(base(), ANY or "lid"), "bodies = lid", "give bodies or lists"),
    "fuse of another thickness": (
        lambda: fuse(base(), plate(Sheet(3, 3), disc(9), "lid")), "thickness of lid = 3 mm", "that of base is 2 mm",
    ),
    "fuse of another material": (
        lambda: fuse(base(), plate(Sheet(2, 3, "DC01"), disc(9), "lid")), "material of lid = DC01", "S235JR",
    ),
    "fuse of another radius": (
        lambda: fuse(base(), plate(Sheet(2, 4), disc(9), "lid")), "inside_radius of lid = 4 mm", "is 3 mm",
    ),
    "fuse of another rule": (
        lambda: fuse(base(), plate(Sheet(2, 3, bend_rule=0.4), disc(9), "lid")), "bend_rule of lid", "0.44",
    ),
    "fuse apart": (lambda: fuse(base(), translate(base(10, "lid"), (40, 0, 0))), "bodies = lid", "5 mm away from it"),
    "fuse above": (lambda: fuse(base(), translate(base(10, "lid"), (0, 0, 3))), "bodies = lid", "3 mm above base"),
    "fuse askew": (lambda: fuse(base(), rotate(base(10, "lid"), 9, X_AXIS)), "bodies = lid", "is parallel to"),
    "fuse in a point": (
        lambda: fuse(base(), translate(base(20, "lid"), (40, 40, 0))), "bodies = lid", "only in a point",
    ),
    "fuse over a bend": (
        lambda: fuse(base(99), translate(angle(), (0, -20, 0))), "bend = angle.bend[1]", "ends up inside base",
    ),
    "fuse twice": (
        lambda: fuse(angle(), translate(renamed(angle(), "other"), (0, 20, 0))),
        "bodies = other", "more than one flat",
    ),
    "fuse two of one name": (
        lambda: fuse(base(), *two_with_flanges()),
        "name = flange", "more than one piece",
    ),
    "fuse to no name": (lambda: fuse(base(), base(10, "lid"), name="\t"), "name = ", "80 printable characters"),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_bad_input_gets_one_line_with_a_way_out(case: str) -> None:
    make, parameter, words = CASES[case]
    with pytest.raises(InputError) as caught:
        make()
    line = str(caught.value)
    assert line == " ".join(line.split())
    assert parameter in line
    assert words in line
    # What, value, limit, reason, way out: a head and at least a problem or fix behind it.
    where, rest = line.split(": ", 1)
    assert where
    assert " = " in rest
    assert len(caught.value.problem) > 4
    assert caught.value.fix
    assert len(line) < 500  # a list of all materials is the longest


def test_there_are_enough_of_them() -> None:
    assert len(CASES) >= 120


@pytest.mark.parametrize(
    "case", ["thickness of a mass", "run in degrees", "bend in mm", "turned by a length"]
)
def test_wrong_units_are_an_error_of_their_own(case: str) -> None:
    with pytest.raises(UnitsError):
        CASES[case][0]()


WAYS_OUT: dict[str, Callable[[], Body]] = {
    "run too short": lambda: profile(SHEET, 9, run(5.002), up(90), run(9)),
    "bend too slight": lambda: profile(SHEET, 10, run(9), up(0.0143241), run(9)),
    "rise too small": lambda: lug(rise=8),
    "reach too short for its tip": lambda: lug(reach=14.002),
    "tongue shorter than its end": lambda: tongue(SHEET, 6.002, 12),
    "flange too low": lambda: flange(height=5.002),
    "flange lower than its round end": lambda: flange(height=25.002, end="round"),
    "bend inside the edge": lambda: flange(width=20, edge_to="tangent line"),
    "relief wider than what is left": lambda: flange(width=36, relief=relief(1.998, 3)),
    "relief too shallow": lambda: flange(width=20, relief=relief(6, 3)),
    "hole off the tongue": lambda: tongue(SHEET, 30, 10, hole=hole(6, 26.998, "start")),
    "fuse apart": lambda: fuse(base(), translate(base(10, "lid"), (35, 0, 0))),
    "fuse above": lambda: fuse(base(), base(10, "lid")),
}


@pytest.mark.parametrize("case", WAYS_OUT)
def test_the_way_out_is_one(case: str) -> None:
    """What the message proposes can be made, to the last figure that it says."""
    assert isinstance(WAYS_OUT[case](), Body)


def test_way_out_of_a_slanted_edge() -> None:
    """The width and the shift that are stated for a sharp corner do fit, and a little more does not."""
    from formparts.outline import closed_path

    sharp = plate(SHEET, closed_path((0, 0), (60, 0), (50, 40), (0, 40)), "base")
    with pytest.raises(
        InputError, match=r"runs out of base by 1\.25 mm; make it 39\.9811 mm or narrower"
    ) as caught:
        add_flange(sharp, ((60, 0), (50, 40)), 20)
    assert "its centre shifted by +0.625 mm" in str(caught.value)
    flanged = add_flange(sharp, ((60, 0), (50, 40)), 20, width=37, centre=0.625, relief=relief(1, 1))
    assert len(flanged.bends) == 1
    with pytest.raises(InputError, match="runs out of base"):
        add_flange(sharp, ((60, 0), (50, 40)), 20, width=39.99, centre=0.6, relief=relief(1, 1))


@pytest.mark.parametrize(
    "end", ["round", "square", tip("chamfered", 0.5), tip("chamfered", 4), tip("radiused", 4)], ids=str
)
@pytest.mark.parametrize("diameter", [0.5, 5, 9.997])
def test_way_out_of_a_hole_that_breaks_out(end: Any, diameter: float) -> None:
    """Both ends of the range that is stated can be made, and 0.01 mm beyond either cannot."""
    with pytest.raises(InputError) as caught:
        tongue(SHEET, 30, 10, end, hole(diameter, 99))
    found = re.search(r"put its middle (\S+) to (\S+) mm from the start", str(caught.value))
    assert found is not None
    for place, beyond in ((float(found[1]), -0.01), (float(found[2]), 0.01)):
        assert isinstance(tongue(SHEET, 30, 10, end, hole(diameter, place, "start")), Body)
        with pytest.raises(InputError, match=r"breaks out of the strip by|leaves a web of"):
            tongue(SHEET, 30, 10, end, hole(diameter, place + beyond, "start"))


def test_hole_at_a_chamfer_by_hand() -> None:
    """
    Chamfers of 4 mm on a strip 10 mm wide leave an end of 2 mm; a hole of 8 mm is stopped by the chamfers.

    By hand: the chamfer is the line x + y = 30 + 5 - 4 = 31, which lies (31 - x)/sqrt 2 from a point x of the middle
    line: 4 mm at x = 31 - 5.6569 = 25.3431.
    """
    chamfered = tip("chamfered", 4)
    with pytest.raises(InputError, match=r"put its middle 4\.002 to 25\.341 mm from the start"):
        tongue(SHEET, 30, 10, chamfered, hole(8, 25.3431 + 0.001, "start"))
