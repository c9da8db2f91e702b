"""The part: a body with everything derived from it, each figure computed once, on demand."""

from formparts.part.openings import OpeningPlace, opening_places
from formparts.part.part import Part

__all__ = ["OpeningPlace", "Part", "opening_places"]
