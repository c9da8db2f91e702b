"""Findings drawn on a blank, numbered in order, as SVG and DXF."""

from __future__ import annotations

from pathlib import Path

from formparts.checks import Finding
from formparts.export.deliveries import delivery
from formparts.export.dxf import write_blank_dxf
from formparts.export.svg import write_blank_svg
from formparts.layout import Blank


def write_findings(
    blank: Blank, findings: tuple[Finding, ...], out: str | Path, stem: str, overwrite: bool = False
) -> tuple[Path, ...]:
    """
    Draw findings on a blank, numbered as they come, as SVG and DXF.

    Parameters
    ----------
    blank : Blank
        The blank.
    findings : tuple of Finding
        What to draw; what has no place on the blank is in the list below it.
    out : path
        Folder for the files; made when it is not there.
    stem : str
        What the files' names begin with.
    overwrite : bool
        Replace files whoever wrote them.

    Returns
    -------
    tuple of Path

    Raises
    ------
    InputError
        A file cannot be written.
    FileProofError
        A file did not read back as what was meant.
    """
    names = findings_names(stem)
    with delivery(out, "check", names, overwrite) as drafts:
        write_blank_svg(blank, drafts / names[0], findings=findings)
        write_blank_dxf(blank, drafts / names[1], findings=findings)
    return tuple(Path(out, name) for name in names)


def findings_names(stem: str) -> list[str]:
    """Names of the files that findings are drawn in."""
    return [f"{stem}-findings.svg", f"{stem}-findings.dxf"]
