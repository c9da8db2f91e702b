"""
The table of writers: which file is written by which ending. A new format is one module here that enters itself.

Modules here load nothing heavy at their top, so that the command's help can be made from the table.
"""

from __future__ import annotations

from importlib import import_module
from pkgutil import iter_modules

from formparts.writers.table import WRITERS, Writer, kinds_of, writer, writer_for, writers_of

for _module in sorted(found.name for found in iter_modules(__path__)):
    import_module(f"{__name__}.{_module}")

__all__ = ["WRITERS", "Writer", "kinds_of", "writer", "writer_for", "writers_of"]
