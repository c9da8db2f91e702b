"""A recipe held against all rules, with the fixes, and the findings drawn on its blank."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from formparts.bending import BendRule
from formparts.bending import bend_rule as as_bend_rule
from formparts.blanks import blank
from formparts.body import Body
from formparts.checks import GENERAL, Finding, LimitProfile, blank_findings, findings, limit_profile
from formparts.closed_forms import properties
from formparts.expect import Expectation, compared
from formparts.export import delivery, require_free, write_blank_dxf, write_blank_svg
from formparts.fixes import with_fixes
from formparts.layout import Blank
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.recipe_functions import Recipe


@dataclass(frozen=True)
class Checked:
    """
    What all rules say of a part.

    Parameters
    ----------
    name : str
        Name of the recipe, or of the file that was unfolded.
    profile : str
        Name of the limits that it was held against.
    parameters : mapping of str to float, int, str or bool [house unit]
        All parameters of the recipe in house units; none of a file.
    body : Body or None
        The part; none of a file.
    blank : Blank
        Its blank.
    findings : tuple of Finding
        Errors first, then warnings, then notes; each with its fix.
    files : tuple of Path
        What was written.
    """

    name: str
    profile: str
    parameters: Mapping[str, Any]
    body: Body | None
    blank: Blank
    findings: tuple[Finding, ...]
    files: tuple[Path, ...] = ()

    @property
    def ok(self) -> bool:
        """True when no finding is an error."""
        return all(finding.severity != "error" for finding in self.findings)


def check(
    recipe: Recipe,
    profile: LimitProfile | None = None,
    expect: tuple[Expectation, ...] = (),
    out: str | Path | None = None,
    overwrite: bool = False,
    /,
    **values: object,
) -> Checked:
    """
    Hold a recipe against all rules, and seek the changes that would clear what they find.

    Parameters
    ----------
    recipe : Recipe
        What to check.
    profile : LimitProfile, optional
        What it is held against; `thin sheet general` when none is given.
    expect : tuple of Expectation
        Figures of the drawing.
    out : path, optional
        Folder for the blank with the findings on it, as SVG and DXF; nothing is written when none is given.
    overwrite : bool
        Replace files whoever wrote them.
    **values : object [house unit]
        Parameters of the recipe: numbers in mm and deg, text with a unit, or pint quantities.

    Returns
    -------
    Checked

    Raises
    ------
    InputError
        A parameter is bad, the part cannot be built with it, or a file cannot be written.
    FileProofError
        A file did not read back as what was meant.
    """
    limits = profile or limit_profile(GENERAL)
    parameters = recipe.resolved(**values)
    _require_free(out, recipe.name, overwrite)
    body = recipe(**values)
    flat = blank(body)
    figures = compared(expect, properties(body), flat) if expect else ()
    found = with_fixes(recipe, parameters, findings(body, flat, limits, figures), limits, expect)
    files = () if out is None else drawn_findings(flat, found, out, recipe.name, overwrite)
    return Checked(recipe.name, limits.name, parameters, body, flat, found, files)


def check_step(
    path: str | Path,
    material: Material | str | None = None,
    bend_rule: BendRule | str | float = 0.44,
    profile: LimitProfile | None = None,
    out: str | Path | None = None,
    overwrite: bool = False,
) -> Checked:
    """
    Unfold the solid of a STEP file, whoever made it, and hold its blank against all rules that need no body.

    Parameters
    ----------
    path : path
        The STEP file.
    material : Material or str, optional
        What it is made of; without it nothing is said of radius and force.
    bend_rule : BendRule, str or float [-]
        Gives the developed length of each bend: a rule, its name, or a K-factor.
    profile : LimitProfile, optional
        What it is held against; `thin sheet general` when none is given.
    out : path, optional
        Folder for the blank with the findings on it, as SVG and DXF; nothing is written when none is given.
    overwrite : bool
        Replace files whoever wrote them.

    Returns
    -------
    Checked
        Its findings carry advice and no figures of a recipe.

    Raises
    ------
    InputError
        The file cannot be read or unfolded, the material or the rule is not known, or a file cannot be written.
    FileProofError
        A file did not read back as what was meant.
    """
    from formparts.unfolder import read_solid, unfold

    limits = profile or limit_profile(GENERAL)
    grade = find_material(material) if isinstance(material, str) else material
    rule = as_bend_rule(bend_rule)
    _require_free(out, Path(path).stem, overwrite)
    unfolded = unfold(read_solid(path), rule)
    found = blank_findings(unfolded.blank, grade, limits)
    files = () if out is None else drawn_findings(unfolded.blank, found, out, Path(path).stem, overwrite)
    return Checked(unfolded.name, limits.name, {}, None, unfolded.blank, found, files)


FINDINGS: Final = ("-findings.svg", "-findings.dxf")
"""How the names of the drawn findings end."""


def _require_free(out: str | Path | None, stem: str, overwrite: bool) -> None:
    if out is not None:
        require_free(out, "check", [f"{stem}{end}" for end in FINDINGS], overwrite)


def drawn_findings(
    flat: Blank, found: tuple[Finding, ...], out: str | Path, stem: str, overwrite: bool = False
) -> tuple[Path, ...]:
    """
    Draw findings on a blank, numbered as they come, as SVG and DXF.

    Parameters
    ----------
    flat : Blank
        The blank.
    found : tuple of Finding
        What to draw; what has no place on the blank stands in the list below it.
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
    names = [f"{stem}{end}" for end in FINDINGS]
    with delivery(out, "check", names, overwrite) as drafts:
        write_blank_svg(flat, drafts / names[0], findings=found)
        write_blank_dxf(flat, drafts / names[1], findings=found)
    return tuple(Path(out, name) for name in names)
