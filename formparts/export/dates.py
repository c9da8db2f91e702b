"""The date written into a file: a given one, never the clock's."""

from __future__ import annotations

import os
from datetime import UTC, datetime

from formparts.errors import InputError

EPOCH_VARIABLE = "SOURCE_DATE_EPOCH"


def file_date(date: datetime | None = None) -> datetime:
    """Return the date for a file: the one given, else SOURCE_DATE_EPOCH, else the start of 1970.

    Parameters
    ----------
    date : datetime, optional
        Without a zone it is taken as UTC.

    Returns
    -------
    datetime
        In UTC, whole seconds.

    Raises
    ------
    InputError
        SOURCE_DATE_EPOCH is not a whole number of seconds.

    Source
    ------
    SOURCE_DATE_EPOCH specification of the Reproducible Builds project: seconds since 1970-01-01 00:00 UTC.
    """
    if date is None:
        return _epoch(os.environ.get(EPOCH_VARIABLE, "0"))
    return (date if date.tzinfo else date.replace(tzinfo=UTC)).astimezone(UTC).replace(microsecond=0)


def date_shown() -> str:
    """
    Give the date that a person may read on a page or a drawing.

    Returns
    -------
    str
        That of SOURCE_DATE_EPOCH, as 2026-11-25; nothing when none is set, for no made-up date is shown as a fact.

    Raises
    ------
    InputError
        SOURCE_DATE_EPOCH is not a whole number of seconds.
    """
    return file_date().strftime("%Y-%m-%d") if EPOCH_VARIABLE in os.environ else ""


def _epoch(text: str) -> datetime:
    try:
        return datetime.fromtimestamp(int(text), UTC)
    except (ValueError, OverflowError, OSError) as error:
        fix = "give whole seconds since 1970, or leave it unset"
        raise InputError("files", EPOCH_VARIABLE, text, "is not a date", fix) from error
