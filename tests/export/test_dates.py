"""The date in a file is one that was given."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from formparts.errors import InputError
from formparts.export import file_date


def test_a_date_comes_from_the_call_then_the_environment_then_1970(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    assert file_date() == datetime(1970, 1, 1, tzinfo=UTC)
    # 1234567890 s after the epoch: 13 February 2009, 23:31:30 UTC, as `date -u -d @1234567890` says.
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1234567890")
    assert file_date() == datetime(2009, 2, 13, 23, 31, 30, tzinfo=UTC)
    there = datetime(2020, 6, 1, 2, 0, 0, 999, tzinfo=timezone(timedelta(hours=2)))
    assert file_date(there) == datetime(2020, 6, 1, tzinfo=UTC)


@pytest.mark.parametrize("text", ["", "yesterday", "1.5", "9" * 40])
def test_a_date_that_is_none_is_refused(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", text)
    with pytest.raises(InputError, match="SOURCE_DATE_EPOCH"):
        file_date()
