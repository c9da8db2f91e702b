"""The one door to TOML: Python's own reader, with its errors reported in one form."""

from __future__ import annotations

import tomllib
from typing import Any

__all__ = ["TOMLDecodeError", "loads"]


class TOMLDecodeError(ValueError):
    """The error for text that is not TOML; the newest readers' own cannot be raised with a message alone."""


def loads(text: str) -> dict[str, Any]:
    """Parse a text; every error, the reader's own failures included, is a TOMLDecodeError."""
    try:
        data = tomllib.loads(text)
    except RecursionError as error:
        raise TOMLDecodeError("it is nested too deeply") from error
    except tomllib.TOMLDecodeError as error:
        raise TOMLDecodeError(str(error)) from error
    except ValueError as error:
        # As a number of more digits than Python reads.
        raise TOMLDecodeError("it holds a number or a date that cannot be read") from error
    return _small(data)


def _small(data: dict[str, Any]) -> dict[str, Any]:
    """The data, if its whole numbers have no more than the 64 bits of TOML 1.0; longer ones cannot even be shown."""
    todo: list[Any] = [data]
    while todo:
        value = todo.pop()
        if isinstance(value, dict):
            todo.extend(value.values())
        elif isinstance(value, list):
            todo.extend(value)
        elif isinstance(value, int) and not -(2**63) <= value < 2**63:
            raise TOMLDecodeError("it holds a whole number of more than 64 bits")
    return data
