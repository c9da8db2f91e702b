"""For each rule a part just inside its limit and one just outside, with the hand calculation of the limit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import pytest

from formparts.recipe_functions import Recipe
from recipes.corner_tray import corner_tray
from recipes.ring_riser import ring_riser
from recipes.u_channel import u_channel
from recipes.z_clip import z_clip
from tests.checks.samples import (
    curled_box,
    deep_channel,
    dimpled_angle,
    hemmed_edge,
    lug_ring,
    notched_strip,
    open_tray,
    sunk_angle,
    tabbed_plate,
    threaded_plate,
)


@dataclass(frozen=True)
class Case:
    """A recipe on both sides of a limit; `why` is the reckoning that puts the limit between the two."""

    code: str
    recipe: Recipe
    inside: Mapping[str, object]
    outside: Mapping[str, object]
    why: str
    expect: tuple[str, ...] = ()
    limits: str = ""
    fixed_by: tuple[str, ...] = field(default=())


CASES = (
    Case(
        "blank-overlap", lug_ring, {"lug_count": 5}, {"lug_count": 6},
        "first bend on radius 60 - 8 = 52; a lug is pi/2 (1 + 0.44) x 2 + (20 - 3) + (18 - 3) = 36.52 long, so it ends "
        "on radius 15.48, where lugs of 20 mm take 2 atan(10 / 15.48) = 65.7 deg each: 5 fit, 6 do not. Exact geometry",
        fixed_by=("lug_count", "lug_width"),
    ),
    Case(
        "narrow-web", notched_strip, {"web": 2.0}, {"web": 1.99},
        "1 t of a sheet of 2 mm: common practice, no source", fixed_by=("web",),
    ),
    Case(
        "narrow-cut", notched_strip, {"slit": 0.3}, {"slit": 0.29},
        "a laser cut of 0.3 mm; common practice, no source", fixed_by=("slit",),
    ),
    Case(
        "blank-larger-than-stock", u_channel, {"length": 3000}, {"length": 3000.5},
        "a stock sheet of 3000 x 1500 mm; common practice, no source", fixed_by=("length",),
    ),
    Case(
        "inside-radius-too-small", u_channel, {"inside_radius": 2.5}, {"inside_radius": 2.49},
        "DIN 6935: tensile strength up to 390 MPa, over 1.5 up to 2.5 mm: 2.5 mm", fixed_by=("inside_radius",),
    ),
    Case(
        "neutral-fibre-outside-middle", u_channel, {"bend_rule": 0.5}, {"bend_rule": 0.501},
        "DIN 6935: k = 0.65 + 0.5 log10(r/s), at most 1 (from r/s = 5 on), so K = k/2 is at most 0.5 (from memory)",
    ),
    Case(
        "radius-too-small-along-grain", u_channel,
        {"material": "S235JR", "thickness": 4, "inside_radius": 6},
        {"material": "S235JR", "thickness": 4, "inside_radius": 5.9},
        "EN 10025-2, S235, over 3 up to 4 mm: 5 mm across and 6 mm along the rolling direction (from memory)",
        limits='[limit.rolling_direction]\nvalue = 90\nsource = "our coil runs along y"\n',
        fixed_by=("inside_radius",),
    ),
    Case(
        "flange-too-short", u_channel, {"height": 8.49}, {"height": 8.48},
        "die opening 6 t = 12 mm; half of it over cos 45 is 8.485 mm: exact geometry (FO-16)",
        fixed_by=("height",),
    ),
    Case(
        "offset-too-short", z_clip, {"rise": 11.70}, {"rise": 11.68},
        "bend lines are rise - 2 (2.5 + 1) + pi/2 (2.5 + 0.88) = rise - 1.691 apart; 12/2 + 2 x 2 = 10 mm is wanted; "
        "common practice, no source",
        fixed_by=("rise",),
    ),
    Case(
        "press-length-exceeded", u_channel, {"length": 3000}, {"length": 3000.5},
        "a press brake of 3 m; common practice, no source", fixed_by=("length",),
    ),
    Case(
        "press-force-exceeded", u_channel,
        {"thickness": 5, "inside_radius": 6, "length": 2601}, {"thickness": 5, "inside_radius": 6, "length": 2602},
        "Oehler (Lange, Umformtechnik, vol. 3): (1 + 4 x 5 / 40) 410 l 25 / 40 = 1000 kN at l = 2601.6 mm, with a die "
        "opening of 8 t = 40 mm and the 410 MPa of DC01",
        fixed_by=("length",),
    ),
    Case(
        "relief-too-narrow", tabbed_plate, {"relief_width": 2.0}, {"relief_width": 1.99},
        "1 t of a sheet of 2 mm: Bralla (from memory, DR-12)", fixed_by=("relief_width",),
    ),
    Case(
        "relief-too-shallow", tabbed_plate, {"relief_depth": 4.5}, {"relief_depth": 4.49},
        "R + t = 2.5 + 2 mm: Bralla (from memory, DR-12)", fixed_by=("relief_depth",),
    ),
    Case(
        "relief-too-shallow", open_tray, {"corner": 1.6}, {"corner": 1.58},
        "1/32 in = 0.79375 mm behind where the tangent lines cross: FAA-H-8083-31 (DR-03)",
        fixed_by=("corner",),
    ),
    Case(
        "relief-too-shallow", ring_riser, {"lug_start": 5.64}, {"lug_start": 5.63},
        "beside a lug of 26 mm the edge of the opening is on x = sqrt(75^2 - 13^2) = 73.865; less R + t = 4.5 that is "
        "69.365, and 75 - 69.365 = 5.635",
    ),
    Case(
        "hem-too-short", hemmed_edge, {"leg": 2.0}, {"leg": 1.99},
        "return 2 + R + t = 4 mm, 4 t of a sheet of 1 mm; common practice, no source", fixed_by=("leg",),
    ),
    Case(
        "hem-radius-too-large", hemmed_edge, {"inside_radius": 0.5, "leg": 8}, {"inside_radius": 0.49, "leg": 8},
        "t/2 of a sheet of 1 mm; common practice, no source", fixed_by=("inside_radius",),
    ),
    Case(
        "opening-near-bend", u_channel, {"hole_diameter": 30.0}, {"hole_diameter": 30.02},
        "web of 50 - 2 (2.5 + 2) = 41 mm between tangent lines, less 2 (1.5 x 2 + 2.5): common practice, no source",
        fixed_by=("hole_diameter",),
    ),
    Case(
        "opening-near-opening", u_channel, {"hole_pitch": 10.6}, {"hole_pitch": 10.59},
        "6.6 + 2 x 2 mm; common practice, no source", fixed_by=("hole_pitch",),
    ),
    Case(
        "merged-openings", u_channel, {"hole_pitch": 6.61}, {"hole_pitch": 6.59},
        "holes of 6.6 mm, whose middles are no nearer than that: exact geometry",
    ),
    Case(
        "opening-near-edge", u_channel, {"hole_pitch": 96.46}, {"hole_pitch": 96.48},
        "1.5 pitches from the middle of 300 mm, less 3.3 mm and 1 t = 2 mm, so (150 - 5.3) / 1.5 = 96.467: "
        "common practice, no source",
        fixed_by=("hole_pitch",),
    ),
    Case(
        "opening-too-small", u_channel, {"hole_diameter": 2.4}, {"hole_diameter": 2.39},
        "1.2 t of mild steel: common practice, no source", fixed_by=("hole_diameter",),
    ),
    Case(
        "opening-too-small", corner_tray, {"drain": 3.0}, {"drain": 2.99},
        "2 t of stainless steel: common practice, no source", fixed_by=("drain",),
    ),
    Case(
        "thread-too-short", threaded_plate, {"thickness": 2.4}, {"thickness": 2.39},
        "three turns of M5, whose pitch is 0.8 mm (ISO 261): common practice, no source", fixed_by=("thickness",),
    ),
    Case(
        "pressed-part-near-edge", threaded_plate, {"inset": 8.0}, {"inset": 7.99},
        "8 mm from the middle to the edge, as the recipe states the maker's figures", fixed_by=("inset",),
    ),
    Case(
        "sheet-too-thin-for-pressed-part", threaded_plate, {"thickness": 1.5}, {"thickness": 1.49},
        "1.5 mm, as the recipe states the maker's figures", fixed_by=("thickness",),
    ),
    Case(
        "sunk-hole-too-deep", sunk_angle, {"thickness": 3.68}, {"thickness": 3.67},
        "(10.4 - 5.5) / 2 = 2.45 mm deep at 90 deg, two thirds of 3.675 mm: common practice, no source",
        fixed_by=("thickness",),
    ),
    Case(
        "sunk-hole-near-bend", sunk_angle, {"inset": 36.8}, {"inset": 36.82},
        "60 - 4 - 4 mm to the tangent line, less 5.2 mm of the head and 1.5 x 4 + 4 mm: common practice, no source",
        fixed_by=("inset",),
    ),
    Case(
        "sunk-hole-near-edge", sunk_angle, {"inset": 9.2}, {"inset": 9.18},
        "5.2 mm of the head and 1 t = 4 mm: common practice, no source", fixed_by=("inset",),
    ),
    Case(
        "formed-feature-near-bend", dimpled_angle, {"inset": 44.0}, {"inset": 44.02},
        "60 - 2 - 2 mm to the tangent line, less 4 mm of the dimple and 3 x 2 + 2 mm: common practice, no source",
        fixed_by=("inset",),
    ),
    Case(
        "formed-feature-near-edge", dimpled_angle, {"inset": 10.0}, {"inset": 9.98},
        "4 mm of the dimple and 3 x 2 mm: common practice, no source", fixed_by=("inset",),
    ),
    Case(
        "formed-feature-left-out", dimpled_angle, {"count": 0}, {"count": 1},
        "a dimple is formed, and neither solid nor mesh has it: exact geometry",
    ),
    Case(
        "self-contact", curled_box, {"last": 27.9}, {"last": 28.0},
        "30 mm high outside less one thickness of 2 mm: exact geometry", fixed_by=("last",),
    ),
    Case(
        "self-intersection", curled_box, {"last": 28.0}, {"last": 28.1},
        "30 mm high outside less one thickness of 2 mm: exact geometry", fixed_by=("last",),
    ),
    Case(
        "no-bend-order", deep_channel, {"height": 82.5}, {"height": 83.5},
        "at 90.9 deg under load the end of the leg that stands is at y = 46 cos 45.45 - (height - 2) sin 45.45 = -25.5 "
        "and z = 46 sin 45.45 + (height - 2) cos 45.45 = 89.6 from the inner corner, 1 mm below the tip: there the "
        "neck of the deep swan-neck punch is at -25.5: exact geometry", fixed_by=("height",),
    ),
    Case(
        "nonstandard-thickness", u_channel, {"thickness": 2.0}, {"thickness": 2.2},
        "2 mm is a preferred thickness; 2.2 mm is none, nor a gauge (14 ga 1.897 mm, 13 ga 2.278 mm)",
    ),
    Case(
        "drawing-value-missed", u_channel, {"length": 301.4}, {"length": 301.6},
        "the blank is as long as the rail: 300 mm and 0.5 % are 301.5 mm",
        expect=("blank_width=300", ), fixed_by=("length",),
    ),
)  # fmt: skip


def ids(case: Case) -> str:
    """Name of a case among the others."""
    return f"{case.code}-{case.recipe.name}"


every_case = pytest.mark.parametrize("case", CASES, ids=ids)
