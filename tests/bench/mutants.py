"""The small changes that `mutations` makes of the program's modules, one at a time.

A mutant is one change of one module: a comparison or a sign reversed, a number off by one, a `not` dropped, `and` for
`or`, a condition reversed, a statement left out. Annotations, docstrings and what only a type checker reads aren't
changed; nor assertions, including `zip(strict=True)`, nor the size of a cache, which no test can detect.
"""

from __future__ import annotations

import ast
import copy
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

_OTHER: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip


class Site(NamedTuple):
    """One possible change: at node number `place` of the module's tree walk."""

    path: str
    place: int
    kind: str
    line: int


def sites(root: Path, path: Path) -> Iterator[Site]:
    """Every possible change of a module in the tree `root`."""
    tree = ast.parse(path.read_text("utf-8"))
    skipped = _not_code(tree)
    name = path.relative_to(root).as_posix()
    for place, node in enumerate(ast.walk(tree)):
        if node in skipped:
            continue
        for kind in _kinds(node):
            yield Site(name, place, kind, getattr(node, "lineno", 0))


def _kinds(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Compare) and type(node.ops[0]) in _OTHER:
        yield "comparison"
    elif isinstance(node, ast.BoolOp):
        yield "and/or"
    elif isinstance(node, ast.BinOp) and type(node.op) in _OTHER and not _is_text(node):
        yield "sign"
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield "not or minus dropped"
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float, bool):
        yield "constant"
    elif isinstance(node, ast.If | ast.IfExp):
        yield "condition reversed"
    elif isinstance(node, ast.Expr | ast.AugAssign | ast.Continue | ast.Raise):
        yield "statement removed"


def _is_text(node: ast.BinOp) -> bool:
    sides = (node.left, node.right)
    return any(
        isinstance(s, ast.JoinedStr) or (isinstance(s, ast.Constant) and isinstance(s.value, str)) for s in sides
    )


def _not_code(tree: ast.Module) -> set[ast.AST]:
    """Annotations, docstrings, assertions, names of types, the size of a cache: changing them changes no result."""
    found: set[ast.AST] = set()
    for node in ast.walk(tree):
        dropped: list[ast.AST | None] = []
        match node:
            case ast.FunctionDef():
                dropped = [node.returns, *(arg.annotation for arg in ast.walk(node.args) if isinstance(arg, ast.arg))]
            case ast.AnnAssign():
                dropped = [node.annotation]
            case ast.ClassDef():
                dropped = list(node.keywords)
            case ast.Call(func=ast.Name(id="zip" | "lru_cache")):
                dropped = list(node.keywords)
            case ast.Assert() | ast.Expr(value=ast.Constant()) | ast.If(test=ast.Name(id="TYPE_CHECKING")):
                dropped = [node]
            case ast.Assign(value=ast.BinOp(op=ast.BitOr())) | ast.Call(func=ast.Name(id="TypeVar" | "cast")):
                dropped = [node]
        found.update(each for top in dropped if top is not None for each in ast.walk(top))
    return found


def mutated(source: str, site: Site, chance: random.Random) -> tuple[str, str, str]:
    """The module with one change, and the changed code before and after."""
    tree = ast.parse(source)
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    node = next(each for place, each in enumerate(ast.walk(tree)) if place == site.place)
    shown = node
    while not isinstance(shown, ast.stmt) and shown in parents:
        shown = parents[shown]
    before = _first_line(shown)
    new = _changed(node, chance)
    _put(parents[node], node, new)
    after = _first_line(new if node is shown else shown)
    return ast.unparse(ast.fix_missing_locations(tree)) + "\n", before, after


def _changed(node: Any, chance: random.Random) -> Any:
    new = copy.copy(node)
    if isinstance(node, ast.Compare):
        new.ops = [_OTHER[type(node.ops[0])](), *node.ops[1:]]
    elif isinstance(node, ast.BoolOp | ast.BinOp):
        new.op = _OTHER[type(node.op)]()
    elif isinstance(node, ast.UnaryOp):
        new = node.operand
    elif isinstance(node, ast.Constant):
        value: Any = node.value
        new.value = not value if isinstance(value, bool) else value + chance.choice((-1, 1))
    elif isinstance(node, ast.If | ast.IfExp):
        new.test = ast.UnaryOp(ast.Not(), node.test)
    else:
        new = ast.Pass()
    return new


def _put(parent: ast.AST, old: ast.AST, new: ast.AST) -> None:
    for name, value in ast.iter_fields(parent):
        if value is old:
            setattr(parent, name, new)
        elif isinstance(value, list):
            setattr(parent, name, [new if each is old else each for each in value])


def _first_line(node: ast.AST) -> str:
    return ast.unparse(node).splitlines()[0][:160]
