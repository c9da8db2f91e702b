"""The drawing of a part, with data that only its recipe has: names, tolerances and positions of parameters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from formparts.body import Body
    from formparts.drawings import Drawing, TitleData
    from formparts.drawings.naming import Key
    from formparts.part.part import Part


def drawn(
    part: Part,
    sheet: str,
    projection: str,
    tolerance_class: str,
    title: TitleData | None,
    units: str,
    names: bool = False,
    family: Mapping[str, Part] | None = None,
) -> Drawing:
    """
    Draw a part; each parameter of its recipe with a tolerance has it at the dimension that it is.

    With a family, the part itself first, letters replace the sizes that differ.
    """
    from formparts.drawings import drawing

    title = title or recipe_title(part)
    tolerances = {
        one.name: str(told)
        for one in (part.recipe.parameters if part.recipe else ())
        if (told := getattr(one.kind, "tolerance", ""))
    }
    followed = parameter_names(part) if names or tolerances else {}
    how = (sheet, projection, tolerance_class, title, units, followed, tolerances)
    bodies = {name: one.body for name, one in (family or {}).items()}
    return drawing(part.body, *how, show_names=names, blank=part.numbered_blank, family=bodies or None)


def recipe_title(part: Part) -> TitleData:
    """Return the recipe's own title block data."""
    from formparts.drawings import TitleData
    from formparts.drawings.title_files import with_fields

    return with_fields(TitleData(), part.recipe.title, part.recipe.name) if part.recipe else TitleData()


def parameter_names(part: Part) -> dict[Key, str]:
    """Return which dimension follows which parameter: each length and angle of the recipe is changed a little."""
    from formparts.drawings import dimension_names

    recipe, resolved = part.recipe, part.parameters
    if recipe is None:
        return {}
    movable = {
        one.name: resolved[one.name]
        for one in recipe.parameters
        if one.unit in ("mm", "deg") and isinstance(resolved[one.name], float | int)
    }

    def moved(values: Mapping[str, Any]) -> Body:
        return recipe.built({**resolved, **values})

    return dimension_names(moved, movable)
