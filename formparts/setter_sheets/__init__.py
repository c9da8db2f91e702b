"""The setter's sheet: the instructions for the press brake, step by step."""

from formparts.setter_sheets.sheet import SetterSheet, setter_sheet
from formparts.setter_sheets.writing import plan_lines, sheet_as_svg, write_setter_sheet

__all__ = ["SetterSheet", "plan_lines", "setter_sheet", "sheet_as_svg", "write_setter_sheet"]
