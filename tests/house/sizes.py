"""How long files are, and functions: their code, without signature, docstring, comments and blank lines."""

from __future__ import annotations

import ast
import io
import math
import re
import statistics
import tokenize

from tests.house.trees import nodes_of

MEDIAN = 8
NEARLY_ALL = 32  # the 95th percentile
FILE = 450
TESTS = 500
"""The same for files of tests, where cases of one subject stay together."""

_NO_CODE = {getattr(tokenize, kind) for kind in ("COMMENT", "NL", "NEWLINE", "INDENT", "DEDENT", "ENDMARKER")}


def function_sizes(text: str) -> dict[str, int]:
    """Give the lines of code of each function of a module; a stub (only a docstring, or ...) is none."""
    code = _lines_of_code(text)
    sizes = {}
    for node in nodes_of(text):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)) and (body := _without_docstring(node)):
            inside = range(body[0].lineno, (node.end_lineno or 0) + 1)
            sizes[f"{node.name}:{node.lineno}"] = len(code.intersection(inside))
    return sizes


def _without_docstring(node: ast.FunctionDef | ast.AsyncFunctionDef) -> list[ast.stmt]:
    body = node.body[1:] if ast.get_docstring(node) is not None else node.body
    is_stub = len(body) == 1 and isinstance(body[0], ast.Expr) and ast.unparse(body[0]) == "..."
    return [] if is_stub else body


def _lines_of_code(text: str) -> set[int]:
    """Give the numbers of the lines that hold code; a string over several lines is code on each."""
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in _NO_CODE:
            lines.update(range(token.start[0], token.end[0] + 1))
    return lines


def percentile(sizes: list[int], share: float) -> int:
    """Give the size that this share of the functions does not go beyond."""
    return sorted(sizes)[max(0, math.ceil(share * len(sizes)) - 1)]


def function_faults(files: dict[str, str]) -> list[str]:
    """Hold the functions of some files, all together, to the house's measure."""
    sizes = {
        f"{file}:{name}": size for file, text in files.items() for name, size in function_sizes(text).items()
    }
    median, high = statistics.median(sizes.values()), percentile(list(sizes.values()), 0.95)
    longest = sorted(sizes, key=sizes.__getitem__, reverse=True)[:10]
    shown = ", ".join(f"{name} ({sizes[name]})" for name in longest)
    faults = []
    if median > MEDIAN:
        faults.append(f"the median function has {median} lines, more than {MEDIAN}")
    if high > NEARLY_ALL:
        faults.append(f"95 % of functions have up to {high} lines, more than {NEARLY_ALL}; longest: {shown}")
    return faults


def file_faults(files: dict[str, str], developers: str) -> list[str]:
    """Find files that are too long, and are not named as an exception with its reason in DEVELOPERS.md."""
    excused = set(re.findall(r"`([\w./-]+\.py)`[^\n`]*\b(?:long|lines)\b[^\n]{20,}", developers))
    most = {file: TESTS if file.startswith("tests/") else FILE for file in files}
    return [
        f"{file}: {text.count(chr(10))} lines, more than {most[file]}"
        for file, text in files.items()
        if text.count("\n") > most[file] and file not in excused
    ]
