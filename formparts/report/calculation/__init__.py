"""The hand calculation: each formula in symbols, with numbers and units, and its result, up to the mass."""

from formparts.report.calculation.lines import CalculationSection, Step, Table
from formparts.report.calculation.sequence import hand_calculation
from formparts.report.calculation.text import calculation_text

__all__ = ["CalculationSection", "Step", "Table", "calculation_text", "hand_calculation"]
