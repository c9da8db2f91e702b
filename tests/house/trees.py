"""Syntax trees of our files, each made once: ten rules look at the same texts."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path


@cache
def tree_of(text: str) -> ast.Module:
    """Return the syntax tree of a text; nobody changes it."""
    return ast.parse(text)


@cache
def nodes_of(text: str) -> tuple[ast.AST, ...]:
    """Return every node of a text, in the order of `ast.walk`."""
    return tuple(ast.walk(tree_of(text)))


def texts_of(*folders: Path) -> dict[Path, str]:
    """Return the text of every module in some folders, sorted by its path."""
    return {path: path.read_text("utf-8") for folder in folders for path in sorted(folder.rglob("*.py"))}
