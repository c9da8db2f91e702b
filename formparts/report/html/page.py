"""The whole page: one file that needs no network."""

from __future__ import annotations

import base64
import os
from collections.abc import Mapping, Sequence
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
from formparts.report.html.loading import Pictures, loading_parts
from formparts.report.html.reckoning import calculation_section
from formparts.report.html.shapes import folding_model
from formparts.report.html.shell import ALONE, VIEW_SCRIPTS, asset, document, script, style
from formparts.report.html.tags import Markup, data_block, element, said
from formparts.report.rules_used import rules_used
from formparts.report.summary import mass_text
from formparts.tolerances import VOLUME_REL

if TYPE_CHECKING:
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
        Where the file is to stand.
    audited : bool
        Whether it is audited, which needs the solid.
    fea : mapping, optional
        The figures of the part under load, as they stand in its JSON.
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
    """Follows the elements of a page: what is opened is closed."""

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
    """The whole file, the same for the same part."""
    rows = part.audit() if audited else (volume_row(part),)
    picture = part.picture if audited else None
    loading = [] if fea is None else [_section("Under load", *loading_parts(fea, pictures))]
    return _page(part, [page_top(part, rows), element("main", *_parts(part, rows, picture, loading))])


def short_page(part: Part) -> str:
    """Only the 3D view and the figures, for a place inside another page."""
    view = element("section", *view_parts(), aria_label="The part", class_="view")
    return _page(
        part, [page_top(part, (volume_row(part),)), element("main", view, tables.figure_table(part))]
    )


def _page(part: Part, inside: Sequence[str]) -> str:
    return document(
        f"{part.body.name}: report", [*inside, *_foot(part)], [style(asset("page.css"))], policy=ALONE
    )


def page_top(part: Part, rows: Sequence[AuditRow]) -> Markup:
    """The title block."""
    sheet, figures, blank = part.sheet, part.properties, part.blank
    cells = (
        ("material", f"{sheet.material.name}, {sheet.thickness:g} mm"),
        ("mass", mass_text(figures.mass)),
        ("envelope", " × ".join(f"{value:.1f}" for value in figures.envelope) + " mm"),
        ("blank", f"{blank.length:.2f} × {blank.width:.2f} mm"),
        ("bends", str(len(part.body.bends))),
        ("recipe", part.name if part.recipe is None else part.recipe.name),
        *((("date", date),) if (date := date_shown()) else ()),
    )
    shown = [element("div", element("dt", said(a)), element("dd", said(b))) for a, b in cells]
    return element("header", element("h1", said(part.body.name)), element("dl", *shown), _verdict(part, rows))


def _verdict(part: Part, rows: Sequence[AuditRow]) -> Markup:
    """One line: may it be made, and do the methods agree."""
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
    body, blank, bends = part.body, part.numbered_blank, part.schedule()
    findings = part.findings_with_fixes(errors_only=True)
    calculation = calculation_section(hand_calculation(body, blank))
    return [
        element(
            "section",
            element("h2", said("The part")),
            *view_parts(picture),
            aria_label="The part",
            class_="view",
        ),
        _section("The blank", blank_picture(body, blank, findings), _legend()),
        _section("Findings", tables.finding_table(findings)),
        _section("Bends", tables.bend_table(bends), tables.schedule_words(bends)),
        *_press_brake(part),
        _section("Flats and openings", tables.piece_table(body)),
        _section("Figures", tables.figure_table(part), *tables.drawing_table(part.expected)),
        *(
            [_section("Parameters", tables.parameter_table(part.parameters, part.recipe))]
            if part.parameters
            else []
        ),
        *loading,
        _section("Audit", tables.audit_table(rows)),
        _section("Hand calculation", calculation),
        _section(
            "Rules and sources", tables.rule_table(rules_used(body.sheet, blank, findings, part.profile()))
        ),
        _section("Cautions", element("ul", *(element("li", said(each)) for each in CAUTIONS))),
    ]


def _press_brake(part: Part) -> list[str]:
    """The setter's sheet as a picture; nothing where there is no order."""
    from formparts.setter_sheets import setter_sheet, sheet_as_svg

    if not part.plan.steps:
        return []
    data = base64.b64encode(sheet_as_svg(setter_sheet(part.plan)).encode()).decode()
    words = f"The setter's sheet of {part.body.name}: {plan_words(part.plan)}"
    picture = Markup(f'<img class="sheet" src="data:image/svg+xml;base64,{data}" alt="{said(words)}">')
    return [_section("At the press brake", picture)]


def _section(title: str, *inside: str) -> Markup:
    return element("section", element("h2", said(title)), *inside, aria_label=title)


def view_parts(picture: bytes | None = None) -> list[str]:
    """Canvas, slider and buttons; a still picture stands in on paper, or where there is no 3D view."""
    label = (
        "3D view of the part. Arrow keys turn it, plus and minus zoom, Home goes back; "
        "its pieces can be picked in the tables below."
    )
    return [
        element("canvas", id="part", tabindex=0, role="application", aria_label=label),
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
    words = (
        *(
            element("span", element("span", class_=f"sample {side}"), said(words))
            for side, words in SIDE_WORDS.items()
        ),
        element("span", said("seen from the upper side; lengths in mm")),
    )
    return element("p", *words, class_="legend")


def _foot(part: Part) -> list[str]:
    return [
        data_block("model", folding_model(part.body, part.blank, part.plan.ordered)),
        data_block("figures", tables.piece_figures(part.body, part.blank)),
        script(*map(asset, VIEW_SCRIPTS)),
    ]
