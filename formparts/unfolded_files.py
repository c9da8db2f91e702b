"""From anybody's STEP file to its blank, with the figures and files that `make` writes for a recipe."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from formparts.arguments import takes
from formparts.audits import AuditRow
from formparts.bending import BendRule
from formparts.bending import bend_rule as as_bend_rule
from formparts.bending.rules import HemsApart, rule_apart
from formparts.checks import Finding, LimitProfile, blank_findings
from formparts.checks.finding import worst_first
from formparts.closed_forms import CUBIC_MM_PER_CUBIC_M
from formparts.errors import FormpartsError, InputError
from formparts.export import delivery, require_free, write_blank_dxf, write_blank_svg, write_json
from formparts.kernel import KernelMeasures, measured
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.outline import problem
from formparts.records import unfolded_record
from formparts.short_repr import short_repr
from formparts.tolerances import VOLUME_FIT, VOLUME_REL
from formparts.unfolder import StepSolid, Unfolded, read_solid, unfold
from formparts.unfolder.reading import has_free_form, only_solid


@short_repr
@dataclass(frozen=True)
class UnfoldedFile:
    """A STEP file, the findings in it, and the files written.

    Parameters
    ----------
    path : Path
        The STEP file.
    unit : str
        Unit of length in which it is written.
    found : Unfolded
        Thickness, flats, bends, blank, volume, notes.
    bend_rule : BendRule
        What gave the developed lengths.
    material : Material or None
        The material, if given.
    solid : KernelMeasures
        What the kernel measures on it.
    envelope : (x, y, z) [mm]
        Sides of the box along the axes of the file.
    audit : tuple of AuditRow
        The volume by two methods; none where only the kernel knows it.
    findings : tuple of Finding
        What the checks say of the blank.
    files : tuple of Path
        What was written.
    count : int [-]
        How often the part occurs in the file.
    colour : str
        As #rrggbb, where the file gives one.
    """

    path: Path
    unit: str
    found: Unfolded
    bend_rule: BendRule
    material: Material | None
    solid: KernelMeasures
    envelope: tuple[float, float, float]
    audit: tuple[AuditRow, ...]
    findings: tuple[Finding, ...]
    files: tuple[Path, ...]
    count: int = 1
    colour: str = ""

    @property
    def mass(self) -> float | None:
        """Volume times density [kg], if the material is given."""
        if self.material is None:
            return None
        return self.found.volume / CUBIC_MM_PER_CUBIC_M * self.material.density

    @property
    def ok(self) -> bool:
        """True when the methods agree and no finding is an error."""
        clear = all(finding.severity != "error" for finding in self.findings)
        return clear and all(row.agrees for row in self.audit)


@takes(
    path=("str", "Path"),
    out=("str", "Path", "None"),
    material=("Material", "str", "None"),
    dxf_version="str",
    fixed=("str", "None"),
    limits=("LimitProfile", "None"),
)
def unfold_file(
    path: str | Path,
    out: str | Path | None = None,
    *,
    material: Material | str | None = None,
    bend_rule: BendRule | str | float = 0.44,
    dxf_version: str = "R2000",
    fixed: str | None = None,
    up: tuple[float, float, float] | None = None,
    solid: str | None = None,
    inside_radius: float | None = None,
    overwrite: bool = False,
    limits: LimitProfile | None = None,
) -> UnfoldedFile:
    """
    Unfold one solid of a STEP file, whoever made it, and write its blank and figures.

    Parameters
    ----------
    path : path
        The STEP file, in mm or inches.
    out : path, optional
        Folder for the blank as DXF and SVG and for the figures as JSON, or for a picture of what is refused; nothing is
        written when none is given.
    material : Material or str, optional
        What it is made of; without it there is no mass, and radius and force are not checked.
    bend_rule : BendRule, str or float [-]
        Gives the developed length of each bend: a rule, its name, a CSV of your own, or a K-factor.
    dxf_version : str
        Version of the DXF file.
    fixed : str, optional
        Name of the flat that stays put; the largest when none is given.
    up : (x, y, z) [-], optional
        Direction in space of the side that faces up on the blank.
    solid : str, optional
        Name of the solid, where the file holds several.
    inside_radius : float, optional [mm]
        Inside radius of bends that are drawn without one; one thickness if none is given.
    overwrite : bool
        Replace files whoever wrote them.
    limits : LimitProfile, optional
        What the blank is checked against; `thin sheet general` when none is given.

    Returns
    -------
    UnfoldedFile

    Raises
    ------
    InputError
        The file cannot be read or unfolded (the error states why and where), or a name or a rule is not known.
    FileProofError
        A file did not read back as what was meant.
    """
    if out is not None:
        require_free(out, "unfold", [place.name for place in _places(Path(path).stem, out)], overwrite)
    read = read_solid(path, solid=solid)
    told = (dxf_version, fixed, up, inside_radius, overwrite, limits)
    how = Wishes(as_bend_rule(bend_rule), _grade(material), *told)
    return unfolded_solid(Path(path), read, out, Path(path).stem, how)


def _grade(material: Material | str | None) -> Material | None:
    return find_material(material) if isinstance(material, str) else material


@dataclass(frozen=True)
class Wishes:
    """Options for unfolding a solid and writing its files."""

    bend_rule: BendRule
    material: Material | None = None
    dxf_version: str = "R2000"
    fixed: str | None = None
    up: tuple[float, float, float] | None = None
    inside_radius: float | None = None
    overwrite: bool = False
    limits: LimitProfile | None = None


def unfolded_solid(
    path: Path, read: StepSolid, out: str | Path | None, stem: str, how: Wishes
) -> UnfoldedFile:
    """Unfold a solid that was read, and write its files under a stem."""
    rule = HemsApart(how.bend_rule)
    try:
        found = unfold(read, rule, fixed=how.fixed, up=how.up, inside_radius=how.inside_radius)
    except InputError as refusal:
        raise _pictured(read, refusal, out, stem, how.overwrite) from None
    has_hem = any(rule_apart(bend.angle, bend.inside_radius) for bend in found.bends)
    shape = only_solid(read)
    free_form = has_free_form(shape)
    measures = measured(shape, closely=free_form)
    # A blank that cannot be cut gets no cutting file: the finding states why, and the figures are written all the same.
    cuttable = bool(found.blank.overlaps) or problem(found.blank.outline) is None
    files = _places(stem, out)[0 if cuttable else -1 :]
    made = UnfoldedFile(
        path,
        read.unit,
        found,
        rule if has_hem else how.bend_rule,
        how.material,
        measures,
        _sides(shape),
        _volumes(found, measures, free_form),
        as_drawn(blank_findings(found.blank, how.material, how.limits)),
        files,
        read.count,
        read.colour,
    )
    if out is not None:
        names = [place.name for place in files]
        with delivery(out, "unfold", names, how.overwrite) as drafts:
            if cuttable:
                write_blank_dxf(found.blank, drafts / names[0], how.dxf_version, notes=True)
                write_blank_svg(found.blank, drafts / names[1])
            write_json(unfolded_record(made), drafts / names[-1])
    return made


def _pictured(
    read: StepSolid, refusal: InputError, out: str | Path | None, stem: str, overwrite: bool
) -> InputError:
    """Return the error, with a picture of the solid beside it where the error names a place."""
    from formparts.refused_pictures import refused_picture

    if out is None:
        return refusal
    name = f"{stem}-refused.png"
    with suppress(FormpartsError):  # what cannot be drawn or written is refused all the same
        drawn = refused_picture(read, refusal)
        if drawn is not None:
            with delivery(out, "unfold", [name], overwrite) as drafts:
                (drafts / name).write_bytes(drawn)
            where, parameter, value, problem, fix, unit = refusal.args
            shown = f"{fix}; {Path(out, name)} shows the place"
            return type(refusal)(where, parameter, value, problem, shown, unit)
    return refusal


WIDTH_OF_CUT = frozenset({"narrow-cut", "narrow-web", "opening-near-opening", "opening-near-edge"})
"""Findings that are errors where less is drawn than the cut is wide."""


def as_drawn(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """
    Return the findings with none as an error for the width of the cut alone.

    The part's designer may use another cutting process than assumed here, so its width of cut is for the
    designer to judge.
    """
    return worst_first(
        tuple(
            replace(finding, severity="warning", fix=f"cut it with a finer tool, or {finding.fix}")
            if finding.severity == "error" and finding.code in WIDTH_OF_CUT
            else finding
            for finding in findings
        )
    )


def _places(stem: str, out: str | Path | None) -> tuple[Path, ...]:
    """Where the files of a solid go."""
    if out is None:
        return ()
    ends = ("-unfolded.dxf", "-unfolded.svg", "-unfolded.json")
    return tuple(Path(out, f"{stem}{end}") for end in ends)


def _volumes(found: Unfolded, solid: KernelMeasures, free_form: bool) -> tuple[AuditRow, ...]:
    """
    The unfolder's own volume, from the edges of the faces, beside the kernel's.

    Free-form faces and edges are recognised within RECOGNISED, and edges may lie off their faces, so that the two
    agree less closely. No row where the unfolder asked the kernel itself, and none where faces are splines, over
    which the kernel's integral is off by percents.
    """
    if found.volume_by != "unfolder":
        return ()
    methods = {"unfolder": found.volume, "solid": solid.volume}
    close = (VOLUME_FIT if free_form else VOLUME_REL) * abs(solid.volume) + found.loose_by * solid.surface
    return (AuditRow("volume_mm3", methods, close),)


def _sides(shape: Any) -> tuple[float, float, float]:
    """Sides of the box round a solid, along the axes of its file."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return (high.X() - low.X(), high.Y() - low.Y(), high.Z() - low.Z())
