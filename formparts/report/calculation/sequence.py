"""The whole hand calculation of a part, in working order."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from formparts.arguments import takes
from formparts.blanks import blank as blank_of
from formparts.body import Body
from formparts.closed_forms import CUBIC_MM_PER_CUBIC_M, bend_volume
from formparts.layout import Blank
from formparts.report.calculation.bends import PAPPUS, BendKind, bend_kinds, bend_steps
from formparts.report.calculation.extent import extent_lines
from formparts.report.calculation.lines import CalculationSection, Step, Table, digits
from formparts.report.calculation.outlines import Figure, flat_figures

_SUM = "exact mathematics"
_REMARK = (
    "Lengths in mm, angles in degrees. A is the bend angle (0 is flat), R the inside radius, t the thickness, w the "
    "length of the bend line. Results are worked out with all digits; with the figures as printed they come out to "
    "about six."
)


@dataclass(frozen=True)
class _FlatKind:
    """Flats of one shape: their names, and the contributions to their area."""

    number: int
    names: tuple[str, ...]
    figures: tuple[Figure, ...]
    area: float

    @property
    def count(self) -> int:
        return len(self.names)

    @property
    def title(self) -> str:
        names = self.names if self.count < 4 else (self.names[0], "…", self.names[-1])
        return f"Flat kind {self.number}: {self.count} × {', '.join(names)}"


@takes(body="Body", blank=("Blank", "None"))
def hand_calculation(body: Body, blank: Blank | None = None) -> tuple[CalculationSection, ...]:
    """
    Write a part's calculation out so that a person with a pocket calculator can follow it and sign it.

    Parameters
    ----------
    body : Body
        The part.
    blank : Blank, optional
        Its blank, when that is known already.

    Returns
    -------
    tuple of Section
        Bends, areas of the flats, volume and mass, area, length and width of the blank.

    Raises
    ------
    InputError
        The bend rule has no figure for a bend.
    """
    flat = blank_of(body) if blank is None else blank
    kinds, flats = bend_kinds(flat), _flat_kinds(body)
    bends = [
        CalculationSection(kind.title[:1].upper() + kind.title[1:], tuple(bend_steps(body, kind)))
        for kind in kinds
    ]
    return (
        CalculationSection("Given", tuple(_given(body)), _REMARK),
        *bends,
        *(_area_section(kind) for kind in flats),
        CalculationSection("Volume and mass", tuple(_mass(body, kinds, flats))),
        CalculationSection("Blank", tuple(_blank_lines(body, flat, kinds, flats))),
    )


def _given(body: Body) -> Iterator[Step]:
    sheet = body.sheet
    yield Step("thickness of the sheet", "t", digits(sheet.thickness), sheet.thickness, "mm")
    source = sheet.material.sources.get("density", "")
    name = f"density of {sheet.material.name}"
    yield Step(name, "ρ", digits(sheet.material.density), sheet.material.density, "kg/m³", source)


def _flat_kinds(body: Body) -> tuple[_FlatKind, ...]:
    """Flats whose calculation reads the same are one kind."""
    alike: dict[tuple[tuple[str, str, Table | None], ...], list[str]] = {}
    known: dict[tuple[tuple[str, str, Table | None], ...], tuple[tuple[Figure, ...], float]] = {}
    for flat in body.flats:
        figures = flat_figures(flat)
        key = tuple((each.kind, each.numbers, each.table) for each in figures)
        alike.setdefault(key, []).append(flat.name)
        known.setdefault(key, (figures, flat.net.area))
    return tuple(
        _FlatKind(number, tuple(names), *known[key]) for number, (key, names) in enumerate(alike.items(), 1)
    )


def _area_section(kind: _FlatKind) -> CalculationSection:
    """The outer loop less its openings; equal openings are worked out once."""
    n, outer, openings = kind.number, kind.figures[0], _equal(kind.figures[1:])
    if not openings:
        named = Figure(outer.kind, outer.symbols.replace("A =", f"A_f{n} ="), outer.numbers, outer.area,
                       outer.source, outer.table)  # fmt: skip
        return CalculationSection(kind.title, tuple(named.lines(f"area: {outer.kind}")))
    lines = [*outer.lines(f"outside: {outer.kind}")]
    taken = []
    for count, opening in openings:
        lines += opening.lines(f"{count} × opening: {opening.kind}")
        taken.append(f" − {count} · {digits(opening.area)}")
    numbers = digits(outer.area) + "".join(taken)
    lines.append(
        Step("area of the flat", f"A_f{n} = A_outside − Σ A_opening", numbers, kind.area, "mm²", _SUM)
    )
    return CalculationSection(kind.title, tuple(lines))


def _equal(figures: tuple[Figure, ...]) -> list[tuple[int, Figure]]:
    """Figures whose calculation reads the same, with their number."""
    counted: dict[tuple[str, str, Table | None], list[Figure]] = {}
    for figure in figures:
        counted.setdefault((figure.kind, figure.numbers, figure.table), []).append(figure)
    return [(len(same), same[0]) for same in counted.values()]


def _volume(body: Body, kind: BendKind) -> float:
    mark = kind.mark
    return bend_volume(mark.angle, mark.inside_radius, body.sheet.thickness, mark.mean_length)


def _mass(body: Body, kinds: tuple[BendKind, ...], flats: tuple[_FlatKind, ...]) -> Iterator[Step]:
    thickness, density = body.sheet.thickness, body.sheet.material.density
    area = math.fsum(kind.count * kind.area for kind in flats)
    yield Step("area of all flats", "A_flats = Σ n A_f", _counted(flats), area, "mm²", _SUM)
    bent = math.fsum(kind.count * _volume(body, kind) for kind in kinds)
    numbers = " + ".join(f"{kind.count} · {digits(_volume(body, kind))}" for kind in kinds) or "0"
    yield Step("volume of all bends", "V_bends = Σ n V_b", numbers, bent, "mm³", PAPPUS)
    volume = thickness * area + bent
    numbers = f"{digits(thickness)} · {digits(area)} + {digits(bent)}"
    yield Step("volume", "V = t A_flats + V_bends", numbers, volume, "mm³", _SUM)
    numbers = f"{digits(density)} · {digits(volume)} / 10^9"
    mass = density * volume / CUBIC_MM_PER_CUBIC_M
    yield Step("mass", "m = ρ V", numbers, mass, "kg", "by definition")


def _counted(flats: tuple[_FlatKind, ...]) -> str:
    return " + ".join(f"{kind.count} · {digits(kind.area)}" for kind in flats)


def _blank_lines(
    body: Body, blank: Blank, kinds: tuple[BendKind, ...], flats: tuple[_FlatKind, ...]
) -> Iterator[Step | Table]:
    area = math.fsum(kind.count * kind.area for kind in flats)
    strips = math.fsum(kind.count * kind.mark.allowance * kind.mark.mean_length for kind in kinds)
    numbers = [digits(area)]
    numbers += [f"{k.count} · {digits(k.mark.allowance)} · {digits(k.mark.mean_length)}" for k in kinds]
    yield Step("area", "A_blank = A_flats + Σ n BA w", " + ".join(numbers), area + strips, "mm²", _SUM)
    for axis in (0, 1):
        yield from extent_lines(body, blank, axis)
