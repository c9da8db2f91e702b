"""What all tests share: seeds, and that nothing is skipped where everything is installed."""

from __future__ import annotations

import os
from collections.abc import Generator

import pytest
from hypothesis import settings

settings.register_profile("formparts", derandomize=True, deadline=None, print_blob=True)
settings.load_profile("formparts")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """With FORMPARTS_NO_SKIPS set, a skipped test has failed."""
    report = yield
    if report.skipped and os.environ.get("FORMPARTS_NO_SKIPS"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped where nothing may be: {report.longrepr} {call.when}"
    return report
