"""One drawing for a family: letters at the dimensions that differ, and a table with their sizes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product
from string import ascii_lowercase

from formparts.body import Body
from formparts.closed_forms import properties
from formparts.drawings.curves import Mark, Words
from formparts.drawings.listing import dimension_list
from formparts.drawings.naming import Key, key_of
from formparts.drawings.numbers import Numbers
from formparts.drawings.sketch import Dimension, DimensionList
from formparts.drawings.tables import table_marks
from formparts.drawings.title import Subject, subject_of
from formparts.errors import InputError
from formparts.tolerances import LENGTH


@dataclass(frozen=True)
class Sizes:
    """The letter of each dimension that differs, and by letter a dimension of each variant."""

    letters: dict[Key, str]
    rows: dict[str, dict[str, Dimension]]
    subjects: dict[str, Subject]
    """Title block contents of each variant."""

    def lettered(self, dimensions: tuple[Dimension, ...]) -> tuple[Dimension, ...]:
        """Return the dimensions, with a letter at each that differs."""
        return tuple(replace(one, letter=self.letters.get(key_of(one), "")) for one in dimensions)

    def subject(self, drawn: Subject) -> Subject:
        """Return the title block's contents: the drawn part's where all agree, else a reference to the table."""
        letters = [letter for (what, _, _), letter in self.letters.items() if what == "thickness"]
        return replace(
            drawn,
            material="see table" if self._materials else drawn.material,
            thickness=f"{letters[0]}, see table" if letters else drawn.thickness,
            mass="see table",
            longest=max(one.longest for one in self.subjects.values()),
        )

    @property
    def _materials(self) -> bool:
        """True when the variants are of more than one material."""
        return len({one.material for one in self.subjects.values()}) > 1

    def table(self, numbers: Numbers, height: float) -> list[Mark]:
        """Return the table, its upper left corner at the origin."""
        heads = list(dict.fromkeys(self.letters.values()))
        more = ["material"] if self._materials else []
        rows = [["size", *heads, *more, "mass"]]
        for name, row in self.rows.items():
            said, of = [numbers.text(row[letter]) for letter in heads], self.subjects[name]
            rows.append([name, *said, *([of.material] if more else []), of.mass])
        first = next(iter(self.rows))
        captions = (
            f"Sizes; lengths in {numbers.unit}; drawn is {first}",
            "Each size has a blank of its own: see its own drawing",
        )
        heads_ = [
            Words(words, (0.0, y), height)
            for words, y in zip(captions, (1.5 + 1.6 * height, 1.5), strict=True)
        ]
        return [*heads_, *table_marks(rows, height)[0]]


def sizes_of(bodies: Mapping[str, Body]) -> Sizes:
    """Return what differs between the variants of a family; refuse variants of another shape."""
    lists = {name: dimension_list(body) for name, body in bodies.items()}
    first, found = next(iter(lists.items()))
    for name, other in lists.items():
        if _shape(other) != _shape(found):
            problem = f"has other features than {first}, so that letters cannot stand for its sizes"
            raise InputError("drawing", "family", name, problem, "draw it apart")
    columns: dict[tuple[object, ...], str] = {}
    letters: dict[Key, str] = {}
    rows: dict[str, dict[str, Dimension]] = {name: {} for name in lists}
    names = _letters()
    for at, one in enumerate(found.dimensions):
        same = [other.dimensions[at] for other in lists.values()]
        if all(abs(other.value - one.value) < LENGTH for other in same):
            continue
        column = (one.unit, *(round(other.value, 6) for other in same))
        if column not in columns:
            columns[column] = next(names)
        letters[key_of(one)] = columns[column]
        for name, other_ in zip(rows, same, strict=True):
            rows[name].setdefault(columns[column], other_)
    return Sizes(
        letters, rows, {name: subject_of(body, properties(body), Numbers()) for name, body in bodies.items()}
    )


def _shape(found: DimensionList) -> object:
    """Return what must be equal for one picture to show all: what is dimensioned, how often, and the bends."""
    return [(key_of(one), one.count) for one in found.dimensions], found.bends


def _letters() -> Iterator[str]:
    """Yield letters that cannot be confused with figures: a, b ... z, then aa, ab ..."""
    plain = [letter for letter in ascii_lowercase if letter not in "ilo"]
    yield from plain
    yield from (f"{one}{two}" for one, two in product(plain, plain))
