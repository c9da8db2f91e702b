"""Remove what makes every DXF file different: the clock, and the library's random marks."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Final

_DATES: Final = ("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE")

_DAY_OF_1970: Final = 2440588
"""Julian day number of 1 January 1970; DXF counts the fraction of a day from midnight, where astronomy does from
noon: DXF reference, special handling of date and time variables."""


_GUIDS: Final = ("$FINGERPRINTGUID", "$VERSIONGUID")
_NO_GUID: Final = "{00000000-0000-0000-0000-000000000000}"


def dated(text: str, date: datetime) -> str:
    """Replace the clock's date by the given one, and the library's random marks by zero."""
    days = _DAY_OF_1970 + date.timestamp() / 86400.0
    for name in _DATES:
        text = re.sub(rf"({re.escape(name)}\r?\n\s*40\r?\n)[^\r\n]*", rf"\g<1>{days:.8f}", text)
    for name in _GUIDS:
        text = re.sub(rf"({re.escape(name)}\r?\n\s*2\r?\n)[^\r\n]*", rf"\g<1>{_NO_GUID}", text)
    # The library notes beside its own version when it made and wrote the document.
    moment = r"\d{4}-\d\d-\d\dT[\d:.]+\+00:00"
    return re.sub(rf"(?m)^(\d\S* @ ){moment}(?=\r?$)", rf"\g<1>{date.isoformat()}", text)
