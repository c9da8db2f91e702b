"""Decks for finite elements, straight from the body: shells or solids, with loads and supports chosen by name."""

from formparts.fea.assembled import AssemblyMesh, assembly_mesh, assembly_solved, write_assembly_deck
from formparts.fea.case import LoadCase
from formparts.fea.case_file import read_cases
from formparts.fea.decks import write_deck
from formparts.fea.loads import Load, read_load
from formparts.fea.mesh import KINDS, ElementBlock, FeaMesh, mesh_of
from formparts.fea.msh import write_msh
from formparts.fea.orders import FeaOrder
from formparts.fea.picture import deflected, write_deflected
from formparts.fea.solver import Answer, solved, solver_there
from formparts.fea.studies import CaseSolution, Study, study, write_study
from formparts.fea.study_records import study_record
from formparts.fea.vtu import write_vtu

__all__ = [
    "KINDS",
    "Answer",
    "AssemblyMesh",
    "CaseSolution",
    "ElementBlock",
    "FeaMesh",
    "FeaOrder",
    "Load",
    "LoadCase",
    "Study",
    "assembly_mesh",
    "assembly_solved",
    "deflected",
    "mesh_of",
    "read_cases",
    "read_load",
    "solved",
    "solver_there",
    "study",
    "study_record",
    "write_assembly_deck",
    "write_deck",
    "write_deflected",
    "write_msh",
    "write_study",
    "write_vtu",
]
