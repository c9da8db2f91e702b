"""The papers: the setter's sheet, and JSON and report, which list all other files and are written last."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.writers.table import writer

if TYPE_CHECKING:
    from formparts.fea import Study
    from formparts.part import Part


@writer(
    "-setter.pdf", "setter", "the setter's sheet: steps, tools, stops, what will come out", by_default=False
)
def write_setter(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write the setter's sheet of the part's plan."""
    from formparts.setter_sheets import setter_sheet, write_setter_sheet

    del options
    write_setter_sheet(setter_sheet(part.plan), path)


@writer(".html", "report", "one page: 3D view that folds, all figures, hand calculation", ("audited", "study"),
        by_default=False, rank=8)  # fmt: skip
def write_page(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write the report."""
    from formparts.report.html import write_report

    study = options.get("study")
    solutions = () if study is None else study.solutions
    pictures = [(each.picture, each.stress_picture, each.mode_pictures) for each in solutions]
    write_report(part, path, options.get("audited", True), _figures(study), pictures)


@writer(".json", "json", "every figure with its unit, for programs", ("audited", "study"), rank=9)
def write_figures(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write the figures."""
    from formparts.export import write_json
    from formparts.records import record

    write_json(record(part, options.get("audited", True), _figures(options.get("study"))), path)


def _figures(study: Study | None) -> dict[str, Any] | None:
    """The figures of the part under load, if it was studied."""
    if study is None:
        return None
    from formparts.fea import study_record

    return study_record(study)
