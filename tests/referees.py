"""Programs of others that tests hold our files against, where they are installed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest


@contextmanager
def gmsh_session() -> Iterator[Any]:
    """Gmsh (GPL, extra `test`), quiet; skips where it or a system library that it needs is not there."""
    try:
        import gmsh
    except (ImportError, OSError) as error:
        pytest.skip(
            f"Gmsh cannot be loaded ({error}): install the extra `test` and the Debian packages in .ci/run"
        )
    gmsh.initialize(["", "-noenv"], interruptible=False)
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        yield gmsh
    finally:
        gmsh.finalize()
