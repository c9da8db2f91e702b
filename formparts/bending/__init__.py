"""Bend mathematics: allowance, setbacks, deduction, offsets, and the rules that place the neutral fibre."""

from formparts.bending.allowance_tables import AllowanceRow, AllowanceTable, allowance_table
from formparts.bending.by_material import KByRule, k_by_rule
from formparts.bending.din_6935 import din_6935_compensation, din_6935_factor
from formparts.bending.lengths import (
    bend_allowance,
    bend_deduction,
    inside_setback,
    k_factor_from_allowance,
    k_factor_from_deduction,
    mid_setback,
    outside_setback,
)
from formparts.bending.measured_k import (
    BentStrip,
    MeasuredKFactor,
    bent_strips,
    measured_k_factors,
    measured_table,
)
from formparts.bending.mould_lines import (
    blank_length,
    missing_mould_length,
    mould_lengths,
    mould_straights,
)
from formparts.bending.offsets import offset_angle, offset_run, offset_slope, smallest_rise
from formparts.bending.rule_lines import RULES, bend_rule, rule_texts
from formparts.bending.rules import (
    AircraftHandbook,
    BendRule,
    Din6935,
    Groover,
    KFactor,
    KTable,
    MachineryHandbook,
)

__all__ = [
    "RULES",
    "AircraftHandbook",
    "AllowanceRow",
    "AllowanceTable",
    "BendRule",
    "BentStrip",
    "Din6935",
    "Groover",
    "KByRule",
    "KFactor",
    "KTable",
    "MachineryHandbook",
    "MeasuredKFactor",
    "allowance_table",
    "bend_allowance",
    "bend_deduction",
    "bend_rule",
    "bent_strips",
    "blank_length",
    "din_6935_compensation",
    "din_6935_factor",
    "inside_setback",
    "k_by_rule",
    "k_factor_from_allowance",
    "k_factor_from_deduction",
    "measured_k_factors",
    "measured_table",
    "mid_setback",
    "missing_mould_length",
    "mould_lengths",
    "mould_straights",
    "offset_angle",
    "offset_run",
    "offset_slope",
    "outside_setback",
    "rule_texts",
    "smallest_rise",
]
