"""A page for each recipe that comes with formparts: what it makes, its parameters, and where they are on the part."""

from __future__ import annotations

import inspect
from collections.abc import Iterator, Mapping
from typing import Any

from formparts.assembly_recipes import loadable_assemblies
from formparts.manual.following import names_by_moving
from formparts.manual.pictures import part_pictures
from formparts.manual.prose import paragraphs
from formparts.manual.shell import Entry, Page, PageText
from formparts.recipe_functions import Recipe, find_recipe, recipes
from formparts.report.html.tags import Markup, element, said, table

GROUP = "Recipes"


def recipes_planned() -> Iterator[Page]:
    """A page for each recipe, and one for the assemblies."""
    for name in (each.name for each in recipes()):
        recipe = find_recipe(name)
        yield Page(f"recipe-{name}", name, GROUP, "recipe", name, (Entry(name, "text", recipe.summary),))
    found = [each.recipe for each in loadable_assemblies()[0]]
    entries = tuple(Entry(each.name, each.name, each.summary) for each in found)
    yield Page("recipe-assemblies", "Assemblies", GROUP, "assemblies", "", entries)


def recipe_page(page: Page) -> PageText:
    """One recipe at its defaults."""
    recipe = find_recipe(page.about)
    resolved = recipe.resolved()
    movable = {
        one.name: float(resolved[one.name])
        for one in recipe.parameters
        if one.unit in ("mm", "deg") and isinstance(resolved[one.name], (int, float))
    }

    def make(moved: Mapping[str, float]) -> Any:
        return recipe.built({**resolved, **moved})

    names, of_blank = names_by_moving(make, movable)
    parts = [
        element("h1", said(recipe.name)),
        paragraphs(recipe.doc),
        element("pre", said(f"$ formparts make {recipe.name}"), class_="example", tabindex=0),
        element("p", said("At its defaults; the name at a dimension is the parameter that moves it.")),
        part_pictures(recipe.built(resolved), names, of_blank),
        parameter_table(recipe),
        element("h2", said("The recipe itself")),
        element("pre", said(inspect.getsource(recipe.function)), tabindex=0),
    ]
    return PageText(Markup("".join(parts)))


def parameter_table(recipe: Recipe) -> Markup:
    """Parameters with default, limits and meaning."""
    rows = [
        [element("code", said(p.name)), said(p.default_text), said(p.limits), said(p.text)]
        for p in recipe.parameters
    ]
    return table("Parameters", ("name", "default", "allowed", "meaning"), rows)


def assemblies_page(page: Page) -> PageText:
    """The recipes of assemblies."""
    parts = [element("h1", said(page.title))]
    for each in loadable_assemblies()[0]:
        parts += [
            element("h2", said(each.recipe.name), id=each.recipe.name),
            paragraphs(each.recipe.doc),
            element("pre", said(f"$ formparts assemble {each.recipe.name}"), class_="example", tabindex=0),
            parameter_table(each.recipe),
        ]
    return PageText(Markup("".join(parts)))
