"""The hand calculation in each recipe's docstring, asserted; and closed forms of our own for its mass and blank."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import pytest

from formparts.assembly import interferences, matings
from formparts.assembly_recipes import find_assembly
from formparts.blanks import blank
from formparts.body import Body, frames
from formparts.checks import findings
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.recipe_functions import Recipe, find_recipe, recipes
from formparts.recipe_functions.shipped import shipped_folder
from tests.shapes.agreement import assert_all_methods_agree

NAMES = (
    "angle_bracket", "bench_drawer", "chest_hinge", "corner_tray", "gauge_case", "gauge_lid", "hat_section",
    "pump_bracket", "ring_riser", "roof_purlin", "stepped_seat", "u_channel", "z_clip",
)  # fmt: skip


def defaults(name: str) -> dict[str, float]:
    return {parameter.name: parameter.default for parameter in find_recipe(name).parameters}


def allowance(angle: float, radius: float, thickness: float, k: float = 0.44) -> float:
    """Developed length of a bend by its K-factor, by hand."""
    return math.radians(angle) * (radius + k * thickness)


def figures_in(recipe: Recipe) -> list[float]:
    """All figures of the paragraph `By hand` of a docstring."""
    text = recipe.doc[recipe.doc.index("By hand") :]
    return [float(figure) for figure in re.findall(r"\d+(?:\.\d+)?", text)]


def said(recipe: Recipe, value: float) -> bool:
    """True when the docstring gives a figure, to the digits that it prints."""
    text = recipe.doc[recipe.doc.index("By hand") :]
    return any(
        abs(float(figure) - value) <= 0.5000001 * 10.0 ** -len(figure.partition(".")[2])
        for figure in re.findall(r"\d+\.\d+", text)
    )


def span(body: Body, flat: str) -> float:
    """Length of a flat along its own x."""
    low, _, high, _ = body.flat(flat).outline.bounds
    return high - low


def test_all_recipes_are_here() -> None:
    assert {path.stem for path in shipped_folder().glob("*.py")} == set(NAMES)
    assert {recipe.name for recipe in recipes()} >= set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_recipe_reads_as_a_manual_page(name: str) -> None:
    recipe = find_recipe(name)
    assert len(recipe.doc.splitlines()) >= 4
    assert len(figures_in(recipe)) >= 3
    assert all(len(parameter.text) > 5 for parameter in recipe.parameters)


def test_angle_bracket() -> None:
    """Two legs to the outside less one deduction; slots are discs and the rectangles between them."""
    d, recipe = defaults("angle_bracket"), find_recipe("angle_bracket")
    body = recipe()
    t, r = d["thickness"], d["inside_radius"]
    deduction = 2 * (r + t) - allowance(90, r, t)
    length = d["upright"] + d["shelf"] - deduction
    assert said(recipe, deduction)
    assert said(recipe, length)
    assert blank(body).length == pytest.approx(length, abs=1e-9)
    section = t * (d["upright"] + d["shelf"] - 2 * (r + t) + math.radians(90) * (r + t / 2))
    slot = math.pi / 4 * d["slot_width"] ** 2 + d["slot_width"] * (d["slot_length"] - d["slot_width"])
    slots = (d["wall_slots"] + d["shelf_slots"]) * slot * t
    assert properties(body).volume == pytest.approx(section * d["width"] - slots, rel=1e-12)
    assert properties(body).envelope == pytest.approx((d["shelf"], d["width"], d["upright"]))
    plain = recipe(wall_slots=0, shelf_slots=0)
    assert properties(plain).volume == pytest.approx(section * d["width"], rel=1e-12)


def test_z_clip() -> None:
    """Runs of foot, rise + t and head to the outside, less two deductions of 2 (R + t) - BA: the blank."""
    d, recipe = defaults("z_clip"), find_recipe("z_clip")
    body = recipe()
    t, r = d["thickness"], d["inside_radius"]
    deduction = 2 * (r + t) - allowance(90, r, t)
    length = d["foot"] + d["rise"] + t + d["head"] - 2 * deduction
    assert said(recipe, deduction)
    assert said(recipe, length)
    assert blank(body).length == pytest.approx(length, abs=1e-9)
    straight = d["foot"] + d["rise"] + t + d["head"] - 4 * (r + t)
    section = t * (straight + 2 * math.radians(90) * (r + t / 2))
    holes = math.pi / 4 * (d["foot_hole"] ** 2 + d["head_slot_width"] ** 2)
    holes += d["head_slot_width"] * (d["head_slot"] - d["head_slot_width"])
    assert properties(body).volume == pytest.approx(section * d["width"] - holes * t, rel=1e-12)
    assert properties(body).envelope == pytest.approx((d["foot"] + d["head"] - t, d["width"], d["rise"] + t))


def test_u_channel() -> None:
    """By DIN 6935: k = 0.65 + 0.5 lg(r/s); BA = pi/2 (r + k s/2); the blank is both heights and the width less two."""
    d, recipe = defaults("u_channel"), find_recipe("u_channel")
    body = recipe()
    t, r = d["thickness"], d["inside_radius"]
    factor = 0.65 + 0.5 * math.log10(r / t)
    developed = math.pi / 2 * (r + factor * t / 2)
    length = 2 * d["height"] + d["width"] - 2 * (2 * (r + t) - developed)
    for figure in (developed, 2 * (r + t) - developed, length):
        assert said(recipe, figure)
    assert blank(body).length == pytest.approx(length, abs=1e-9)
    assert blank(body).pierces == 1 + d["hole_count"]
    assert properties(body).envelope == pytest.approx((d["width"], d["length"], d["height"]))
    placed = frames(body)["u_channel.web"]
    middles = [
        way.outline.outer.circle[0] for way in body.flat("u_channel.web").openings if way.outline.outer.circle
    ]
    ys = sorted(placed.point(middle)[1] for middle in middles)
    assert [b - a for a, b in pairwise(ys)] == pytest.approx([d["hole_pitch"]] * (len(ys) - 1))
    assert sum(ys) / len(ys) == pytest.approx(d["length"] / 2)


def test_hat_section() -> None:
    """A wall between its mid-surface corners is height / sin(angle) long; brims, crown and walls add up."""
    d, recipe = defaults("hat_section"), find_recipe("hat_section")
    body = recipe()
    t, r, turn = d["thickness"], d["inside_radius"], math.radians(d["bend_angle"])
    wall = d["height"] / math.sin(turn)
    assert said(recipe, wall)
    middle, outer = (r + t / 2) * math.tan(turn / 2), (r + t) * math.tan(turn / 2)
    straights = 2 * (d["brim"] - outer) + 2 * (wall - 2 * middle) + d["crown"] - 2 * outer
    section = t * (straights + 4 * turn * (r + t / 2))
    assert properties(body).volume == pytest.approx(section * d["length"], rel=1e-12)
    assert properties(body).envelope[1:] == pytest.approx((d["length"], d["height"] + t))
    assert blank(body).length == pytest.approx(straights + 4 * allowance(d["bend_angle"], r, t), abs=1e-9)


def test_corner_tray() -> None:
    """The floor between its tangent lines; a blank of floor, strips and walls; each relief a full disc of its own."""
    d, recipe = defaults("corner_tray"), find_recipe("corner_tray")
    body = recipe()
    t, r = d["thickness"], d["inside_radius"]
    floor = d["length"] - 2 * (r + t), d["width"] - 2 * (r + t)
    assert floor[0] in figures_in(recipe)
    wall = d["height"] - (r + t)
    flat = blank(body)
    assert flat.length == pytest.approx(floor[0] + 2 * (allowance(90, r, t) + wall), abs=1e-9)
    assert flat.width == pytest.approx(floor[1] + 2 * (allowance(90, r, t) + wall), abs=1e-9)
    # A relief takes its radius off either end of each wall, and a quarter of its disc from the corner of the floor.
    half = d["corner_relief"] / 2
    bends = 2 * (floor[0] - 2 * half) + 2 * (floor[1] - 2 * half)
    area = floor[0] * floor[1] - 4 * math.pi * half**2 / 4 - math.pi / 4 * d["drain"] ** 2 + bends * wall
    volume = area * t + bends * math.radians(90) * (r + t / 2) * t
    assert properties(body).volume == pytest.approx(volume, rel=1e-12)
    assert properties(body).envelope == pytest.approx((d["length"], d["width"], d["height"]))


@pytest.mark.parametrize("name", ["ring_riser", "stepped_seat"])
def test_lugs_of_both_rings(name: str) -> None:
    """What two bends take of the rise, and the length of the slope."""
    d, recipe = defaults(name), find_recipe(name)
    body = recipe()
    rho, turn = d["inside_radius"] + d["thickness"] / 2, math.radians(d["slope"])
    taken = 2 * rho * (1 - math.cos(turn))
    slope = (d["rise"] - taken) / math.sin(turn)
    assert said(recipe, taken) or taken == pytest.approx(round(taken))
    assert said(recipe, slope)
    assert span(body, "lug[1].slope") == pytest.approx(slope, abs=1e-9)
    placed = frames(body)
    root = placed[body.flats[0].name]
    for number in range(1, int(d["lug_count"]) + 1):
        assert placed[f"lug[{number}].tip"].origin[2] - root.origin[2] == pytest.approx(d["rise"], abs=1e-9)


def test_ring_riser_by_hand() -> None:
    """The whole volume: plate, opening, lugs from the edge of the opening on, ears, slots, flange, reliefs."""
    d, recipe = defaults("ring_riser"), find_recipe("ring_riser")
    body = recipe()
    t, r, turn = d["thickness"], d["inside_radius"], math.radians(d["slope"])
    rho, k = r + t / 2, 0.44
    slope = (d["rise"] - 2 * rho * (1 - math.cos(turn))) / math.sin(turn)
    plan = 2 * rho * math.sin(turn) + slope * math.cos(turn)
    assert said(recipe, plan)
    first, half = d["opening"] / 2 - d["lug_start"], d["lug_width"] / 2
    # A lug in the plane: from the first bend (a chord at `first`) out to the circle of the opening.
    angle = math.asin(half / (d["opening"] / 2))
    tongue = (d["opening"] / 2) ** 2 * (angle + math.sin(angle) * math.cos(angle)) - first * d["lug_width"]
    level = first - d["pitch_diameter"] / 2 + half - plan
    tip = d["lug_width"] * (level - half) + math.pi * half**2 / 2 - math.pi / 4 * d["lug_hole"] ** 2
    lug = (tongue + slope * d["lug_width"] + tip) * t + 2 * turn * rho * t * d["lug_width"]
    plate = (
        d["length"] * d["width"] - (4 - math.pi) * d["corner_radius"] ** 2 - math.pi / 4 * d["opening"] ** 2
    )
    slot = math.pi / 4 * d["slot_width"] ** 2 + d["slot_width"] * (d["slot_length"] - d["slot_width"])
    ears = (
        2 * (d["ear_reach"] - d["ear_width"] / 2) * d["ear_width"]
        + math.pi * d["ear_width"] ** 2 / 4
        - 2 * slot
    )
    back, w = r + t, d["relief_width"]
    deep = back + d["relief_depth"]
    reliefs = 2 * (w * (deep - w / 2) + math.pi * w**2 / 8)
    flange = (d["flange_height"] - back - back) * d["flange_width"] - reliefs
    bend = math.radians(90) * rho * t * d["flange_width"]
    volume = (plate + ears + flange) * t + bend + d["lug_count"] * lug
    assert properties(body).volume == pytest.approx(volume, rel=1e-9)
    # The pitch circle of the holes is that of the drawing, in the folded part.
    placed = frames(body)
    for number in range(1, int(d["lug_count"]) + 1):
        (way,) = body.flat(f"lug[{number}].tip").openings
        assert way.outline.outer.circle is not None
        x, y, _ = placed[f"lug[{number}].tip"].point(way.outline.outer.circle[0])
        assert 2 * math.hypot(x, y) == pytest.approx(d["pitch_diameter"], abs=1e-9)
    width = d["width"] - 2 * back + allowance(90, r, t, k) + d["flange_height"]
    assert blank(body).width == pytest.approx(width, abs=1e-9)
    assert blank(body).length == pytest.approx(d["length"] + 2 * d["ear_reach"], abs=1e-9)


@pytest.mark.parametrize(
    "changed", [{"lug_width": 20}, {"rise": 25}, {"pitch_diameter": 70}, {"opening": 130}]
)
def test_ring_riser_takes_as_many_lugs_as_the_closed_form_says(changed: dict[str, float]) -> None:
    """On the blank the tips' centres are `c` from the axis; n fit when 2 c sin(180/n) is more than their width."""
    d = defaults("ring_riser") | changed
    t, r, turn = d["thickness"], d["inside_radius"], math.radians(d["slope"])
    rho = r + t / 2
    slope = (d["rise"] - 2 * rho * (1 - math.cos(turn))) / math.sin(turn)
    plan = 2 * rho * math.sin(turn) + slope * math.cos(turn)
    first = d["opening"] / 2 - d["lug_start"]
    level = first - d["pitch_diameter"] / 2 - plan
    centre = first - 2 * allowance(d["slope"], r, t) - slope - level
    number = math.ceil(math.pi / math.asin(d["lug_width"] / (2 * centre))) - 1
    recipe = find_recipe("ring_riser")
    assert blank(recipe(**changed, lug_count=number)).overlaps == ()
    try:
        refused = bool(blank(recipe(**changed, lug_count=number + 1)).overlaps)
    except InputError as error:  # the raised tips may meet in space at the same number
        refused = "fewer, narrower or shorter" in str(error)
    assert refused


def test_stepped_seat_by_hand() -> None:
    """Ring, lugs from the ring's edge outward, corners of radius, holes."""
    d, recipe = defaults("stepped_seat"), find_recipe("stepped_seat")
    body = recipe()
    t, r, turn = d["thickness"], d["inside_radius"], math.radians(d["slope"])
    rho, out = r + t / 2, d["outside"] / 2
    slope = (d["rise"] - 2 * rho * (1 - math.cos(turn))) / math.sin(turn)
    plan = 2 * rho * math.sin(turn) + slope * math.cos(turn)
    wide, half = d["lug_width"], d["lug_width"] / 2
    # In the plane, from the circle of the ring out to the first bend: a chord at out + lug_start.
    angle = math.asin(half / out)
    tongue = (out + d["lug_start"]) * wide - out**2 * (angle + math.sin(angle) * math.cos(angle))
    tip = (
        wide * (d["lug_reach"] - plan)
        - (4 - math.pi) / 2 * d["tip_radius"] ** 2
        - math.pi / 4 * d["lug_hole"] ** 2
    )
    lug = (tongue + slope * wide + tip) * t + 2 * turn * rho * t * wide
    ring = math.pi / 4 * (d["outside"] ** 2 - d["inside"] ** 2 - d["screw_count"] * d["screw_hole"] ** 2)
    assert properties(body).volume == pytest.approx(ring * t + d["lug_count"] * lug, rel=1e-9)


def din_6935(radius: float, thickness: float) -> float:
    """Developed length of a bend of 90 deg by DIN 6935, by hand: k = 0.65 + 0.5 lg(r/s), BA = pi/2 (r + k s/2)."""
    return math.pi / 2 * (radius + (0.65 + 0.5 * math.log10(radius / thickness)) * thickness / 2)


def test_gauge_case_and_lid() -> None:
    """Blanks from outside sizes less two deductions each way; the screws of case and lid on one line."""
    d, case, lid = defaults("gauge_case"), find_recipe("gauge_case"), find_recipe("gauge_lid")
    t, r = d["thickness"], d["inside_radius"]
    rise, developed = d["height"] - r - t, din_6935(r, t)
    for figure in (rise, rise - d["screw_from_top"], developed, d["length"] + 2 * (rise + developed - r - t)):
        assert said(case, figure)
    assert blank(case()).length == pytest.approx(d["length"] + 2 * (rise + developed - r - t), abs=1e-9)
    assert blank(case()).width == pytest.approx(d["width"] + 2 * (rise + developed - r - t), abs=1e-9)
    assert properties(case()).envelope == pytest.approx((d["length"], d["width"], d["height"]))
    e = defaults("gauge_lid")
    over = [d[one] + 2 * (e["play"] + t) for one in ("length", "width")]
    assert properties(lid()).envelope == pytest.approx((*over, e["depth"]))
    # The wall's edge, `play` from the lid's wall, meets the round inside of the lid's bend.
    rest = r - math.sqrt(r**2 - (r - e["play"]) ** 2)
    for figure in (rest, d["screw_from_top"] + rest + t):
        assert said(lid, figure)
    assert [screw_of(case()), screw_of(lid())] == pytest.approx(
        [d["height"] - d["screw_from_top"], d["screw_from_top"] + rest + t]
    )
    pair = find_assembly("gauge_housing")()
    rows = matings(pair)
    assert [row.offset for row in rows] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert [row.clear for row in rows] == pytest.approx([3.0, 3.0])
    assert interferences(pair) == ()
    assert pair.items[1].at("gauge_lid.upper").origin[2] == pytest.approx(d["height"] + rest)
    for body in (case(), lid()):
        assert_all_methods_agree(body)


def screw_of(body: Body) -> float:
    """Height of the screw in the right wall."""
    wall = body.flat(f"{body.name}.wall[2]")
    circle = wall.openings[0].outline.outer.circle
    assert circle is not None
    return frames(body)[wall.name].point(circle[0])[2]


def test_chest_hinge() -> None:
    """Leaf up to the tangent lines less the notches, knuckles of 285 deg with their tips, screws with their cones."""
    d, recipe = defaults("chest_hinge"), find_recipe("chest_hinge")
    body = recipe()
    t, r = d["thickness"], (d["pin"] + d["pin_play"]) / 2
    top = r + t
    assert said(recipe, 2 * top)
    outer, inner = d["length"] / 5 - d["knuckle_play"] / 2, d["length"] / 5 - d["knuckle_play"]
    assert said(recipe, outer)
    assert said(recipe, inner)
    knuckles, play = 2 * outer + inner, d["knuckle_play"]
    flat = d["length"] * (d["width"] - top) - 2 * (inner + 2 * play) * (top + play)
    big, small = d["screw_head"] / 2, d["screw_hole"] / 2
    cone = math.pi * (big - small) * ((big**2 + big * small + small**2) / 3 - small**2)
    volume = t * flat + knuckles * t * (math.radians(d["wrap"]) * (r + t / 2) + t / 2)
    volume -= d["screw_count"] * (t * math.pi * small**2 + cone)
    assert properties(body).volume == pytest.approx(volume, rel=1e-9)
    assert properties(body).envelope == pytest.approx((d["length"], d["width"], 2 * top))
    # What is rolled has no return that is closed on the sheet.
    assert [one.message for one in findings(body, blank(body))] == []
    other = recipe(outer=False)
    assert sum(bend.width for bend in other.bends) == pytest.approx(2 * inner)
    for one in (body, other):
        assert_all_methods_agree(one)


def test_bench_drawer() -> None:
    """From left to right: hem, wall, bend, floor and back again; the hems stay below the sides' height."""
    d, recipe = defaults("bench_drawer"), find_recipe("bench_drawer")
    body = recipe()
    t, r, k = d["thickness"], d["inside_radius"], 0.42
    bend, hem, tight = math.pi / 2 * (r + k * t), math.pi * (0.001 + t / 2), 0.001 + t
    wide = d["length"] - 2 * (r + t) + 2 * (bend + d["side_height"] - r - t - tight + hem + d["hem"] - tight)
    for figure in (bend, hem, wide):
        assert said(recipe, figure)
    assert blank(body).length == pytest.approx(wide, abs=1e-9)
    assert properties(body).envelope == pytest.approx((d["length"], d["width"], d["front_height"]))
    assert_all_methods_agree(body)


def test_roof_purlin() -> None:
    """The blank's width by DIN 6935; the drain slots lie on the bend line of the lower corner, and cross it."""
    d, recipe = defaults("roof_purlin"), find_recipe("roof_purlin")
    body = recipe()
    t, r = d["thickness"], d["inside_radius"]
    developed = din_6935(r, t)
    deduction = 2 * (r + t) - developed
    wide = d["height"] + 2 * d["flange"] + 2 * d["lip"] - 4 * deduction
    for figure in (developed, deduction, wide):
        assert said(recipe, figure)
    flat = blank(body)
    assert sorted((flat.length, flat.width)) == pytest.approx([wide, d["length"]], abs=1e-9)
    slots = d["drain_count"] * slot_area(d["drain_length"], d["drain_width"])
    slots += 2 * d["bolt_count"] * slot_area(d["bolt_length"], d["bolt_width"])
    assert flat.area == pytest.approx(wide * d["length"] - slots, rel=1e-12)
    (lower,) = [bend for bend in body.bends if bend.openings]
    assert len(lower.openings) == d["drain_count"]
    for one in lower.openings:
        _, low, _, high = one.outline.bounds
        assert (low + high) / 2 == pytest.approx(-developed / 2, abs=1e-9)
        assert high - low == pytest.approx(d["drain_length"])
    assert_all_methods_agree(recipe(length=400, drain_count=1))


def slot_area(length: float, width: float) -> float:
    return math.pi / 4 * width**2 + width * (length - width)


def test_pump_bracket() -> None:
    """The whole volume: base, upright, two gussets that taper, three bends; M6 is drilled 5 (ISO 2306, from memory)."""
    d, recipe = defaults("pump_bracket"), find_recipe("pump_bracket")
    body = recipe()
    t, r, half = d["thickness"], d["inside_radius"], d["corner_relief"] / 2
    wide, deep = d["length"] - 2 * (r + t), d["depth"] - (r + t)
    assert {wide, deep, deep - half - d["gusset_flat"]} <= set(figures_in(recipe))
    base = wide * deep - math.pi * half**2 / 2 - 4 * math.pi / 4 * 5**2
    upright = (wide - 2 * half) * (d["height"] - r - t) - math.pi / 4 * d["spigot"] ** 2
    upright -= 4 * slot_area(d["slot_length"], d["slot_width"])
    taper = (deep - half - d["gusset_flat"]) * (d["gusset_height"] - d["gusset_toe"]) / 2
    gusset = (deep - half) * (d["gusset_height"] - r - t) - taper
    bends = (wide - 2 * half + 2 * (deep - half)) * math.pi / 2 * (r + t / 2)
    assert properties(body).volume == pytest.approx(t * (base + upright + 2 * gusset + bends), rel=1e-12)
    assert properties(body).envelope == pytest.approx((d["length"], d["depth"], d["height"]))
    # Both gussets are high at the upright: their level tops end at the back.
    placed = frames(body)
    for side in ("right", "left"):
        flat = body.flat(f"gusset_{side}")
        tops = [placed[flat.name].point(p) for p in flat.outline.outer.vertices]
        assert [y > 0 for _, y, z in tops if z > d["gusset_height"] - 1] == [True, True]
    assert_all_methods_agree(body)
