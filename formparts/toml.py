"""The one door to TOML: the reader that comes with Python, or from 3.10's own package of the same words."""

from __future__ import annotations

import sys

if sys.version_info >= (3, 11):
    from tomllib import TOMLDecodeError, loads
else:
    from tomli import TOMLDecodeError, loads

__all__ = ["TOMLDecodeError", "loads"]
