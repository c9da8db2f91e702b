"""The faults: every small change of a module's source that a good test should notice."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tests.mutation.words import other_filled, other_texts

BINARY: dict[type, type] = {
    **{ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult},
    **{
        ast.Mod: ast.Mult,
        ast.Pow: ast.Mult,
        ast.BitOr: ast.BitAnd,
        ast.BitAnd: ast.BitOr,
        ast.BitXor: ast.BitOr,
    },
}
COMPARED: dict[type, tuple[type, ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    **{ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,)},
    **{ast.In: (ast.NotIn,), ast.NotIn: (ast.In,)},
}
SWAPPED = {
    one: other
    for pair in (
        *(("sin", "cos"), ("asin", "acos"), ("min", "max"), ("floor", "ceil"), ("any", "all")),
        *(("cos_deg", "sin_deg"), ("radians", "degrees")),
    )
    for one, other in (pair, pair[::-1])
}
"""Functions that are easily taken for one another."""
SYMMETRIC = frozenset(
    {
        "min",
        "max",
        "isclose",
        "dist",
        "hypot",
        "dot",
        "boxes_meet",
        "isinstance",
        "replace",
        "cast",
        "getattr",
        *("alike", "same_circle", "crossing_height", "_edges_alike", "_loops_alike", "_mean", "_meet_end"),
    }
)
"""Swapping the arguments of these changes nothing, or only makes what no typed code holds."""
TEXTS = frozenset({"__repr__", "__str__", "_repr_html_", "_repr_svg_"})
TYPES = frozenset(
    {"tuple", "list", "dict", "Callable", "Literal", "Mapping", "Sequence", "TypeVar", "NewType"}
)


@dataclass(frozen=True)
class Mutant:
    """One change of one file: the bytes from `start` to `end` become `text`."""

    file: str
    line: int
    row: str
    """The line as it is written, without its indent."""
    old: str
    new: str
    start: int
    end: int
    text: str
    function: tuple[str, int] | None
    """Name and first line of the outermost function round the change; None at the module's own level."""
    statement: tuple[int, int] | None
    """Line and column of the innermost statement, if it is in a function."""

    again: int = 1
    """Counts the same change in the same line."""

    @property
    def change(self) -> str:
        """What becomes of what, in one line."""
        return f"{self.old} -> {self.new}" + (f" (no. {self.again})" if self.again > 1 else "")

    def applied(self, source: bytes) -> bytes:
        """The source with the fault in it."""
        return source[: self.start] + self.text.encode() + source[self.end :]


@dataclass(frozen=True)
class _Place:
    """Where the walk is: the outermost function and the innermost statement."""

    function: tuple[str, int] | None = None
    statement: tuple[int, int] | None = None


def mutants(path: Path, file: str) -> list[Mutant]:
    """All faults of one file, in the order of its lines; those that compile to the very code are left out."""
    source = path.read_bytes()
    tree = ast.parse(source)
    starts = _line_starts(source)
    rows = source.decode().splitlines()
    found: dict[tuple[int, int, str], Mutant] = {}
    tolerances = _tolerances(tree)
    chosen = _factors(tree, tolerances) | _round_figures(tree)
    for node, new, place in _walk(tree, _Place()):
        if _moves_no_bound(node, new, tolerances) or id(node) in chosen:
            continue
        start = starts[node.lineno - 1] + node.col_offset
        end = starts[(node.end_lineno or 0) - 1] + (node.end_col_offset or 0)
        old, text = ast.unparse(node), ast.unparse(new)
        text_in = text if isinstance(node, ast.stmt) else f"({text})"
        mutant = Mutant(
            *(
                file,
                node.lineno,
                rows[node.lineno - 1].strip(),
                " ".join(old.split()),
                " ".join(text.split()),
            ),
            *(start, end, text_in, place.function, place.statement),
        )
        found.setdefault((start, end, text), mutant)
    return _numbered(sorted(found.values(), key=lambda mutant: (mutant.start, mutant.end, mutant.new)))


def _numbered(found: list[Mutant]) -> list[Mutant]:
    """Tell apart what is the same change twice in a line."""
    seen: Counter[tuple[int, str]] = Counter()
    numbered = []
    for mutant in found:
        seen[mutant.line, mutant.change] += 1
        numbered.append(replace(mutant, again=seen[mutant.line, mutant.change]))
    return numbered


def _line_starts(source: bytes) -> list[int]:
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    return starts


Change = tuple[Any, ast.AST, _Place]
STRICT: dict[type, type] = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}


def _tolerances(tree: ast.Module) -> frozenset[str]:
    """Names of tolerances in a module: those it takes from where they are kept, and its own constants but counts."""
    names = {"tolerance"}
    for node in tree.body:
        if isinstance(node, ast.ImportFrom) and (node.module or "").endswith((".tolerances", ".limits")):
            names |= {alias.asname or alias.name for alias in node.names}
        elif isinstance(node, (ast.Assign, ast.AnnAssign)) and node.value is not None:
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            if any(isinstance(c, ast.Constant) and isinstance(c.value, float) for c in ast.walk(node.value)):
                names.add(ast.unparse(target))
    return frozenset(names)


def _factors(tree: ast.Module, tolerances: frozenset[str]) -> frozenset[int]:
    """
    The numbers, by identity, that a tolerance is multiplied or divided by, or raised to.

    Whether twice or three times a rounding is let pass is a choice between equals, and no good test can ask for it.
    """
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp) and isinstance(node.op, (ast.Mult, ast.Div, ast.Pow)):
            for one, other in ((node.left, node.right), (node.right, node.left)):
                if isinstance(one, ast.Constant) and isinstance(other, ast.Name) and other.id in tolerances:
                    found.add(id(one))
    return frozenset(found)


def _round_figures(tree: ast.Module) -> frozenset[int]:
    """
    The numbers, by identity, that are round figures: counts of a module's own above 4, and how many digits are kept.

    Whether a curve is looked at in 28 places or 29, and a sum kept to 6 digits or 7, no good test can ask.
    """
    own = [node.value for node in tree.body if isinstance(node, (ast.Assign, ast.AnnAssign))]
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and _called(node) == "round"]
    digits = [argument for call in calls for argument in call.args[1:]]
    counts = [value for value in own if isinstance(value, ast.Constant) and type(value.value) is int]
    return frozenset(map(id, [*digits, *(value for value in counts if value.value > 4)]))


def _moves_no_bound(node: ast.AST, new: ast.AST, tolerances: frozenset[str]) -> bool:
    """
    True for `<` that becomes `<=` beside a tolerance, and the like.

    Whether a measured figure that equals a tolerance to its last digit is in or out, no good test can ask.
    """
    if not (isinstance(node, ast.Compare) and isinstance(new, ast.Compare)):
        return False
    sides = [node.left, *node.comparators]
    for at, (old, other) in enumerate(zip(node.ops, new.ops, strict=True)):
        if type(old) is not type(other):
            names = {
                part.id
                for side in sides[at : at + 2]
                for part in ast.walk(side)
                if isinstance(part, ast.Name)
            }
            return type(other) is STRICT.get(type(old)) and not names.isdisjoint(tolerances)
    return False


def _walk(node: ast.AST, place: _Place) -> Iterator[Change]:
    """Every change below a node, and of the node itself."""
    for child, inner in _children(node, place):
        if isinstance(child, ast.JoinedStr):
            yield from ((child, new, inner) for new in other_filled(child))
        if not _is_left_alone(child, inner):
            yield from ((child, new, inner) for new in _changes(child, inner))
            if _is_plain_condition(node, child):
                yield child, ast.UnaryOp(ast.Not(), child), inner
            yield from _walk(child, inner)


def _is_plain_condition(node: ast.AST, child: ast.AST) -> bool:
    """True for the condition of a branch or loop that no other fault turns round."""
    tests = [node.test] if isinstance(node, (ast.If, ast.IfExp, ast.While)) else getattr(node, "ifs", [])
    return child in tests and not isinstance(child, (ast.Compare, ast.BoolOp, ast.UnaryOp, ast.Constant))


def _children(node: ast.AST, place: _Place) -> Iterator[tuple[ast.AST, _Place]]:
    """What is walked below a node: no annotations, decorators, error texts, docstrings."""
    left_out = {"annotation", "returns", "decorator_list", "type_comment"}
    if isinstance(node, ast.Raise) or (isinstance(node, ast.Call) and _called(node).endswith("Error")):
        return
    if isinstance(node, ast.keyword) and node.arg in ("strict", "repr"):
        return  # that lengths agree is known where it is written, and guards against later mistakes; repr is a text
    for name, value in ast.iter_fields(node):
        if name in left_out:
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield child, _entered(node, name, child, place)


def _entered(node: ast.AST, field: str, child: ast.AST, place: _Place) -> _Place:
    """The place of a child."""
    function, statement = place.function, place.statement
    if isinstance(node, ast.FunctionDef) and function is None and field == "body":
        first = min([node.lineno, *(decorator.lineno for decorator in node.decorator_list)])
        function = (node.name, first)
    if function is not None and isinstance(child, ast.stmt):
        statement = (child.lineno, child.col_offset)
    return _Place(function, statement)


def _is_left_alone(node: ast.AST, place: _Place) -> bool:
    """True for what holds no fault worth a test: docstrings, types, imports, asserts; filled texts are done."""
    if isinstance(node, (ast.JoinedStr, ast.Import, ast.ImportFrom, ast.Assert, ast.expr_context)):
        return True
    if isinstance(node, ast.FunctionDef):
        return node.name in TEXTS
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    if isinstance(node, ast.If):
        return isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
    if isinstance(node, ast.AnnAssign):
        return "TypeAlias" in ast.unparse(node.annotation)
    if isinstance(node, ast.Assign) and place.function is None:
        return _is_type(node.value) or ast.unparse(node.targets[0]) == "__all__"
    return False


def _is_type(value: ast.expr) -> bool:
    """True for what a module calls a type by: `tuple[str, int]`, `One | Other`."""
    if isinstance(value, ast.BinOp) and isinstance(value.op, ast.BitOr):
        return True
    called = (
        value.func
        if isinstance(value, ast.Call)
        else value.value
        if isinstance(value, ast.Subscript)
        else None
    )
    return isinstance(called, ast.Name) and called.id in TYPES


def _called(call: ast.Call) -> str:
    """The last name of what is called."""
    return ast.unparse(call.func).split(".")[-1]


def _changes(node: ast.AST, place: _Place) -> Iterator[ast.AST]:
    """The faults of one node."""
    if isinstance(node, ast.stmt):
        yield from _statement_changes(node, place)
    elif isinstance(node, ast.BinOp) and type(node.op) in BINARY and not _is_text(node):
        yield ast.BinOp(node.left, BINARY[type(node.op)](), node.right)
    elif isinstance(node, ast.Compare):
        yield from _compare_changes(node)
    elif isinstance(node, ast.BoolOp):
        other = ast.And() if isinstance(node.op, ast.Or) else ast.Or()
        yield ast.BoolOp(other, node.values)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.USub)):
        yield node.operand
    elif isinstance(node, ast.Constant):
        yield from (ast.Constant(value) for value in _other_values(node.value))
    elif isinstance(node, ast.Call):
        yield from _call_changes(node)


def _is_text(node: ast.BinOp) -> bool:
    """True where texts are joined or filled."""
    return any(
        isinstance(side, ast.JoinedStr) or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in (node.left, node.right)
    )


def _other_values(value: object) -> list[object]:
    """The neighbours of a number, the contrary of a truth value, and another word or unit in a text."""
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, (int, float)):
        return [value + 1] if value == 0 else [value + 1, value - 1]
    return [*other_texts(value)] if isinstance(value, str) else []


def _compare_changes(node: ast.Compare) -> Iterator[ast.AST]:
    for at, operator in enumerate(node.ops):
        for other in COMPARED[type(operator)]:
            operators = [*node.ops[:at], other(), *node.ops[at + 1 :]]
            yield ast.Compare(node.left, operators, node.comparators)


def _call_changes(node: ast.Call) -> Iterator[ast.AST]:
    """Another function of the same kind; the first two arguments the wrong way round."""
    name = _called(node)
    if name in SWAPPED:
        if isinstance(node.func, ast.Attribute):
            yield ast.Call(
                ast.Attribute(node.func.value, SWAPPED[name], ast.Load()), node.args, node.keywords
            )
        elif isinstance(node.func, ast.Name):
            yield ast.Call(ast.Name(SWAPPED[name], ast.Load()), node.args, node.keywords)
    plain = len(node.args) >= 2 and not any(isinstance(argument, ast.Starred) for argument in node.args[:2])
    if plain and name not in SYMMETRIC and ast.dump(node.args[0]) != ast.dump(node.args[1]):
        yield ast.Call(node.func, [node.args[1], node.args[0], *node.args[2:]], node.keywords)


def _statement_changes(node: ast.stmt, place: _Place) -> Iterator[ast.AST]:
    """Statements left out, and values not given back."""
    if place.function is None:
        return
    if (
        isinstance(node, ast.Return)
        and node.value is not None
        and ast.unparse(node.value) not in ("None", "False")
    ):
        yield ast.Return(ast.Constant(None))
    elif isinstance(node, (ast.Expr, ast.AugAssign, ast.Raise, ast.Continue, ast.Break, ast.Delete)) or (
        isinstance(node, ast.Assign) and not isinstance(node.targets[0], (ast.Name, ast.Tuple))
    ):
        yield ast.Pass()
