"""The statements of a STEP file, row by row, beside what was found."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from formparts.errors import InputError
from formparts.export import FoundFacts
from formparts.kernel import KernelMeasures
from formparts.short_repr import short_repr
from formparts.tolerances import FOREIGN_LENGTH, FOREIGN_REL, LENGTH, VOLUME_REL

Place = tuple[float, float, float]


@short_repr
@dataclass(frozen=True)
class VerifyRow:
    """One statement of a file, beside what was found.

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


@short_repr
@dataclass(frozen=True)
class Verified:
    """The result of a comparison.

    Parameters
    ----------
    recipe : str
        The recipe that the file names; empty for a file of others.
    version : str
        Of formparts, which wrote it.
    rows : tuple of VerifyRow
        In order; empty when the file says nothing that can be held against it.
    note : str
        Why no flats and bends of a file of others are compared; empty when they are.
    """

    recipe: str
    version: str
    rows: tuple[VerifyRow, ...]
    note: str = ""

    @property
    def ok(self) -> bool:
        """True when something was compared, and all of it agrees."""
        return bool(self.rows) and all(row.agrees for row in self.rows)


def parameters_of(path: str | os.PathLike[str], own: Mapping[str, str]) -> dict[str, Any]:
    """The recipe's parameters that the file states."""
    try:
        values = json.loads(own.get("parameters", ""))
    except ValueError as error:
        raise InputError(
            "verify", "path", str(path), "its parameters cannot be read", "make it anew"
        ) from error
    if not isinstance(values, Mapping):
        raise InputError(
            "verify", "path", str(path), "its parameters are not a list of names", "make it anew"
        )
    return {str(key): value for key, value in values.items()}


def validation(facts: FoundFacts, figures: KernelMeasures, own: bool) -> Iterator[VerifyRow]:
    """What the file states, beside its shape as it was read."""
    share, length = (VOLUME_REL, LENGTH) if own else (FOREIGN_REL, FOREIGN_LENGTH)
    if facts.volume is not None:
        yield number("volume stated, mm3", facts.volume, figures.volume, share)
    if facts.area is not None:
        yield number("surface area stated, mm2", facts.area, figures.surface, share)
    if facts.centroid is not None:
        yield place("centroid stated, mm", facts.centroid, figures.centroid, length)
    if facts.own.get("recipe"):
        said = "no hash" if facts.whole is None else "its hash"
        yield VerifyRow("content", said, "that of the content", facts.whole is True)


def number(what: str, said: float, found: float, share: float) -> VerifyRow:
    """A row of two figures."""
    return VerifyRow(what, f"{said:.9g}", f"{found:.9g}", abs(said - found) <= share * abs(found))


def place(what: str, said: Place, found: Place, length: float) -> VerifyRow:
    """A row of two places."""
    return VerifyRow(what, shown_place(said), shown_place(found), math.dist(said, found) <= length)


def shown_place(place: Place) -> str:
    """Three figures; a nought has no sign."""
    return ", ".join(f"{round(part, 6) + 0.0:.6f}" for part in place)


def names(what: str, said: set[str], found: set[str]) -> VerifyRow:
    """A row of two sets of names; of those that differ the first is shown."""
    odd = sorted(said ^ found)
    shown = f"{len(found)} names" + (f", not {odd[0]!r}" if odd and odd[0] in said else "")
    missing = f", {odd[0]!r} not among them" if odd and odd[0] in found else ""
    return VerifyRow(what, f"{len(said)} names{missing}", shown, not odd)


def folded(subject: str, rows: Iterable[VerifyRow]) -> Iterator[VerifyRow]:
    """One row for all that agree; when any does not, a row for each of those."""
    listed = list(rows)
    wrong = [replace(row, what=f"{subject}: {_bare(row.what)}") for row in listed if not row.agrees]
    if listed and not wrong:
        words = ", ".join(_bare(row.what).partition(",")[0] for row in listed)
        yield VerifyRow(subject, words, "the same", True)
    yield from wrong


def _bare(what: str) -> str:
    """Return a row's name without the words that state how its value was found."""
    return what.replace(", made again", "").replace(" stated", "")
