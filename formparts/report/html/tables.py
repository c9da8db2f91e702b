"""The tables of the page: parameters, figures, flats, bends, audit, findings, the drawing's figures."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from formparts.audits import AuditRow
from formparts.body import Bend, Body, Flat, rules_text
from formparts.closed_forms import Properties
from formparts.expect import Expected
from formparts.export.svg_marks import shown
from formparts.layout import BendMark, Blank
from formparts.outline import Arc, Loop
from formparts.planning import CAUTIONS as PLAN_CAUTIONS
from formparts.planning import plan_words
from formparts.planning.words import rows_words, stop_edge
from formparts.report.html.tags import Markup, element, piece_button, said, table
from formparts.report.rules_used import UsedRule, cited
from formparts.report.summary import mass_text
from formparts.schedules import Schedule, ScheduledBend
from formparts.tolerances import ROUNDING

if TYPE_CHECKING:
    from formparts.part import Part


def piece_figures(body: Body, blank: Blank) -> dict[str, str]:
    """Return the text shown for each flat, bend and opening when it is picked."""
    said_of = {flat.name: _flat_words(flat) for flat in body.flats}
    said_of |= {
        bend.name: _bend_words(bend, mark) for bend, mark in zip(body.bends, blank.bends, strict=True)
    }
    for flat in body.flats:
        said_of |= {opening.name: opening_words(opening, flat) for opening in flat.openings}
    return said_of


def _flat_words(flat: Flat) -> str:
    x0, y0, x1, y1 = flat.net.bounds
    size = f"flat, {shown(x1 - x0)} × {shown(y1 - y0)} mm, area {flat.net.area:.2f} mm²"
    count = len(flat.openings)
    return size + (f", {count} opening{'s' if count > 1 else ''}" if count else "")


def _bend_words(bend: Bend, mark: BendMark) -> str:
    return (
        f"bend, {bend.angle:.6g}° {bend.side}, inside radius {_radius(mark)}, "
        f"{shown(bend.width)} mm long, allowance {mark.allowance:.4f} mm"
    )


def _radius(mark: BendMark) -> str:
    return "0, pressed shut" if mark.is_pressed_shut else f"{mark.inside_radius:g} mm"


def opening_words(opening: Any, flat: Flat) -> str:
    """Return an opening's size: a circle by its diameter, anything else by its box."""
    circle = opening.outline.outer.circle
    if circle is not None:
        return f"opening in {flat.name}, ⌀ {shown(2.0 * circle[1])} mm"
    x0, y0, x1, y1 = opening.outline.bounds
    return f"opening in {flat.name}, {shown(x1 - x0)} × {shown(y1 - y0)} mm"


def _loop_size(loop: Loop) -> str:
    """Return the diameter of a loop that is mostly round, of any other its box."""
    (around, length) = _longest_round(loop)
    x0, y0, x1, y1 = loop.bounds
    if around is None or length < (x1 - x0 + y1 - y0) / 2.0:
        return f"{shown(x1 - x0)} × {shown(y1 - y0)} mm"
    whole = math.isclose(length, math.tau * around, rel_tol=ROUNDING)
    return f"⌀ {shown(2.0 * around)} mm" + ("" if whole else f", round over {shown(length)} mm of its edge")


def _longest_round(loop: Loop) -> tuple[float | None, float]:
    """Return radius and length of the concentric arcs that make up most of a loop."""
    found: dict[tuple[float, float, float], float] = {}
    for edge in loop.edges:
        if isinstance(edge, Arc):
            key = (round(edge.centre[0], 6), round(edge.centre[1], 6), round(edge.radius, 6))
            found[key] = found.get(key, 0.0) + edge.length
    if not found:
        return None, 0.0
    (_, _, radius), length = max(found.items(), key=lambda pair: pair[1])
    return radius, length


def parameter_table(parameters: Mapping[str, Any], recipe: Any) -> Markup:
    """Return all parameters; with the recipe also their units and meaning."""
    known = {each.name: each for each in recipe.parameters} if recipe is not None else {}
    rows = []
    for name, value in parameters.items():
        kind = known.get(name)
        unit = kind.unit if kind is not None else ""
        rows.append([said(name), said(_value(value)), said(unit), said(kind.text if kind else "")])
    return table("Parameters", ("name", "value", "unit", "meaning"), rows, numbers=frozenset({1}))


def _value(value: Any) -> str:
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def figure_table(part: Part) -> Markup:
    """Return mass, volume and the other figures asked for first."""
    sheet = part.body.sheet
    size, cut = blank_rows(part.blank)
    rows = [
        ("material", f"{sheet.material.name}, {sheet.material.density:g} kg/m³"),
        ("sheet", f"{sheet.thickness:g} mm"),
        ("bend rule", f"{rules_text(part.body)} ({sheet.bend_rule.source})"),
        *properties_rows(part.properties), size, ("mass of the blank's rectangle", mass_text(_gross(part))), cut,
    ]  # fmt: skip
    return value_table("Material, mass and blank", rows)


def value_table(caption: str, rows: Sequence[tuple[str, str]]) -> Markup:
    """Figures and their values with units, one below the other."""
    return table(caption, ("figure", "value"), [[said(a), said(b)] for a, b in rows])


def properties_rows(figures: Properties) -> list[tuple[str, str]]:
    """Return mass and measures of a part, with units."""
    return [
        ("mass", mass_text(figures.mass)),
        ("volume", f"{figures.volume:.2f} mm³"),
        ("surface", f"{figures.surface:.2f} mm²"),
        ("centre of mass", " / ".join(f"{round(value, 3) + 0.0:.3f}" for value in figures.centroid) + " mm"),
        ("envelope", " × ".join(f"{value:.2f}" for value in figures.envelope) + " mm"),
    ]


def blank_rows(blank: Blank) -> tuple[tuple[str, str], tuple[str, str]]:
    """Return the size of a blank, and its cut lengths, with units."""
    return (
        ("blank", f"{blank.length:.2f} × {blank.width:.2f} mm, area {blank.area:.2f} mm²"),
        ("cut", f"{blank.cut_length:.1f} mm, pierces: {blank.pierces}"),
    )


def _gross(part: Part) -> float:
    sheet = part.body.sheet
    return float(part.blank.length * part.blank.width * sheet.thickness * sheet.material.density / 1e9)


def bend_table(bends: Schedule) -> Markup:
    """The bend schedule, in the order of the plan."""
    heading: tuple[str, ...] = (
        "no.", "bend", "what to do", "stop", "die V", "punch", "force [kN]", "angle", "under load",
        "side", "inside radius", "length", "allowance", "notes",
    )  # fmt: skip
    rows = [_bend_row(each) for each in bends.bends]
    if not any(each.notes for each in bends.bends):
        heading, rows = heading[:-1], [row[:-1] for row in rows]
    names = [bend.mark.name for bend in bends.bends]
    sides = "up and down as seen from the up side, which the blank shows"
    caption = f"Bend schedule ({bends.numbering}; lengths in mm; {sides})"
    return table(caption, heading, rows, names, frozenset({0, 4, 6, 7, 8, 10, 11, 12}), "bends")


def _bend_row(bend: ScheduledBend) -> list[str]:
    mark, step = bend.mark, bend.step
    stops = step is not None and step.stop.kind != "none"
    figures = (
        step.turn if step else "–",
        f"{shown(step.stop.distance)}, {stop_edge(step)}" if step and stops else "–",
        _known(bend.die_opening, "g"), f"{step.punch.name}, {rows_words(step.punches)}" if step else "–",
        _known(bend.force, ".1f"), f"{mark.angle:.6g}°", _known(bend.under_load.angle, ".1f", "°"), mark.side,
        mark.radius_words.removeprefix("R "), shown(mark.length), f"{mark.allowance:.4f}", "; ".join(bend.notes),
    )  # fmt: skip
    return [said(bend.number), piece_button(mark.name), *(said(each) for each in figures)]


def _known(value: float | None, form: str, unit: str = "") -> str:
    return "–" if value is None else f"{value:{form}}{unit}"


def schedule_words(bends: Schedule) -> Markup:
    """Return the cost of the plan, and the cautions of the schedule."""
    lines = (
        plan_words(bends.plan),
        f"Machine: {bends.plan.tools.machine.name}",
        f"Force by {bends.force_rule}",
    )
    return element("ul", *(element("li", said(line)) for line in (*lines, *PLAN_CAUTIONS)))


def piece_table(body: Body) -> Markup:
    """Return flats and openings, and the holes in a flat's own outline."""
    rows, names = [], []
    for flat in body.flats:
        rows.append([piece_button(flat.name), said(_flat_words(flat))])
        names.append(flat.name)
        for loop in flat.outline.holes:
            rows.append([said(""), said(f"opening in the outline of {flat.name}, {_loop_size(loop)}")])
            names.append(flat.name)
        for opening in flat.openings:
            rows.append([piece_button(opening.name), said(opening_words(opening, flat))])
            names.append(opening.name)
    return table("Flats and openings", ("piece", "figures"), rows, names)


def audit_table(rows: Sequence[AuditRow]) -> Markup:
    """Return every figure by every method, and the deviations between them."""
    lines = []
    for row in rows:
        for at, (method, value) in enumerate(row.methods.items()):
            verdict = element("strong", said("agree" if row.agrees else "DISAGREE"))
            first = at == 0
            lines.append(
                [
                    said(_with_unit(row.figure) if first else ""), said(method), said(f"{value:.12g}"),
                    said(f"{row.spread:.3g}" if first else ""), said(f"{row.allowed:.3g}" if first else ""),
                    verdict if first else said(""),
                ]
            )  # fmt: skip
    heading = ("figure", "method", "value", "apart by", "allowed", "verdict")
    return table(
        "Audit: independent methods to the same figure", heading, lines, numbers=frozenset({2, 3, 4})
    )


def _with_unit(figure: str) -> str:
    """Return a key such as `volume_by_mesh_mm3` as text with its unit."""
    words, _, unit = figure.rpartition("_")
    return f"{words.replace('_', ' ')} [{unit.replace('2', '²').replace('3', '³')}]"


def rule_table(rules: Sequence[UsedRule]) -> Markup:
    """Return every rule and figure that is used, with its citation and the publication in full."""
    rows = [[said(each.use), said(each.figure), said(each.citation), said(cited(each))] for each in rules]
    return table(
        "Rules and figures used for this part", ("used for", "figure or rule", "from", "publication"), rows
    )


def drawing_table(expected: Sequence[Expected]) -> Iterator[Markup]:
    """Return the computed figures beside those of the given drawing, if any."""
    if not expected:
        return
    rows = [
        [
            said(each.figure), said(f"{each.drawing_value:.6g} {each.unit}"), said(f"{each.computed:.6g} {each.unit}"),
            said(f"{100 * each.deviation:+.3f} %"), said(f"{100 * each.tolerance:g} %"),
            element("strong", said("within tolerance" if each.within_tolerance else "NOT WITHIN TOLERANCE")),
        ]
        for each in expected
    ]  # fmt: skip
    heading = ("figure", "drawing", "computed", "off by", "allowed", "verdict")
    yield table("Against the drawing", heading, rows, numbers=frozenset({1, 2, 3, 4}))
