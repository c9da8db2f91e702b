"""One short line for an object in a console, a notebook or a debugger."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, Final, TypeVar

WIDTH: Final = 118
"""The longest line [characters]."""
_TEXT: Final = 45
"""Text longer than this is cut [characters]."""
_DIGITS: Final = 9
"""A figure longer than this is rounded to seven digits [characters]."""

T = TypeVar("T")


def short_repr(cls: type[T]) -> type[T]:
    """
    Give a dataclass a `repr` of one line: its plain fields, how many there are of others, cut at the width.

    It is for readers; nothing is to be looked up by it, as two objects may be shown alike.

    Parameters
    ----------
    cls : type
        A dataclass.

    Returns
    -------
    type
        The same class.
    """
    setattr(cls, "__repr__", _line)  # noqa: B010
    return cls


def _line(self: Any) -> str:
    head, room = f"{type(self).__name__}(", WIDTH - len(type(self).__name__) - 7
    shown: list[str] = []
    left_out = False
    for field in fields(self):
        text = f"{field.name}={_shown(getattr(self, field.name))}"
        if not field.repr or len(text) + 2 > room:
            left_out = True
        else:
            shown.append(text)
            room -= len(text) + 2
    return head + ", ".join([*shown, *(["..."] if left_out else [])]) + ")"


def _shown(value: Any) -> str:
    """Return a figure, a name, a position, or the kind and number of things."""
    if value is None or isinstance(value, (bool, int)):
        return repr(value)
    if isinstance(value, float):
        return min(repr(value), f"{value:.7g}", key=len) if len(repr(value)) > _DIGITS else repr(value)
    if isinstance(value, str):
        return repr(value if len(value) <= _TEXT else value[: _TEXT - 3] + "...")
    if (
        isinstance(value, tuple)
        and len(value) <= 3
        and all(isinstance(one, (int, float, str)) for one in value)
    ):
        return f"({', '.join(_shown(one) for one in value)}{',' if len(value) == 1 else ''})"
    if type(value).__module__ == "numpy":
        return f"<array {'x'.join(map(str, value.shape))}>"
    if hasattr(value, "__len__"):
        return f"<{len(value)}>"
    return f"<{getattr(value, '__name__', type(value).__name__)}>"
