"""Texts that no reader expects: numbers, units, names, and damage to sound text."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

NUMBERS = (
    "0",
    "-0",
    "1",
    "20",
    "1/2",
    "1/0",
    "3 1/8",
    "nan",
    "inf",
    "-inf",
    "1e400",
    "1e-400",
    "1e999999999",
    "1E+",
    ".",
    "..",
    "-",
    "--",
    "+-3",
    "0x10",
    "1_000",
    "1,5",
    "1.000,5",
    "9" * 60,
    "9" * 5000,
    "1" + "0" * 310,
    "٣",
    "²",
    "1e9",
    "-2%",
    "50%",
    "true",
    "yes",
    "None",
    "[]",
    "{}",
    "",
    " ",
    "1;2",
    "1e308",
    "1/999999999",
    "−5",
    "2.5.5",
    "0.1e-300",
)
UNITS = (
    "",
    "mm",
    " mm",
    "in",
    '"',
    "'",
    "m",
    "km",
    "deg",
    "°",
    "kg",
    "mm^2",
    "mm**9999999",
    "m^-4^-4",
    "%",
    "furlong",
    "µm",
    "/",
    "*",
    "mm/",
    "k" * 70,
    "\u200b",
    "m m",
    "((",
    "kN",
    "N",
    "MPa",
    "degC",
    "rad",
    "mm2",
    "²",
    "\x00",
    "\ud800",
)
NAMES = (
    "rise",
    "foot",
    "thickness",
    "material",
    "bend_rule",
    "self",
    "name",
    "__class__",
    "lug_count",
    "",
    " ",
    "../x",
    "/",
    "a" * 300,
    "a" * 5000,
    "nul\x00l",
    "\ud800",
    "=1+1",
    "<script>",
    "é",
    "\u202e",
    "%s%n",
    "{0}",
    "$x",
    "~nobody_here/x",
    "-x",
    ".",
    "..",
    "con",
    "\n",
    "\x1b[31m",
    "x\ty",
    "'",
    '"',
    "a/b.py:c",
    ".py:",
    ":",
    "foot ",
    "Rise",
)


def number(chance: random.Random) -> str:
    """A number with or without a unit, seldom a sound one."""
    return chance.choice(NUMBERS) + (chance.choice(UNITS) if chance.random() < 0.6 else "")


def name(chance: random.Random) -> str:
    """A name, seldom a sound one."""
    return chance.choice(NAMES)


def noise(chance: random.Random, longest: int = 40) -> str:
    """Any characters."""
    ends = (0x7F, 0x250, 0x3000, 0x10FFFF)
    return "".join(chr(chance.randint(0, chance.choice(ends))) for _ in range(chance.randint(0, longest)))


def word(chance: random.Random) -> str:
    """Any of these, or one of them over and over."""
    text = chance.choice((number, name, noise))(chance)
    return text * chance.choice((2, 50, 3000)) if chance.random() < 0.05 else text


def _bytes_turned(text: bytes, chance: random.Random) -> bytes:
    changed = bytearray(text)
    for _ in range(chance.randint(1, 6)):
        changed[chance.randrange(len(changed))] = chance.randrange(256)
    return bytes(changed)


def _line_gone(text: bytes, chance: random.Random) -> bytes:
    lines = text.split(b"\n")
    del lines[chance.randrange(len(lines))]
    return b"\n".join(lines)


def _line_twice(text: bytes, chance: random.Random) -> bytes:
    lines = text.split(b"\n")
    lines.insert(chance.randrange(len(lines)), chance.choice(lines))
    return b"\n".join(lines)


def _cut(text: bytes, chance: random.Random) -> bytes:
    return text[: chance.randrange(len(text))]


def _cut_out(text: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(text))
    return text[:start] + text[start + chance.randint(1, 200) :]


def _put_in(text: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(text))
    return text[:start] + word(chance).encode("utf-8", "surrogatepass") + text[start:]


def _coded(text: bytes, chance: random.Random) -> bytes:
    code = chance.choice(("utf-16", "utf-32", "utf-8-sig", "cp037"))
    return text.decode("utf-8", "replace").encode(code, "replace")


def _nulls(text: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(text))
    return text[:start] + b"\0" * chance.choice((1, 9, 4096)) + text[start:]


DAMAGES: Sequence[Callable[[bytes, random.Random], bytes]] = (
    _bytes_turned,
    _line_gone,
    _line_twice,
    _cut,
    _cut_out,
    _put_in,
    _put_in,
    _coded,
    _nulls,
)


def damaged(text: bytes, chance: random.Random, times: int = 2) -> bytes:
    """Sound text with a few faults in it."""
    for _ in range(chance.randint(1, times)):
        text = chance.choice(DAMAGES)(text, chance) or b" "
    return text
