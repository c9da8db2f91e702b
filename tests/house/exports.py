"""The rules on `__all__`: it is there, sorted, and leaves out nothing public that is defined or gathered."""

from __future__ import annotations

import ast
from pathlib import Path


def public_names(init: Path, package: str = "formparts") -> set[str]:
    """Give the public names that a package's front door defines itself, or gathers from its own modules."""
    tree = ast.parse(init.read_text(encoding="utf-8"))
    names: set[str] = set()
    for node in _statements(tree):
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            names.add(node.name)
        elif isinstance(node, ast.Assign):
            names |= {target.id for target in node.targets if isinstance(target, ast.Name)}
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            names.add(node.target.id)
        elif isinstance(node, ast.ImportFrom) and _is_own(node, init, package):
            # What the file itself works with is there for its own use, and not gathered.
            names |= {alias.asname or alias.name for alias in node.names} - _used(tree)
    return {name for name in names if not name.startswith("_")}


def _statements(tree: ast.Module) -> list[ast.stmt]:
    """All statements of a file, those for the type checker among them: they stand for what is gathered later."""
    later = [
        inner
        for node in tree.body
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        for inner in node.body
    ]
    return [*tree.body, *later]


def _is_own(node: ast.ImportFrom, init: Path, package: str) -> bool:
    """Tell whether something is brought in from a module of the room itself."""
    return node.level == 1 or (node.module or "").startswith(f"{package}.{init.parent.name}.")


def _used(tree: ast.Module) -> set[str]:
    return {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}


def _imported(init: Path) -> set[str]:
    tree = ast.parse(init.read_text(encoding="utf-8"))
    imports = [node for node in _statements(tree) if isinstance(node, (ast.Import, ast.ImportFrom))]
    return {alias.asname or alias.name for node in imports for alias in node.names}


def written_all(init: Path) -> list[str] | None:
    """Give `__all__` as it is written down, or None if it is not a plain list."""
    for node in ast.parse(init.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return ast.literal_eval(node.value) if isinstance(node.value, (ast.List, ast.Tuple)) else None
    return None


def _sort_key(name: str) -> tuple[int, str]:
    """Constants, then classes, then the rest: the order of the linter."""
    kind = 0 if name.isupper() else 1 if name[:1].isupper() else 2
    return kind, name


def export_faults(init: Path) -> list[str]:
    """Hold the front door of a room against what it makes public."""
    public, written = public_names(init), written_all(init)
    where = init.parent.name
    if not public and written is None:
        return []
    if written is None:
        return [f"{where}: has no __all__"]
    faults = [f"{where}: {name} is left out of __all__" for name in sorted(public - set(written))]
    nowhere = set(written) - public - _imported(init)
    faults += [f"{where}: {name} is in __all__ and is nowhere" for name in sorted(nowhere)]
    if list(written) != sorted(set(written), key=_sort_key):
        faults.append(f"{where}: __all__ is not sorted, or has a name twice")
    return faults
