"""Random bodies that can be made: profiles of mixed sides, plates with openings and flanges, lug rings; then moved."""

from __future__ import annotations

from hypothesis import strategies as st

from formparts.bending import offset_run, smallest_rise
from formparts.body import Body, Sheet
from formparts.outline import Motion, Outline, disc, obround, rectangle
from formparts.shapes import (
    X_AXIS,
    Z_AXIS,
    Axis,
    Run,
    Turn,
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
    rotate,
    run,
    tip,
    translate,
    up,
)
from formparts.shapes.profile import DATUMS, setback

RULES = ("K 0.44", "K 0.33", "DIN 6935", "Groover")


def figures(low: float, high: float) -> st.SearchStrategy[float]:
    """A dimension to a thousandth, as drawings and worse have them."""
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda thousandths: thousandths / 1000)


@st.composite
def sheets(draw: st.DrawFn) -> Sheet:
    """Thin and thick stock, tight and wide radii."""
    thickness = draw(figures(0.5, 4))
    return Sheet(thickness, draw(figures(0.3, 6)), "DC01", draw(st.sampled_from(RULES)))


@st.composite
def profiles(draw: st.DrawFn) -> Body:
    """Up to five runs, each given to a datum of its own at either end; any root."""
    sheet = draw(sheets())
    turns = draw(st.lists(_turns(), max_size=4))
    pieces: list[Run | Turn] = []
    for number in range(len(turns) + 1):
        datums = (draw(st.sampled_from(DATUMS)), draw(st.sampled_from(DATUMS)))
        around = zip(datums, turns[max(0, number - 1) : number] or [None], strict=False)
        taken = sum(_taken(sheet, datum, turn) for datum, turn in around if turn is not None)
        taken += _taken(sheet, datums[1], turns[number]) if number < len(turns) else 0.0
        pieces.append(run(draw(figures(1, 40)) + taken, datums))
        pieces += turns[number : number + 1]
    root = draw(st.integers(1, len(turns) + 1))
    return profile(sheet, draw(figures(2, 50)), *pieces, name="strip", root=root)


def _taken(sheet: Sheet, datum: str, turn: Turn) -> float:
    """What a bend takes of a run that is measured to a datum."""
    radius = sheet.inside_radius if turn.inside_radius is None else turn.inside_radius
    return setback(datum, turn.angle, radius, sheet.thickness)  # type: ignore[arg-type]


@st.composite
def _turns(draw: st.DrawFn) -> Turn:
    side = draw(st.sampled_from((up, down)))
    return side(draw(figures(0.5, 165)), draw(st.none() | figures(0.3, 8)))


@st.composite
def plates(draw: st.DrawFn) -> Body:
    """A plate with openings in its middle, and flanges on some of its sides, with or without reliefs."""
    sheet = draw(sheets())
    body = plate(sheet, rectangle(draw(figures(80, 150)), draw(figures(80, 150))), "plate")
    for number, x in enumerate((-12, 12)):
        opening, turned = draw(_openings()), draw(figures(0, 180))
        place = Motion.shift(x, draw(figures(-12, 12))).after(Motion.turn(turned))
        body = cut_opening(body, opening, places=[place], name=f"way{number}")
    for side in draw(st.lists(st.sampled_from(("front", "back", "left", "right")), unique=True)):
        body = _with_flange(draw, body, side)
    return body


def _openings() -> st.SearchStrategy[Outline]:
    return st.one_of(
        figures(2, 20).map(disc),
        st.tuples(figures(11, 20), figures(2, 10)).map(lambda sides: obround(*sides)),
        st.tuples(figures(4, 14), figures(4, 14)).map(lambda sides: rectangle(*sides, 1.5)),
    )


def _with_flange(draw: st.DrawFn, body: Body, side: str) -> Body:
    """A flange that leaves the corners of the plate alone."""
    # A bend of 165 deg with the widest radius and thickest sheet stands 10 mm over its tangent line.
    return add_flange(
        body, side, draw(figures(20, 40)), width=draw(figures(25, 40)), centre=draw(figures(-6, 6)),  # type: ignore[arg-type]
        edge_to=draw(st.sampled_from(("outside", "tangent line"))), angle_=draw(figures(1, 165)),
        side=draw(st.sampled_from(("up", "down"))), relief=draw(_reliefs()), end=draw(_ends()),
        extend=draw(st.sampled_from(((0, 0), (1.5, 0), (2, 3)))), name=side,
    )  # fmt: skip


def _reliefs() -> st.SearchStrategy[object]:
    square = st.tuples(figures(0.5, 4), figures(0.1, 4)).map(lambda sides: relief(*sides, "square"))
    return square | st.tuples(figures(0.5, 4), figures(2.1, 5)).map(lambda sides: relief(*sides))


def _ends() -> st.SearchStrategy[object]:
    return st.sampled_from(("square", tip("chamfered", 3), tip("radiused", 4)))


@st.composite
def lug_rings(draw: st.DrawFn) -> Body:
    """Offset lugs that reach into the opening of a plate, up or down; some overlap on the blank."""
    sheet = draw(sheets())
    opening = draw(figures(120, 200))
    seat = plate(sheet, pierced(rectangle(260, 240, 20), disc(opening)), "seat")
    wide, start, slope = draw(figures(8, 20)), draw(figures(1, 4)), draw(figures(40, 90))
    bent = (slope, sheet.inside_radius, sheet.thickness)
    # Thick stock and wide radii need up to 16 mm for two bends, and a flat slope up to 30 mm in plan.
    rise = draw(figures(max(12.0, smallest_rise(*bent) + 0.01), 20))
    lug = offset_lug(
        sheet, width=wide, rise=rise, reach=wide + max(25.0, offset_run(rise, *bent)), foot=start + wide,
        slope=slope, side=draw(st.sampled_from(("up", "down"))), hole=hole(wide / 3),
    )  # fmt: skip
    lug = translate(rotate(lug, 180), (opening / 2 - start, 0, 0))
    lugs = array_about(lug, Z_AXIS, draw(st.integers(1, 5)), draw(figures(0, 90)))
    return fuse(seat, lugs, name="riser")


@st.composite
def bodies(draw: st.DrawFn) -> Body:
    """Any of these, somewhere in space, perhaps mirrored."""
    body = draw(profiles() | plates() | lug_rings())
    if draw(st.booleans()):
        body = mirror(body, draw(st.sampled_from(("xy", "yz", "xz"))), (draw(figures(-50, 50)), 0, 0))
    axis = Axis((3, 4, 5), (draw(figures(-1, 1)), draw(figures(-1, 1)), 1.0))
    body = rotate(body, draw(figures(-180, 180)), draw(st.sampled_from((X_AXIS, Z_AXIS, axis))))
    return translate(body, tuple(draw(figures(-200, 200)) for _ in range(3)))
