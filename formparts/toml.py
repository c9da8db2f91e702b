"""The one door to TOML: the reader that comes with Python, or from 3.10's own package of the same words."""

from __future__ import annotations

import sys
from typing import Any

if sys.version_info >= (3, 11):
    import tomllib as reader
else:
    import tomli as reader

__all__ = ["TOMLDecodeError", "loads"]


class TOMLDecodeError(ValueError):
    """A text that is no TOML: our own, as the readers' newest ones refuse to be raised with words alone."""


def loads(text: str) -> dict[str, Any]:
    """Read a text; whatever is wrong with it, also what the reader itself stumbles over, is a TOMLDecodeError."""
    try:
        data = reader.loads(text)
    except RecursionError as error:
        raise TOMLDecodeError("it is nested too deeply") from error
    except reader.TOMLDecodeError as error:
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
