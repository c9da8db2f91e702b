"""Bends in the hand calculation: allowance by the rule's own formula, setback, deduction, and volume."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from formparts.bending import (
    AircraftHandbook,
    Din6935,
    Groover,
    KFactor,
    KTable,
    MachineryHandbook,
    din_6935_factor,
    outside_setback,
)
from formparts.body import Body, Sheet, own_rules
from formparts.closed_forms import bend_volume
from formparts.layout import BendMark, Blank
from formparts.report.calculation.lines import Step, digits
from formparts.tolerances import ROUNDING

PAPPUS = "second theorem of Pappus and Guldin; exact mathematics"
_NEUTRAL = "length of the neutral fibre; exact mathematics"


@dataclass(frozen=True)
class BendKind:
    """All equal bends: their number, the first of them, and its position on the blank."""

    number: int
    names: tuple[str, ...]
    mark: BendMark

    @property
    def count(self) -> int:
        return len(self.names)

    @property
    def title(self) -> str:
        names = self.names if self.count < 4 else (self.names[0], "…", self.names[-1])
        return f"bend kind {self.number}: {self.count} × {digits(self.mark.angle)}° ({', '.join(names)})"


def bend_kinds(blank: Blank) -> tuple[BendKind, ...]:
    """Return bends grouped by angle, radius, length and allowance; the direction makes no difference to a length."""
    alike: dict[tuple[str, ...], list[BendMark]] = {}
    for mark in blank.bends:
        figures = (mark.angle, mark.inside_radius, mark.mean_length, mark.allowance)
        alike.setdefault(tuple(digits(value) for value in figures), []).append(mark)
    return tuple(
        BendKind(number, tuple(mark.name for mark in marks), marks[0])
        for number, marks in enumerate(alike.values(), 1)
    )


def bend_steps(body: Body, kind: BendKind) -> Iterator[Step]:
    """Return allowance, K, setback, deduction and volume of one kind of bend."""
    mark, sheet, n = kind.mark, body.sheet, kind.number
    own = own_rules(body).get(mark.name)
    yield from _allowance(own or sheet.bend_rule, sheet, mark, n)
    if mark.angle < 180.0:
        yield from _deduction(sheet, mark, n)
    yield _volume(sheet, mark, n)


def _turned(angle: float) -> str:
    return f"{digits(angle)} · π / 180"


def _allowance(rule: Any, sheet: Sheet, mark: BendMark, n: int) -> Iterator[Step]:
    by_formula = _FORMULAS.get(type(rule))
    if by_formula is None:
        read = f"read from the rule at A, R, t: {digits(mark.allowance)}"
        yield Step("bend allowance", f"BA_{n}", read, mark.allowance, "mm", rule.source)
    else:
        yield from by_formula(rule, sheet, mark, n)


def _by_k(k: float, sheet: Sheet, mark: BendMark, n: int, source: str) -> Step:
    numbers = (
        f"{_turned(mark.angle)} · ({digits(mark.inside_radius)} + {digits(k)} · {digits(sheet.thickness)})"
    )
    return Step("bend allowance", f"BA_{n} = A (R + K t)", numbers, mark.allowance, "mm", source)


def _k_factor(rule: KFactor, sheet: Sheet, mark: BendMark, n: int) -> Iterator[Step]:
    yield _by_k(rule.k, sheet, mark, n, f"{_NEUTRAL}; {rule.source}")


def _din_6935(rule: Din6935, sheet: Sheet, mark: BendMark, n: int) -> Iterator[Step]:
    """Return K from the standard's factor k, which multiplies half the thickness: K = k/2."""
    r, s = digits(mark.inside_radius), digits(sheet.thickness)
    k = float(din_6935_factor(mark.inside_radius, sheet.thickness))
    if not math.isclose(mark.allowance, _arc(mark, k / 2.0 * sheet.thickness), rel_tol=ROUNDING):
        numbers = f"2 · ({r} + {s}) · tan({digits(mark.angle / 2.0)}°)"
        what = "bend allowance (below 15° nothing is taken off the legs)"
        yield Step(what, f"BA_{n} = 2 (r + s) tan(A/2)", numbers, mark.allowance, "mm", rule.source)
        return
    if k < 1.0:
        numbers = f"0.65 + 0.5 · log10({r} / {s})"
        yield Step("factor k", f"k_{n} = 0.65 + 0.5 log10(r/s)", numbers, k, "", rule.source)
    else:
        yield Step("factor k, r/s above 5", f"k_{n} = 1", "1", k, "", rule.source)
    numbers = f"{_turned(mark.angle)} · ({r} + {digits(k)} · {s} / 2)"
    yield Step("bend allowance", f"BA_{n} = A (r + k s/2)", numbers, mark.allowance, "mm", rule.source)


def _arc(mark: BendMark, depth: float) -> float:
    """Length of the arc at a depth below the inside face."""
    return math.radians(mark.angle) * (mark.inside_radius + depth)


def _chosen_k(rule: Groover | KTable, sheet: Sheet, mark: BendMark, n: int) -> Iterator[Step]:
    k = (mark.allowance / math.radians(mark.angle) - mark.inside_radius) / sheet.thickness
    ratio = f"K at R/t = {digits(mark.inside_radius)} / {digits(sheet.thickness)}"
    yield Step(ratio, f"K_{n}", digits(k), k, "", rule.source)
    yield _by_k(k, sheet, mark, n, _NEUTRAL)


def _machinery(rule: MachineryHandbook, sheet: Sheet, mark: BendMark, n: int) -> Iterator[Step]:
    c = (mark.allowance * 90.0 / mark.angle - 1.57 * mark.inside_radius) / sheet.thickness
    t, r = digits(sheet.thickness), digits(mark.inside_radius)
    numbers = f"({digits(c)} · {t} + 1.57 · {r}) · {digits(mark.angle)} / 90"
    symbols = f"BA_{n} = (c T + 1.57 R) A/90"
    yield Step("bend allowance", symbols, numbers, mark.allowance, "mm", rule.source)


def _aircraft(rule: AircraftHandbook, sheet: Sheet, mark: BendMark, n: int) -> Iterator[Step]:
    t, r = digits(sheet.thickness), digits(mark.inside_radius)
    numbers = f"(0.01743 · {r} + 0.0078 · {t}) · {digits(mark.angle)}"
    symbols = f"BA_{n} = (0.01743 R + 0.0078 T) A"
    yield Step("bend allowance", symbols, numbers, mark.allowance, "mm", rule.source)


_FORMULAS: dict[type, Callable[[Any, Sheet, BendMark, int], Iterator[Step]]] = {
    AircraftHandbook: _aircraft,
    Din6935: _din_6935,
    Groover: _chosen_k,
    KFactor: _k_factor,
    KTable: _chosen_k,
    MachineryHandbook: _machinery,
}
"""Rules whose formula is written out; for any other only the result is shown."""


def _deduction(sheet: Sheet, mark: BendMark, n: int) -> Iterator[Step]:
    """Return outside setback and bend deduction, for those who calculate from the mould lines."""
    setback = float(outside_setback(mark.angle, mark.inside_radius, sheet.thickness))
    numbers = f"({digits(mark.inside_radius)} + {digits(sheet.thickness)}) · tan({digits(mark.angle / 2.0)}°)"
    yield Step("outside setback", f"OSSB_{n} = (R + t) tan(A/2)", numbers, setback, "mm", "plane geometry")
    deduction = 2.0 * setback - mark.allowance
    numbers = f"2 · {digits(setback)} − {digits(mark.allowance)}"
    yield Step("bend deduction", f"BD_{n} = 2 OSSB_{n} − BA_{n}", numbers, deduction, "mm", "by definition")


def _volume(sheet: Sheet, mark: BendMark, n: int) -> Step:
    t, r = digits(sheet.thickness), digits(mark.inside_radius)
    numbers = f"{_turned(mark.angle)} · ({r} + {t} / 2) · {t} · {digits(mark.mean_length)}"
    volume = bend_volume(mark.angle, mark.inside_radius, sheet.thickness, mark.mean_length)
    return Step("volume of one", f"V_b{n} = A (R + t/2) t w", numbers, volume, "mm³", PAPPUS)
