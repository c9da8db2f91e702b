"""The page of checks: each rule with a part just inside its limit and one just outside, the place marked."""

from __future__ import annotations

import base64
import inspect
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from formparts.checks import Finding, blank_findings
from formparts.checks.rules import RULES, Rule
from formparts.drawings.loose import loose_pictures, loose_svg
from formparts.export.svg import svg_text
from formparts.layout import Blank
from formparts.manual.examples import inside, is_example, run_example
from formparts.manual.prose import docstring, paragraphs
from formparts.manual.reference import typed
from formparts.manual.rooms import namespace
from formparts.manual.shell import Entry, Page, PageText
from formparts.part import Part
from formparts.report.html.blank_picture import blank_picture
from formparts.report.html.tags import Markup, element, said

GROUP = "Checks"


def checks_planned() -> Iterator[Page]:
    """A page for each rule."""
    for rule in RULES:
        entries = (
            *(Entry(code, "text", rule.text) for code in rule.codes),
            Entry(rule.name, "text", rule.text),
        )
        yield Page(page_of(rule), rule.name, GROUP, "check", rule.name, entries)


def page_of(rule: Rule) -> str:
    """The page of a rule."""
    return f"check-{rule.name.replace(' ', '-')}"


def check_page(page: Page) -> PageText:
    """Return the subject of a rule, and the two parts of its example."""
    rule = next(each for each in RULES if each.name == page.about)
    doc = docstring(inspect.getdoc(rule.function) or "")
    codes = [element("code", said(code)) for code in rule.codes]
    parts = [
        element("h1", said(f"Check: {rule.name}")),
        paragraphs(doc.text),
        element(
            "p", said("Findings: "), Markup(", ".join(codes)), said(f"; at worst of severity {rule.worst}.")
        ),
    ]
    if not is_example(doc.examples):
        return PageText(Markup("".join(parts)), (f"{rule.name}: has no example",))
    space = namespace("formparts.checks")
    with tempfile.TemporaryDirectory() as folder, inside(folder):
        ran = run_example(doc.examples, space)
    parts += [typed(ran), *_pairs(rule, ran.made)]
    return PageText(Markup("".join(parts)), tuple(ran.faults))


def _pairs(rule: Rule, made: Mapping[str, Any]) -> Iterator[Markup]:
    """Return parts by their names in the example, each with the findings of this rule."""
    shown = {name: part for name, part in made.items() if isinstance(part, (Blank, Part))}
    wanted = [name for name in shown if name in ("inside", "outside")] or list(shown)
    yield element("div", *(_judged(rule, name, shown[name]) for name in wanted), class_="pair")


def _judged(rule: Rule, name: str, thing: Blank | Part) -> Markup:
    told = blank_findings(thing) if isinstance(thing, Blank) else thing.findings()
    found = [finding for finding in told if finding.code in rule.codes]
    verdict = (
        [element("p", said("Nothing is found."), class_="well")]
        if not found
        else [
            element("p", element("strong", said(f"F{number} {each.severity}: ")), said(f"{each.message}; {each.fix} "),
                    element("small", said(f"({each.source})")), class_=each.severity)
            for number, each in enumerate(found, 1)
        ]
    )  # fmt: skip
    caption = element("figcaption", element("b", said(name)))
    folded = _folded(thing) if rule.folds and isinstance(thing, Part) else Markup("")
    return element("figure", caption, folded, _marked(thing, found), *verdict)


def _folded(part: Part) -> Markup:
    """The folded part and a section through it, for rules that fold it."""
    shown = {each.kind: each for each in reversed(loose_pictures(part.body))}
    wanted = [shown[kind] for kind in ("isometric", "section") if kind in shown]
    return element("div", *(Markup(loose_svg(each)) for each in wanted), class_="pictures")


def _marked(thing: Blank | Part, found: Sequence[Finding]) -> Markup:
    """The blank with the places of findings; of a blank without a body its lines alone."""
    if isinstance(thing, Part):
        return blank_picture(thing.body, thing.blank, found)
    data = base64.b64encode(svg_text(thing, found).encode()).decode()
    return Markup(
        f'<img class="paper" alt="the blank, marked" width="420" src="data:image/svg+xml;base64,{data}">'
    )
