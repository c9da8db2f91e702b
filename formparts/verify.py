"""A STEP file that knows what it is: what it says of itself is held against its shape, and against its recipe."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from formparts.errors import InputError
from formparts.export import FoundFacts, StepPart, read_facts, read_step
from formparts.kernel import Measured, measured
from formparts.properties import CUBIC_MM_PER_CUBIC_M, Properties, properties
from formparts.recipe import stated_recipe
from formparts.solid import solid
from formparts.tolerances import LENGTH, VOLUME_REL

if TYPE_CHECKING:
    from formparts.body import Body
    from formparts.recipe import Recipe

FOREIGN_REL: Final = 1e-6
"""How far validation properties of others may be off, relative: they are rounded by whoever wrote them."""
FOREIGN_LENGTH: Final = 1e-3
"""The same for a centroid [mm]."""


@dataclass(frozen=True)
class VerifyRow:
    """
    One thing that a file says, beside what was found.

    Parameters
    ----------
    what : str
        What is compared.
    said : str
        By the file.
    found : str
        In its shape, or in the part made again.
    agrees : bool
        Whether the two are the same.
    """

    what: str
    said: str
    found: str
    agrees: bool


@dataclass(frozen=True)
class Verified:
    """
    What was compared.

    Parameters
    ----------
    recipe : str
        The recipe that the file names; empty for a file of others.
    version : str
        Of formparts, which wrote it.
    rows : tuple of VerifyRow
        In order; empty when the file says nothing that can be held against it.
    """

    recipe: str
    version: str
    rows: tuple[VerifyRow, ...]

    @property
    def ok(self) -> bool:
        """True when something was compared, and all of it agrees."""
        return bool(self.rows) and all(row.agrees for row in self.rows)


def verify(path: str | os.PathLike[str], recipe: Recipe | None = None) -> Verified:
    """
    Hold a STEP file against what it says of itself: validation properties, and the part made again from its recipe.

    Parameters
    ----------
    path : path
        A STEP file of one part; of a file of others the validation properties alone are compared.
    recipe : Recipe, optional
        The recipe to make it again with; else that of the name in the file.

    Returns
    -------
    Verified

    Raises
    ------
    InputError
        The file cannot be read, or its recipe is not there or cannot be made with its parameters.
    """
    part, facts = read_step(path), read_facts(path)
    figures = measured(part.shape)
    name = facts.own.get("recipe", "")
    rows = list(_validation(facts, figures, own=bool(name)))
    if name:
        maker = recipe or stated_recipe(name)
        body = maker(**_parameters(path, facts))
        rows += _made_again(part, figures, facts, body)
    return Verified(name, facts.own.get("version", ""), tuple(rows))


def _parameters(path: str | os.PathLike[str], facts: FoundFacts) -> dict[str, Any]:
    try:
        values = json.loads(facts.own.get("parameters", ""))
    except ValueError as error:
        raise InputError(
            "verify", "path", str(path), "its parameters cannot be read", "make it anew"
        ) from error
    if not isinstance(values, Mapping):
        raise InputError("verify", "path", str(path), "its parameters are no list of names", "make it anew")
    return {str(key): value for key, value in values.items()}


def _validation(facts: FoundFacts, figures: Measured, own: bool) -> Iterator[VerifyRow]:
    """What the file states, beside its shape as it was read."""
    share, length = (VOLUME_REL, LENGTH) if own else (FOREIGN_REL, FOREIGN_LENGTH)
    if facts.volume is not None:
        yield _number("volume stated, mm3", facts.volume, figures.volume, share)
    if facts.area is not None:
        yield _number("surface area stated, mm2", facts.area, figures.surface, share)
    if facts.centroid is not None:
        yield _place("centroid stated, mm", facts.centroid, figures.centroid, length)
    if facts.whole is not None:
        yield VerifyRow("content", "hash in the file", "same" if facts.whole else "differs", facts.whole)


def _number(what: str, said: float, found: float, share: float) -> VerifyRow:
    return VerifyRow(what, f"{said:.9g}", f"{found:.9g}", abs(said - found) <= share * abs(found))


def _place(
    what: str, said: tuple[float, float, float], found: tuple[float, float, float], length: float
) -> VerifyRow:
    shown = [", ".join(f"{part:.6f}" for part in place) for place in (said, found)]
    return VerifyRow(what, shown[0], shown[1], math.dist(said, found) <= length)


def _made_again(part: StepPart, figures: Measured, facts: FoundFacts, body: Body) -> Iterator[VerifyRow]:
    """The file's shape, names and mass, beside those of the part made again."""
    again: Properties = properties(body)
    material = body.sheet.material
    yield _number("volume, made again, mm3", figures.volume, again.volume, VOLUME_REL)
    yield _number("surface area, made again, mm2", figures.surface, again.surface, VOLUME_REL)
    yield _place("centroid, made again, mm", figures.centroid, again.centroid, LENGTH)
    yield VerifyRow("material", facts.material, material.name, facts.material == material.name)
    mass = figures.volume / CUBIC_MM_PER_CUBIC_M * (facts.density or 0.0)
    yield _number("mass, made again, kg", mass, again.mass, VOLUME_REL)
    yield VerifyRow("name", part.name, body.name, part.name == body.name)
    yield _names(set(part.faces), set(solid(body).faces))


def _names(said: set[str], found: set[str]) -> VerifyRow:
    """Names of faces; of those that differ the first is shown."""
    odd = sorted(said ^ found)
    shown = f"{len(found)} names" + (f", not {odd[0]!r}" if odd and odd[0] in said else "")
    missing = f", {odd[0]!r} not among them" if odd and odd[0] in found else ""
    return VerifyRow("names of faces", f"{len(said)} names{missing}", shown, not odd)
