"""Does the blank fit on a stock sheet? Is the sheet of a standard thickness?"""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput
from formparts.materials import StandardThickness, standard_thicknesses
from formparts.tolerances import LIMIT_SLACK

_GAUGES = {
    "carbon steel": ("gauge, steel", "gauge, galvanised steel"),
    "stainless steel": ("gauge, stainless steel",),
    "aluminium": ("gauge, aluminium",),
}
"""Gauges that sheet of a family of materials is also sold by; metric thicknesses hold for all."""

_NEAR = 0.01
"""A gauge is often written rounded to a hundredth of a millimetre [mm]."""


def stock_sheet(part: RuleInput) -> Iterator[Finding]:
    """A blank that is larger than the stock sheet, in either orientation.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(length=value) for value in (3000, 3000.5))
    >>> [sum(found.code == "blank-larger-than-stock" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    if part.profile.get("stock_length") is None or part.profile.get("stock_width") is None:
        return
    sides = sorted((part.blank.length, part.blank.width), reverse=True)
    sheet = sorted((part.limit("stock_length"), part.limit("stock_width")), reverse=True)
    over = [(side / most, side, most) for side, most in zip(sides, sheet, strict=True)]
    _, side, most = max(over)
    if side > most + LIMIT_SLACK:
        message = (
            f"blank: {sides[0]:.5g} x {sides[1]:.5g} mm is larger than the stock sheet of "
            f"{sheet[0]:g} x {sheet[1]:g} mm"
        )
        yield Finding(
            "blank-larger-than-stock", "error", part.blank.name, message, side, most, "mm", part.source("stock_length"),
            "make the part smaller, in two pieces, or state a larger sheet in a limits file",
        )  # fmt: skip


def thickness_series(part: RuleInput) -> Iterator[Finding]:
    """
    A thickness that is in no standard series, so that the sheet is hard to buy.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(thickness=value) for value in (2.0, 2.2))
    >>> [sum(found.code == "nonstandard-thickness" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    family = part.material.family if part.material else ""
    series = ("metric", *_GAUGES.get(family, ()))
    sold = [one for name in series for one in standard_thicknesses(name)]
    nearest = min(sold, key=lambda one: abs(one.thickness - part.thickness))
    if abs(nearest.thickness - part.thickness) > _NEAR:
        yield _thickness(part, nearest, "standard" if len(series) > 1 else "metric")


def _thickness(part: RuleInput, nearest: StandardThickness, kind: str) -> Finding:
    message = (
        f"a sheet of {part.thickness:.5g} mm is in no {kind} series; the nearest is {nearest.thickness:.4g} mm"
        + ("" if nearest.label == f"{nearest.thickness:.4g} mm" else f" ({nearest.label})")
    )
    return Finding(
        "nonstandard-thickness", "note", part.blank.name, message, part.thickness, nearest.thickness, "mm",
        nearest.source, f"take {nearest.thickness:.4g} mm, or ask what is in stock",
    )  # fmt: skip
