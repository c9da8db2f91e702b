"""The text of a STEP file (ISO 10303-21), checked before the kernel reads it: complete, sound, and with a solid."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from formparts.child_process import FIX, require_size, require_whole
from formparts.errors import InputError

SOLIDS = ("MANIFOLD_SOLID_BREP", "BREP_WITH_VOIDS", "FACETED_BREP")
SHELLS = ("CLOSED_SHELL", "OPEN_SHELL")
"""Shells that may be sewn to a solid when there is none."""
SURFACES = (*SHELLS, "SHELL_BASED_SURFACE_MODEL", "FACE_BASED_SURFACE_MODEL", "GEOMETRIC_CURVE_SET")

_STRING = re.compile(r"'(?:[^']|'')*'")
_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)", re.DOTALL)
"""A comment that is never closed runs to the end: searching for its end from each `/*` anew would take too long."""
_INSTANCE = re.compile(r"\s*#(\d{1,18})\s*=\s*(?:([A-Z][A-Z0-9_]*)\s*)?(\(.*\))\s*", re.DOTALL)
_DIGITS = 18
"""A longer instance number is refused."""
_REFERENCE = re.compile(r"#(\d+)")
_NUMBER = re.compile(r"\d\.\d*E\+?0*(\d+)")
"""The power of ten of a large number; one with a negative power is a zero if small enough."""


def checked_text(path: Path) -> None:
    """Refuse a file that is not a complete STEP file with at least one solid, or shells that may be sewn to one."""
    text = _text(path)
    instances = _instances(path, text)
    _require_references(path, instances)
    _require_solids(path, instances)


def required_text(path: Path) -> int:
    """Return the size of a file [bytes]; refuse one without the first and the last line of a STEP file."""
    if not path.is_file():
        raise InputError("unfold", "file", path.name, "there is no such file", "give the path of a STEP file")
    size = require_size(path)
    raw = path.read_bytes()
    if not raw.strip():
        raise InputError(path.name, "file", f"{size} bytes", "is empty", FIX)
    if not raw.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"ISO-10303-21"):
        problem = "is not that of a STEP file, which begins with ISO-10303-21"
        raise InputError(path.name, "first line", _first_line(raw.decode("latin-1")), problem, FIX)
    if b"\0" in raw:
        raise InputError(path.name, "file", f"{size} bytes", "holds binary data", FIX)
    if b"END-ISO-10303-21" not in raw[-4096:]:
        raise InputError(path.name, "file", f"{size} bytes", "is cut short: END-ISO-10303-21 is missing", FIX)
    require_whole(path, raw)
    return size


def _text(path: Path) -> str:
    """Return the file without comments and without the contents of strings."""
    required_text(path)
    return _STRING.sub("''", _COMMENT.sub(" ", path.read_bytes().decode("latin-1")))


def _first_line(text: str) -> str:
    """Return the start of a file, short and printable."""
    line = next(iter(text.strip().splitlines()), text)
    return ascii(line if len(line) <= 40 else f"{line[:40]}...")


def _instances(path: Path, text: str) -> dict[int, tuple[str, str]]:
    """Return type and arguments of every instance in the data section, by its number."""
    found: dict[int, tuple[str, str]] = {}
    for statement in _statements(path, text):
        match = _INSTANCE.fullmatch(statement)
        if (
            match is None
            or statement.count("(") != statement.count(")")
            or "'" in statement.replace("''", "")
        ):
            raise _broken(path, statement, "is not a sound line of a STEP file")
        number = int(match[1])
        if number in found:
            raise _broken(path, statement, f"gives #{number} a second time")
        if any(len(power) > 3 or int(power) > 100 for power in _NUMBER.findall(match[3])):
            raise _broken(path, statement, "holds a number that is out of all range")
        found[number] = (match[2] or "", match[3])
    if not found:
        raise InputError(path.name, "DATA", "empty", "there is nothing in the file", FIX)
    return found


def _statements(path: Path, text: str) -> Iterator[str]:
    """Yield the statements between the semicolons of the data section."""
    start, end = text.find("DATA;"), text.rfind("ENDSEC")
    if start < 0 or end < start:
        raise InputError(path.name, "DATA", "missing", "the file has no data section", FIX)
    for statement in text[start + 5 : end].split(";"):
        if statement.strip():
            yield statement


def _broken(path: Path, statement: str, problem: str) -> InputError:
    shown = "".join(sign if sign.isprintable() else "?" for sign in " ".join(statement.split()))
    return InputError(path.name, "line", shown if len(shown) <= 60 else shown[:57] + "...", problem, FIX)


def _require_references(path: Path, instances: dict[int, tuple[str, str]]) -> None:
    """Refuse a file that refers to instances that it does not contain."""
    for number, (kind, arguments) in instances.items():
        for reference in _REFERENCE.findall(arguments):
            if len(reference) > _DIGITS or int(reference) not in instances:
                where = f"#{number} {kind}".strip()
                raise InputError(
                    path.name,
                    where,
                    f"#{reference[:_DIGITS]}",
                    "is spoken of, but is not in the file",
                    FIX,
                )


def _require_solids(path: Path, instances: dict[int, tuple[str, str]]) -> None:
    """Refuse a file without solids and shells, and a solid that is defined by itself."""
    solids = [number for number, (kind, _) in instances.items() if kind in SOLIDS]
    solids = solids or [number for number, (kind, _) in instances.items() if kind in SHELLS]
    if not solids:
        surfaces = any(kind in SURFACES for kind, _ in instances.values())
        problem = (
            "the file holds surfaces, but no closed solid" if surfaces else "there is no solid in the file"
        )
        raise InputError(path.name, "solids", 0, problem, "save the part as a solid")
    _require_no_ring(path, instances, solids)


def _require_no_ring(path: Path, instances: dict[int, tuple[str, str]], roots: list[int]) -> None:
    """Refuse a chain of references that comes back to where it began."""
    done: set[int] = set()
    within: set[int] = set()
    todo = [(root, False) for root in roots]
    while todo:
        number, leaving = todo.pop()
        if leaving:
            within.discard(number)
            done.add(number)
        elif number in within:
            raise InputError(path.name, f"#{number}", instances[number][0], "is defined by itself", FIX)
        elif number not in done:
            within.add(number)
            todo.append((number, True))
            others = (int(other) for other in _REFERENCE.findall(instances[number][1]))
            todo.extend((other, False) for other in others if other not in done)
