"""Tools and machine read from a TOML file, each fault reported in one line with its row."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final

from formparts import toml
from formparts.arguments import takes
from formparts.errors import InputError
from formparts.outline.edges import Point
from formparts.planning.tools import PUNCH_KINDS, Die, FlatDie, Machine, Punch, ToolTable
from formparts.quantities import shown_value

SHIPPED: Final = Path(__file__).parent.parent / "data" / "tools.toml"
LONGEST_TOOL: Final = 20_000.0
"""Longest tool accepted: no press brake is longer [mm]."""


@cache
def shipped_tools() -> ToolTable:
    """The tools that come with the library: a generic set, common practice."""
    return _table("tools.toml", toml.loads(SHIPPED.read_text(encoding="utf-8")), None)


@takes(path=("str", "Path", "None"))
def tool_table(path: str | Path | None = None) -> ToolTable:
    """
    The tools and the machine to plan with: the shipped ones, or a shop's own from a TOML file.

    Parameters
    ----------
    path : path, optional
        The file; the tables it holds (`machine`, `punch`, `die`, `flat_die`, `sections`) replace those that
        are shipped.

    Returns
    -------
    ToolTable

    Raises
    ------
    InputError
        The file cannot be read, or a row of it is wrong; one line with the row.
    """
    if path is None:
        return shipped_tools()
    try:
        table = toml.loads(Path(path).read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise InputError(
            "tools", "file", str(path), f"cannot be read ({error.strerror})", "check its name"
        ) from error
    except ValueError as error:  # not TOML, or not UTF-8
        said = str(error).rstrip(".")
        raise InputError("tools", "file", str(path), f"is not TOML: {said}", "correct that place") from error
    return _table(Path(path).name, table, shipped_tools())


def _table(name: str, table: Mapping[str, Any], base: ToolTable | None) -> ToolTable:
    _known(table, ("machine", "sections", "punch", "die", "flat_die"), name, "table")
    racks = _racks(table.get("sections"), name, base)
    machine = _machine(table["machine"], name) if "machine" in table or base is None else base.machine
    punches = dies = ()  # type: tuple[Any, ...]
    if "punch" in table or base is None:
        punches = tuple(
            _punch(row, f"{name} punch {n}", racks["punch"])
            for n, row in enumerate(_rows(table, "punch", name), 1)
        )
    if "die" in table or base is None:
        dies = tuple(
            _die(row, f"{name} die {n}", racks["die"]) for n, row in enumerate(_rows(table, "die", name), 1)
        )
    flat = ()  # type: tuple[Any, ...]
    if "flat_die" in table or base is None:
        rows = enumerate(_rows(table, "flat_die", name), 1)
        flat = tuple(_flat_die(row, f"{name} flat_die {n}", racks["die"]) for n, row in rows)
    if base is not None:
        punches, dies, flat = punches or base.punches, dies or base.dies, flat or base.flat_dies
    return ToolTable(name, machine, punches, dies, flat)


def _racks(given: Any, where: str, base: ToolTable | None) -> dict[str, tuple[float, ...]]:
    """Return the section lengths of punches and dies; those of the shipped table where a file gives none."""
    known = {} if base is None else {"punch": base.punches[0].sections, "die": base.dies[0].sections}
    if given is not None:
        _known(given, ("punch", "die"), where, "sections")
        known |= {kind: _sections(rows, f"{where} sections", kind) for kind, rows in given.items()}
    return known


def _sections(rows: Any, where: str, key: str) -> tuple[float, ...]:
    found: list[float] = []
    for row in _list(rows, where, key):
        pair = _list(row, where, key)
        if (
            len(pair) != 2
            or isinstance(pair[1], bool)
            or not isinstance(pair[1], int)
            or not 0 < pair[1] <= 100
        ):
            raise InputError(
                where, key, shown_value(row), "is not a length and a count", "write [length, how many]"
            )
        found += [_figure(pair[0], where, key, LONGEST_TOOL)] * pair[1]
    return tuple(sorted(found, reverse=True))


def _machine(row: Any, name: str) -> Machine:
    where, plain = (
        f"{name} machine",
        tuple(
            key
            for key in Machine.__dataclass_fields__
            if key not in ("name", "source", "stop_range", "stop_height")
        ),
    )
    _known(row, tuple(Machine.__dataclass_fields__), where, "entry")
    figures: dict[str, Any] = {
        key: _figure(_wanted(row, key, where), where, key, LONGEST_TOOL) for key in plain
    }
    for key in ("stop_range", "stop_height"):
        low, high = _pair(_wanted(row, key, where), where, key)
        if not low < high:
            raise InputError(
                where, key, shown_value(row[key]), "has its ends the wrong way round", "write [least, most]"
            )
        figures[key] = (low, high)
    figures |= {key: _word(_wanted(row, key, where), where, key) for key in ("name", "source")}
    return Machine(**figures)


def _punch(row: Any, where: str, rack: tuple[float, ...]) -> Punch:
    keys = ("name", "kind", "angle", "tip_radius", "force", "outline", "sections", "horn")
    _known(row, keys, where, "entry")
    name, kind = (_word(_wanted(row, key, where), where, key) for key in ("name", "kind"))
    if kind not in PUNCH_KINDS:
        raise InputError(where, "kind", kind, "is not a kind of punch", f"one of {', '.join(PUNCH_KINDS)}")
    angle = _figure(_wanted(row, "angle", where), where, "angle", 180.0)
    radius = _figure(_wanted(row, "tip_radius", where), where, "tip_radius", 1000.0, zero=True)
    force = _figure(_wanted(row, "force", where), where, "force", 1e5)
    outline = _outline(_wanted(row, "outline", where), where, angle, radius)
    sections = _sections(row["sections"], where, "sections") if "sections" in row else rack
    horn = _pair(row["horn"], where, "horn") if "horn" in row else None
    return Punch(name, kind, angle, radius, force, outline, sections, horn)


def _outline(given: Any, where: str, angle: float, radius: float) -> tuple[Point, ...]:
    """Return corners from the sharp tip; the flanks beside it must have the stated angle, and room for the radius."""
    points = tuple(_pair(point, where, "outline") for point in _list(given, where, "outline"))
    if len(points) < 3 or points[0] != (0.0, 0.0):
        raise InputError(
            where, "outline", f"{len(points)} points", "does not begin at the tip", "begin with [0, 0]"
        )
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True)) / 2.0
    if area <= 0.0 or any(_cross(points)):
        raise InputError(
            where,
            "outline",
            f"{len(points)} points",
            "is not a simple shape drawn anticlockwise",
            "draw it so",
        )
    flanks = [math.degrees(math.atan2(abs(y), z)) for y, z in (points[1], points[-1])]
    if abs(sum(flanks) - angle) > 0.5:
        problem = f"has flanks of {sum(flanks):.4g} deg at the tip, and angle says {angle:g}"
        raise InputError(where, "outline", f"{len(points)} points", problem, "make the two agree")
    long = radius / math.tan(math.radians(angle) / 2.0) if angle < 180.0 else 0.0
    if min(math.hypot(*points[1]), math.hypot(*points[-1])) < long - 0.05:
        raise InputError(
            where, "tip_radius", radius, "is too large for the flanks", f"draw them {long:.4g} mm long", "mm"
        )
    return points


def _cross(points: Sequence[Point]) -> list[bool]:
    """Whether sides that are not neighbours cross, pair by pair."""
    sides = list(zip(points, (*points[1:], points[0]), strict=True))
    return [
        _sides_cross(*sides[one], *sides[two])
        for one in range(len(sides))
        for two in range(one + 2, len(sides))
        if not (one == 0 and two == len(sides) - 1)
    ]


def _sides_cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def left(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return left(a, b, c) * left(a, b, d) <= 0.0 and left(c, d, a) * left(c, d, b) <= 0.0


def _die(row: Any, where: str, rack: tuple[float, ...]) -> Die:
    keys = ("opening", "angle", "shoulder_radius", "width", "height", "force")
    _known(row, (*keys, "sections"), where, "entry")
    figures = {key: _figure(_wanted(row, key, where), where, key, LONGEST_TOOL) for key in keys}
    sections = _sections(row["sections"], where, "sections") if "sections" in row else rack
    die = Die(**figures, sections=sections)
    if die.angle >= 180.0 or die.width <= 2.0 * die.shoulder:
        problem = "is narrower than the shoulders of its V"
        raise InputError(where, "width", die.width, problem, f"more than {2.0 * die.shoulder:.4g} mm", "mm")
    if die.height <= die.depth:
        problem = "is less than the V is deep"
        raise InputError(where, "height", die.height, problem, f"more than {die.depth:.4g} mm", "mm")
    return die


def _flat_die(row: Any, where: str, rack: tuple[float, ...]) -> FlatDie:
    keys = ("width", "height", "force")
    _known(row, ("name", *keys, "sections"), where, "entry")
    figures = {key: _figure(_wanted(row, key, where), where, key, LONGEST_TOOL) for key in keys}
    sections = _sections(row["sections"], where, "sections") if "sections" in row else rack
    return FlatDie(_word(_wanted(row, "name", where), where, "name"), **figures, sections=sections)


def _rows(table: Mapping[str, Any], key: str, where: str) -> list[Any]:
    rows = table.get(key)
    if not isinstance(rows, list) or not rows:
        raise InputError(where, key, "none", "there is no such row", f"write [[{key}]] and its figures below")
    return rows


def _known(row: Any, allowed: tuple[str, ...], where: str, what: str) -> None:
    if not isinstance(row, dict):
        raise InputError(
            where, what, shown_value(row), "is not a table", "write its name in brackets, its figures below"
        )
    for key in row:
        if key not in allowed:
            raise InputError(where, what, key, "there is no such name", f"there are: {', '.join(allowed)}")


def _wanted(row: Mapping[str, Any], key: str, where: str) -> Any:
    if key not in row:
        raise InputError(where, key, "none", "is not given", f"write {key} = ...")
    return row[key]


def _figure(value: Any, where: str, key: str, most: float, zero: bool = False) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise InputError(where, key, shown_value(value), "is not a number", "write it without a unit")
    if not (0.0 < value <= most or (zero and value == 0.0)):
        raise InputError(where, key, float(value), "is outside its range", f"above 0, at most {most:g}")
    return float(value)


def _pair(value: Any, where: str, key: str) -> tuple[float, float]:
    pair = _list(value, where, key)
    if len(pair) != 2 or not all(isinstance(v, (int, float)) and abs(v) <= LONGEST_TOOL for v in pair):
        raise InputError(where, key, shown_value(value), "is not two numbers", "write [number, number]")
    return float(pair[0]), float(pair[1])


def _list(value: Any, where: str, key: str) -> list[Any]:
    if not isinstance(value, list) or not value:
        raise InputError(where, key, shown_value(value), "is not a list", "write it in brackets")
    return value


def _word(value: Any, where: str, key: str) -> str:
    if not isinstance(value, str) or not value.strip() or not value.isprintable():
        raise InputError(where, key, shown_value(value), "is not a word", "write it in quotes")
    return value
