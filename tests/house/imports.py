"""The rules on imports, read from the syntax tree; each gives its faults as a list of lines."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

from tests.house import plan
from tests.house.trees import texts_of, tree_of

PACKAGE = "formparts"


class Import(NamedTuple):
    """One module that is brought in: by which file, on which line, and where in it."""

    file: str
    room: str
    line: int
    module: str
    place: str  # "top", "function" or "typing"

    @property
    def at(self) -> str:
        return f"{self.file}:{self.line}"

    @property
    def of(self) -> str:
        """The module that brings it in, as `room` or `room.module`."""
        path = self.file.removeprefix(f"{PACKAGE}/").removesuffix(".py").removesuffix("/__init__")
        return path.replace("/", ".")

    @property
    def target(self) -> str:
        """What is brought in of the package, as `room` or `room.module`; empty if it is from outside."""
        return self.module.removeprefix(f"{PACKAGE}.") if self.module.startswith(f"{PACKAGE}.") else ""


def imports_of(package: Path) -> list[Import]:
    """Read every import of a package; the package's own front door counts as no room."""
    return _imports_of(package, tuple(texts_of(package).items()))


@cache
def _imports_of(package: Path, texts: tuple[tuple[Path, str], ...]) -> list[Import]:
    found = []
    for path, text in texts:
        parts = path.relative_to(package).with_suffix("").parts
        room = "" if parts == ("__init__",) else parts[0]
        tree = tree_of(text)
        name = path.relative_to(package.parent).as_posix()
        inside = parts[:-1]
        for node, place in _placed(tree, "top"):
            modules = _modules(node, inside, package)
            found += [Import(name, room, node.lineno, module, place) for module in modules]
    return found


def _placed(node: ast.AST, place: str) -> Iterator[tuple[ast.stmt | ast.Call, str]]:
    for child in ast.iter_child_nodes(node):
        inner = place
        if isinstance(child, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)):
            inner = "function"
        elif isinstance(child, ast.If) and place == "top" and "TYPE_CHECKING" in ast.unparse(child.test):
            for part in child.body:
                yield from _placed(ast.Module([part], []), "typing")
            for part in child.orelse:
                yield from _placed(ast.Module([part], []), place)
            continue
        if isinstance(child, (ast.Import, ast.ImportFrom, ast.Call)):
            yield child, place
        yield from _placed(child, inner)


def _modules(node: ast.stmt | ast.Call, inside: tuple[str, ...], package: Path) -> list[str]:
    """Give the modules of one import: `from formparts.body import Flat` is body, `import rims` body.rims."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.Call):
        called = getattr(node.func, "attr", getattr(node.func, "id", None))
        given = node.args[0].value if node.args and isinstance(node.args[0], ast.Constant) else None
        return [given] if called in ("import_module", "__import__") and isinstance(given, str) else []
    assert isinstance(node, ast.ImportFrom)
    base = (node.module or "").split(".") if node.module else []
    if node.level:
        base = [PACKAGE, *inside[: len(inside) - node.level + 1], *base]
    if base[0] != PACKAGE:
        return [".".join(base)]
    names = [
        alias.name for alias in node.names if alias.name != "__version__"
    ]  # any room may say the version
    return [".".join(_deepest(base, name, package)) for name in names]


def _deepest(base: list[str], name: str, package: Path) -> list[str]:
    """Add the name that is imported if it is a module itself."""
    place = package.joinpath(*base[1:])
    is_module = (place / name).is_dir() or (place / f"{name}.py").is_file()
    return [*base, name] if is_module else base


def plan_faults(package: Path) -> list[str]:
    """Rooms not in the plan; imports upward, sideways where forbidden, of the front door, in circles."""
    imports = imports_of(package)
    rooms = {item.name.removesuffix(".py") for item in package.iterdir() if _is_room(item)}
    faults = [f"{room}: not in the plan" for room in sorted(rooms) if plan.floor_of(room) is None]
    inner = [item for item in imports if item.room and item.module.split(".")[0] == PACKAGE]
    for item in inner:
        if item.place == "typing" or plan.floor_of(item.room) is None:
            continue
        faults += _fault_of(item)
    return faults + _circles(inner)


def _is_room(item: Path) -> bool:
    if item.is_dir():
        return any(item.rglob("*.py"))
    return item.suffix == ".py" and item.name != "__init__.py"


def _fault_of(item: Import) -> list[str]:
    if not item.target:
        return [] if item.room == "__main__" else [f"{item.at}: {item.room} goes through the front door"]
    room = item.target.split(".")[0]
    here, there = plan.floor_of(item.room), plan.floor_of(room)
    if there is None or room == item.room:
        return []
    if there > here:
        return [f"{item.at}: {item.room} (floor {here}) imports {room} (floor {there}): upward"]
    if there == here == plan.APART:
        return [f"{item.at}: {item.room} imports {room}: siblings of floor {here}"]
    return []


def _circles(imports: list[Import]) -> list[str]:
    """Rooms, and modules of a room, that need each other: no order of building them would do."""
    rooms: dict[str, set[str]] = {}
    modules: dict[str, set[str]] = {}
    for item in imports:
        room = item.target.split(".")[0]
        if item.place == "typing" or not room:
            continue
        if room != item.room:
            rooms.setdefault(item.room, set()).add(room)
        elif item.target != item.of:
            modules.setdefault(item.of, set()).add(item.target)
    return [
        f"{name}: in a circle of imports"
        for needs in (rooms, modules)
        for name in sorted(needs)
        if name in _reached(name, needs)
    ]


def _reached(room: str, needs: dict[str, set[str]]) -> set[str]:
    found: set[str] = set()
    ahead = list(needs.get(room, ()))
    while ahead:
        if (following := ahead.pop()) not in found:
            found.add(following)
            ahead += needs.get(following, ())
    return found


def heavy_faults(package: Path) -> list[str]:
    """Heavy modules that are imported when a module is, and not when a function is called."""
    return [
        f"{item.at}: {item.module} at the top of a module"
        for item in imports_of(package)
        if item.place == "top" and item.module.split(".")[0] in plan.HEAVY
    ]


def referee_faults(package: Path) -> list[str]:
    """What the unfolder shares with the method that it referees."""
    return [
        f"{item.at}: {plan.REFEREE} imports {item.target or item.module}"
        for item in imports_of(package)
        if item.room == plan.REFEREE
        and item.module.split(".")[0] == PACKAGE
        and not (item.target.split(".")[0] == plan.REFEREE or item.target in plan.REFEREE_MAY)
    ]


def meeting_faults(package: Path) -> list[str]:
    """Rooms other than the meeting place where both methods to a blank are brought in."""
    brought: dict[str, set[str]] = {}
    for item in imports_of(package):
        if item.place != "typing":
            brought.setdefault(item.room, set()).add(item.target.split(".")[0])
    top = len(plan.FLOORS) - 1
    return [
        f"{room}: blank and unfold meet here, not only in {plan.MEETING_PLACE}"
        for room, targets in sorted(brought.items())
        if targets >= plan.MEETING and room not in ("", plan.MEETING_PLACE) and plan.floor_of(room) != top
    ]


def recipe_faults(folder: Path) -> list[str]:
    """What the recipes import beside the one public namespace."""
    faults = []
    for path in sorted(folder.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node, _ in _placed(tree, "top"):
            if isinstance(node, ast.Import):
                modules = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                modules = ["." * node.level + (node.module or "")]
            else:
                continue
            faults += [
                f"{path.name}:{node.lineno}: imports {module}"
                for module in modules
                if module not in plan.RECIPES_MAY
            ]
    return faults
