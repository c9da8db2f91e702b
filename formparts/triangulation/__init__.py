"""Body to triangles: flats and bends followed within a chord, from the model alone."""

from formparts.triangulation.body_facets import Facets, Surfaces, facets
from formparts.triangulation.rim_points import COARSEST_RAD, chord_angle

__all__ = ["COARSEST_RAD", "Facets", "Surfaces", "chord_angle", "facets"]
