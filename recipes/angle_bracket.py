"""A bracket that carries a cable tray on a wall."""

from typing import Annotated

from formparts import (
    BendRuleName,
    Body,
    Count,
    Length,
    MaterialName,
    Motion,
    Sheet,
    cut_opening,
    grid,
    obround,
    profile,
    recipe,
    run,
    up,
)


@recipe
def angle_bracket(
    upright: Annotated[float, Length("of the leg on the wall, to the outside of the bend", 5, 1000)] = 70,
    shelf: Annotated[float, Length("of the leg that carries, to the outside of the bend", 5, 1000)] = 90,
    width: Annotated[float, Length("along the bend", 1, 2000)] = 60,
    wall_slots: Annotated[int, Count("slots in a row along the upright leg, upright themselves", 0, 50)] = 2,
    shelf_slots: Annotated[int, Count("slots in a row along the shelf, pointing from the wall", 0, 50)] = 1,
    slot_pitch: Annotated[float, Length("from one slot to the next", 1, 1000)] = 30,
    slot_length: Annotated[float, Length("overall length of all slots", 1, 500)] = 18,
    slot_width: Annotated[float, Length("of all slots, for bolts one step smaller", 0.5, 100)] = 9,
    thickness: Annotated[float, Length("thickness of the sheet", 0.2, 25)] = 3,
    inside_radius: Annotated[float, Length("inside radius of the bend", 0.01, 100)] = 4,
    material: Annotated[str, MaterialName("of the sheet")] = "S235JR",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.44",
) -> Body:
    """
    Wall bracket of a cable tray: an upright leg against the wall and a shelf, slots in both.

    The shelf lies on z = 0 and points along x; the upright leg is at its end, the wall is beyond it. Slots sit in
    the middle of the straight part of their leg; with none, the bracket is a plain angle.

    By hand, at the defaults: legs of 70 and 90 mm to the outside less one deduction of
    2 (4 + 3) - pi/2 (4 + 0.44 x 3) = 5.643 mm give a blank of 154.357 mm.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    bracket = profile(
        sheet, width,
        run(shelf, name="shelf"), up(90), run(upright, name="upright"),
        name="angle_bracket",
    )  # fmt: skip
    # A leg begins or ends at its tangent line, one inside radius and one thickness inside the outer face.
    for leg, length, count in (("shelf", shelf, shelf_slots), ("upright", upright, wall_slots)):
        if count:
            middle = Motion.shift((length - inside_radius - thickness) / 2, width / 2)
            row = [middle.after(place) for place in grid(1, count, slot_width, slot_pitch)]
            slot = obround(slot_length, slot_width)
            bracket = cut_opening(bracket, slot, f"angle_bracket.{leg}", row, f"{leg}_slot")
    return bracket
