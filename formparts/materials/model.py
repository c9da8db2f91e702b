"""The data of a material: its figures, each with its standard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH

GREY = (0.60, 0.63, 0.66)
"""Red, green and blue of a material that has no colour of its own."""


THICKEST, THINNEST = 16.0, 0.7
"""The plain figures of a material hold for every sheet over the second and up to the first [mm]."""


@short_repr
@dataclass(frozen=True, slots=True)
class Band:
    """
    A strength, an elongation or a deviation for the sheets of a range of thicknesses.

    Parameters
    ----------
    figure : str
        `yield_strength`, `tensile_strength`, `elongation`, or `thickness_deviation` [mm] of a material of your own.
    over, to : float [mm]
        The range of thickness, the second included.
    least, most : float [MPa], optional
        The figure's own range (in % for an elongation); no end where the standard sets none.
    gauge : str
        Gauge length of an elongation: `A80` (80 mm), `A50`, `A200`, or `A` (proportional).
    """

    figure: str
    over: float
    to: float
    least: float | None = None
    most: float | None = None
    gauge: str = ""


@short_repr
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
    product : str
        What is bought: `hot-rolled steel`, `cold-rolled aluminium`, ...; its standard sets the thickness tolerance.
    bands : tuple of Band
        Strengths and elongations by thickness; the plain figures above are safe for all of them.

    Examples
    --------
    >>> steel = material("DC01")
    >>> steel.density, steel.name
    (7850.0, 'DC01')
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
    product: str = ""
    bands: tuple[Band, ...] = ()

    def with_thickness(self, thickness: float) -> Material:
        """
        Give the same material with the strengths and the elongation of one sheet.

        Parameters
        ----------
        thickness : float [mm]
            Thickness of the sheet; beyond the rows of the standard the nearest one holds.

        Returns
        -------
        Material
        """
        found: dict[str, float | None] = {}
        for figure in ("yield_strength", "tensile_strength", "elongation"):
            rows = [band for band in self.bands if band.figure == figure]
            if rows:
                found |= plain_figures([_nearest(rows, thickness)], self.yield_is)
        return replace(self, **found)  # type: ignore[arg-type]  # names and kinds are those of the fields

    @property
    def strength_to_bend(self) -> float | None:
        """The greatest tensile strength delivered [MPa], else the least: the press must be strong enough for it."""
        return self.tensile_strength_max or self.tensile_strength_min

    @property
    def sources(self) -> Mapping[str, str]:
        """Figure to the text that says where it is from."""
        return dict(self.sourced)


def plain_figures(bands: list[Band], yield_is: str) -> dict[str, float | None]:
    """Return the safe figures over several bands: the smallest least, the greatest most.

    Parameters
    ----------
    bands : list of Band
        Of one material.
    yield_is : str
        `most` where the greatest yield strength is the one that counts.

    Returns
    -------
    dict of str to float or None [MPa]
        By the name of the field of a Material.
    """
    found: dict[str, float | None] = {}
    for figure in {band.figure for band in bands}:
        rows = [band for band in bands if band.figure == figure]
        least = min((band.least for band in rows if band.least is not None), default=None)
        tops = [band.most for band in rows if band.most is not None]
        most = max(tops) if len(tops) == len(rows) else None
        if figure == "tensile_strength":
            found |= {"tensile_strength_min": least, "tensile_strength_max": most}
        else:
            found[figure] = most if figure == "yield_strength" and yield_is == "most" else least
    return found


def _nearest(rows: list[Band], thickness: float) -> Band:
    """The band that a thickness is in; the first or the last one beyond them."""
    return next((band for band in rows if thickness <= band.to + LENGTH), rows[-1])
