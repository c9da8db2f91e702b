"""Families: from one recipe and a table of parameters to many parts, on every core, and nothing lost."""

from __future__ import annotations

from formparts.family.gridding import grid_rows
from formparts.family.ledger import Outcome
from formparts.family.rows import Fault, Variant, checked
from formparts.family.sweep import family
from formparts.family.table import Row, read_table, rows_of
from formparts.family.tables import as_array, as_table

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
