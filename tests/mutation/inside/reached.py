"""Which statements were reached: one byte each, shared by a process and all that it starts."""

from __future__ import annotations

import mmap
import os

with open(os.environ["MUTATION_REACHED"], "r+b") as _file:
    HITS = mmap.mmap(_file.fileno(), 0)
