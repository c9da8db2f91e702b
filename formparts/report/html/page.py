"""The whole page: one file that needs no network."""

from __future__ import annotations

import base64
import os
import shlex
from collections.abc import Iterator, Mapping, Sequence
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.arguments import takes
from formparts.audits import AuditRow, volume_by_blank
from formparts.errors import FileProofError
from formparts.export.dates import date_shown
from formparts.export.files import delivered
from formparts.export.svg import SIDE_WORDS
from formparts.planning import plan_words
from formparts.records import CAUTIONS
from formparts.report.calculation.sequence import hand_calculation
from formparts.report.html import tables
from formparts.report.html.blank_picture import blank_picture
from formparts.report.html.finding_table import finding_marks, finding_table
from formparts.report.html.loading import Pictures, loading_parts
from formparts.report.html.reckoning import calculation_section
from formparts.report.html.shapes import folding_model
from formparts.report.html.shell import ALONE, VIEW_SCRIPTS, asset, document, script, style
from formparts.report.html.special import special_words
from formparts.report.html.tags import Markup, data_block, element, said
from formparts.report.rules_used import rules_used
from formparts.report.summary import mass_text
from formparts.tolerances import VOLUME_REL

if TYPE_CHECKING:
    from formparts.checks import Finding
    from formparts.part import Part


def volume_row(part: Part) -> AuditRow:
    """The volume in closed form and from the blank: the audit that needs no solid kernel."""
    volume = part.volume
    methods = {"closed form": volume, "blank area": volume_by_blank(part.body, part.blank)}
    return AuditRow("volume_mm3", methods, VOLUME_REL * volume)


@takes(part="Part")
def report_page(part: Part) -> str:
    """
    Show a part on one page of HTML that needs no network: 3D view that folds, blank, tables, hand calculation.

    Parameters
    ----------
    part : Part
        The part; no solid is built of it. The file that `Part.write` makes has the audit of all methods as well.

    Returns
    -------
    str
        The page.

    Raises
    ------
    InputError
        The bend rule has no figure for a bend.
    """
    return page_text(part, audited=False)


def write_report(
    part: Part,
    path: str | os.PathLike[str],
    audited: bool = True,
    fea: Mapping[str, Any] | None = None,
    pictures: Sequence[Pictures] = (),
) -> Path:
    """
    Write the page of a part.

    Parameters
    ----------
    part : Part
        The part.
    path : path
        The file to write.
    audited : bool
        Whether it is audited, which needs the solid.
    fea : mapping, optional
        The figures of the part under load, as in its JSON.
    pictures : sequence of (bytes, bytes, tuple of bytes)
        For each load case a PNG of the deflected shape, one of the stress, and of every mode; none where it is empty.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The file cannot be written there.
    FileProofError
        An element was left open; nothing was delivered.
    """
    return delivered(path, page_text(part, audited, fea, pictures), _well_formed)[0]


class _Balance(HTMLParser):
    """Checks that every element opened in a page is closed."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        del attrs
        if tag not in ("meta", "input", "img", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            raise FileProofError("page", f"</{tag}> closes what was not opened")


def _well_formed(draft: Path) -> None:
    balance = _Balance()
    balance.feed(draft.read_text(encoding="utf-8"))
    if balance.open:
        raise FileProofError(str(draft), f"<{balance.open[-1]}> was left open")


def page_text(
    part: Part,
    audited: bool = True,
    fea: Mapping[str, Any] | None = None,
    pictures: Sequence[Pictures] = (),
) -> str:
    """Return the file, identical for the same part."""
    rows = part.audit() if audited else (volume_row(part),)
    picture = part.picture if audited else None
    loading = [] if fea is None else [_section("Under load", *loading_parts(fea, pictures))]
    return _page(part, [page_top(part, rows), element("main", *_parts(part, rows, picture, loading))])


def short_page(part: Part) -> str:
    """Only the 3D view and the figures, for a place inside another page."""
    view = element("section", *view_parts(), aria_label="The part", class_="view")
    return _page(
        part,
        [
            page_top(part, (volume_row(part),)),
            element("main", view, tables.figure_table(part), *_parameters(part)),
        ],
    )


def _page(part: Part, inside: Sequence[str]) -> str:
    return document(
        f"{part.body.name}: report", [*inside, *_foot(part)], [style(asset("page.css"))], policy=ALONE
    )


def page_top(part: Part, rows: Sequence[AuditRow]) -> Markup:
    """Return the title block: what a buyer asks for first."""
    shown = [element("div", element("dt", said(a)), element("dd", b)) for a, b in _title_cells(part)]
    return element("header", element("h1", said(part.body.name)), element("dl", *shown), _verdict(part, rows))


def _title_cells(part: Part) -> Iterator[tuple[str, Markup]]:
    sheet, figures, blank = part.sheet, part.properties, part.blank
    yield "material", said(f"{sheet.material.name}, {sheet.thickness:g} mm")
    yield "mass", said(mass_text(figures.mass))
    yield "envelope", said(" × ".join(f"{value:.1f}" for value in figures.envelope) + " mm")
    yield "blank", said(f"{blank.length:.2f} × {blank.width:.2f} mm")
    yield "cut length", said(f"{blank.cut_length:.1f} mm")
    yield "pierces", said(blank.pierces)
    yield "bends", said(_bending(part))
    yield "special", said(", ".join(special_words(part)) or "nothing")
    name = said(part.name if part.recipe is None else part.recipe.name)
    yield "recipe", element("a", name, href="#parameters") if part.parameters else name
    if date := date_shown():
        yield "date", said(date)


def _bending(part: Part) -> str:
    """Return the number of bends and of steps."""
    bends, steps = len(part.body.bends), len(part.plan.steps)
    if not bends or not part.plan.found:
        return str(bends)
    over = part.plan.cost[0]
    return f"{bends} in {steps} step{'' if steps == 1 else 's'}, turned over {over} ×"


def _verdict(part: Part, rows: Sequence[AuditRow]) -> Markup:
    """Return one line: can it be made, and do the methods agree."""
    counts = {
        word: sum(found.severity == word for found in part.findings())
        for word in ("error", "warning", "note")
    }
    agree = sum(row.agrees for row in rows)
    missed = sum(not each.within_tolerance for each in part.expected)
    bad = counts["error"] or missed or agree < len(rows)
    words = [
        ", ".join(f"{count} {word}{'' if count == 1 else 's'}" for word, count in counts.items()),
        f"{agree} of {len(rows)} audited figures agree",
    ]
    words += [f"{missed} figures of the drawing not met"] if missed else []
    return element("p", said("; ".join(words)), class_="verdict error" if bad else "verdict well")


def _parts(
    part: Part, rows: Sequence[AuditRow], picture: bytes | None, loading: Sequence[Markup] = ()
) -> list[str]:
    """Return the sections for the buyer, the setter and the checker, with links at the top."""
    findings = part.findings_with_fixes(errors_only=True)
    return [
        _ways(),
        *_for_the_buyer(part, findings, picture),
        *_for_the_setter(part),
        *_for_the_checker(part, rows, findings, loading),
    ]


def _ways() -> Markup:
    """Return links to the first section of each reader."""
    ways = (("To quote", "quote"), ("To bend", "bend"), ("To check", "check"))
    return element(
        "nav", *(element("a", said(word), href=f"#{name}") for word, name in ways), aria_label="For"
    )


def _for_the_buyer(part: Part, findings: Sequence[Finding], picture: bytes | None) -> list[str]:
    view = element("h2", said("The part")), *view_parts(picture)
    return [
        element("section", *view, aria_label="The part", class_="view", id="quote"),
        _section("The blank", blank_picture(part.body, part.numbered_blank, findings), _legend()),
        _section("Findings", finding_table(findings)),
        data_block("marks", finding_marks(findings)),
    ]


def _for_the_setter(part: Part) -> list[str]:
    bends = part.schedule()
    cautions = element("ul", *(element("li", said(each)) for each in CAUTIONS))
    return [
        _section("Bends", tables.bend_table(bends), tables.schedule_words(bends), name="bend"),
        *_press_brake(part),
        _section("Cautions", cautions),
    ]


def _for_the_checker(
    part: Part, rows: Sequence[AuditRow], findings: Sequence[Finding], loading: Sequence[Markup]
) -> list[str]:
    body, blank = part.body, part.numbered_blank
    figures = (
        _section("Figures", tables.figure_table(part), *tables.drawing_table(part.expected), name="check"),
        _section("Flats and openings", tables.piece_table(body)),
        *_parameters(part),
    )
    rules = tables.rule_table(rules_used(body.sheet, blank, findings, part.profile()))
    return [
        element("div", *figures, class_="beside"),
        *loading,
        _section("Audit", tables.audit_table(rows)),
        _section("Hand calculation", calculation_section(hand_calculation(body, blank)), kind="calculation"),
        _section("Rules and sources", rules),
    ]


def _parameters(part: Part) -> list[str]:
    """Return the parameters, and the command that opens them for changes."""
    if not part.parameters:
        return []
    shown = [tables.parameter_table(part.parameters, part.recipe)]
    if part.recipe is not None:
        command = element("code", said(shlex.join(("formparts", "watch", part.recipe.short_reference))))
        shown.append(element("p", said("To move them and see the part follow: "), command))
    return [_section("Parameters", *shown, name="parameters")]


def _press_brake(part: Part) -> list[str]:
    """Return the setter's sheet as a picture; nothing without a bend order."""
    from formparts.setter_sheets import setter_sheet, sheet_as_svg

    if not part.plan.steps:
        return []
    data = base64.b64encode(sheet_as_svg(setter_sheet(part.plan)).encode()).decode()
    words = f"The setter's sheet of {part.body.name}: {plan_words(part.plan)}"
    picture = Markup(f'<img class="sheet" src="data:image/svg+xml;base64,{data}" alt="{said(words)}">')
    own = element("p", said("The setter's sheet, a picture of each step, prints as a file of its own."))
    return [_section("At the press brake", picture, element("div", own, class_="on-paper"))]


def _section(title: str, *inside: str, name: str | None = None, kind: str | None = None) -> Markup:
    return element("section", element("h2", said(title)), *inside, id=name, class_=kind, aria_label=title)


def view_parts(picture: bytes | None = None) -> list[str]:
    """Return canvas, slider and buttons; a still picture replaces them on paper, or where there is no 3D view."""
    label = (
        "3D view of the part. Arrow keys turn it, plus and minus zoom, Home goes back; "
        "its pieces can be picked in the tables below."
    )
    return [
        element(
            "div",
            element("canvas", id="part", tabindex=0, role="application", aria_label=label),
            element("div", id="marked", aria_hidden="true"),
            class_="stage",
        ),
        '<img id="printed" alt="Picture of the part">',
        *([_still(picture)] if picture is not None else []),
        element("p", said("This browser shows no 3D view."), class_="missing"),
        element("div", *_controls(), class_="controls"),
        element("p", said(_HINT), id="readout", role="status", data_empty=_HINT),
    ]


_HINT = "Point at a piece, or tap it, to see its name and figures."


def _still(picture: bytes) -> str:
    from base64 import b64encode

    data = b64encode(picture).decode()
    return f'<img class="still" alt="Shaded picture of the part" src="data:image/png;base64,{data}">'


def _controls() -> list[str]:
    views = [
        element("button", said(word), type="button", data_view=view)
        for view, word in (("corner", "Corner"), ("top", "Top"), ("front", "Front"), ("side", "Side"))
    ]
    return [
        '<label for="fold">Fold</label><input id="fold" type="range" min="0" max="1000" value="1000">',
        element("output", id="fold-shown", for_="fold"),
        element("button", said("Fold"), type="button", id="play"),
        '<label><input id="single" type="checkbox"> step by step</label>',
        element("span", *views, class_="views", role="group", aria_label="Views"),
    ]


def _legend() -> Markup:
    """Return the line style of each bend direction."""
    line = '<svg class="blank sample" viewBox="0 -5 64 10" style="--letter:16px" aria-hidden="true">{}</svg>'
    words = (
        *(
            element("span", line.format(f'<line class="bend-line {side}" x2="64"/>'), said(words))
            for side, words in SIDE_WORDS.items()
        ),
        element("span", said("seen from the upper side; lengths in mm")),
    )
    return element("p", *words, class_="legend")


def _foot(part: Part) -> list[str]:
    return [
        data_block("model", folding_model(part.body, part.blank, part.plan)),
        data_block("figures", tables.piece_figures(part.body, part.blank)),
        script(*map(asset, VIEW_SCRIPTS)),
    ]
