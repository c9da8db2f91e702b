"""Chains of up to 1,000 bends at awkward angles: every flat where high precision has it, on the page too."""

from __future__ import annotations

import json
import math
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from mpmath import mp, mpf

from formparts.blanks import blank
from formparts.body import Bend, Body, Flat, Frame, Sheet, Side, frames
from formparts.body.frame import cross, dot
from formparts.clash import clashes
from formparts.closed_forms import properties
from formparts.kernel import measured
from formparts.outline import polygon
from formparts.report.html.shapes import folding_model
from formparts.shapes import down, profile, rotate, run, up
from formparts.shapes.moves import Axis
from formparts.solids import solid
from tests.invariants.test_unfold_agrees import check_bends, check_outlines, unfolded

LAST_DIGITS = 4 * 2.0**-52
"""Four units of the last digit of 1: a length of one and a right angle as floats can hold them."""
AWKWARD = (60.0, 70.0, 120.0, 37.3)
STRAIGHT, RADIUS, THICKNESS = 20.0, 2.0, 1.0
SHEET = Sheet(THICKNESS, RADIUS)
FOLD = Path(__file__).parents[2] / "formparts" / "report" / "html" / "assets" / "fold.js"


def deck(bends: int, angle: float, sides: str) -> Body:
    """A corrugated strip, or a coil: bends up (u) and down (d), over and over."""
    pieces: list[Any] = [run(STRAIGHT, "tangent line")]
    for number in range(bends):
        turn = up if sides[number % len(sides)] == "u" else down
        pieces += [turn(angle), run(STRAIGHT, "tangent line")]
    return profile(SHEET, 30, *pieces, name="deck")


def in_one_plane(body: Body) -> Iterator[tuple[str, Any, Any, Any]]:
    """Origin in x and z and direction of every flat of such a strip, to fifty digits: angles add up, places follow."""
    x, z, direction = mpf(0), mpf(THICKNESS) / 2, mpf(0)
    for bend in body.bends:
        side = 1 if bend.side == "up" else -1
        x, z = x + STRAIGHT * mp.cos(direction), z + STRAIGHT * mp.sin(direction)
        middle = side * (mpf(RADIUS) + mpf(THICKNESS) / 2)
        beyond = direction + side * mp.radians(mpf(bend.angle))
        x += middle * (mp.sin(beyond) - mp.sin(direction))
        z -= middle * (mp.cos(beyond) - mp.cos(direction))
        direction = beyond
        yield bend.child, x, z, direction


def skewness(frame: Frame) -> float:
    """How far axes are from length one, from right angles, and from right-handed."""
    x, y, z = frame.x, frame.y, frame.z
    lengths = [abs(dot(axis, axis) - 1.0) for axis in (x, y, z)]
    return max(*lengths, abs(dot(x, y)), abs(dot(y, z)), abs(dot(z, x)), math.dist(cross(x, y), z))


@pytest.mark.parametrize(("angle", "sides"), [(60.0, "uddu"), (70.0, "u"), (120.0, "ud"), (37.3, "uddu")])
def test_a_thousand_bends_in_one_plane(angle: float, sides: str) -> None:
    """Places within 1e-9 mm on up to twenty metres, directions within 1e-12, right angles to the last digit."""
    body = deck(1000, angle, sides)
    known = frames(body)
    with mp.workdps(50):
        for name, x, z, direction in in_one_plane(body):
            frame = known[name]
            assert skewness(frame) <= LAST_DIGITS
            assert max(abs(frame.origin[0] - x), abs(frame.origin[2] - z), abs(frame.origin[1])) <= 1e-9
            assert max(abs(frame.x[0] - mp.cos(direction)), abs(frame.x[2] - mp.sin(direction))) <= 1e-12


def screw(bends: int, angle: float) -> Body:
    """A chain in space: each flat is a strip whose far bend line is turned by atan(5 / 20) to its near one."""
    corners = [(0.0, 0.0), (20.0, 0.0), (15.0, 20.0), (-5.0, 20.0)]
    flats = [Flat("flat[0]", polygon(corners))]
    joints = []
    for number in range(1, bends + 1):
        flats.append(Flat(f"flat[{number}]", polygon(corners)))
        side: Side = "up" if number % 3 else "down"
        if number % 2:
            lines = (((15.0, 20.0), (-5.0, 20.0)), ((20.0, 0.0), (0.0, 0.0)))
        else:
            lines = (((20.0, 0.0), (15.0, 20.0)), ((0.0, 0.0), (-5.0, 20.0)))
        names = (f"bend[{number}]", f"flat[{number - 1}]", f"flat[{number}]")
        joints.append(Bend(*names, *lines, angle, side, RADIUS))
    return Body("screw", SHEET, tuple(flats), tuple(joints), Frame())


def in_space(body: Body) -> dict[str, tuple[Any, Any]]:
    """Origin and rotation of every flat to fifty digits, by 3 x 3 matrices."""
    placed = {body.flats[0].name: (mp.matrix([0, 0, 0]), mp.eye(3))}
    for bend in body.bends:
        side = 1 if bend.side == "up" else -1
        origin, turned = placed[bend.parent]
        at, beyond = in_plane(bend.parent_line), in_plane(bend.child_line)
        angle, middle = side * mp.radians(mpf(bend.angle)), mpf(RADIUS) + mpf(THICKNESS) / 2
        about_x = mp.matrix(
            [[1, 0, 0], [0, mp.cos(-angle), -mp.sin(-angle)], [0, mp.sin(-angle), mp.cos(-angle)]]
        )
        leap = mp.matrix([0, -middle * abs(mp.sin(angle)), side * middle * (1 - mp.cos(angle))])
        here = turned * at[1]
        there = here * about_x
        origin = origin + turned * at[0] + here * leap
        back = there * beyond[1].T
        placed[bend.child] = (origin - back * beyond[0], back)
    return placed


def in_plane(line: Any) -> tuple[Any, Any]:
    """Start of a line, and the rotation that lays x along it."""
    (x0, y0), (x1, y1) = [[mpf(value) for value in point] for point in line]
    long = mp.hypot(x1 - x0, y1 - y0)
    cos, sin = (x1 - x0) / long, (y1 - y0) / long
    return mp.matrix([x0, y0, 0]), mp.matrix([[cos, -sin, 0], [sin, cos, 0], [0, 0, 1]])


@pytest.mark.parametrize("angle", [70.0, 37.3])
def test_a_thousand_bends_in_space(angle: float) -> None:
    body = screw(1000, angle)
    known = frames(body)
    with mp.workdps(50):
        for name, (origin, turned) in in_space(body).items():
            frame = known[name]
            assert skewness(frame) <= LAST_DIGITS
            assert max(abs(frame.origin[row] - origin[row]) for row in range(3)) <= 1e-9
            axes = (frame.x, frame.y, frame.z)
            assert max(abs(axes[c][r] - turned[r, c]) for r in range(3) for c in range(3)) <= 1e-12


@pytest.mark.skipif(shutil.which("node") is None, reason="node is not installed")
@pytest.mark.parametrize("made", [lambda: deck(300, 70, "uddu"), lambda: screw(1000, 37.3)])
def test_the_folding_view_agrees(made: Any) -> None:
    """The page's own script, run by node: frames at fraction 1 are those of the model, to 1e-9 mm and 1e-12."""
    body = rotate(made(), 33.3, Axis((1.0, 2.0, 3.0), (0.48, 0.6, 0.64)))
    model = folding_model(body, blank(body))
    script = FOLD.read_text(encoding="utf-8") + (
        "const model = JSON.parse(require('fs').readFileSync(0, 'utf8'));"
        "console.log(JSON.stringify(framesOf(model, model.bends.map(() => 1)).flats));"
    )
    said = subprocess.run(
        ["node", "-e", script],
        input=json.dumps(model),
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    known = frames(body)
    for flat, frame in zip(body.flats, json.loads(said.stdout), strict=True):
        there = known[flat.name]
        assert math.dist(frame["o"], there.origin) <= 2e-7  # the page rounds the root's place to 1e-7 mm
        for axis in "xyz":
            assert math.dist(frame[axis], getattr(there, axis)) <= 1e-12


def test_a_long_roof_deck_has_no_clash_and_its_envelope() -> None:
    """Of 70 deg; by hand 75 waves, each of two slants and two flats with four bends."""
    short = deck(60, 70, "uddu")
    assert clashes(short) == ()
    assert blank(short).overlaps == ()
    body = deck(300, 70, "uddu")
    box = properties(body)
    turned, middle = math.radians(70.0), RADIUS + THICKNESS / 2
    wave = 2 * STRAIGHT * (1 + math.cos(turned)) + 4 * middle * math.sin(turned)
    rise = STRAIGHT * math.sin(turned) + 2 * middle * (1 - math.cos(turned))
    assert box.highest[0] - box.lowest[0] == pytest.approx(75 * wave + STRAIGHT, abs=1e-9)
    assert box.highest[2] - box.lowest[2] == pytest.approx(rise + THICKNESS, abs=1e-9)


@pytest.mark.parametrize("angle", AWKWARD)
def test_ninety_bends_build_and_unfold(angle: float) -> None:
    """The kernel takes it for one closed solid of the right volume, and the unfolder finds the blank in it."""
    body = deck(90, angle, "uddu")
    made, flat = solid(body), blank(body)
    assert measured(made.shape).volume == pytest.approx(properties(body).volume, rel=1e-9)
    found = unfolded(body, made).blank
    check_outlines(flat, found)
    check_bends(flat, found)
