"""The clear text of ISO 10303-21: entities numbered in order, reals with twelve decimals, lines of 72 characters."""

from __future__ import annotations

import re
from typing import Final

WIDTH: Final = 72
"""Longest line, as in earlier editions of the exchange structure; readers accept longer ones too."""
_PLAIN_FROM, _PLAIN_TO = 0.1, 1000.0
"""Between these a real is written without an exponent."""
_LETTERS: Final = 15
"""Longest real without an exponent, sign and point included, as the kernel writes it."""


def real(value: float) -> str:
    """A real: a point always, a capital E, twelve places, and no zeros behind."""
    if value == 0.0 or _PLAIN_FROM <= abs(value) < _PLAIN_TO:
        return f"{value:.12f}"[:_LETTERS].rstrip("0")
    mantissa, _, exponent = f"{value:.12E}".partition("E")
    return f"{mantissa.rstrip('0')}E{exponent}" if exponent != "+00" else mantissa.rstrip("0")


def string(text: str) -> str:
    """A string as the exchange structure quotes it; of letters beyond ASCII the bytes of UTF-8, one by one."""
    bare = text if text.isascii() else text.encode().decode("latin-1")
    for letter, written in (("\\", "\\\\"), ("'", "''"), ("\n", "\\N\\"), ("\t", "\\T\\")):
        bare = bare.replace(letter, written)
    return f"'{bare}'"


_TOKENS: Final = re.compile(
    r"^#\d+ = \( |'(?:[^']|'')*'|\);| \);|\) (?=\w)|\n?[(),]|[^'(),\n ]+(?: [^'(),\n ]+)*"
)


class Numbered:
    """Entities by number: a number is assigned when an entity is met, its text is added when complete."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def take(self) -> int:
        """Return a number for an entity whose text follows later."""
        self.texts.append("")
        return len(self.texts)

    def put(self, number: int, text: str) -> int:
        """Set the text of a number assigned before."""
        self.texts[number - 1] = text
        return number

    def add(self, text: str) -> int:
        """Add an entity that refers to none that follows later."""
        self.texts.append(text)
        return len(self.texts)

    def lines(self) -> str:
        """All entities, one after another."""
        return "".join(f"{wrapped(f'#{number} = {text};')}\n" for number, text in enumerate(self.texts, 1))


def wrapped(text: str) -> str:
    """An entity on lines of 72 letters at most, each set in by the brackets that are open."""
    if len(text) <= WIDTH:
        return text
    done: list[str] = []
    line, level = "", 0
    for token in _TOKENS.findall(text):
        # As in the kernel's files, a named value ends two characters before the end of its line; .T. and .F. need not.
        spare = 2 if token[0] == "." and len(token) > len(".T.") else 0
        if token[0] == "\n" or len(line) + len(token) + spare > WIDTH:
            done.append(line)
            line = "  " * (level - (token == "\n)"))
            if token[0] == "'" and len(line) + len(token) > WIDTH:
                line = ""
                *whole, token = _cut(token)
                done += whole
        line += token.lstrip("\n")
        level += {"(": 1, ")": -1}.get(token.strip("\n "), 0)
    return "\n".join([*done, line])


def _cut(long: str) -> list[str]:
    """A string that fills more than a line: cut behind its last space, or else where the line ends."""
    pieces = []
    while len(long) > WIDTH:
        at = long.rfind(" ", 0, WIDTH) + 1 or WIDTH
        pieces.append(long[:at])
        long = long[at:]
    return [*pieces, long]
