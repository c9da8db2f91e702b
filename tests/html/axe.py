"""axe-core, the usual open-source referee of the rules of accessibility (WCAG), run inside a page."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.html.browser import Page

_RUN = """
axe.run().then((r) => JSON.stringify({
  passed: r.passes.length, faults: r.violations.map((v) => [v.impact, v.id, v.nodes[0].html]),
}))
"""


def script() -> str:
    """The referee itself; the test is skipped where it is not installed."""
    rules = pytest.importorskip("axe_core_python", reason="the test package axe-core-python is not installed")
    return (Path(rules.__file__).parent / "axe.min.js").read_text(encoding="utf-8") + "; 0"


def serious_faults(page: Page) -> list[list[str]]:
    """Faults that are serious or critical; that many rules passed shows that the referee did look."""
    found = json.loads(page.ask(_RUN))
    assert found["passed"] > 12
    return [fault for fault in found["faults"] if fault[0] in ("serious", "critical")]
