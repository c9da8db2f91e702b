"""Docstrings as contracts: what an exported name says of itself is held against what it is."""

from __future__ import annotations

import ast
import inspect
import re
import textwrap
from typing import Any

UNITS = frozenset(
    {
        *("-", "%", "deg", "rad", "s", "Hz"),
        *("mm", "mm2", "mm3", "mm4"),
        *("kg", "kg/m3", "kg mm2", "N", "kN", "N/mm", "MPa", "J"),
        "house unit",  # of a parameter: by its kind mm, deg, kg or -
        "unit",  # of a finding or an audit row: as its own field `unit` says
    }
)
"""Every unit that may follow a number; `-` is a number without one."""

SECTIONS = ("Parameters", "Returns", "Yields", "Raises", "Source", "Examples", "Attributes", "Notes")
FORMULA_ROOMS = frozenset({"bending", "forming", "properties"})
NUMBER = re.compile(r"\b(float|int|array|number)s?\b")


def docstring_faults(name: str, exported: Any) -> list[str]:
    """Hold the docstring of one exported function or class against its signature and its code."""
    if not (inspect.isclass(exported) or inspect.isfunction(exported)):
        return []  # a constant is explained where it is defined
    text = inspect.getdoc(exported) or ""
    if not text or text.startswith(f"{exported.__name__}("):
        return [f"{name}: has no docstring"]
    sections = sections_of(text)
    return [
        f"{name}: {fault}"
        for fault in (
            _summary_faults(sections[""])
            + _parameter_faults(exported, sections)
            + _return_faults(exported, sections)
            + _raise_faults(exported, sections)
            + _source_faults(exported, sections)
        )
    ]


def sections_of(text: str) -> dict[str, list[str]]:
    """Cut a docstring into its sections; what comes before the first has an empty name."""
    sections: dict[str, list[str]] = {"": []}
    here = ""
    lines = text.splitlines()
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        if line in SECTIONS and re.fullmatch("-+", below):
            here = line
            sections[here] = []
        elif not (re.fullmatch("-+", line) and not sections[here] and here):
            sections[here].append(line)
    return sections


def _summary_faults(lines: list[str]) -> list[str]:
    summary = lines[0] if lines else ""
    return [] if summary.endswith(".") else [f"its first line is not a sentence: {summary!r}"]


def parameters_of(exported: Any) -> dict[str, str]:
    """Give the public parameters of a function or class, each with its annotation as text."""
    if _makes_nothing(exported):
        return {}
    found = {}
    for parameter in inspect.signature(exported).parameters.values():
        if parameter.name in ("self", "cls") or parameter.name.startswith("_"):
            continue
        kind = parameter.annotation
        found[parameter.name] = kind if isinstance(kind, str) else getattr(kind, "__name__", str(kind))
    return found


def _makes_nothing(exported: Any) -> bool:
    """Tell whether a class is not there to be called: a protocol, or an exception with nothing of its own."""
    if getattr(exported, "_is_protocol", False):
        return True
    return inspect.isclass(exported) and issubclass(exported, Exception) and "__init__" not in vars(exported)


def _parameter_faults(exported: Any, sections: dict[str, list[str]]) -> list[str]:
    wanted = parameters_of(exported)
    written = dict(_entries(sections.get("Parameters", [])))
    names = [part.lstrip("*") for entry in written for part in entry.split(", ")]
    faults = []
    if names != list(wanted):
        faults.append(f"parameters {names} are written, the signature has {list(wanted)}")
    for entry, kind in written.items():
        annotations = " ".join(wanted.get(part.lstrip("*"), "") for part in entry.split(", "))
        faults += _unit_faults(entry, kind, annotations)
    return faults


def _entries(lines: list[str]) -> list[tuple[str, str]]:
    """Give the `name : type [unit]` lines of a section."""
    pairs = [line.partition(" : ") for line in lines if line and not line.startswith(" ")]
    return [(name.strip(), kind.strip()) for name, _, kind in pairs]


def _unit_faults(entry: str, kind: str, annotation: str = "") -> list[str]:
    """A number without a unit is a fault; so is a unit that nobody knows."""
    unit = re.search(r"\[([^\[\]]*)\](?:, optional)?$", kind)
    if not kind:
        return [f"{entry}: no type is written"]
    if unit and unit[1] not in UNITS:
        return [f"{entry}: unknown unit [{unit[1]}]"]
    numeric = NUMBER.search(kind) or re.search(r"\b(float|int)\b", annotation)
    return [f"{entry}: a number without a unit"] if numeric and not unit else []


def _return_faults(exported: Any, sections: dict[str, list[str]]) -> list[str]:
    if inspect.isclass(exported):
        return []
    annotation = str(inspect.signature(exported).return_annotation)
    written = [line for line in sections.get("Returns", sections.get("Yields", [])) if line]
    if annotation in ("None", "NoReturn"):
        return ["says what it returns, and returns nothing"] if written else []
    if not written:
        return ["does not say what it returns"]
    first = [line for line in written if not line.startswith(" ")]
    return [fault for line in first for fault in _unit_faults("Returns", line.split(" : ")[-1])]


def raised_by(exported: Any) -> set[str]:
    """Give the names of the errors that the code of a function, or of a class's own making, raises."""
    bodies = [] if _makes_nothing(exported) else [exported]
    if bodies and inspect.isclass(exported):
        bodies = [vars(exported)[name] for name in ("__init__", "__post_init__") if name in vars(exported)]
    raised = set()
    for body in bodies:
        try:
            source = textwrap.dedent(inspect.getsource(body))
        except (OSError, TypeError):
            continue  # made by a decorator (a dataclass's own __init__): there is no source to read
        for node in ast.walk(ast.parse(source)):
            if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
                raised.add(ast.unparse(node.exc.func).split(".")[-1])
    return {name for name in raised if name.endswith("Error")}


def _raise_faults(exported: Any, sections: dict[str, list[str]]) -> list[str]:
    listed = {line.strip() for line in sections.get("Raises", []) if line and not line.startswith(" ")}
    return [f"raises {name}, and does not say so" for name in sorted(raised_by(exported) - listed)]


def _source_faults(exported: Any, sections: dict[str, list[str]]) -> list[str]:
    """Every formula (a function of these rooms that gives a number) names its published source."""
    parts = inspect.unwrap(exported).__code__.co_filename if inspect.isfunction(exported) else ""
    in_room = any(f"/{room}/" in parts or parts.endswith(f"/{room}.py") for room in FORMULA_ROOMS)
    returns = " ".join(sections.get("Returns", []))
    if not (in_room and NUMBER.search(returns)):
        return []
    return [] if any(line.strip() for line in sections.get("Source", [])) else ["a formula without a source"]
