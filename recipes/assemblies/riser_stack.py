"""Two raised seats, face to face, with a round meter between their lugs and the bolts that hold it."""

from typing import Annotated

from formparts import (
    Assembly,
    Choice,
    Count,
    Frame,
    Length,
    Placed,
    Turned,
    assembly_recipe,
    find_recipe,
    place,
)


@assembly_recipe
def riser_stack(
    lug_count: Annotated[int, Count("lugs, and bolts, of either seat", 2, 8)] = 4,
    rise: Annotated[float, Length("of both seats, between like faces", 8, 60)] = 14,
    pitch_diameter: Annotated[float, Length("pitch circle of the bolts", 60, 120)] = 82,
    meter_height: Annotated[float, Length("of the meter over its two flanges", 30, 500)] = 90,
    bolt_size: Annotated[float, Length("nominal diameter of the bolts", 3, 8)] = 8,
    material: Annotated[str, Choice("of both seats", ("S235JR", "1.4301"))] = "S235JR",
) -> Assembly:
    """
    Skid mount of a round meter: a seat below, the meter on its lugs, a second seat upside down on top.

    The lower seat's plate lies on z = 0. The meter's flanges rest on the inner ends of the lugs' tips, held in the
    middle by the heads of the bolts, which rest on the tips and reach through them.

    By hand, at the defaults: the lower tips' upper faces lie at 14 + 2 = 16 mm, the meter's top at 16 + 90 = 106 mm,
    and the upper seat's plate 16 mm above that, at 122 mm. A flange is 82 - 1.6 x 8 = 69.2 mm wide, less 1 mm of play.
    """
    seat = find_recipe("ring_riser")(
        lug_count=lug_count, rise=rise, pitch_diameter=pitch_diameter, material=material
    )
    # Head 1.6 diameters wide and 0.65 high, shank 1.5 diameters long: common practice, no source. Under a low tip it is
    # shorter, so that it does not reach what the seat rests on.
    bolt = Turned(
        "bolt", ((bolt_size, min(1.5 * bolt_size, rise)), (1.6 * bolt_size, 0.65 * bolt_size)), "steel"
    )
    flange = pitch_diameter - 1.6 * bolt_size - 1
    steps = ((flange, 6), (0.7 * flange, meter_height - 12), (flange, 6))
    meter = Turned("meter", steps, "1.4301", bore=0.5 * flange)

    lower = Placed("lower_seat", seat)
    tip_height = lower.at("lug[1].tip.upper").origin[2]
    device = place(meter, "bottom", Frame((0, 0, tip_height)))
    upper = place(seat, "origin", device.at("top"), gap=tip_height, name="upper_seat")
    bolts = [
        place(bolt, "shoulder[1]", below.at(f"lug[{lug}].hole.upper"), name=f"{below.name}.bolt[{lug}]")
        for below in (lower, upper)
        for lug in range(1, lug_count + 1)
    ]
    return Assembly("riser_stack", (lower, device, upper, *bolts))
