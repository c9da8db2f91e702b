"""A purlin of a small roof."""

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
    down,
    grid,
    obround,
    profile,
    recipe,
    run,
    up,
)


@recipe
def roof_purlin(
    length: Annotated[float, Length("of the purlin", 100, 8000)] = 1200,
    height: Annotated[float, Length("over the outside of both flanges", 40, 400)] = 120,
    flange: Annotated[float, Length("of either flange, over the outside of web and lip", 20, 200)] = 50,
    lip: Annotated[float, Length("of the stiffening lips, to the outside of the flange", 5, 60)] = 15,
    bolt_count: Annotated[int, Count("bolt slots at either end of the web", 1, 20)] = 2,
    bolt_pitch: Annotated[float, Length("from one bolt slot to the next, up the web", 10, 300)] = 60,
    bolt_from_end: Annotated[float, Length("from the end of the purlin to its bolt slots", 10, 500)] = 40,
    bolt_length: Annotated[float, Length("of the bolt slots, along the purlin", 5, 200)] = 24,
    bolt_width: Annotated[float, Length("of the bolt slots", 3, 50)] = 13,
    drain_count: Annotated[int, Count("drain slots across the lower corner of the web", 1, 100)] = 3,
    drain_pitch: Annotated[float, Length("from one drain slot to the next", 20, 2000)] = 350,
    drain_length: Annotated[float, Length("of the drain slots, across the corner", 10, 200)] = 36,
    drain_width: Annotated[float, Length("of the drain slots", 3, 50)] = 10,
    thickness: Annotated[float, Length("thickness of the sheet", 0.8, 4)] = 2,
    inside_radius: Annotated[float, Length("inside radius of all bends", 0.2, 20)] = 3,
    material: Annotated[str, MaterialName("of the sheet")] = "S235JR",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "DIN 6935",
) -> Body:
    """
    Roof purlin: a Z section with lips, bolt slots at both ends of its web, and drain slots across its lower corner.

    The web lies on z = 0 and the purlin runs along y. The drain slots are cut in the blank and folded with it: at their
    middle is the bend line of the lower corner.

    By hand, at the defaults: by DIN 6935 r/s = 1.5 gives 0.65 + 0.5 lg 1.5 = 0.7380, an allowance of
    pi/2 (3 + 0.7380 x 1) = 5.872 mm and a deduction of 2 x 5 - 5.872 = 4.128 mm. The blank is
    15 + 50 + 120 + 50 + 15 - 4 x 4.128 = 233.487 mm wide.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    purlin = profile(
        sheet, length,
        run(lip, name="lower_lip"), up(90), run(flange, name="lower_flange"), up(90), run(height, name="web"),
        down(90), run(flange, name="upper_flange"), down(90), run(lip, name="upper_lip"),
        name="roof_purlin", root=3,
    )  # fmt: skip
    straight = height - 2 * (inside_radius + thickness)
    for end, along in (("near", bolt_from_end), ("far", length - bolt_from_end)):
        middle = Motion.shift(straight / 2, along)
        row = [
            middle.after(place).after(Motion.turn(90))
            for place in grid(bolt_count, 1, bolt_pitch, bolt_width)
        ]
        purlin = cut_opening(purlin, obround(bolt_length, bolt_width), "roof_purlin.web", row, f"{end}_bolt")
    # On the web x begins at the tangent line of the lower corner; its bend line is half an allowance before that.
    corner = Motion.shift(-sheet.bend_rule.allowance(90, inside_radius, thickness) / 2, length / 2)
    row = [corner.after(place) for place in grid(1, drain_count, drain_length, drain_pitch)]
    return cut_opening(
        purlin, obround(drain_length, drain_width), "roof_purlin.web", row, "drain", on="blank"
    )
