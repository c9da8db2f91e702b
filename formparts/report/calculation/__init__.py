"""The hand calculation: each formula in symbols, then with numbers and units, then the result, down to the mass."""

from formparts.report.calculation.lines import CalculationSection, Step, Table
from formparts.report.calculation.sequence import hand_calculation
from formparts.report.calculation.text import calculation_text

__all__ = ["CalculationSection", "Step", "Table", "calculation_text", "hand_calculation"]
