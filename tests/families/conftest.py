"""Workers of families are forks of the tests' process; `new_workers` is for tests that are about the process itself."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from formparts import find_recipe
from formparts.families import pool
from tests.families.helpers import STRIP
from tests.forks import worker_in_a_fork

NEW = pool.started


@pytest.fixture(scope="package", autouse=True)
def _workers_are_forks(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What a variant needs is imported once, here."""
    with pytest.MonkeyPatch.context() as patch:
        if hasattr(os, "fork"):
            folder: Path = tmp_path_factory.mktemp("imported")
            find_recipe(STRIP).part().write_all(folder, ("blank", "json"))
            patch.setattr(pool, "started", worker_in_a_fork)
        yield


@pytest.fixture
def new_workers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Workers are started as they are for everybody else."""
    monkeypatch.setattr(pool, "started", NEW)
