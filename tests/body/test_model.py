"""The model itself: the positions of flats, what hangs on what, and what its data refuses."""

from __future__ import annotations

import math
import pickle
from dataclasses import FrozenInstanceError, replace
from itertools import pairwise

import pytest

from formparts.body import Bend, Body, Flat, Opening, Sheet, bends_on, first_lost, flat_rims, frames, rims
from formparts.body.edges_beside_bends import lies_on
from formparts.body.frame import Frame
from formparts.errors import InputError
from formparts.outline import Line, Motion, arc_to, closed_path, cut, disc, rectangle
from formparts.shapes import add_flange, plate, profile, run, up
from tests.parts import CAST

SHEET = Sheet(2.0, 3.0)


def test_frame_across_a_bend_by_hand() -> None:
    """
    Up 90 deg at R 3, t 2 from x = 35: the second mid-surface is at x = 35 + R + t/2, begins that much higher.

    Its own x runs up, its upper face looks back to the first run.
    """
    body = profile(SHEET, 20, run(35, "tangent line"), up(90), run(25, "tangent line"))
    frame = frames(body)["profile.run[2]"]
    assert frame.origin == pytest.approx((39, 0, 1 + 4), abs=1e-12)
    assert frame.x == pytest.approx((0, 0, 1), abs=1e-15)
    assert frame.z == pytest.approx((-1, 0, 0), abs=1e-15)
    assert frame.y == pytest.approx((0, 1, 0), abs=1e-15)


@pytest.mark.parametrize("subject", CAST)
def test_frames_are_right_handed_and_of_unit_length(subject: str) -> None:
    for frame in frames(CAST[subject]()).values():
        for axis in (frame.x, frame.y, frame.z):
            assert math.hypot(*axis) == pytest.approx(1.0, abs=1e-12)
        x, y, z = frame.x, frame.y, frame.z
        across = (x[1] * y[2] - x[2] * y[1], x[2] * y[0] - x[0] * y[2], x[0] * y[1] - x[1] * y[0])
        assert across == pytest.approx(z, abs=1e-12)


@pytest.mark.parametrize("subject", CAST)
def test_a_body_is_a_tree_whose_parents_come_first(subject: str) -> None:
    body = CAST[subject]()
    seen = {body.flats[0].name}
    assert len(body.bends) == len(body.flats) - 1
    for bend, flat in zip(body.bends, body.flats[1:], strict=True):
        assert bend.child == flat.name
        assert bend.parent in seen
        seen.add(flat.name)
        # The two tangent lines are opposite each other, so equally long.
        assert math.dist(*bend.parent_line) == pytest.approx(math.dist(*bend.child_line), abs=1e-9)
        assert bend.swapped().swapped() == bend


@pytest.mark.parametrize("subject", CAST)
def test_each_bend_is_on_two_rims_and_rims_go_round(subject: str) -> None:
    body = CAST[subject]()
    found = [item.bend.name for loops in rims(body).values() for loop in loops for item in loop if item.bend]
    assert sorted(found) == sorted(2 * [bend.name for bend in body.bends])
    for flat in body.flats:
        for loop, drawn in zip(flat_rims(flat, bends_on(body, flat.name)), flat.net.loops, strict=True):
            for item, after in zip(loop, loop[1:] + loop[:1], strict=True):
                assert item.edge.end == after.edge.start
            assert sum(item.edge.length for item in loop) == pytest.approx(drawn.length, rel=1e-12)


def test_data_is_frozen() -> None:
    body = CAST["angle"]()
    for thing, name in (
        (body, "name"),
        (body.sheet, "thickness"),
        (body.flats[0], "outline"),
        (body.bends[0], "angle"),
    ):
        with pytest.raises(FrozenInstanceError):
            setattr(thing, name, 1)


def test_sheet_takes_quantities_and_compares_by_value() -> None:
    assert Sheet("1/16 in", "3 mm").thickness == 1.5875
    assert Sheet(2, 3, "1.0038") == Sheet("2 mm", "0.3 cm", "S235JR", "K 0.44") == SHEET
    assert hash(Sheet(2, 3)) == hash(SHEET)
    assert pickle.loads(pickle.dumps(SHEET)) == SHEET
    assert Sheet(2, 3, bend_rule=0.4) != SHEET


def test_net_outline_is_less_its_openings() -> None:
    flat = Flat(
        "lid",
        rectangle(60, 40),
        (Opening("eye", disc(10)), Opening("bite", disc(10).moved(Motion.shift(30, 0)))),
    )
    assert flat.net.area == pytest.approx(2400 - 25 * math.pi - 12.5 * math.pi, rel=1e-12)
    assert flat.outline.area == 2400


def test_openings_that_leave_nothing_or_two_pieces_are_refused() -> None:
    with pytest.raises(InputError, match="leave nothing of it"):
        Flat("lid", rectangle(60, 40), (Opening("eye", disc(90)),))
    with pytest.raises(InputError, match="cut it into 2 pieces"):
        Flat("lid", rectangle(60, 40), (Opening("eye", rectangle(5, 90)),))


def test_flat_by_name() -> None:
    body = CAST["zed"]()
    assert body.flat("zed.run[2]").name == "zed.run[2]"
    with pytest.raises(InputError, match=r"zed: flat = roof: there is no such flat; there are: zed.run\[1\]"):
        body.flat("roof")


def test_first_bend_that_is_lost() -> None:
    """Of two bends on one edge that overlap, the later one; of one whose line is off the edge, that one."""
    body = add_flange(
        plate(SHEET, rectangle(60, 40), "base"), "right", 20, edge_to="tangent line", name="wall"
    )
    (bend,) = body.bends
    base = body.flat("base")
    assert first_lost(base, (bend,)) is None
    assert first_lost(base, (bend, bend)) is bend
    smaller = Flat("base", rectangle(58, 40))
    assert first_lost(smaller, (bend,)) is bend
    stray = replace(bend, parent_line=((29.0, -20.0), (29.0, 20.0)))
    assert first_lost(base, (stray, bend)) is stray
    assert first_lost(base, (bend, stray)) is stray
    later = replace(bend, name="later")
    assert first_lost(base, (bend, later)) is later
    with pytest.raises(
        InputError, match=r"bend line of wall.bend = .* does not lie wholly on the edge of base"
    ):
        flat_rims(smaller, (bend,))
    with pytest.raises(InputError, match="lie on one another on the same edge"):
        flat_rims(base, (bend, bend))


def test_an_edge_is_split_where_bends_begin_and_end() -> None:
    """A flange of 20 on an edge of 40 splits it in 10, 20, 10."""
    body = add_flange(
        plate(SHEET, rectangle(60, 40), "base"), "right", 20, width=20, edge_to="tangent line", name="wall"
    )
    (loop,) = flat_rims(body.flat("base"), bends_on(body, "base"))
    on_right = [
        item for item in loop if isinstance(item.edge, Line) and item.edge.start[0] == item.edge.end[0] == 30
    ]
    assert [item.edge.length for item in on_right] == pytest.approx([10, 20, 10])
    assert [item.bend is not None for item in on_right] == [False, True, False]


def test_names_are_of_all_pieces() -> None:
    body: Body = CAST["pierced_wall"]()
    assert set(body.names) == {
        "wall.run[1]", "wall.run[2]", "wall.run[3]", "wall.bend[1]", "wall.bend[2]", "eye[1]", "slot[1]",
    }  # fmt: skip


def two_side_by_side(gap: float) -> tuple[Flat, tuple[Bend, ...]]:
    """A plate of 60 by 40 with two bends of 20 on its right edge, with a gap between them (less than 0: an overlap)."""
    flat = Flat("base", rectangle(60, 40))
    lines = [((30.0, -20.0), (30.0, 0.0)), ((30.0, gap), (30.0, 20.0))]
    bends = [
        Bend(f"wall[{n}]", "base", f"leg[{n}]", line, line, 90.0, "up", 3.0) for n, line in enumerate(lines)
    ]
    return flat, tuple(bends)


@pytest.mark.parametrize(("gap", "pieces"), [(1.0, [20, 1, 19]), (0.0, [20, 20])])
def test_bends_may_stand_side_by_side(gap: float, pieces: list[float]) -> None:
    """They may touch, and need not come in the order of their positions."""
    flat, bends = two_side_by_side(gap)
    for order in (bends, bends[::-1]):
        (loop,) = flat_rims(flat, order)
        on_right = [item for item in loop if item.edge.start[0] == item.edge.end[0] == 30]
        assert [item.edge.length for item in on_right] == pytest.approx(pieces, abs=1e-6)
        assert [item.bend for item in on_right if item.bend is not None] == list(bends)


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0, 270.0, 33.0])
def test_bends_stand_in_the_order_of_their_edge_whichever_way_it_runs(turn: float) -> None:
    """Two bends of 8 on a side of 40, from 5 and from 20 on: 5, 8, 7, 8 and 12 mm; all turned about the origin."""
    motion = Motion.turn(turn)
    flat = Flat("base", rectangle(60, 40).moved(motion))
    bends = []
    for name, y in (("first", -15.0), ("second", 0.0)):
        line = (motion((30.0, y)), motion((30.0, y + 8.0)))
        bends.append(Bend(name, "base", f"leg {name}", line, line, 90.0, "up", 3.0))
    for order in (bends, bends[::-1]):
        (loop,) = flat_rims(flat, tuple(order))
        at = [item.bend is bends[0] for item in loop].index(True)
        side = [loop[(at + step) % len(loop)] for step in range(-1, 4)]
        assert [item.edge.length for item in side] == pytest.approx([5, 8, 7, 8, 12], abs=1e-9)
        assert [item.bend and item.bend.name for item in side] == [None, "first", None, "second", None]


@pytest.mark.parametrize("gap", [-2e-6, -1.0, -19.0])
def test_bends_that_overlap_are_refused(gap: float) -> None:
    flat, bends = two_side_by_side(gap)
    with pytest.raises(InputError, match=r"wall\[0\].*wall\[1\].*lie on one another"):
        flat_rims(flat, bends)


def test_a_bend_starts_from_a_straight_edge_and_not_from_the_chord_of_an_arc() -> None:
    lens = closed_path((0, 0), arc_to((20, 0), centre=(10, 10)), arc_to((0, 0), centre=(10, -10)))
    chord = ((0.0, 0.0), (20.0, 0.0))
    with pytest.raises(InputError, match="a bend starts from a straight edge"):
        flat_rims(Flat("lens", lens), (Bend("wall", "lens", "leg", chord, chord, 90.0, "up", 3.0),))


def test_a_flat_that_is_given_other_names_keeps_its_openings_open() -> None:
    flat = Flat("lid", rectangle(60, 40), (Opening("eye", disc(10)),)).retagged(lambda name: f"old_{name}")
    assert (flat.name, flat.openings[0].name) == ("old_lid", "old_eye")
    assert flat.net.area == pytest.approx(2400 - 25 * math.pi, rel=1e-12)
    assert flat.outline.area == 2400


HERE = ((0.0, 0.0), (0.0, 20.0))
NO_TREES = {
    "no flats": ([], [], "x: flats and bends = none: there is none;"),
    "one flat twice": (["a", "b", "b"], ["ab", "ab"], "x: name = b: is the name of more than one piece;"),
    "a bend from nowhere": (["a", "b"], ["cb"], "= a, b: cb is on c, which is not a flat of the body;"),
    "a bend to nowhere": (["a", "b"], ["ab", "ac"], "= a, b: ac is on c, which is not a flat of the body;"),
    "too early": (
        ["a", "b", "c"],
        ["bc", "ab"],
        "= a, b, c: bc hangs on b, to which no bend before it leads;",
    ),
    "two ways": (
        ["a", "b", "c"],
        ["ab", "ac", "bc"],
        "bc leads to c, which stands already: two ways lead there;",
    ),
    "back to the root": (
        ["a", "b"],
        ["ab", "ba"],
        "ba leads to a, which stands already: two ways lead there;",
    ),
    "loose": (["a", "b", "c", "d"], ["ab"], "= a, b, c, d: no bend leads to c;"),
    "the first of two faults": (
        ["a", "b"],
        ["ac", "bd", "ba"],
        "ac is on c, which is not a flat of the body;",
    ),
}


@pytest.mark.parametrize("kind", NO_TREES)
def test_flats_and_bends_that_are_no_tree_are_refused(kind: str) -> None:
    """Flats by name, and bends by the two that they join: the first fault is reported, by name."""
    names, joints, said = NO_TREES[kind]
    flats = tuple(Flat(name, rectangle(20, 20)) for name in names)
    bends = tuple(Bend(joint, joint[0], joint[1], HERE, HERE, 90.0, "up", 3.0) for joint in joints)
    with pytest.raises(InputError) as refusal:
        Body("x", SHEET, flats, bends, Frame())
    assert said in str(refusal.value)
    assert str(refusal.value).startswith("x: ")


@pytest.mark.parametrize("where", ["before", "after"])
@pytest.mark.parametrize(
    ("gap", "kind"),
    [(0.0, "one"), (9e-9, "one"), (2e-8, "refused"), (9.98e-4, "refused"), (1e-3, "apart"), (1, "apart")],
)
def test_what_is_left_beside_a_bend_is_an_edge_or_nothing(where: str, gap: float, kind: str) -> None:
    """A bend on a side of 40 that ends that far from its one corner: in it to 1e-8, or 0.001 and more away from it."""
    flat = Flat("base", rectangle(60, 40))
    line = ((30.0, -20.0 + gap), (30.0, 7.0)) if where == "before" else ((30.0, 7.0), (30.0, 20.0 - gap))
    bend = Bend("wall", "base", "leg", line, line, 90.0, "up", 3.0)
    if kind == "refused":
        with pytest.raises(
            InputError, match=r"^base: bend line of wall = .* mm: of base is left .*at least 0.001 mm"
        ):
            flat_rims(flat, (bend,))
        return
    (loop,) = flat_rims(flat, (bend,))
    side = [item for item in loop if item.edge.start[0] == item.edge.end[0] == 30]
    assert [item.bend is bend for item in side] == (
        ([False] * (kind == "apart")) + [True, False]
        if where == "before"
        else [False, True] + [False] * (kind == "apart")
    )
    assert (side[0].edge.start, side[-1].edge.end) == ((30.0, -20.0), (30.0, 20.0))
    assert all(one.edge.end == other.edge.start for one, other in pairwise(side))


def test_bends_on_all_sides_and_round_a_window() -> None:
    """Each finds its own edge, whatever the order, and only where it runs the way of the edge."""
    flat = Flat("base", cut(rectangle(60, 40), rectangle(20, 10))[0])
    ends = {
        "front": ((-10.0, -20.0), (10.0, -20.0)),
        "right": ((30.0, -5.0), (30.0, 5.0)),
        "back": ((10.0, 20.0), (-10.0, 20.0)),
        "left": ((-30.0, 5.0), (-30.0, -5.0)),
        "inner front": ((5.0, -5.0), (-5.0, -5.0)),
        "inner back": ((-5.0, 5.0), (5.0, 5.0)),
        "inner left": ((-10.0, -2.0), (-10.0, 2.0)),
        "inner right": ((10.0, 2.0), (10.0, -2.0)),
    }
    bends = [Bend(name, "base", f"leg {name}", line, line, 90.0, "up", 3.0) for name, line in ends.items()]
    for order in (bends, bends[::-1], bends[3:] + bends[:3]):
        outer, inner = flat_rims(flat, tuple(order))
        for loop, count in ((outer, 4), (inner, 4)):
            found = [item for item in loop if item.bend is not None]
            assert len(found) == count
            assert all(
                (item.edge.start, item.edge.end) == ends[item.bend.name] for item in found if item.bend
            )
    for name, (start, end) in ends.items():
        turned = Bend(name, "base", "leg", (end, start), (end, start), 90.0, "up", 3.0)
        with pytest.raises(InputError, match="does not lie wholly on the edge of base"):
            flat_rims(flat, (turned,))
        further = (60 * (end[0] - start[0]) + end[0], 60 * (end[1] - start[1]) + end[1])
        long = Bend(name, "base", "leg", (start, further), (start, further), 90.0, "up", 3.0)
        with pytest.raises(InputError, match="does not lie wholly on the edge of base"):
            flat_rims(flat, (long,))


def test_lines_on_an_edge_and_beside_it() -> None:
    """Along its first half yes; 5 beside it, beyond its end, or the other way, no."""
    edge = Line((0.0, 0.0), (10.0, 0.0))
    assert lies_on(edge, ((0.0, 0.0), (5.0, 0.0)))
    for line in (((2.0, 5.0), (8.0, 5.0)), ((8.0, 0.0), (11.0, 0.0)), ((5.0, 0.0), (2.0, 0.0))):
        assert not lies_on(edge, line)


def test_a_sheet_has_the_strengths_of_its_thickness() -> None:
    """EN 485-2: 6082-T6 260 and 310 MPa to 6 mm, 255 and 300 above; EN 10025-2: S355 510 to 680 MPa below 3 mm."""
    thin, thick = (Sheet(size, 3.0 * size, "6082-T6").material for size in (2.0, 8.0))
    assert (thin.yield_strength, thin.strength_to_bend) == (260.0, 310.0)
    assert (thick.yield_strength, thick.strength_to_bend) == (255.0, 300.0)
    steel = [Sheet(size, size, "S355J2").material for size in (2.0, 5.0)]
    assert [(each.tensile_strength_min, each.tensile_strength_max) for each in steel] == [
        (510, 680),
        (470, 630),
    ]
    assert replace(Sheet(2.0, 6.0, "6082-T6"), thickness=8.0).material == thick
