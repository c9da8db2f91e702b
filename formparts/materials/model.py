"""What a sheet is made of: the figures of a material, each with the standard that it is from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

GREY = (0.60, 0.63, 0.66)
"""Red, green and blue of a material that has no colour of its own."""


@dataclass(frozen=True)
class Material:
    """
    What a sheet is made of.

    Parameters
    ----------
    name : str
        By this it is found again: `material(name)` gives the same material, also with a density by hand.
    density : float [kg/m3]
        Mass per volume.
    standard_number : str
        Material number of its standard.
    description : str
        What it is, in a few words.
    modulus : float [MPa], optional
        Modulus of elasticity.
    poisson : float [-], optional
        Ratio of transverse to longitudinal strain.
    yield_strength : float [MPa], optional
        Yield point or 0.2 % proof strength; `yield_is` says whether the least, the most, or a typical one.
    yield_is : "least", "most" or "typical"
        How to take the yield strength.
    tensile_strength_min, tensile_strength_max : float [MPa], optional
        Range of the tensile strength; no upper end where the standard sets none.
    elongation : float [%], optional
        Elongation after fracture that is guaranteed, or a typical one.
    family : str
        `carbon steel`, `stainless steel`, `aluminium`, `copper`, `brass`, `bronze`, `titanium`, or none.
    note : str
        What else must be known.
    colour : tuple of three floats [-]
        Red, green and blue from 0 to 1, for pictures and the STEP file.
    aliases : tuple of str
        Other names that find it.
    sourced : tuple of pairs of str
        For each figure the standard that it is from; `sources` gives them as a mapping.
    """

    name: str
    density: float
    standard_number: str = ""
    description: str = ""
    modulus: float | None = None
    poisson: float | None = None
    yield_strength: float | None = None
    yield_is: Literal["least", "most", "typical"] = "typical"
    tensile_strength_min: float | None = None
    tensile_strength_max: float | None = None
    elongation: float | None = None
    family: str = ""
    note: str = ""
    colour: tuple[float, float, float] = GREY
    aliases: tuple[str, ...] = ()
    sourced: tuple[tuple[str, str], ...] = ()

    @property
    def strength_to_bend(self) -> float | None:
        """The greatest tensile strength that is delivered [MPa], else the least: what a press must cope with."""
        return self.tensile_strength_max or self.tensile_strength_min

    @property
    def sources(self) -> Mapping[str, str]:
        """Figure to the text that says where it is from."""
        return dict(self.sourced)
