"""What would make each DXF file another one, kept out of it: the clock, and the library's random marks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Final

_DATES: Final = ("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE")

_DAY_OF_1970: Final = 2440588
"""Julian day number of 1 January 1970; DXF counts the fraction of a day from midnight, where astronomy does from
noon: DXF reference, special handling of date and time variables."""


@contextmanager
def fixed_marks() -> Iterator[None]:
    """Keep clock and random marks out of the file, and put the library's global option back."""
    from ezdxf import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def dated(text: str, date: datetime) -> str:
    """Put our date in place of the library's fixed one."""
    days = _DAY_OF_1970 + date.timestamp() / 86400.0
    for name in _DATES:
        text = re.sub(rf"({re.escape(name)}\r?\n\s*40\r?\n)[^\r\n]*", rf"\g<1>{days:.8f}", text)
    return text
