"""Results computed once for an object that never changes, and kept on it: the one place where that is done."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

_Object = TypeVar("_Object")
_Figure = TypeVar("_Figure")


def kept(function: Callable[[_Object], _Figure]) -> Callable[[_Object], _Figure]:
    """
    Keep what a function of one frozen object gives, on that object, as `cached_property` does for a property.

    For functions of a room above the object's own; it goes when the object goes.
    """
    name = f"{function.__module__}.{function.__qualname__}"

    @wraps(function)
    def once(of: _Object) -> _Figure:
        notes: dict[str, Any] = vars(of)
        if name not in notes:
            notes[name] = function(of)
        found: _Figure = notes[name]
        return found

    return once


def note(of: object, what: str) -> None:
    """Record on a frozen object that something is known of it, so that it is not proved again."""
    vars(of)[what] = True


def is_noted(of: object, what: str) -> bool:
    """True when it was noted."""
    return what in vars(of)
