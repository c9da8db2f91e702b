"""The files delivered, one module for each format; solid, blank and mesh are proved before delivery."""

from formparts.export.dates import file_date
from formparts.export.deliveries import delivery, require_free
from formparts.export.dxf import DXF_VERSIONS, write_blank_dxf
from formparts.export.dxf_proof import DxfFigures, proved_blank_dxf
from formparts.export.files import delivered, folder_for, written
from formparts.export.findings import write_findings
from formparts.export.glb import write_glb
from formparts.export.json_file import write_json
from formparts.export.meshing import mesh, mesh_volumes, write_stl
from formparts.export.schedule import schedule_data, write_schedule
from formparts.export.step import STEP_SCHEMAS, write_step
from formparts.export.step_facts import FoundFacts, StepFacts, read_facts
from formparts.export.step_proof import StepFigures, proved_step
from formparts.export.step_reading import StepPart, read_step, read_step_solid
from formparts.export.svg import write_blank_svg
from formparts.export.three_mf import write_3mf

__all__ = [
    "DXF_VERSIONS",
    "STEP_SCHEMAS",
    "DxfFigures",
    "FoundFacts",
    "StepFacts",
    "StepFigures",
    "StepPart",
    "delivered",
    "delivery",
    "file_date",
    "folder_for",
    "mesh",
    "mesh_volumes",
    "proved_blank_dxf",
    "proved_step",
    "read_facts",
    "read_step",
    "read_step_solid",
    "require_free",
    "schedule_data",
    "write_3mf",
    "write_blank_dxf",
    "write_blank_svg",
    "write_findings",
    "write_glb",
    "write_json",
    "write_schedule",
    "write_step",
    "write_stl",
    "written",
]
