"""Plain trade English on every public surface: help, names, parameters, keys, codes, and first lines of docstrings."""

from __future__ import annotations

import argparse
import inspect
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from formparts.checks.rules import RULES
from formparts.cli import _parser
from tests.house.public import HOME_OF, public

ROOT = Path(__file__).parents[2]

NOT_TO_USE = {
    "fix": r"mend(s|ed|ing)?|remed(y|ies)",
    "method": r"roads?|routes?",
    "step (the ram's stroke is a length)": r"strokes",
    "natural radius": r"die radius",
    "minimum flange": r"shortest flange",
    "angle under load": r"form angle",
    "overlaps itself": r"lies on itself|touches itself",
    "up, down": r"towards you|away from you",
    "bend angle (0 deg = flat)": r"rotation from flat",
    "refused: the reason": r"(is|are) no|there is no way|lies nowhere|leads nowhere",
    "candidate": r"guess(es|ed)?",
    "computed": r"ours",
    "deviation": r"how far off",
    "flat, bend, feature": r"pieces?",
    "isometric": r"corner view",
    "target": r"until",
    "your own": r"one's own",
    "lies, is": r"stands?",
    "stated": r"said|told",
}
"""What to say, and what not to."""
_RULES = {say: re.compile(rf"\b(?:{words})\b", re.IGNORECASE) for say, words in NOT_TO_USE.items()}
ALLOWED = {
    "a tensile test piece": "the word of the testing standards",
}
"""Places where a word is the trade's own, with the reason."""


def faults(where: str, text: str) -> list[str]:
    """What is wrong with one text."""
    for allowed in ALLOWED:
        text = text.replace(allowed, "")
    return [
        f"{where}: {found[0]!r}: say {say}" for say, rule in _RULES.items() if (found := rule.search(text))
    ]


def names() -> Iterator[tuple[str, str]]:
    """Public names, their parameters, and the first lines of their docstrings."""
    for name in HOME_OF:
        thing, doc = public(name), inspect.getdoc(public(name)) or "-"
        yield name, name.replace("_", " ")
        yield f"{name}: docstring", doc.strip().splitlines()[0]
        if inspect.isfunction(thing):
            for parameter in inspect.signature(thing).parameters:
                yield f"{name}({parameter})", parameter.replace("_", " ")


def helps(parser: argparse.ArgumentParser, name: str = "formparts") -> Iterator[tuple[str, str]]:
    """Every help text and option of the command."""
    yield name, parser.description or ""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for listed in action._choices_actions:
                yield f"formparts {listed.dest}", listed.help or ""
            for word, inner in action.choices.items():
                yield from helps(inner, f"formparts {word}")
        else:
            yield f"{name} {action.dest}", f"{action.help or ''} {' '.join(action.option_strings)}"


def keys(schema: Any, path: str) -> Iterator[tuple[str, str]]:
    """Every key of a JSON schema, with its line of text."""
    if isinstance(schema, dict):
        for key, value in schema.get("properties", {}).items():
            text = value.get("description", "") if isinstance(value, dict) else ""
            yield f"{path}: {key}", f"{key.replace('_', ' ')} {text}"
        for value in schema.values():
            yield from keys(value, path)
    elif isinstance(schema, list):
        for value in schema:
            yield from keys(value, path)


def surfaces() -> Iterator[tuple[str, str]]:
    yield from names()
    yield from helps(_parser())
    for name in ("part", "unfolded", "assembly"):
        text = (ROOT / "formparts" / "data" / f"{name}.schema.json").read_text(encoding="utf-8")
        yield from keys(json.loads(text), f"{name}.schema.json")
    yield from ((f"finding {code}", code.replace("-", " ")) for rule in RULES for code in rule.codes)


def test_public_surfaces_speak_plain_trade_english() -> None:
    """Nothing that a user reads has a word that is not to be used."""
    found = list(surfaces())
    assert len(found) > 800
    assert [fault for where, text in found for fault in faults(where, text)] == []


def test_no_public_parameter_ends_in_an_underscore() -> None:
    """Keywords are whole words."""
    wrong = [
        f"{name}({parameter})"
        for name in HOME_OF
        if inspect.isfunction(public(name))
        for parameter in inspect.signature(public(name)).parameters
        if parameter.endswith("_")
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("text", "say"),
    [
        ("the mends of a finding", "fix"),
        ("all roads agree", "method"),
        ("bent towards you", "up, down"),
        ("K is no number", "refused"),
        ("a table of one's own", "your own"),
    ],
)
def test_a_planted_word_is_found(text: str, say: str) -> None:
    """Each rule can fail, and a plain text is let pass."""
    assert any(say in fault for fault in faults("here", text))
    assert (
        faults("here", "the fix of a finding; both methods agree; step 3; a test of a tensile test piece")
        == []
    )
