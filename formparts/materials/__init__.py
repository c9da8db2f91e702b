"""The table of materials, your own materials, and standard thicknesses; each figure with its standard."""

from formparts.materials.listing import (
    BY_HAND,
    figure,
    known_materials,
    material,
    material_of_density,
    with_density,
)
from formparts.materials.model import Band, Material
from formparts.materials.own_file import DENSITY_LIMITS, materials_from, own_named, split_own
from formparts.materials.thicknesses import (
    THICKNESS_SERIES,
    StandardThickness,
    gauge_thickness,
    nearest_thickness,
    standard_thicknesses,
)

__all__ = [
    "BY_HAND",
    "DENSITY_LIMITS",
    "THICKNESS_SERIES",
    "Band",
    "Material",
    "StandardThickness",
    "figure",
    "gauge_thickness",
    "known_materials",
    "material",
    "material_of_density",
    "materials_from",
    "nearest_thickness",
    "own_named",
    "split_own",
    "standard_thicknesses",
    "with_density",
]
