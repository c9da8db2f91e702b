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


def _ring(text: bytes, chance: random.Random) -> bytes:
    """An entity that speaks of itself, or of one that speaks of it."""
    place = chance.choice(list(_REFERENCE.finditer(text)) or [None])
    if place is None:
        return text
    users = re.findall(rb"(#\d+)\s*=[^;]*%s\b" % re.escape(place[0]), text)
    own = text.rfind(b"\n#", 0, place.start()) + 1
    others = [place[0], *users, text[own : text.find(b"=", own)].strip()]
    (target,) = chance.sample(others, 1)
    end = text.find(b";", text.find(b"\n%s=" % place[0]))
    inside = _REFERENCE.search(text, max(text.find(b"\n%s=" % place[0]), 0), max(end, 0))
    where = inside or place
    return text[: where.start()] + target + text[where.end() :]


FOREIGN = (
    b"TRIMMED_CURVE('',#%d,(PARAMETER_VALUE(0.)),(PARAMETER_VALUE(1.)),.T.,.PARAMETER.)",
    b"B_SPLINE_CURVE_WITH_KNOTS('',3,(#%d,#%d),.UNSPECIFIED.,.F.,.F.,(4,4),(0.,1.),.UNSPECIFIED.)",
    b"SURFACE_OF_REVOLUTION('',#%d,#%d)",
    b"OFFSET_SURFACE('',#%d,-1.E9,.F.)",
    b"TOROIDAL_SURFACE('',#%d,1.,5.)",
    b"DEGENERATE_TOROIDAL_SURFACE('',#%d,1.,5.,.T.)",
    b"TESSELLATED_SOLID('',(#%d),#%d)",
    b"FACETED_BREP('',#%d)",
    b"MAPPED_ITEM('',#%d,#%d)",
    b"CSG_SOLID('',#%d)",
    b"BOOLEAN_RESULT(.UNION.,#%d,#%d)",
    b"ITEM_DEFINED_TRANSFORMATION('','',#%d,#%d)",
    b"NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','','',#%d,#%d,$)",
    b"( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.EXA.,.METRE.) )",
    b"( CONVERSION_BASED_UNIT('INCH',#%d) LENGTH_UNIT() NAMED_UNIT(#%d) )",
    b"IFCWALL('x',$,$,$,$,#%d,$,$)",
)
"""Entities that our files do not hold; of another schema, too."""


def _foreign(text: bytes, chance: random.Random) -> bytes:
    """Another's entity in the place of an original one, with references to what is there."""
    numbers = re.findall(rb"#(\d+)\s*=", text) or [b"1"]
    entity = chance.choice(FOREIGN)
    entity = re.sub(rb"%d", lambda _: chance.choice(numbers), entity)
    return _swapped(text, chance, re.compile(rb"(?<==)[^;']*(?=;)"), (entity,))


def _knots(text: bytes, chance: random.Random) -> bytes:
    """Lists of a free-form curve or surface made longer, shorter or turned about."""
    place = chance.choice(list(re.finditer(rb"\(([^()]*,[^()]*)\)", text)) or [None])
    if place is None:
        return text
    parts = place[1].split(b",")
    chance.choice((parts.pop, parts.reverse, lambda: parts.extend(parts * chance.choice((1, 50)))))()
    return text[: place.start(1)] + b",".join(parts) + text[place.end(1) :]


ODD_PARAMETERS = (
    "[" * 30_000,
    "[1, 2]",
    "null",
    '{"rise": NaN}',
    '{"rise": 1e999}',
    '{"rise": {}, "self": 1}',
    '{"rise": ' + "9" * 5000 + "}",
    '{"lug_count": 99999999}',
    '{"material": "../../x.toml:y"}',
    '{"bend_rule": "/etc/passwd"}',
    '{"":""}',
)


def _parameters(text: bytes, chance: random.Random) -> bytes:
    """What the file says of its recipe: JSON inside a string."""
    says = re.compile(rb"(?<='parameters',')[^']*")
    return _swapped(text, chance, says, [each.encode() for each in ODD_PARAMETERS])


def _recipe(text: bytes, chance: random.Random) -> bytes:
    says = re.compile(rb"(?<='recipe',')[^']*")
    return _swapped(text, chance, says, (b"u_channel", b"../x.py:y", b"riser_stack", b"os", b"", b"a" * 9000))


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
    _ring,
    _ring,
    _foreign,
    _foreign,
    _knots,
    _parameters,
    _recipe,
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
    return Case(f"STEP {command}", (command, str(place), *more), apart=chance.random() < 0.02)
