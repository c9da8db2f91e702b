"""From a recipe to all its files: the whole way once, in one function."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from formparts import __version__
from formparts.audits import AuditRow, audit
from formparts.blanks import blank
from formparts.body import Body
from formparts.checks import Finding, findings
from formparts.closed_forms import Properties, properties
from formparts.errors import FileProofError, FormpartsError, InputError
from formparts.expect import Expectation, Expected, compared
from formparts.export import (
    DXF_VERSIONS,
    STEP_SCHEMAS,
    StepFacts,
    delivery,
    mesh_volumes,
    require_free,
    write_blank_dxf,
    write_blank_svg,
    write_json,
    write_schedule,
)
from formparts.export.files import is_device
from formparts.export.step import delivered_step
from formparts.fixes import with_fixes
from formparts.kernel import measured
from formparts.layout import Blank
from formparts.quantities import shown_value
from formparts.records import record
from formparts.report import write_picture
from formparts.report.html import write_report
from formparts.schedules import Schedule, schedule
from formparts.solids import Solid, solid
from formparts.unfolder import unfold

if TYPE_CHECKING:
    from formparts.fea import FeaOrder, Study
    from formparts.recipe_functions import Recipe

FILES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "solid": (".step",),
        "blank": ("-blank.dxf", "-blank.svg"),
        "picture": (".png",),
        "bends": ("-bends.csv",),
        "json": (".json",),
    }
)
"""What is written, and how the names of its files end."""

ON_DEMAND: Mapping[str, tuple[str, ...]] = MappingProxyType({"report": (".html",)})
"""What is written only when it is asked for."""
_ALL = {**FILES, **ON_DEMAND}


@dataclass(frozen=True)
class Made:
    """
    A part, all that is known of it, and its files.

    Parameters
    ----------
    recipe : str
        Name of the recipe.
    parameters : mapping of str to float, int, str or bool [house unit]
        All parameters.
    body : Body
        The part.
    figures : Properties
        Volume, mass, surface, centroid, envelope.
    blank : Blank
        The flat part.
    audit : tuple of AuditRow
        Independent methods to the same figures.
    findings : tuple of Finding
        What the checks say.
    expected : tuple of Expected
        Figures of the drawing, beside our own.
    schedule : Schedule
        The bend schedule.
    files : tuple of Path
        What was written.
    fea : Study, optional
        The part under load, when that was asked for.
    fea_refused : FormpartsError, optional
        Why there is no study though one was asked for; all other files are there.
    """

    recipe: str
    parameters: Mapping[str, Any]
    body: Body
    figures: Properties
    blank: Blank
    audit: tuple[AuditRow, ...]
    findings: tuple[Finding, ...]
    expected: tuple[Expected, ...]
    schedule: Schedule
    files: tuple[Path, ...]
    fea: Study | None = None
    fea_refused: FormpartsError | None = None

    @property
    def ok(self) -> bool:
        """True when no finding is an error, all methods agree, and the drawing's figures are met."""
        return (
            self.fea_refused is None
            and all(finding.severity != "error" for finding in self.findings)
            and all(row.agrees for row in self.audit)
            and all(figure.within_tolerance for figure in self.expected)
        )


def make(
    recipe: Recipe,
    out: str | Path = "out",
    expect: tuple[Expectation, ...] = (),
    dxf_version: str = "R2000",
    step_schema: str = "AP214",
    only: tuple[str, ...] = tuple(FILES),
    stem: str = "",
    fea: FeaOrder | None = None,
    overwrite: bool = False,
    /,
    **values: object,
) -> Made:
    """
    Build a part and write its files: STEP, blank as DXF and SVG, picture, bend schedule, and all figures as JSON.

    The files are delivered as a whole, when each of them is proved: all of the new, or all of the old. What
    formparts did not write is never replaced, nor is what was changed since.

    Parameters
    ----------
    recipe : Recipe
        What to build.
    out : path
        Folder for the files; made when it is not there.
    expect : tuple of Expectation
        Figures of the drawing to compare with.
    dxf_version : str
        Version of the DXF file.
    step_schema : "AP214" or "AP242"
        Application protocol of the STEP file.
    only : tuple of str
        Which of FILES, and of ON_DEMAND, to write; without the solid there is no audit.
    stem : str
        What the files' names begin with; the recipe's name when none is given.
    fea : FeaOrder, optional
        A mesh and a deck as well, solved when it asks for that.
    overwrite : bool
        Replace files whoever wrote them.
    **values : object [house unit]
        Parameters of the recipe: numbers in mm and deg, text with a unit, or pint quantities.

    Returns
    -------
    Made

    Raises
    ------
    InputError
        A parameter is bad, the part cannot be built with it, or a file cannot be written, as where one of that name
        stands that formparts did not write.
    FileProofError
        A file did not read back as what was meant.
    KernelError
        The solid kernel failed.
    """
    check_versions(dxf_version, step_schema)
    stem = _plain_name(stem or recipe.name)
    parameters, names = recipe.resolved(**values), file_names(stem, only, fea)
    require_free(out, "make", names, overwrite)
    body = recipe(**values)
    studied, refused = _studied(body, fea)
    with delivery(out, "make", names, overwrite) as drafts:
        made = made_in(
            drafts, recipe, parameters, body, studied, expect, dxf_version, step_schema, only, stem
        )
    return replace(made, files=tuple(Path(out, path.name) for path in made.files), fea_refused=refused)


def made_in(
    folder: Path,
    recipe: Recipe,
    parameters: Mapping[str, Any],
    body: Body,
    studied: Study | None,
    expect: tuple[Expectation, ...],
    dxf_version: str,
    step_schema: str,
    only: tuple[str, ...],
    stem: str,
) -> Made:
    """Write the files of a part into a folder that is ours alone."""
    figures, flat = properties(body), blank(body)
    checked = with_fixes(recipe, parameters, findings(body, flat), worst_only=True)
    compare, bends = compared(expect, figures, flat), schedule(body, flat)
    files = {end: folder / f"{stem}{end}" for kind in _known(only) for end in _ALL[kind]}
    if "blank" in only:
        write_blank_dxf(flat, files["-blank.dxf"], dxf_version)
        write_blank_svg(flat, files["-blank.svg"])
    if "bends" in only:
        write_schedule(bends, files["-bends.csv"])
    facts = _facts(recipe.name, parameters, body, figures)
    rows = _solid_files(body, figures, flat, files, step_schema, facts)
    written = (*files.values(), *_fea_files(studied, folder / stem))
    made = Made(recipe.name, parameters, body, figures, flat, rows, checked, compare, bends, written, studied)
    _papers(made, recipe, files)
    return made


def _papers(made: Made, recipe: Recipe, files: Mapping[str, Path]) -> None:
    """Write what tells of all the rest, when it is asked for: page and JSON."""
    extra = None if made.fea is None else _fea_figures(made.fea)
    if ".html" in files:
        picture = files[".png"].read_bytes() if ".png" in files else None
        found = () if made.fea is None else made.fea.solutions
        pictures = [(each.picture, each.stress_picture) for each in found]
        write_report(made, files[".html"], recipe, picture, extra, pictures)
    if ".json" in files:
        write_json(record(made, extra), files[".json"])


def file_names(stem: str, only: tuple[str, ...] = tuple(FILES), fea: FeaOrder | None = None) -> list[str]:
    """Names of all files that `make` writes."""
    ends = [end for kind in _known(only) for end in _ALL[kind]]
    if fea is not None:
        from formparts.fea.studies import file_endings

        ends += file_endings(fea)
    return [f"{stem}{end}" for end in ends]


def _studied(body: Body, order: FeaOrder | None) -> tuple[Study | None, FormpartsError | None]:
    """The study that was asked for, or why there is none: the part's other files are delivered all the same."""
    if order is None:
        return None, None
    from formparts.fea import study

    try:
        return study(body, order), None
    except (InputError, FileProofError) as refused:
        return None, refused


def _fea_files(studied: Study | None, base: Path) -> tuple[Path, ...]:
    """Write the files of a study, if there is one."""
    if studied is None:
        return ()
    from formparts.fea import write_study

    return write_study(studied, base.with_name(f"{base.name}-{studied.mesh.kind}"))


def _fea_figures(studied: Study) -> dict[str, Any]:
    from formparts.fea import study_record

    return study_record(studied)


def check_versions(dxf_version: str, step_schema: str) -> None:
    """Refuse a version that is not written, before anything is."""
    for name, given, known in (("dxf", dxf_version, DXF_VERSIONS), ("step", step_schema, STEP_SCHEMAS)):
        if given not in known:
            fix = f"choose of {', '.join(known)}"
            raise InputError("make", name, given, "is not a version that is written", fix)


def _plain_name(stem: str) -> str:
    """What files' names begin with; one that would lead out of their folder, on any system, is refused."""
    if not isinstance(stem, str) or stem in (".", "..") or re.search(r"[/\\:\0]", stem) or is_device(stem):
        problem = "is not a plain name: files would leave the folder"
        raise InputError("make", "stem", shown_value(stem), problem, "give a name without /, \\ and :")
    return stem


def _known(only: tuple[str, ...]) -> tuple[str, ...]:
    """What is to be written, in one order; an unknown word is refused."""
    unknown = [word for word in only if word not in _ALL]
    if unknown:
        raise InputError("make", "only", unknown[0], "there is no such file", f"choose of: {', '.join(_ALL)}")
    return tuple(word for word in _ALL if word in only)


def _facts(recipe: str, parameters: Mapping[str, Any], body: Body, figures: Properties) -> StepFacts:
    """What the STEP file says of itself."""
    return StepFacts(
        figures.volume,
        figures.surface,
        figures.centroid,
        body.sheet.material.name,
        body.sheet.material.density,
        recipe,
        parameters,
        __version__,
    )


def _solid_files(
    body: Body,
    figures: Properties,
    flat: Blank,
    files: Mapping[str, Path],
    step_schema: str,
    facts: StepFacts,
) -> tuple[AuditRow, ...]:
    """Write the files that need a solid, and compare the methods when there is a STEP file to be read back."""
    if not {".step", ".png"} & files.keys():
        return ()
    colour = body.sheet.material.colour
    if ".png" in files:
        write_picture(body, files[".png"], colour)
    if ".step" not in files:
        return ()
    whole = solid(body)
    _, read_back = delivered_step(
        whole, files[".step"], schema=step_schema, colour=colour, volume=figures.volume, facts=facts
    )
    unfolded = _unfolded(body, whole)
    return audit(body, figures, flat, measured(whole.shape), read_back, unfolded, mesh_volumes(body, whole))


def _unfolded(body: Body, whole: Solid) -> Blank:
    """The other method to the blank: from the solid, laid where the model's blank lies."""
    frame = (body.frame.origin, body.frame.x, body.frame.z)
    return unfold(whole, body.sheet.bend_rule, fixed=body.flats[0].name, frame=frame).blank
