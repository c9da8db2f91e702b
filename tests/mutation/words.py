"""Faults of words: what people read beside a figure. A heading's unit, up for down, length for width."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

_PAIRS = (
    ("up", "down"), ("left", "right"), ("front", "back"), ("length", "width"), ("inside", "outside"),
    ("allowance", "deduction"), ("mm2", "mm3"), ("mm²", "mm³"), ("Length", "Width"), ("kN", "N"), ("kg", "g"),
)  # fmt: skip
OTHERS = {one: other for pair in _PAIRS for one, other in (pair, pair[::-1])}
"""What is easily taken for one another, or a thousand times too much."""
_WORD = re.compile(
    rf"(?<![A-Za-z0-9])(?:{'|'.join(sorted(map(re.escape, OTHERS), key=len, reverse=True))})(?![A-Za-z0-9²³])"
)


def other_texts(text: str) -> list[str]:
    """The same text with one word or unit, each in its turn, that is another."""
    return [text[: at.start()] + OTHERS[at[0]] + text[at.end() :] for at in _WORD.finditer(text)]


def other_filled(node: ast.JoinedStr) -> Iterator[ast.JoinedStr]:
    """The same filled text with one word or unit, each in its turn, that is another; what fills it stays."""
    for number, part in enumerate(node.values):
        if isinstance(part, ast.Constant) and isinstance(part.value, str):
            for text in other_texts(part.value):
                yield ast.JoinedStr([*node.values[:number], ast.Constant(text), *node.values[number + 1 :]])
