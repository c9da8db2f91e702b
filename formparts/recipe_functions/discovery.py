"""Find recipes: the shipped ones by name, your own by file, those of other packages by entry point."""

from __future__ import annotations

import copyreg
import hashlib
import os
import sys
from collections.abc import Callable, Iterable, Mapping
from contextlib import ExitStack
from difflib import get_close_matches
from functools import cache, partial
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import module_from_spec
from itertools import chain
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from formparts.arguments import takes
from formparts.errors import InputError
from formparts.quantities import shown_value
from formparts.recipe_functions.cells import is_in_a_cell, text_of
from formparts.recipe_functions.decorator import Recipe
from formparts.recipe_functions.foreign import foreign_errors_at
from formparts.recipe_functions.shipped import shipped_folder
from formparts.recipe_functions.step_parts import step_recipe, step_reference

if TYPE_CHECKING:
    from importlib.metadata import EntryPoint

ENTRY_POINTS = "formparts.recipes"


@takes(reference="str")
def find_recipe(reference: str) -> Recipe:
    """
    Find a recipe by its name, or by its file.

    Parameters
    ----------
    reference : str
        `ring_riser` for a shipped recipe or one of an entry point (a shipped one goes first);
        `path/to/file.py:function`, or `path/to/file.py` when the file holds exactly one recipe;
        `path/to/part.step` for the solid of a STEP file, whoever made it, or `path/to/several.step:solid`.

    Returns
    -------
    Recipe

    Raises
    ------
    InputError
        There is no such recipe, or its file cannot be loaded.

    Examples
    --------
    >>> riser = find_recipe("ring_riser")
    >>> riser.summary
    'Raised seat of a round flow meter: a plate with a ring of offset lugs reaching into its opening.'
    >>> part = riser.part(lug_count=3, rise="20 mm")
    """
    if not isinstance(reference, str):
        raise InputError(
            "recipe", "name", shown_value(reference), "not a name", "give a recipe's name or its file"
        )
    step = step_reference(reference)
    if step is not None:
        return step_recipe(*step)
    path, colon, function = reference.rpartition(".py:")
    if colon:
        return _of_file(Path(path + ".py"), function)
    if reference.endswith(".py") or "/" in reference or "\\" in reference:
        return _only_one(Path(reference))
    return _by_name(reference)


def stated_recipe(name: str) -> Recipe:
    """Return the recipe that a finished file states as its origin.

    A file may come from anybody, so what it states is taken as a name and never as the place of code to run.

    Parameters
    ----------
    name : str
        The name in the file.

    Returns
    -------
    Recipe

    Raises
    ------
    InputError
        No shipped recipe and none of an installed package has the name.
    """
    found = _known(name)
    if found is not None:
        return found
    fix = "if you trust the file that it is in, say --recipe path/to/file.py:function"
    raise InputError("recipe", "name", shown_value(name), "no recipe of that name is installed", fix)


def recipes() -> tuple[Recipe, ...]:
    """
    All recipes that can be asked for by name, in the order of their names.

    Returns
    -------
    tuple of Recipe

    Raises
    ------
    InputError
        A shipped file or another package's entry point cannot be loaded.

    Examples
    --------
    >>> [each.name for each in recipes()][:1]
    ['angle_bracket']
    """
    packages = chain.from_iterable(map(_of_entry, reversed(_entries())))
    found = {**{recipe.name: recipe for recipe in packages}, **_shipped()}
    return tuple(found[name] for name in sorted(found))


def loadable_recipes() -> tuple[tuple[Recipe, ...], tuple[InputError, ...]]:
    """Return the recipes that can be loaded, and what is wrong with the others."""
    # The later of two of one name counts: a shipped one goes before those of packages.
    loads: list[Callable[[], Iterable[Recipe]]] = [
        partial(_of_entry, entry) for entry in reversed(_entries())
    ]
    loads += [partial(recipes_in, path) for path in _shipped_files()]
    found: dict[str, Recipe] = {}
    faults: list[InputError] = []
    for load in loads:
        try:
            for recipe in load():
                other = found.get(recipe.name, recipe)
                faults += [] if other == recipe else [_doubled(other, recipe)]
                found[recipe.name] = recipe
        except InputError as error:
            faults.append(error)
    return tuple(found[name] for name in sorted(found)), tuple(faults)


def _doubled(hidden: Recipe, shown: Recipe) -> InputError:
    problem = (
        f"two recipes have this name; it means that of {shown.source}, and hides that of {hidden.source}"
    )
    return InputError("recipe", "name", shown.name, problem, f"ask for the other by {hidden.reference}")


def recipes_in(path: str | Path) -> tuple[Recipe, ...]:
    """
    The recipes that a file holds, in its own order.

    Parameters
    ----------
    path : str or Path
        A Python file.

    Returns
    -------
    tuple of Recipe

    Raises
    ------
    InputError
        The file is not there, or cannot be loaded.
    """
    full = _place_of(path)
    if full is None:
        raise InputError(
            "recipe", "file", shown_value(str(path)), "there is no such file", "check the path and the folder"
        )
    if full.suffix != ".py":
        raise InputError("recipe", "file", str(path), "not a Python file", "a recipe's file ends in .py")
    return _own(module_of(full), full)


def _own(module: ModuleType, full: Path) -> tuple[Recipe, ...]:
    """The recipes of a file's module; one that was imported from elsewhere is not this file's own."""
    own = (value for value in vars(module).values() if isinstance(value, Recipe) and value.source == full)
    return tuple({recipe.name: recipe for recipe in own}.values())


def loaded_text(recipe: Recipe) -> bytes:
    """The text that a recipe was loaded from, though its file may have changed since; of a cell, what it is now."""
    loader = recipe.function.__globals__.get("__loader__")
    if isinstance(loader, _TextLoader):
        return loader.text
    if is_in_a_cell(recipe.function):
        return text_of(recipe.function).encode()
    return recipe.source.read_bytes()


def recipe_of_text(reference: str, text: bytes) -> Recipe:
    """Return the recipe of a reference `path/to/file.py:function` from a given text of that file."""
    path, _, function = reference.rpartition(".py:")
    full = Path(path + ".py").expanduser().resolve()
    found = _named(_own(_loaded(full, text), full), function)
    if found is None:
        problem = "its file makes it no recipe when it is loaded again"
        raise InputError("recipe", "name", reference, problem, "let the file define it whoever loads it")
    return found


def _place_of(path: str | Path) -> Path | None:
    """Return where a file is; None when no such file exists, or can exist."""
    try:
        full = Path(path).expanduser().resolve()
        return full if full.is_file() else None
    # Too long a name, a null character in it, or the home of somebody who is not there.
    except (OSError, ValueError, RuntimeError):
        return None


def assemblies_folder() -> Path:
    """The folder of the shipped assemblies, each in a file of its own name."""
    return shipped_folder() / "assemblies"


def assembly_names() -> list[str]:
    """Names of the shipped assemblies, without loading them."""
    return [path.stem for path in assemblies_folder().glob("*.py") if not path.name.startswith("_")]


def _shipped_files() -> list[Path]:
    return [path for path in sorted(shipped_folder().glob("*.py")) if not path.name.startswith("_")]


def _shipped() -> Mapping[str, Recipe]:
    return {recipe.name: recipe for path in _shipped_files() for recipe in recipes_in(path)}


def _known(name: str) -> Recipe | None:
    """A shipped file of that name goes first, so that asking for one recipe loads one file."""
    likely = [path for path in _shipped_files() if path.stem == name]
    # Lazily: the second loads all shipped files, the third asks all installed packages.
    methods = (lambda: _all_in(likely), lambda: _shipped().values(), lambda: _of_packages().values())
    return next((recipe for method in methods for recipe in method() if recipe.name == name), None)


def _by_name(name: str) -> Recipe:
    found = _known(name)
    if found is not None:
        return found
    if _place_of(assemblies_folder() / f"{name}.py"):
        problem = "it is an assembly, and a part is wanted"
        raise InputError("recipe", "name", name, problem, f"say formparts assemble {name}")
    loadable, faults = loadable_recipes()
    names = [recipe.name for recipe in loadable]
    fix = f"{_near(name, names)}there are: {', '.join(names) or 'none'}; or give path/to/file.py:function"
    fix += "".join(f"; {error}" for error in faults)
    raise InputError("recipe", "name", shown_value(name), "there is no such recipe", fix)


def _all_in(paths: Iterable[Path]) -> list[Recipe]:
    return [recipe for path in paths for recipe in recipes_in(path)]


def _named(found: Iterable[Recipe], name: str) -> Recipe | None:
    return next((recipe for recipe in found if recipe.name == name), None)


def _near(name: str, names: Iterable[str]) -> str:
    near = get_close_matches(name, list(names), n=3)
    return f"did you mean {' or '.join(near)}? " if near else ""


def _of_file(path: Path, function: str) -> Recipe:
    held = recipes_in(path)
    found = _named(held, function)
    if found is not None:
        return found
    names = [recipe.name for recipe in held]
    plain = callable(getattr(module_of(path), function, None))
    problem = "this function is not a recipe" if plain else "the file holds no such recipe"
    fix = (
        "put @recipe above it" if plain else f"{_near(function, names)}it holds: {', '.join(names) or 'none'}"
    )
    raise InputError("recipe", "name", f"{path}:{function}", problem, fix)


def _only_one(path: Path) -> Recipe:
    held = recipes_in(path)
    if len(held) == 1:
        return held[0]
    names = ", ".join(recipe.name for recipe in held)
    fix = f"name one of them: {path}:{held[0].name}" if held else "put @recipe above its function"
    raise InputError(
        "recipe", "file", str(path), f"it holds {len(held)} recipes ({names})".replace(" ()", ""), fix
    )


def module_of(path: Path) -> ModuleType:
    """The module that a file holds; loaded once, and again when it has changed."""
    full = path.expanduser().resolve()
    with foreign_errors_at(full, "recipe", "the file cannot be loaded"):
        text = full.read_bytes()
    return _loaded(full, text)


class _TextLoader(SourceFileLoader):
    """A loader that keeps the text that it has loaded."""

    text: bytes = b""

    def get_data(self, path: str) -> bytes:
        return self.text if path == self.path else super().get_data(path)


@cache
def _loaded(path: Path, text: bytes) -> ModuleType:
    """Load a file once; again when it has changed. Its module's name is private and shadows nothing."""
    mark = hashlib.sha256(os.fsencode(path) + b"@" + text).hexdigest()[:12]
    name = f"_formparts_recipe_{mark}_{path.stem}"
    loader = _TextLoader(name, str(path))
    loader.text = text
    module = module_from_spec(ModuleSpec(name, loader, origin=str(path)))
    module.__file__ = str(path)
    sys.modules[name] = module
    with ExitStack() as undo, foreign_errors_at(path, "recipe", "the file cannot be loaded"):
        undo.callback(sys.modules.pop, name)
        # Not by way of cached bytecode: that does not see two changes within one second, and it would leave a
        # folder of its own beside the user's files.
        # With its docstrings, also where Python was started without them: they are the recipe's manual.
        exec(compile(text, str(path), "exec", dont_inherit=True, optimize=0), vars(module))
        undo.pop_all()
    return module


def _of_packages() -> Mapping[str, Recipe]:
    """
    Recipes that installed packages offer by entry point, by the names of their functions.

    One that cannot be loaded does not keep the others from being used: `loadable_recipes` says what is wrong.
    """
    found: dict[str, Recipe] = {}
    for entry in _entries():
        try:
            (recipe,) = _of_entry(entry)
        except InputError:
            continue
        found.setdefault(recipe.name, recipe)
    return found


def _entries() -> list[EntryPoint]:
    from importlib.metadata import entry_points

    return sorted(entry_points(group=ENTRY_POINTS), key=lambda entry: (entry.name, entry.value))


def _of_entry(entry: EntryPoint) -> tuple[Recipe]:
    """The recipe that an entry point leads to."""
    with foreign_errors_at(Path(), f"entry point {entry.name}", f"{entry.value} cannot be loaded"):
        loaded = entry.load()
    if not isinstance(loaded, Recipe):
        fix = "its package must point to a function under @recipe, or be removed"
        raise InputError(f"entry point {entry.name}", "recipe", entry.value, "this is not a recipe", fix)
    return (loaded,)


def _by_reference(recipe: Recipe) -> tuple[Callable[[str], Recipe], tuple[str]]:
    """A worker process finds it again by its file: the function of its name there is this recipe."""
    return find_recipe, (recipe.reference,)


copyreg.pickle(Recipe, _by_reference)
