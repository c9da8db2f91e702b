"""STEP files with faults, made of a sound one."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence
from pathlib import Path

from tests.fuzz.cases import Case
from tests.fuzz.texts import damaged

_NUMBER = re.compile(rb"[-+]?\d+\.\d*(?:E[-+]?\d+)?")
_REFERENCE = re.compile(rb"#\d+(?!\d*\s*=)")
_ENTITY = re.compile(rb"(?<==)\s*[A-Z_0-9]+")
ODD_NUMBERS = (
    b"nan",
    b"1.E400",
    b"-0.",
    b"1.E99",
    b"-1.E99",
    b"0.",
    b"1.E-99",
    b"9" * 400 + b".",
    b"1.E" + b"9" * 5000,
    b"",
    b"'x'",
    b"$",
    b"*",
    b"INF",
    b"1.E+308",
)


def _swapped(text: bytes, chance: random.Random, found: re.Pattern[bytes], others: Sequence[bytes]) -> bytes:
    """One thing that is found, put as another."""
    places = list(found.finditer(text))
    if not places:
        return text
    place = chance.choice(places)
    return text[: place.start()] + (chance.choice(others) if others else b"") + text[place.end() :]


def _number(text: bytes, chance: random.Random) -> bytes:
    return _swapped(text, chance, _NUMBER, ODD_NUMBERS)


def _figure(text: bytes, chance: random.Random) -> bytes:
    return _swapped(text, chance, _NUMBER, _NUMBER.findall(text))


def _reference(text: bytes, chance: random.Random) -> bytes:
    return _swapped(text, chance, _REFERENCE, _REFERENCE.findall(text))


def _kind(text: bytes, chance: random.Random) -> bytes:
    return _swapped(text, chance, _ENTITY, _ENTITY.findall(text))


def _wild_reference(text: bytes, chance: random.Random) -> bytes:
    return _swapped(
        text, chance, _REFERENCE, (b"#0", b"#99999999", b"#" + b"9" * 5000, b"#-1", b"#4294967296")
    )


def _deep(text: bytes, chance: random.Random) -> bytes:
    depth = chance.choice((50, 5_000, 200_000))
    return text.replace(
        b"ENDSEC;\nEND-ISO", b"#999999=DIRECTION('',%s1.%s);\nENDSEC;\nEND-ISO" % (b"(" * depth, b")" * depth)
    )


def _comments(text: bytes, chance: random.Random) -> bytes:
    return text.replace(b"DATA;", b"DATA;" + chance.choice((b"/*", b"/**/", b"'", b"''")) * 150_000, 1)


def _text(text: bytes, chance: random.Random) -> bytes:
    odd = (
        b"'\\X2\\D800\\X0\\'",
        b"'\\X2\\00'",
        b"'\\X\\'",
        b"'" + b"A" * 70_000 + b"'",
        b"'\xff\xfe'",
        b"'</script>'",
        b"'../../x'",
    )
    return _swapped(text, chance, re.compile(rb"'[^']*'"), odd)


FAULTS: Sequence[Callable[[bytes, random.Random], bytes]] = (
    _number,
    _number,
    _figure,
    _figure,
    _reference,
    _reference,
    _kind,
    _wild_reference,
    _text,
    damaged,
    _deep,
    _comments,
)


def step_case(chance: random.Random, folder: Path, sound: Sequence[bytes]) -> Case:
    """A STEP file with one to three faults, for one of the commands that read such files."""
    text = chance.choice(sound)
    for _ in range(chance.randint(1, 3)):
        text = chance.choice(FAULTS)(text, chance) or b" "
    place = folder / "part.step"
    place.write_bytes(text)
    command = chance.choice(("unfold", "check", "verify"))
    more = () if command == "verify" else ("--out", str(folder / "out"))
    return Case(f"STEP {command}", (command, str(place), *more), step=True)
