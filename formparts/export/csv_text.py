"""Tables as text: cells and comments that no spreadsheet reads as a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable


def csv_text(rows: Iterable[Iterable[object]]) -> str:
    """Return rows as CSV: numbers unchanged, yes or no, an empty cell for a missing figure, and texts as safe cells."""
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([_cell(value) for value in row] for row in rows)
    return text.getvalue()


def spreadsheet(rows: Iterable[Iterable[object]]) -> str:
    """Return the same, with the byte-order mark by which spreadsheets recognise UTF-8."""
    return "\ufeff" + csv_text(rows)


def _cell(value: object) -> object:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return cell_text(value) if isinstance(value, str) else value


def cell_text(text: str) -> str:
    """
    Give a text as the cell of a table: on one line, and quoted when a spreadsheet would take it for a formula.

    Parameters
    ----------
    text : str
        Any text, as a name that somebody else gave.

    Returns
    -------
    str

    Source
    ------
    What spreadsheets take for the beginning of a formula: OWASP, "CSV Injection", from memory.
    """
    # A table never contains NUL.
    plain = " ".join(text.replace("\0", " ").split())
    return f"'{plain}" if plain.startswith(tuple("=+-@")) else plain


def comment_text(text: str) -> str:
    """Return text as a comment line of a table: no part of it between its commas begins a formula."""
    return re.sub(r"[,;](?=[=+\-@])", r"\g<0> '", " ".join(text.split()))
