"""Exact planar outlines of lines and arcs: shapes, measures, union, cut, intersection. Lengths in mm."""

from __future__ import annotations

from formparts.outline.edges import Arc, Edge, Line, Motion, Point, cos_deg, sin_deg
from formparts.outline.hole_patterns import bolt_circle, grid
from formparts.outline.overlay import cut, intersect, unite
from formparts.outline.paths import ArcTo, arc_to, closed_path
from formparts.outline.queries import common_edges, minimal_width, reaches_into
from formparts.outline.regions import Loop, Outline, outline_of
from formparts.outline.shapes import disc, obround, polygon, rectangle, ring, round_ended_rectangle
from formparts.outline.simplify import alike, circle_loop, merged
from formparts.outline.soundness import problem

__all__ = [
    "Arc",
    "ArcTo",
    "Edge",
    "Line",
    "Loop",
    "Motion",
    "Outline",
    "Point",
    "alike",
    "arc_to",
    "bolt_circle",
    "circle_loop",
    "closed_path",
    "common_edges",
    "cos_deg",
    "cut",
    "disc",
    "grid",
    "intersect",
    "merged",
    "minimal_width",
    "obround",
    "outline_of",
    "polygon",
    "problem",
    "reaches_into",
    "rectangle",
    "ring",
    "round_ended_rectangle",
    "sin_deg",
    "unite",
]
