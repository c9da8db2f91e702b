"""Decks for finite elements, straight from the body: shells or solids, with loads and supports chosen by name."""

from formparts.fea.deck import LoadCase, write_deck
from formparts.fea.loads import Load, load
from formparts.fea.mesh import KINDS, ElementBlock, FeaMesh, mesh_of
from formparts.fea.solver import Answer, solved, solver_there

__all__ = [
    "KINDS",
    "Answer",
    "ElementBlock",
    "FeaMesh",
    "Load",
    "LoadCase",
    "load",
    "mesh_of",
    "solved",
    "solver_there",
    "write_deck",
]
