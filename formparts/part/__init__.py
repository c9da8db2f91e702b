"""The part in hand: a body with everything derived from it, each figure worked out once, when it is asked for."""

from formparts.part.openings import OpeningPlace, opening_places
from formparts.part.part import Part

__all__ = ["OpeningPlace", "Part", "opening_places"]
