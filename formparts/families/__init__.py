"""Families: from one recipe and a table of parameters to many parts, on all cores, with every outcome recorded."""

from __future__ import annotations

from formparts.families.gridding import grid_rows
from formparts.families.ledger import Outcome
from formparts.families.sweep import family
from formparts.families.table import Row, read_table, rows_of
from formparts.families.tables import as_array, as_table
from formparts.families.variants import Fault, Variant, checked

__all__ = [
    "Fault",
    "Outcome",
    "Row",
    "Variant",
    "as_array",
    "as_table",
    "checked",
    "family",
    "grid_rows",
    "read_table",
    "rows_of",
]
