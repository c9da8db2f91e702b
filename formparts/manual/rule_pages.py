"""The page of bend rules: each as it is written, its figures, and K against the radius beside the others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from formparts import svg
from formparts.bending import BendRule, bend_rule, k_factor_from_allowance
from formparts.bending.rule_lines import RULES, RuleLine
from formparts.errors import InputError
from formparts.manual.shell import Entry, Page, PageText
from formparts.report.html.tags import Markup, element, said, table

PAGE = "bend-rules"
_ANGLES, _RADII, _THICKNESS = (15.0, 30.0, 60.0, 90.0, 120.0, 150.0), (1.0, 2.0, 4.0, 10.0), 2.0


def rules_planned() -> Iterator[Page]:
    """One page for all of them, so that they can be compared."""
    entries = tuple(Entry(line.example, _anchor(line), line.formula) for line in RULES)
    yield Page(PAGE, "Bend rules", "Checks", "rules", "", entries)


def _anchor(line: RuleLine) -> str:
    return "rule-" + "".join(
        sign if sign.isalnum() else "-" for sign in line.example.partition(" |")[0].lower()
    )


def rules_page(page: Page) -> PageText:
    """All rules, with a table of allowances each."""
    head = (
        "A bend rule says how long a bend is along the neutral fibre, and so how long the blank must be. "
        "Take K from test strips of your own sheet before a batch is cut."
    )
    rules = {line: _example(line) for line in RULES}
    known = [rule for rule in rules.values() if rule is not None]
    curves = [curve_of(rule) for rule in known]
    parts = [element("h1", said(page.title)), element("p", said(head)), _plot(known, curves)]
    parts += [_line(line, rule) for line, rule in rules.items()]
    return PageText(Markup("".join(parts)))


def _example(line: RuleLine) -> BendRule | None:
    """The rule as its example writes it; of several by its first; none where a file of your own is read."""
    return None if line.example.endswith(".csv") else bend_rule(line.example.partition(" |")[0])


def _line(line: RuleLine, rule: BendRule | None) -> Markup:
    about = [
        element("h2", said(line.example), id=_anchor(line)),
        element("p", element("code", said(f'Sheet(2, 3, "DC01", "{line.example.partition(" |")[0]}")'))),
        element("p", said(f"Allowance: {line.formula}. Holds for {line.reach}. Source: {line.source}.")),
    ]
    return Markup("".join([*about, *([] if rule is None else [_allowances(rule)])]))


def _allowances(rule: BendRule) -> Markup:
    """Allowance of one bend by angle and radius."""
    heading = ("bend angle", *(f"R {radius:g}" for radius in _RADII))
    rows = [
        [said(f"{angle:g}°"), *(said(_allowance(rule, angle, radius)) for radius in _RADII)]
        for angle in _ANGLES
    ]
    caption = f"Allowance in mm at t = {_THICKNESS:g} mm, {rule.name}"
    return table(caption, heading, rows, numbers=frozenset(range(1, len(heading))))


def _allowance(rule: BendRule, angle: float, radius: float) -> str:
    try:
        return f"{rule.allowance(angle, radius, _THICKNESS):.3f}"
    except InputError:
        return "–"


def curve_of(rule: BendRule) -> list[tuple[float, float]]:
    """K at 90 deg against inside radius over thickness."""
    points = []
    for step in range(1, 121):
        ratio = step * 0.05
        radius = ratio * _THICKNESS
        try:
            length = rule.allowance(90.0, radius, _THICKNESS)
            points.append((ratio, k_factor_from_allowance(90.0, radius, _THICKNESS, length)))
        except InputError:
            continue
    return points


def _plot(rules: Sequence[BendRule], curves: Sequence[Sequence[tuple[float, float]]]) -> Markup:
    """K against R/t at 90 deg, a pattern of dashes for each rule."""
    parts = [_upright(x) for x in range(7)] + [_level(tenth) for tenth in range(0, 11, 2)]
    parts += [
        _drawn(at, rule.name, points) for at, (rule, points) in enumerate(zip(rules, curves, strict=True))
    ]
    label = "K-factor at 90 deg against inside radius over thickness, a curve for each rule"
    looks = {"class_": "drawn", "role": "img", "aria_label": label, "width": "792", "height": "439"}
    drawn = Markup(svg.picture(parts, (0.0, 0.0, 220.0, 122.0), **looks))
    caption = "K at 90° against R/t: the rules differ most at tight bends"
    return element("figure", drawn, element("figcaption", said(caption)))


_DASHES = ("none", "4 1", "1 1", "4 1 1 1", "2 2", "6 2 1 2 1 2")


def _upright(x: int) -> str:
    at = 20.0 + 20.0 * x
    return svg.path(svg.line_path([(at, -10.0), (at, -110.0)]), "dimension") + _text(
        at, 117.0, str(x), "middle"
    )


def _level(tenth: int) -> str:
    at = 110.0 - 10.0 * tenth
    return svg.path(svg.line_path([(20.0, -at), (140.0, -at)]), "dimension") + _text(
        17.0, at + 1.4, f"{tenth / 10:g}", "end"
    )


def _drawn(number: int, name: str, points: Sequence[tuple[float, float]]) -> str:
    """One curve, and its line in the legend."""
    y, dashes = 14.0 + 6.0 * number, _DASHES[number % len(_DASHES)]
    curve = [(20.0 + 20.0 * x, 100.0 * min(max(k, 0.0), 1.0) - 110.0) for x, k in points]
    runs = (curve, [(146.0, -y), (160.0, -y)])
    lines = (svg.path(svg.line_path(one), "curve", stroke_dasharray=dashes) for one in runs)
    return "".join(lines) + _text(163.0, y + 1.4, name, "start")


def _text(x: float, y: float, words: str, anchor: str) -> str:
    return svg.text(words, (x, -y), font_size=4.0, text_anchor=anchor)
