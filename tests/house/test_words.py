"""Plain trade English on every public surface, and in every docstring and comment."""

from __future__ import annotations

import argparse
import ast
import inspect
import io
import json
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from formparts.checks.rules import RULES
from formparts.cli import _parser
from tests.house.public import HOME_OF, public
from tests.house.trees import nodes_of

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
PLAIN_IN_A_SENTENCE = {
    "target": None,
    "lies, is": r"stands?(?! for\b)",
    "refused: the reason": r"(?<!there )(is|are) no(?! (?:more|\w+er)\b)|there is no way|lies nowhere|leads nowhere",
    "step (the ram's stroke is a length)": r"(?<!three )strokes",
}
"""
Narrower rules for docstrings and comments. `until` is a conjunction there (the rule is for an option of solve), a sign
stands for something, "there is no such sheet" and "no longer than" are plain, a curl is formed in three strokes.
"""
_RULES_INSIDE = {
    say: re.compile(rf"\b(?:{words})\b", re.IGNORECASE)
    for say, words in (NOT_TO_USE | PLAIN_IN_A_SENTENCE).items()
    if words
}
ALLOWED = {
    "a tensile test piece": "the word of the testing standards",
}
"""Places where a word is the trade's own, with the reason."""


def faults(where: str, text: str, rules: dict[str, re.Pattern[str]] = _RULES) -> list[str]:
    """What is wrong with one text."""
    for allowed in ALLOWED:
        text = text.replace(allowed, "")
    return [
        f"{where}: {found[0]!r}: say {say}" for say, rule in rules.items() if (found := rule.search(text))
    ]


def written(path: Path) -> Iterator[tuple[str, str]]:
    """Docstrings and comments of a module, without examples, names in backticks, and lines `parameter : type`."""
    source = path.read_text(encoding="utf-8")
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT:
            yield f"{path.relative_to(ROOT)}:{token.start[0]}", token.string
    for node in nodes_of(source):
        if (
            isinstance(node, ast.Expr)
            and isinstance(node.value, ast.Constant)
            and isinstance(node.value.value, str)
        ):
            text = re.sub(r"^ *(>>>|\.\.\. |\w+(, \w+)* : ).*$", "", node.value.value, flags=re.MULTILINE)
            yield f"{path.relative_to(ROOT)}:{node.lineno}", " ".join(re.sub(r"`[^`]*`", "", text).split())


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


def test_docstrings_and_comments_speak_plain_trade_english() -> None:
    """Nothing that a maintainer reads beside the code has a word that is not to be used."""
    found = [
        text
        for room in ("formparts", "recipes", "tests")
        for path in (ROOT / room).rglob("*.py")
        for text in written(path)
    ]
    assert len(found) > 8000
    assert [fault for where, text in found for fault in faults(where, text, _RULES_INSIDE)] == []


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


def test_a_planted_word_is_found_beside_code(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A docstring, a comment and a second paragraph are each read; code is not."""
    monkeypatch.setattr("tests.house.test_words.ROOT", tmp_path)
    module = tmp_path / "module.py"
    lines = (
        '"""A flat.',
        "",
        "Where the flat stands.",
        '"""',
        "piece = 1  # until it is ours",
        'said = "told"',
    )
    module.write_text("\n".join(lines), encoding="utf-8")
    found = [fault for where, text in written(module) for fault in faults(where, text, _RULES_INSIDE)]
    assert found == ["module.py:5: 'ours': say computed", "module.py:1: 'stands': say lies, is"]


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
