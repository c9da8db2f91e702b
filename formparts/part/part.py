"""Part: a body, its origin, and every figure of it, each computed once."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, TypeVar

from formparts.body import Bend, Body
from formparts.errors import InputError
from formparts.part.drawn import drawn
from formparts.part.figures import Figures
from formparts.part.openings import OpeningPlace, opening_places
from formparts.quantities import LengthLike, shown_value

if TYPE_CHECKING:
    from trimesh import Trimesh

    from formparts.audits import AuditRow
    from formparts.checks import Finding, LimitProfile
    from formparts.drawings import Drawing, TitleData
    from formparts.expect import Expectation, Expected
    from formparts.fea import FeaOrder, Study
    from formparts.layout import Blank
    from formparts.planning import BendPlan
    from formparts.recipe_functions import Recipe
    from formparts.schedules import Schedule
    from formparts.solids import Solid

Worked = TypeVar("Worked")


@dataclass(frozen=True, eq=False, repr=False)
class Part(Figures):
    """
    A formed part in hand: closed forms, blank, solid, checks and files, each worked out when it is first asked for.

    Parameters
    ----------
    body : Body
        Its flats and bends.
    recipe : Recipe, optional
        The recipe that made it; without one nothing is varied to find fixes.
    parameters : mapping of str to float, int, str or bool [house unit]
        Parameters of the recipe, as `recipe.resolved` gives them.
    expectations : tuple of Expectation
        Figures of the drawing that the part is compared with.
    limits : str or LimitProfile
        The limits that it is checked against by default.
    fix_budget : float [s]
        Processor time that the search for fixes takes at most.

    Raises
    ------
    InputError
        The body is not a Body, or the recipe gives a tolerance of position to an opening that is not there.
    """

    body: Body
    recipe: Recipe | None = None
    parameters: Mapping[str, Any] = field(default_factory=dict)
    expectations: tuple[Expectation, ...] = ()
    limits: str | LimitProfile = "thin sheet general"
    fix_budget: float = 2.0
    _kept: dict[Any, Any] = field(default_factory=dict, init=False)

    def __post_init__(self) -> None:
        body: object = self.body
        if not isinstance(body, Body):
            problem = f"is of type {type(body).__name__}"
            raise InputError("Part", "body", shown_value(body), problem, "a Body is wanted")
        object.__setattr__(self, "parameters", MappingProxyType(dict(self.parameters)))
        if self.recipe is not None and self.recipe.title.get("position"):
            from formparts.drawings.listing import require_positions

            require_positions(self.body, self.recipe.title["position"])

    def __repr__(self) -> str:
        sheet, count = self.body.sheet, len(self.body.bends)
        stock = f"{sheet.material.name}, {sheet.thickness:g} mm"
        return f"Part({self.name!r}, {stock}, {count} bend{'' if count == 1 else 's'}, {self.mass:.4g} kg)"

    def _repr_html_(self) -> str:
        """Show the folding view in a notebook."""
        from formparts.report.html import notebook_view

        return notebook_view(self)

    def with_limits(self, limits: str | LimitProfile) -> Part:
        """The same part, checked against other limits."""
        return replace(self, limits=limits)

    def with_expectations(self, *expectations: Expectation) -> Part:
        """The same part, compared with figures of the drawing."""
        return replace(self, expectations=expectations)

    def with_fix_budget(self, seconds: float) -> Part:
        """The same part; the search for fixes takes so much processor time at most [s]."""
        return replace(self, fix_budget=seconds)

    # The flat part, and how it is bent.

    @cached_property
    def blank(self) -> Blank:
        """The flat part before bending."""
        from formparts.blanks import blank

        return blank(self.body)

    @property
    def bends(self) -> tuple[Bend, ...]:
        """The bends, in the order of the flats that they lead to."""
        return self.body.bends

    @cached_property
    def openings(self) -> tuple[OpeningPlace, ...]:
        """The openings: name, flat, shape, size, and place on flat, blank and folded part."""
        return opening_places(self.body)

    @cached_property
    def plan(self) -> BendPlan:
        """How it is bent on a press brake: order, tools, stops."""
        from formparts.planning import plan_bends

        return plan_bends(self.body, self.blank)

    @cached_property
    def numbered_blank(self) -> Blank:
        """The blank, its bends numbered by the steps of the plan."""
        from formparts.planning import numbered

        return numbered(self.blank, self.plan)

    def schedule(self) -> Schedule:
        """The bend schedule for the press brake."""
        from formparts.schedules import schedule

        return self._once("schedule", lambda: schedule(self.plan))

    # Checks.

    @cached_property
    def expected(self) -> tuple[Expected, ...]:
        """Figures of the drawing beside those of the part."""
        from formparts.expect import compared

        return compared(self.expectations, self.properties, self.blank) if self.expectations else ()

    def findings(self, limits: str | LimitProfile | None = None) -> tuple[Finding, ...]:
        """
        Check the part against all rules; errors first, then warnings, then notes.

        Parameters
        ----------
        limits : str or LimitProfile, optional
            `thin sheet general`, `structural`, `aircraft`, a TOML file of your own; the part's own when not given.

        Returns
        -------
        tuple of Finding

        Raises
        ------
        InputError
            There are no such limits.
        """
        from formparts.checks import findings

        profile = self.profile(limits)
        return self._once(
            ("findings", profile),
            lambda: findings(self.body, self.numbered_blank, profile, self.expected, self.plan),
        )

    def findings_with_fixes(
        self, limits: str | LimitProfile | None = None, errors_only: bool = False
    ) -> tuple[Finding, ...]:
        """
        As `findings`, and the smallest changes of a parameter that clear them, where a recipe made the part.

        Parameters
        ----------
        limits : str or LimitProfile, optional
            As for `findings`.
        errors_only : bool
            Seek fixes for errors only; else for warnings too.

        Returns
        -------
        tuple of Finding

        Raises
        ------
        InputError
            There are no such limits.
        """
        from formparts.fixes import with_fixes

        recipe, profile, plain = self.recipe, self.profile(limits), self.findings(limits)
        if recipe is None:
            return plain
        given = (recipe, self.parameters, plain, profile, self.expectations, errors_only, self.fix_budget)
        return self._once(("fixes", profile, errors_only), lambda: with_fixes(*given))

    def profile(self, limits: str | LimitProfile | None = None) -> LimitProfile:
        """The limits that the part is checked against."""
        from formparts.checks import limit_profile

        wanted = self.limits if limits is None else limits
        return limit_profile(wanted) if isinstance(wanted, (str, Path)) else wanted

    @property
    def ok(self) -> bool:
        """True when no finding is an error and the drawing's figures are within tolerance."""
        clear = all(finding.severity != "error" for finding in self.findings())
        return clear and all(figure.within_tolerance for figure in self.expected)

    # What needs the solid kernel.

    @cached_property
    def solid(self) -> Solid:
        """The solid, with named faces."""
        from formparts.solids import solid

        return solid(self.body)

    def audit(self) -> tuple[AuditRow, ...]:
        """
        Compare independent methods to the same figures: closed form, solid, mesh, STEP read back, unfolder, blank.

        Returns
        -------
        tuple of AuditRow

        Raises
        ------
        FileProofError
            The STEP file did not read back as the solid.
        KernelError
            The solid kernel failed.
        """
        from formparts.part.auditing import audited

        return self._once("audit", lambda: audited(self, self._kept.get("step")))

    def write_step(self, path: str | os.PathLike[str], schema: str) -> None:
        """Write the solid as STEP; what was measured on the file serves the audit too."""
        from formparts.part.auditing import step_figures

        self._kept["step"] = step_figures(self, path, schema)

    def mesh(self, chord: LengthLike = 0.05) -> Trimesh:
        """
        Mesh the part with triangles.

        Parameters
        ----------
        chord : length [mm]
            Greatest distance from the true surface.

        Returns
        -------
        Trimesh
            Watertight.

        Raises
        ------
        InputError
            The chord is not a length that can be worked with.
        """
        from formparts.export import mesh
        from formparts.export.meshing import checked_chord

        return mesh(self.body, checked_chord(chord, self.name))

    @cached_property
    def picture(self) -> bytes:
        """A shaded picture, as PNG."""
        from formparts.report import picture_png

        return picture_png(self.body, self.material.colour)

    def drawing(
        self,
        sheet: str = "A3",
        projection: str = "first",
        tolerance_class: str = "m",
        *,
        title: TitleData | None = None,
        units: str = "mm",
        names: bool = False,
    ) -> Drawing:
        """
        Draw the part on a dimensioned sheet.

        Parameters
        ----------
        sheet : str
            `A4` to `A0`; a larger one is taken when it must be.
        projection : "first" or "third"
            Angle of projection.
        tolerance_class : str
            Class of general tolerances, ISO 2768-1: `f`, `m`, `c` or `v`.
        title : TitleData, optional
            What the title block says; what the recipe says of it when not given.
        units : "mm", "in" or "in+mm"
            Unit of the lengths; the last has both figures.
        names : bool
            Write at each dimension the parameter that moves it.

        Returns
        -------
        Drawing

        Raises
        ------
        InputError
            There is no such sheet, projection, class or unit.
        """
        return drawn(self, sheet, projection, tolerance_class, title, units, names)

    def study(self, order: FeaOrder) -> Study:
        """
        Mesh the part for finite elements, with its loads, and solve it when that is asked for.

        Parameters
        ----------
        order : FeaOrder
            Kind and size of elements, loads and supports.

        Returns
        -------
        Study

        Raises
        ------
        InputError
            A name, a load or a support is bad.
        """
        from formparts.fea import study

        return self._once(("study", order), lambda: study(self.body, order))

    # Files.

    def write(self, path: str | os.PathLike[str], **options: object) -> Path:
        """
        Write one file, chosen by how its name ends: `.step`, `-blank.dxf`, `-bends.csv`, `.json`, `.glb`...

        Parameters
        ----------
        path : path
            The file to write; its folder must be there.
        options : object
            What that format takes: `schema` of STEP, `version` of DXF, `chord` of triangles.

        Returns
        -------
        Path

        Raises
        ------
        InputError
            No format has that ending or takes that option, or the file cannot be written there.
        FileProofError
            The file did not read back as what was meant; nothing was delivered.
        """
        from formparts.writers import writer_for

        chosen = writer_for(path)
        unknown = [name for name in options if name not in chosen.options]
        if unknown:
            fix = f"it takes {', '.join(chosen.options) or 'none'}"
            raise InputError(chosen.ending, "option", unknown[0], "there is no such option", fix)
        chosen.write(self, Path(path), options)
        return Path(path)

    def write_all(
        self,
        out: str | os.PathLike[str] = "out",
        files: Iterable[str] | None = None,
        *,
        report: bool = False,
        stem: str = "",
        fea: FeaOrder | None = None,
        schema: str = "AP214",
        version: str = "R2000",
        chord: LengthLike = 0.05,
        overwrite: bool = False,
        progress: Callable[[str, int, int], None] | None = None,
    ) -> tuple[Path, ...]:
        """
        Write the files of the part, delivered as a whole when each is proved; with the solid the part is audited.

        Parameters
        ----------
        out : path
            Folder for the files; made when it is not there.
        files : iterable of str, optional
            Kinds of files, as `formparts make --help` lists them; those written by default when not given.
        report : bool
            Write the report and the setter's sheet too.
        stem : str
            What the files' names begin with; the part's name when not given.
        fea : FeaOrder, optional
            A mesh and a deck for finite elements as well, solved when it asks for that.
        schema : "AP214" or "AP242"
            Application protocol of the STEP file.
        version : str
            Version of the DXF file.
        chord : length [mm]
            Greatest distance of triangles from the true surface.
        overwrite : bool
            Replace files of the same names that formparts did not write, or that were changed since.
        progress : function of (str, int, int), optional
            Called for each file before it is written: its name, how many are written, of how many.

        Returns
        -------
        tuple of Path

        Raises
        ------
        InputError
            An option is bad, or a file cannot be written.
        FileProofError
            A file did not read back as what was meant.
        KernelError
            The solid kernel failed.
        """
        from formparts.part.file_set import delivered_files
        from formparts.writers import kinds_of

        kinds = [
            *(kinds_of(by_default=True) if files is None else files),
            *(["setter", "report"] if report else []),
        ]
        given = {"schema": schema, "version": version, "chord": chord}
        return delivered_files(self, out, kinds, stem or self.name, fea, overwrite, given, progress)

    def _once(self, key: object, work: Callable[[], Worked]) -> Worked:
        if key not in self._kept:
            self._kept[key] = work()
        kept: Worked = self._kept[key]
        return kept
