"""One leaf of the hinge of a tool chest."""

from typing import Annotated

from formparts import (
    Angle,
    BendRuleName,
    Body,
    Count,
    Length,
    MaterialName,
    Motion,
    Sheet,
    Yes,
    add_curl,
    cut_opening,
    grid,
    pierced,
    plate,
    recipe,
    rectangle,
    shifted,
)
from formparts.shapes import countersunk


@recipe
def chest_hinge(
    length: Annotated[float, Length("along the pin", 15, 1000)] = 75,
    width: Annotated[float, Length("from the outside of the knuckles to the free edge", 10, 500)] = 40,
    pin: Annotated[float, Length("diameter of the pin", 1, 50)] = 5,
    pin_play: Annotated[float, Length("by how much the knuckles are wider than the pin", 0.01, 2)] = 0.2,
    knuckles: Annotated[int, Count("knuckles of both leaves together", 3, 31)] = 5,
    outer: Annotated[bool, Yes("this leaf has the two outer knuckles")] = True,
    knuckle_play: Annotated[float, Length("between the knuckles of the two leaves", 0.05, 5)] = 0.5,
    wrap: Annotated[float, Angle("how far a knuckle is curled round", 181, 350)] = 285,
    screw_count: Annotated[int, Count("screw holes in a row", 1, 30)] = 3,
    screw_pitch: Annotated[float, Length("from one screw to the next", 3, 500)] = 25,
    screw_hole: Annotated[float, Length("diameter of the screw holes", 1, 30)] = 4.5,
    screw_head: Annotated[float, Length("diameter of their countersinks, 90 deg", 1.5, 60)] = 7,
    screw_from_edge: Annotated[float, Length("from the free edge to the screws", 2, 400)] = 10,
    thickness: Annotated[float, Length("thickness of the sheet", 0.5, 6)] = 2,
    material: Annotated[str, MaterialName("of the sheet")] = "DC01",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a knuckle")] = "K 0.5",
) -> Body:
    """
    Chest hinge: a leaf with every second knuckle of the hinge curled up round the pin, and a row of countersunk screws.

    The lower face of the leaf lies on z = 0, the pin above the x axis; the free edge is in front.

    By hand, at the defaults: a knuckle is 5 + 0.2 + 2 x 2 = 9.2 mm wide outside, and 75 / 5 = 15 mm long less 0.25 mm
    at each neighbour, so 14.75 mm at the ends and 14.5 mm between.
    """
    sheet = Sheet(thickness, (pin + pin_play) / 2, material, bend_rule)
    outside, pitch, beside = pin + pin_play + 2 * thickness, length / knuckles, knuckle_play / 2
    starts = [place * pitch - length / 2 + (beside if place else 0) for place in range(knuckles)]
    ends = [
        (place + 1) * pitch - length / 2 - (beside if place < knuckles - 1 else 0)
        for place in range(knuckles)
    ]
    own, others = slice(0 if outer else 1, None, 2), slice(1 if outer else 0, None, 2)
    # The other leaf's knuckles sit in notches, as deep as they are wide, and the play about them.
    top, deep = outside / 2, outside + knuckle_play
    notches = [
        shifted(rectangle(end - start + 2 * knuckle_play, 2 * deep), (start + end) / 2, top)
        for start, end in zip(starts[others], ends[others], strict=True)
    ]
    outline = pierced(shifted(rectangle(length, width), 0, top - width / 2), *notches)
    body = plate(sheet, outline, "chest_hinge")
    for number, (start, end) in enumerate(zip(starts[own], ends[own], strict=True), 1):
        edge = ((end, top), (start, top))
        body = add_curl(body, edge, outside, angle=wrap, bend_rule=bend_rule, name=f"knuckle[{number}]")
    low = Motion.shift(0, screw_from_edge + top - width)
    row = [low.after(place) for place in grid(screw_count, 1, screw_pitch, screw_head)]
    return cut_opening(body, countersunk(screw_hole, screw_head), "chest_hinge", row, "screw")
