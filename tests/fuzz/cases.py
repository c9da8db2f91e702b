"""One case: the words of a command, and the file that they speak of; all of it from one number."""

from __future__ import annotations

import contextlib
import json
import random
import sqlite3
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from formparts.families import ledger
from tests.fuzz.texts import damaged, name, noise, number, word

RECIPES = ("z_clip", "u_channel", "ring_riser", "hat_section")
PARAMETERS = ("rise", "foot", "thickness", "width", "material", "bend_rule", "lug_count", "length")


@dataclass(frozen=True)
class Case:
    """
    A case.

    Parameters
    ----------
    kind : str
        Which reader it is for.
    words : tuple of str
        Of the command.
    apart : bool
        Foreign files are read in a process of its own, as in real life, which takes seconds; else in the case's fork.
    """

    kind: str
    words: tuple[str, ...]
    apart: bool = False


def _given(chance: random.Random) -> str:
    left = chance.choice(PARAMETERS) if chance.random() < 0.8 else name(chance)
    return left + chance.choice(("=", "=", "=", "=", "==", "", " = ")) + word(chance)


def values(chance: random.Random, folder: Path) -> Case:
    """Parameters of a recipe, and figures of the drawing."""
    words = ["make", chance.choice(RECIPES), "--out", str(folder / "out")]
    words += ["--set", *(_given(chance) for _ in range(chance.randint(1, 4)))]
    options = {
        "--expect": lambda: (
            chance.choice(("mass", "volume", "envelope_x", name(chance))) + "=" + word(chance)
        ),
        "--tolerance": lambda: word(chance),
        "--dxf": lambda: word(chance),
        "--step": lambda: word(chance),
        "--mesh": lambda: chance.choice(("glb", "stl", word(chance))),
        "--chord": lambda: word(chance),
        "--size": lambda: word(chance),
        "--frequencies": lambda: word(chance),
        "--materials": lambda: word(chance),
        noise(chance, 8): lambda: word(chance),
    }
    for option in chance.sample(list(options), chance.choice((0, 0, 1, 2))):
        words += [option, options[option]()]
    return Case("values", tuple(words))


def formulas(chance: random.Random, folder: Path) -> Case:
    """Values that look as if they could be evaluated."""
    calls = (
        "__import__('os').system('true')",
        "2**99999999",
        "rise+1",
        "(" * 900 + ")" * 900,
        "=1+1",
        "${HOME}",
        "`id`",
    )
    given = f"{chance.choice(PARAMETERS)}={chance.choice(calls)}{chance.choice(('', ' mm', number(chance)))}"
    return Case("formulas", ("make", chance.choice(RECIPES), "--set", given, "--out", str(folder / "out")))


def _axis(chance: random.Random) -> str:
    left = chance.choice(PARAMETERS) if chance.random() < 0.9 else name(chance)
    if chance.random() < 0.4:
        return f"{left}={','.join(word(chance) for _ in range(chance.choice((1, 2, 9))))}"
    first, last, step = (number(chance) for _ in range(3))
    if chance.random() < 0.3:
        first, last, step = "0", "1e9mm", chance.choice(("1e-9", "1", "100", "1e-300"))
    return f"{left}={first}..{last}{chance.choice((':', ':', ''))}{step}"


def grids(chance: random.Random, folder: Path) -> Case:
    """Grids, mostly too large or unclear."""
    command = chance.choice(("family", "region"))
    axes = [_axis(chance) for _ in range(2 if command == "region" else chance.randint(1, 4))]
    more = ["--figures-only"] if command == "family" else []
    return Case(
        "grids", (command, chance.choice(RECIPES), "--grid", *axes, "--out", str(folder / "family"), *more)
    )


def ranges(chance: random.Random, folder: Path) -> Case:
    """What `solve` varies, and until when."""
    vary = f"{chance.choice(PARAMETERS)}={number(chance)}{chance.choice(('..', '..', '', '...'))}{number(chance)}"
    figure = chance.choice(("mass", "blank_length", "bend_force", "check", name(chance)))
    goal = chance.choice(("--target", "--target", "--minimise", "--maximise"))
    aim = f"{figure}={word(chance)}" if goal == "--target" and figure != "check" else figure
    return Case(
        "ranges", ("solve", chance.choice(RECIPES), "--vary", vary, goal, aim, "--out", str(folder / "out"))
    )


def loads(chance: random.Random, folder: Path) -> Case:
    """Supports and loads of a deck."""
    way = ",".join(number(chance) for _ in range(3))
    force = f"{word(chance)}={number(chance)}{chance.choice(('', 'N', 'kN'))}@{way}"
    fixed = chance.choice(("*" * 60 + "z", "ear_*.hole", word(chance)))
    words = (
        "make",
        "ring_riser",
        "--fea",
        chance.choice(("shell", word(chance))),
        "--fix",
        fixed,
        "--load",
        force,
    )
    return Case("loads", (*words, "--out", str(folder / "out")))


def names(chance: random.Random, folder: Path) -> Case:
    """Names of recipes, files and folders."""
    command = chance.choice(
        ("describe", "make", "check", "draw", "assemble", "unfold", "verify", "family", "region", "compare")
    )
    more = {
        "family": ["x.csv", "--out", word(chance)],
        "region": ["--grid", "a=1,2", "b=1,2"],
        "compare": [word(chance)],
    }
    first = word(chance) + chance.choice(("", "", ".py", ".step", ".py:x", ".json", ".stp"))
    if chance.random() < 0.2:
        first = f"{folder}/{first}"
    return Case("names", (command, first, *more.get(command, [])))


def words_only(chance: random.Random, folder: Path) -> Case:
    """Any words at all."""
    known = (
        "make",
        "check",
        "family",
        "--set",
        "--out",
        "--grid",
        "--vary",
        "z_clip",
        "a=1",
        "--",
        "-h=1",
        "--expect",
    )
    words = [
        chance.choice(known) if chance.random() < 0.6 else word(chance) for _ in range(chance.randint(0, 7))
    ]
    return Case("words", (*words, "--fuzz", str(folder)))


SOUND_CSV = b'name,rise [mm],foot,material\nsmall,20,30,DC01\n"large, one",40 mm,1.5in,DC01\n'
SOUND_TABLE = b'[[variant]]\nname = "small"\nrise = "20 mm"\n[[variant]]\nname = "large"\nfoot = 40\n'
SOUND_MATERIALS = (
    b'[[material]]\nname = "Shop 250"\ndensity = "7850 kg/m3"\nmodulus = "210 GPa"\nyield_strength = 250\n'
    b'tensile_strength = [300, 400]\ncolour = [0.5, 0.5, 0.5]\nsource = "mill certificate"\n'
)
SOUND_LIMITS = (
    b'name = "shop"\nbased_on = "structural"\n[limit.web]\nleast = "3 mm"\nsource = "shop"\n[limit.hole]\nvalue = 2\n'
    b'source = "shop"\n'
)
SOUND_EXPECTED = b'mass = "0.86 kg"\nenvelope_x = 240\nwithin = "0.2 %"\n'
SOUND_ALLOWANCES = b"thickness [mm],inside_radius [mm],angle [deg],allowance [mm]\n2,2,90,4.5\n2,3,90,6\n"


def _awkward_csv(chance: random.Random) -> bytes:
    wide = ",".join(f"p{i}" for i in range(chance.choice((200, 20_000, 100_000))))
    many = (
        f"name,{wide}\nx,{wide}\n",
        f"name,rise\nx,{'1 ' * 60_000}z\n",
        f"name,{' ' * 40_000}[\nx,1\n",
        "name,name\nx,y\n",
        "name,rise\n" + "x,20\n" * 400,
        'name,rise\nx,"' + "y" * 140_000 + "\n",
        f"name,rise [{'m' * 30_000}]\nx,1\n",
        "name\n" + "\n".join(noise(chance) for _ in range(30)),
        "name;rise\nx;1,5\n",
        '"' * 999,
        "name,rise\n=1+1,20\n",
        f"name,rise [mm]\nx,{' ' * 60_000}q\n",
    )
    return chance.choice(many).encode("utf-8", "surrogatepass")


def _awkward_toml(chance: random.Random) -> bytes:
    head = chance.choice(("variant = ", "material = ", "limit = ", "mass = ", "a = ", "within = "))
    tails = (
        "[" * 20_000,
        "{a=" * 5_000,
        "[" * 900 + "]" * 900,
        "nan",
        "inf",
        "9" * 6_000,
        "1979-05-27",
        "true",
        "[[],{}]",
        '""',
        "[" + "{}," * 2_000 + "]",
        '{density = "7850", name = "x"}',
        "1e999",
        '[{name = "a", density = nan}]',
        "0x" + "f" * 9000,
        "'''" + noise(chance) + "'''",
        "[{name=1}]",
        '[{name="\\ud800"}]',
        "{web = {least = nan, source = 'x'}}",
    )
    dotted = f"[{'.'.join(['a'] * 3000)}]\n" if chance.random() < 0.1 else ""
    return (dotted + head + chance.choice(tails) + "\n").encode("utf-8", "surrogatepass")


def _file(chance: random.Random, place: Path, sound: bytes, awkward: Callable[[random.Random], bytes]) -> str:
    place.write_bytes(awkward(chance) if chance.random() < 0.3 else damaged(sound, chance))
    return str(place)


def tables(chance: random.Random, folder: Path) -> Case:
    """Tables of a family."""
    if chance.random() < 0.6:
        table = _file(chance, folder / "table.csv", SOUND_CSV, _awkward_csv)
    else:
        table = _file(chance, folder / "table.toml", SOUND_TABLE, _awkward_toml)
    more = ["--keep-going"] if chance.random() < 0.5 else []
    return Case(
        "tables", ("family", "z_clip", table, "--figures-only", "--out", str(folder / "family"), *more)
    )


def shop_files(chance: random.Random, folder: Path) -> Case:
    """Your own materials, limits, figures, allowances."""
    words = ["make", "z_clip", "--out", str(folder / "out")]
    kinds: Mapping[str, Callable[[], list[str]]] = {
        "materials": lambda: [
            *words,
            "--materials",
            _file(chance, folder / "m.toml", SOUND_MATERIALS, _awkward_toml),
        ],
        "own": lambda: [
            *words,
            "--set",
            f"material={_file(chance, folder / 'n.toml', SOUND_MATERIALS, _awkward_toml)}:Shop 250",
        ],
        "expected": lambda: [
            *words,
            "--expect",
            _file(chance, folder / "e.toml", SOUND_EXPECTED, _awkward_toml),
        ],
        "allowances": lambda: [
            *words,
            "--set",
            f"bend_rule={_file(chance, folder / 'a.csv', SOUND_ALLOWANCES, _awkward_csv)}",
        ],
        "limits": lambda: [
            "check",
            "nothing.step",
            "--limits",
            _file(chance, folder / "l.toml", SOUND_LIMITS, _awkward_toml),
        ],
        "limits of a part": lambda: [
            "check",
            "z_clip",
            "--out",
            str(folder / "out"),
            "--limits",
            _file(chance, folder / "l.toml", SOUND_LIMITS, _awkward_toml),
        ],
    }
    return Case("shop files", tuple(kinds[chance.choice(list(kinds))]()))


def parts(chance: random.Random, folder: Path) -> Case:
    """The JSON files of two parts."""
    sound = json.dumps(
        {"recipe": "z_clip", "parameters": {"rise": 20.0, "foot": 30.0, "material": "DC01"}}
    ).encode()
    awkward = (
        "[" * 50_000,
        '{"recipe": "z_clip", "parameters": [[1, 2]]}',
        '{"recipe": {}, "parameters": {"rise": {}}}',
        '{"recipe": "../../x", "parameters": {}}',
        '{"recipe": "z_clip", "parameters": {"rise": 1e999}}',
        "null",
        "[]",
        '{"recipe": "z_clip", "parameters": {"rise": NaN}}',
        '{"recipe": "\\ud800", "parameters": {"\\u0000": "\\ud800"}}',
        '{"recipe": "z_clip", "parameters": {"self": 1, "rise": ' + "9" * 4000 + "}}",
        '{"recipe": null, "parameters": null}',
        '{"a":' * 30_000,
        '{"recipe": "' + "z" * 5000 + '", "parameters": {}}',
        '{"recipe": "z_clip", "parameters": [["a"]]}',
        '{"recipe": "z_clip", "parameters": {"rise": [1, 2], "material": 3, "bend_rule": true}}',
        '{"recipe":"a\\u0000b","parameters":{}}',
    )
    files = [
        _file(chance, folder / f"{each}.json", sound, lambda c: c.choice(awkward).encode()) for each in "ab"
    ]
    more = ["--recipe", "u_channel"] if chance.random() < 0.2 else []
    return Case("parts", ("compare", *files, *more))


ODD_CELLS = (
    "",
    "[",
    "{}",
    "null",
    '{"mass": [}',
    "[" * 20_000,
    "9" * 6000,
    "../x",
    "/",
    "\0",
    "\ud83d",
    None,
    5,
    1e999,
)


def ledgers(chance: random.Random, folder: Path) -> Case:
    """The ledger in a family's folder."""
    place = folder / "family"
    place.mkdir(parents=True, exist_ok=True)
    words = ("family", "z_clip", "--grid", "rise=20", "--figures-only", "--out", str(place))
    with contextlib.closing(ledger.opened(place)) as book:
        made = ledger.Outcome("rise-20", "rise-20", "mark", "made", "", {"rise": 20.0})
        ledger.entered(place, book, [made])
        for column in chance.sample(ledger._COLUMNS, chance.randint(0, 3)):
            cell = chance.choice(ODD_CELLS)
            with contextlib.suppress(sqlite3.Error, UnicodeEncodeError):
                book.execute(f"UPDATE variant SET {column} = ?", (cell,))
    if chance.random() < 0.5:
        file = place / ledger.LEDGER
        file.write_bytes(damaged(file.read_bytes(), chance))
    return Case("ledgers", (*words, *(["--fresh"] if chance.random() < 0.2 else [])))


PLAIN: Mapping[str, tuple[int, Callable[[random.Random, Path], Case]]] = {
    "values": (26, values),
    "formulas": (4, formulas),
    "grids": (12, grids),
    "ranges": (8, ranges),
    "loads": (6, loads),
    "names": (8, names),
    "words": (6, words_only),
    "tables": (12, tables),
    "shop files": (12, shop_files),
    "parts": (6, parts),
    "ledgers": (3, ledgers),
}
"""How often each kind comes, and what makes it."""


def plain_case(chance: random.Random, folder: Path) -> Case:
    """A case of one of these kinds."""
    kinds = list(PLAIN)
    chosen = chance.choices(kinds, [PLAIN[kind][0] for kind in kinds])[0]
    return PLAIN[chosen][1](chance, folder)
