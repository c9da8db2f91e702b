"""Every option of every command, as the command itself lists them."""

from __future__ import annotations

import argparse
import json
import random
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path

from formparts import cli
from tests.fuzz.cases import RECIPES, Case
from tests.fuzz.texts import name, number, word

NEEDED: Mapping[str, tuple[str, ...]] = {
    "family": ("--figures-only", "--grid", "rise=20,25"),
    "region": ("--grid", "rise=20,30", "foot=30,40"),
    "solve": ("--vary", "rise=20..30", "--target", "mass=0.1kg"),
}
"""What a command cannot do without."""
LIKELY: Mapping[str, tuple[str, ...]] = {
    "--sheet": ("A4", "A0", "a3 "),
    "--projection": ("third",),
    "--general": ("f", "c"),
    "--as": ("pdf", "svg,dxf", ","),
    "--step": ("AP214", "AP242"),
    "--dxf": ("R12", "R2010"),
    "--limits": ("structural", "aircraft"),
    "--material": ("DC01", "1.4301 at 7900"),
    "--bend-rule": ("din6935", "K 0.3", "0.44"),
    "--fixed": ("web", "z_clip.web"),
    "--up": ("0,0,-1", "1,1,1", "1e-300,0,0", "0,0", "1e300,1,1"),
    "--only": ("json", "blank,json"),
    "--workers": ("1", "2", "-1", "1025"),
    "--time-limit": ("0", "1", "nan", "1e9"),
    "--cluster": ("tcp://127.0.0.1:1", "127.0.0.1", "tcp://", "http://[::1]:0"),
    "--port": ("0", "-1", "65536", "99999999999"),
    "--fea": ("shell", "solid"),
    "--size": ("1e-9", "1e9", "5"),
    "--mesh": ("glb", "stl", "3mf"),
    "--chord": ("1e-9", "0.5"),
    "--frequencies": ("3", "99999999"),
    "--tolerance": ("1%", "200%"),
    "--set": ("rise=20", "rise=25mm"),
    "--vary": ("foot=20..40",),
    "--grid": ("foot=20,30", "rise=20..21:0.5"),
    "--recipe": ("z_clip", "../x.py:y"),
}
"""Values that get through the first door of an option."""


@cache
def commands() -> Mapping[str, Sequence[argparse.Action]]:
    """The arguments of each command."""
    (found,) = (each for each in cli._parser()._actions if isinstance(each, argparse._SubParsersAction))
    return {key: parser._actions for key, parser in found.choices.items()}


def options(chance: random.Random, folder: Path, sound: Sequence[bytes]) -> Case:
    """A command with what it needs, and one to three of its options with any value."""
    command = chance.choice(list(commands()))
    listed = [each for each in commands()[command] if each.option_strings and each.dest != "help"]
    words = [command, *_places(command, chance, folder, sound), *NEEDED.get(command, ())]
    if "--out" in (text for each in listed for text in each.option_strings):
        words += ["--out", str(folder / "out")]
    for option in chance.sample(listed, min(len(listed), chance.randint(1, 3))):
        text = option.option_strings[0]
        words.append(text)
        if option.nargs != 0:
            words += [_value(text, chance, folder) for _ in range(2 if option.nargs == 2 else 1)]
    if "--only" in words:
        words = [each for each in words if each != "--figures-only"]
    return Case(f"options of {command}", tuple(words))


def _places(command: str, chance: random.Random, folder: Path, sound: Sequence[bytes]) -> list[str]:
    """What is there without an option."""
    if command == "list":
        return []
    if command == "assemble":
        return ["riser_stack"]
    if command == "compare":
        for each in "ab":
            part = {"recipe": "z_clip", "parameters": {"rise": chance.choice((20, "1in"))}}
            (folder / f"{each}.json").write_text(json.dumps(part), encoding="utf-8")
        return [str(folder / "a.json"), str(folder / "b.json")]
    if sound and (command in ("unfold", "verify") or (command == "check" and chance.random() < 0.5)):
        (folder / "part.step").write_bytes(chance.choice(sound))
        return [str(folder / "part.step")]
    return ["x.step" if command in ("unfold", "verify") else chance.choice(RECIPES)]


def _value(option: str, chance: random.Random, folder: Path) -> str:
    if option == "--out":
        return f"{folder}/{word(chance)}"
    if option in LIKELY and chance.random() < 0.5:
        return chance.choice(LIKELY[option])
    if chance.random() < 0.3:
        return f"{chance.choice(('rise', 'mass', 'check', name(chance)))}={word(chance)}"
    return number(chance) if chance.random() < 0.3 else word(chance)
