"""The kind of number that a formula gives: a length, an angle, or a number without a unit, such as a count of holes.

A size written as an angle is an angle. The kind of a bare number in `[sizes]` follows from its use in the file: in
`sides = "= sides"` or `quantity = "= legs"` it is a count, in `bevel = "= lean"` an angle. All others count as lengths,
as bare numbers do everywhere else.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from typing import Any, Literal

from tracker.design.formulas import syntax_of

Kind = Literal["plain", "number", "angle", "bare", "length", "unsure"]
"""`plain`: only figures, which take the kind of the term they are combined with. `bare`: a length, but only by default.
`unsure`: an angle multiplied or divided by a `bare` number."""
_STRONGER: tuple[Kind, ...] = ("plain", "number", "angle", "bare", "length", "unsure")
_COUNTED = frozenset({"sides", "copies", "count", "coats", "clamps", "leaves", "quantity", "places"})
_OF_A_PART = frozenset({"left", "right"})
"""Keys that are counts in a part; elsewhere they are sides from which lengths are measured."""
_ANGLES = frozenset({"miter", "bevel", "max_miter", "max_bevel", "angle", "turn", "lean", "around"})
_RATIOS, _ARCS = frozenset({"sin", "cos", "tan"}), frozenset({"asin", "acos", "atan", "atan2"})


def kinds_of_sizes(sizes: Mapping[str, object], document: Mapping[str, Any]) -> dict[str, Kind]:
    """The kind of every size, from its value under `[sizes]` and from its uses in the file."""
    used: dict[str, Kind] = {}
    waiting = sorted(_uses(document), key=lambda use: use[0] == "number")  # popped from the end: counts come first
    while waiting:
        kind, formula = waiting.pop()
        for name in _alike(syntax_of(formula), kind):
            if name in sizes and name not in used:
                used[name] = kind
                raw = sizes[name]
                if _formula(raw):
                    waiting.append((kind, _formula(raw)))
    return _Sizes(sizes, used).kinds()


def kind_of_formula(formula: str, kinds: Mapping[str, Kind]) -> Kind:
    """The kind of a formula, without its `=`; `plain` where it can't be read."""
    tree = syntax_of(formula)
    return "plain" if tree is None else _kind(tree, kinds)


class _Sizes:
    """Sizes in any order; a size in a circle is reported elsewhere, and counts as a length."""

    def __init__(self, sizes: Mapping[str, object], used: Mapping[str, Kind]) -> None:
        self._sizes, self._used = sizes, used
        self._known: dict[str, Kind] = {}

    def kinds(self) -> dict[str, Kind]:
        for name in self._sizes:
            self._find(name, 0)
        return self._known

    def _find(self, name: str, depth: int) -> Kind:
        if name in self._known:
            return self._known[name]
        self._known[name] = "bare"
        self._known[name] = self._written(name, depth)
        return self._known[name]

    def _written(self, name: str, depth: int) -> Kind:
        raw, used = self._sizes[name], self._used.get(name, "bare")
        formula = _formula(raw)
        if formula:
            tree = syntax_of(formula)
            if tree is None or depth > len(_STRONGER) * 10:
                return used
            names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)} & self._sizes.keys()
            kind = _kind(tree, {each: self._find(each, depth + 1) for each in names})
            return used if kind in ("plain", "bare") else kind
        if isinstance(raw, str):
            return "angle" if any(sign in raw for sign in ("deg", "°", ":")) else "length"
        return used


def _formula(raw: object) -> str:
    """A formula without its `=`; empty for anything else."""
    return raw.strip()[1:] if isinstance(raw, str) and raw.lstrip().startswith("=") else ""


def _uses(value: object, key: str = "", path: tuple[str, ...] = ()) -> Iterator[tuple[Kind, str]]:
    """Every formula in the file that is certainly a count or an angle."""
    if isinstance(value, dict):
        for name, each in value.items():
            inherits = key in ("lean", "joins") or (key == "joint" and name in ("front", "side"))
            yield from _uses(each, key if inherits else name, (*path, name))
    elif isinstance(value, list):
        for each in value:
            yield from _uses(each, key, path)
    elif formula := _formula(value):
        if key in _COUNTED or key == "joins" or (key in _OF_A_PART and path == ("parts", key)):
            yield "number", formula
        elif key in _ANGLES or key == "joint":
            yield "angle", formula


def _alike(node: ast.expr | None, kind: Kind) -> frozenset[str]:
    """The names in a formula that have the same kind as the whole formula."""
    match node:
        case ast.Name(id=name):
            return frozenset({name})
        case ast.UnaryOp(operand=operand):
            return _alike(operand, kind)
        case ast.BinOp(left=left, op=ast.Add() | ast.Sub(), right=right):
            return _alike(left, kind) | _alike(right, kind)
        case ast.BinOp(left=left, op=ast.Mult(), right=right) if kind == "number":
            return _alike(left, kind) | _alike(right, kind)
        case ast.BinOp(left=ast.Constant(), op=ast.Mult(), right=other):
            return _alike(other, kind)
        case ast.BinOp(left=other, op=ast.Mult() | ast.Div(), right=ast.Constant()) if kind == "angle":
            return _alike(other, kind)
    return frozenset()


def _kind(node: ast.expr, kinds: Mapping[str, Kind]) -> Kind:
    match node:
        case ast.Name(id="pi") | ast.Constant():
            return "plain"
        case ast.Name(id=name):
            return kinds.get(name, "bare")
        case ast.UnaryOp(operand=operand):
            return _kind(operand, kinds)
        case ast.Call(func=ast.Name(id=name)) if name in _ARCS:
            return "angle"
        case ast.Call(func=ast.Name(id=name)) if name in _RATIOS:
            return "number"
        case ast.Call(args=values) if values:
            return max((_kind(each, kinds) for each in values), key=_STRONGER.index)
        case ast.BinOp(left=left, op=operation, right=right):
            return _joined(_kind(left, kinds), operation, _kind(right, kinds))
    return "plain"


def _joined(left: Kind, operation: ast.operator, right: Kind) -> Kind:
    if isinstance(operation, ast.Pow):
        return left
    if isinstance(operation, ast.Div) and left == right and left in ("angle", "length"):
        return "number"
    if isinstance(operation, ast.Mult | ast.Div) and {left, right} == {"angle", "bare"}:
        return "unsure"
    return max(left, right, key=_STRONGER.index)
