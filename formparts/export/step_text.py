"""Text of the exchange structure (ISO 10303-21): entities, numbers and strings, written and read."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from formparts.errors import KernelError


@dataclass
class Lines:
    """Entities that are added, numbered on from the last one there."""

    last: int
    product: int
    shape: int
    context: int = 0
    millimetre: int = 0
    made: list[str] = field(default_factory=list)

    def add(self, text: str) -> int:
        self.last += 1
        self.made.append(f"#{self.last} = {text};")
        return self.last

    def represent(self, definition: int, name: str, items: list[int]) -> None:
        listed = ",".join(f"#{item}" for item in items)
        representation = self.add(f"REPRESENTATION('{name}',({listed}),#{self.context})")
        self.add(f"PROPERTY_DEFINITION_REPRESENTATION(#{definition},#{representation})")

    def power(self, unit: int, exponent: int) -> int:
        return self.add(f"DERIVED_UNIT_ELEMENT(#{unit},{exponent}.)")


def real(value: float) -> str:
    """A number as the exchange structure wants it: with a point, and a capital E."""
    if not math.isfinite(value):
        raise KernelError("facts of a STEP file", f"{value} is not finite")
    mantissa, letter, exponent = f"{value:.15G}".partition("E")
    return f"{mantissa if '.' in mantissa else mantissa + '.'}{letter}{exponent}"


def quoted(value: str) -> str:
    """A string as the exchange structure wants it; in code a quote where the kernel's reader would end it."""
    coded = re.sub(
        r"[^\x20-\x7e]+|'(?=\s*[),])",
        lambda found: f"\\X4\\{found.group().encode('utf-32-be').hex().upper()}\\X0\\",
        value.replace("\\", "\\\\"),
    )
    return coded.replace("'", "''")


def entities_of(text: str) -> Iterator[tuple[int, str]]:
    """Yield number and text of every entity; a semicolon inside quotes does not end one."""
    for number, body in re.findall(r"#(\d+)\s*=\s*((?:'(?:[^']|'')*'|[^';])*);", text):
        yield int(number), re.sub(r"\n\s*", "", body) if "\n" in body else body


def plain(text: str) -> str:
    """A string of the exchange structure as it is meant."""
    text = re.sub(r"\\X4\\((?:[0-9A-F]{8})*)\\X0\\", lambda found: _letters(found[1], "utf-32-be"), text)
    text = re.sub(r"\\X2\\((?:[0-9A-F]{4})*)\\X0\\", lambda found: _letters(found[1], "utf-16-be"), text)
    return text.replace("''", "'").replace("\\\\", "\\")


def _letters(digits: str, code: str) -> str:
    return bytes.fromhex(digits).decode(code, "replace")
