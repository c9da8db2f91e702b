"""From an assembly's recipe to its files: STEP, GLB, bill of materials, with a check for interference."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from formparts import __version__
from formparts.arguments import takes
from formparts.assembly import Assembly
from formparts.body import Body
from formparts.errors import FileProofError, InputError
from formparts.quantities import LengthLike, shown_value
from formparts.recipe_functions import Recipe, recipe
from formparts.recipe_functions.discovery import assemblies_folder, assembly_names, module_of
from formparts.recipe_functions.foreign import foreign_errors_at
from formparts.short_repr import short_repr
from formparts.tolerances import ALIGNED, MESH_CHORD

if TYPE_CHECKING:
    from formparts.assembly import BillRow, Interference, Mating
    from formparts.errors import FormpartsError
    from formparts.fea import FeaOrder
    from formparts.fea.assembly_studies import AssemblyStudy


@short_repr
@dataclass(frozen=True)
class AssemblyRecipe:
    """
    A function with annotated parameters, as a recipe's, that gives back an assembly.

    Parameters
    ----------
    recipe : Recipe
        Name, text, parameters and function.
    """

    recipe: Recipe

    @property
    def name(self) -> str:
        """Name of its function."""
        return self.recipe.name

    def __call__(self, /, **values: object) -> Assembly:
        """
        Put the assembly together.

        Parameters
        ----------
        **values : object [house unit]
            Bare numbers in mm and deg, text with a unit, or pint quantities, by name of parameter.

        Returns
        -------
        Assembly

        Raises
        ------
        InputError
            A value cannot be read or breaks a limit, or the assembly cannot be built with it.
        """
        own = self.recipe
        resolved = own.resolved(**values)
        with foreign_errors_at(own.source, own.name, "the recipe's own code failed"):
            made: object = own.function(**resolved)
        if not isinstance(made, Assembly):
            problem = f"the recipe gave back {type(made).__name__}, and an Assembly is wanted"
            raise InputError(
                own.name, "return", type(made).__name__, problem, "end it with `return Assembly(...)`"
            )
        return made


@takes(function="Callable")
def assembly_recipe(function: Callable[..., Any]) -> AssemblyRecipe:
    """
    Make a recipe of a function that gives back an assembly; used as a decorator.

    Parameters
    ----------
    function : function
        Every parameter annotated and with a default, as `recipe` asks; a docstring.

    Returns
    -------
    AssemblyRecipe

    Raises
    ------
    InputError
        A parameter is not annotated as a recipe's has to be, or there is no docstring.
    """
    return AssemblyRecipe(recipe(function))


@takes(reference="str")
def find_assembly(reference: str) -> AssemblyRecipe:
    """
    Find the recipe of an assembly.

    Parameters
    ----------
    reference : str
        Name of a shipped one, or `path/to/file.py:function`.

    Returns
    -------
    AssemblyRecipe

    Raises
    ------
    InputError
        There is none of that name, or its file cannot be loaded.

    Examples
    --------
    >>> find_assembly("riser_stack").recipe.summary
    'Skid mount of a round meter: a seat below, the meter on its lugs, a second seat upside down on top.'
    """
    path, colon, name = reference.rpartition(".py:")
    file = Path(f"{path}.py") if colon else assemblies_folder() / f"{reference}.py"
    name = name if colon else reference
    # A name is one of the shipped ones, and never the way to another folder.
    if not (file.is_file() if colon else reference in assembly_names()):
        shown = ", ".join(sorted(assembly_names())) or "none"
        raise InputError("assembly", "name", reference, "there is none of that name", f"there are: {shown}")
    found = getattr(module_of(file), name, None)
    if not isinstance(found, AssemblyRecipe):
        raise InputError(
            "assembly", "name", reference, "this is not an assembly", "put @assembly_recipe above it"
        )
    return found


def stated_assembly(name: str) -> AssemblyRecipe:
    """Return the recipe of an assembly named in a finished file: a name, never a path to code.

    Parameters
    ----------
    name : str
        The name in the file.

    Returns
    -------
    AssemblyRecipe

    Raises
    ------
    InputError
        No shipped assembly has the name.
    """
    if name in assembly_names():
        return find_assembly(name)
    fix = "if you trust the file that it is in, say --recipe path/to/file.py:function"
    raise InputError("assembly", "name", shown_value(name), "no assembly of that name is installed", fix)


def loadable_assemblies() -> tuple[tuple[AssemblyRecipe, ...], tuple[InputError, ...]]:
    """The shipped assemblies that can be loaded; and what is wrong with the others."""
    found: list[AssemblyRecipe] = []
    faults: list[InputError] = []
    for name in sorted(assembly_names()):
        try:
            found.append(find_assembly(name))
        except InputError as error:
            faults.append(error)
    return tuple(found), tuple(faults)


def names_assembly(reference: str) -> bool:
    """Whether a reference is to an assembly that is there, and not to a part."""
    path, colon, name = reference.rpartition(".py:")
    file = Path(f"{path}.py")
    if not colon:
        return reference in assembly_names()
    return file.is_file() and isinstance(getattr(module_of(file), name, None), AssemblyRecipe)


@short_repr
@dataclass(frozen=True)
class Assembled:
    """An assembly, its figures, and its files.

    Parameters
    ----------
    assembly : Assembly
        What was put together.
    parameters : mapping of str to float, int, str or bool [house unit]
        All parameters.
    bill : tuple of BillRow
        Equal parts counted once.
    interferences : tuple of Interference
        Parts that run into each other.
    matings : tuple of Mating
        Holes that lie on one another, and pins in holes.
    files : tuple of Path
        What was written.
    study : AssemblyStudy, optional
        The bent parts under load, when that was asked for.
    refused : FormpartsError, optional
        Why they could not be studied; the other files are unaffected.
    """

    assembly: Assembly
    parameters: Mapping[str, Any]
    bill: tuple[BillRow, ...]
    interferences: tuple[Interference, ...]
    matings: tuple[Mating, ...]
    files: tuple[Path, ...]
    study: AssemblyStudy | None = None
    refused: FormpartsError | None = None

    @property
    def ok(self) -> bool:
        """True when no two parts run into each other, and holes align."""
        return not self.interferences and all(found.ok for found in self.matings)


@takes(maker="AssemblyRecipe", out=("str", "Path"), step_schema="str")
def assemble(
    maker: AssemblyRecipe,
    out: str | Path = "out",
    step_schema: str = "AP242",
    chord: LengthLike = MESH_CHORD,
    overwrite: bool = False,
    titles: Mapping[str, Mapping[str, str]] = MappingProxyType({}),
    align: object = ALIGNED,
    fea: FeaOrder | None = None,
    /,
    **values: object,
) -> Assembled:
    """
    Put an assembly together and write its files: STEP with instances, GLB, bill of materials, figures as JSON.

    Parameters
    ----------
    maker : AssemblyRecipe
        What to build.
    out : path
        Folder for the files; made when it is not there.
    step_schema : "AP214" or "AP242"
        Application protocol of the STEP file.
    chord : object [mm]
        Greatest distance between the triangles and the true surface.
    overwrite : bool
        Replace files whoever wrote them.
    titles : mapping of str to (mapping of str to str)
        Fields of title blocks by the name of a part or, where that is empty, of the assembly; before the recipe's own.
    align : length [mm]
        How far apart the axes of holes that take one bolt may lie.
    fea : FeaOrder, optional
        Also one deck of the bent parts with their joints, solved when it says so.
    **values : object [house unit]
        Parameters: numbers in mm and deg, text with a unit, or pint quantities.

    Returns
    -------
    Assembled

    Raises
    ------
    InputError
        A parameter is bad, the assembly cannot be built with it, or a file cannot be written.
    FileProofError
        A file did not read back as what was meant.
    KernelError
        The solid kernel failed.
    """
    # The recipes of assemblies are listed and described without what writes files.
    from formparts.assembly import (
        bill,
        interferences,
        matings,
        write_assembly_glb,
        write_assembly_step,
        write_bill,
    )
    from formparts.assembly.facts import whole_facts
    from formparts.assembly.record import assembly_record
    from formparts.export import delivery, require_free, write_json
    from formparts.export.meshing import checked_chord
    from formparts.fea.assembly_studies import (
        assembly_study_endings,
        assembly_study_record,
        write_assembly_study,
    )

    within = checked_chord(chord, "assemble", "chord")
    names = [f"{maker.name}{end}" for end in (".step", ".glb", "-bill.csv", ".json")]
    loaded_names = [] if fea is None else [f"{maker.name}{end}" for end in assembly_study_endings(fea)]
    require_free(out, "assemble", names + loaded_names, overwrite)
    made, parameters = with_titles(maker(**values), titles), maker.recipe.resolved(**values)
    study, refused = _studied(made, fea)
    names += loaded_names if study is not None else []
    holes, rows, clashes = matings(made, align), bill(made), interferences(made)
    facts = replace(whole_facts(made), recipe=maker.name, parameters=parameters, version=__version__)
    with delivery(out, "assemble", names, overwrite) as drafts:
        write_assembly_step(made, drafts / names[0], schema=step_schema, facts=facts)
        write_assembly_glb(made, drafts / names[1], within)
        write_bill(made, drafts / names[2])
        said = None if study is None else assembly_study_record(study)
        write_json(
            assembly_record(made, maker.name, parameters, rows, clashes, holes, said), drafts / names[3]
        )
        if study is not None:
            write_assembly_study(study, drafts / maker.name)
    files = tuple(Path(out, name) for name in names)
    return Assembled(made, parameters, rows, clashes, holes, files, study, refused)


def _studied(made: Assembly, fea: FeaOrder | None) -> tuple[AssemblyStudy | None, FormpartsError | None]:
    """The assembly under load, or what is wrong with that: its other files are made all the same."""
    if fea is None:
        return None, None
    from formparts.fea.assembly_studies import assembly_study

    try:
        return assembly_study(made, fea), None
    except (InputError, FileProofError) as error:
        return None, error


def with_titles(assembly: Assembly, titles: Mapping[str, Mapping[str, str]]) -> Assembly:
    """The same assembly with fields of title blocks given anew; an empty name is that of the assembly."""
    given = {name or assembly.name: fields for name, fields in titles.items()}
    merged = {name: {**assembly.titles.get(name, {}), **fields} for name, fields in given.items()}
    found = replace(assembly, titles={**assembly.titles, **merged})
    for name, fields in found.titles.items():
        if fields.get("position"):
            _require_positions(found, name, fields["position"])
    return found


def _require_positions(assembly: Assembly, name: str, text: str) -> None:
    """Refuse tolerances of position of an assembly, and of openings that its part does not have."""
    from formparts.drawings.listing import require_positions

    part = next((item.part for item in assembly.items if item.part.name == name), None)
    if not isinstance(part, Body):
        problem = f"{name} is not a part with openings"
        raise InputError(assembly.name, "position", text, problem, "write it as PART.position=NAME WIDTH")
    require_positions(part, text)
