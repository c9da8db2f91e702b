"""Special features of a part: what it costs besides cutting and air bending, in a few words each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from formparts.part import Part


def special_words(part: Part) -> tuple[str, ...]:
    """Return what a buyer has to order besides a cut blank and air bends; nothing for a plain part."""
    return tuple(f"{count} × {words}" for words, count in Counter(_each(part)).items())


def _each(part: Part) -> Iterator[str]:
    for opening in part.openings:
        if opening.feature is not None:
            yield opening.feature.callout
        if opening.after_bending:
            yield "opening made after bending"
    for bend in part.bends:
        if bend.process != "air bend":
            yield bend.process
    for flat in part.body.flats:
        for mark in flat.marks:
            yield mark.kind
