"""No date is made up: a page and a drawing show one only when it was given."""

from __future__ import annotations

import pytest

from formparts import find_recipe
from formparts.drawings import drawing
from formparts.part import Part
from formparts.report.html import report_page
from tests.drawings.test_sheet import said


def test_date_is_shown_when_given_and_only_then(monkeypatch: pytest.MonkeyPatch) -> None:
    """With SOURCE_DATE_EPOCH of 2026-11-25 it is read on both; without it neither shows the start of 1970."""
    body = find_recipe("z_clip")()
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    assert "1970" not in report_page(Part(body))
    assert "1970" not in said(drawing(body))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795564800")
    assert "2026-11-25" in report_page(Part(body))
    assert "2026-11-25" in said(drawing(body))
