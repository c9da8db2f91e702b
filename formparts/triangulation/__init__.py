"""Body to triangles: flats and bends followed within a chord, from the model alone."""

from formparts.triangulation.body_facets import COARSEST_RAD, Facets, Surfaces, chord_angle, facets

__all__ = ["COARSEST_RAD", "Facets", "Surfaces", "chord_angle", "facets"]
