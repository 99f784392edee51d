"""How often each branch of some modules is taken.

The functions of the modules run from a copy of their code with a mark at the start of each branch: of each function,
`if`, loop and `except`, each side of a conditional expression, what follows an `and` or `or`, and each turn of a
comprehension. The numbers don't depend on the machine, nor on the version of Python.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from types import CodeType, FunctionType, ModuleType
from typing import Any

from tracker import plan

Taken = dict[str, dict[str, list[int]]]
"""For each module the functions that ran, with how often each of their branches was taken."""
COUNTS, MARK = "_branches_taken", "_branch_is_taken"


class _Marking(ast.NodeTransformer):
    """Puts a mark at the start of each branch within functions; `owners` are the functions, mark by mark."""

    def __init__(self) -> None:
        self.owners: list[str] = []
        self._within: list[str] = []

    def _new(self) -> ast.Constant:
        self.owners.append(".".join(self._within))
        return ast.Constant(len(self.owners) - 1)

    def _marked(self, body: list[ast.stmt]) -> list[ast.stmt]:
        if not body:
            return body
        at = ast.Subscript(ast.Name(COUNTS, ast.Load()), self._new(), ast.Store())
        return [ast.copy_location(ast.AugAssign(at, ast.Add(), ast.Constant(1)), body[0]), *body]

    def _marked_value(self, value: ast.expr) -> ast.expr:
        call = ast.Call(ast.Name(MARK, ast.Load()), [self._new()], [])
        return ast.copy_location(ast.BoolOp(ast.Or(), [call, value]), value)

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        self._within.append(node.name)
        node.body = [
            self.visit(each) if isinstance(each, ast.ClassDef | ast.FunctionDef) else each for each in node.body
        ]
        self._within.pop()
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        self._within.append(node.name)
        node.body = self._marked([self.visit(each) for each in node.body])
        self._within.pop()
        return node

    def generic_visit(self, node: ast.AST) -> ast.AST:
        if not self._within:
            if isinstance(node, ast.Module):
                super().generic_visit(node)
            return node
        super().generic_visit(node)
        if isinstance(node, ast.If | ast.For | ast.While):
            node.body, node.orelse = self._marked(node.body), self._marked(node.orelse)
        elif isinstance(node, ast.ExceptHandler | ast.match_case):
            node.body = self._marked(node.body)
        elif isinstance(node, ast.IfExp):
            node.body, node.orelse = self._marked_value(node.body), self._marked_value(node.orelse)
        elif isinstance(node, ast.BoolOp):
            node.values = [node.values[0], *map(self._marked_value, node.values[1:])]
        elif isinstance(node, ast.Lambda):
            node.body = self._marked_value(node.body)
        elif isinstance(node, ast.ListComp | ast.SetComp | ast.GeneratorExp):
            node.elt = self._marked_value(node.elt)
        elif isinstance(node, ast.DictComp):
            node.value = self._marked_value(node.value)
        elif isinstance(node, ast.comprehension):
            node.ifs = [self._marked_value(each) for each in node.ifs]
        return node


class Branches:
    """The branches of modules, ready to be counted."""

    def __init__(self, modules: Sequence[ModuleType]) -> None:
        self._modules = {module.__name__: (module, *_with_marks(module)) for module in modules}

    @contextmanager
    def counted(self) -> Iterator[Taken]:
        """Count within the block, where no answer is remembered from before; the numbers are there when it ends."""
        found: Taken = {}
        before: list[tuple[FunctionType, CodeType]] = []
        counts: dict[str, list[int]] = {}
        for name, (module, owners, codes) in self._modules.items():
            counts[name] = mine = [0] * len(owners)
            vars(module).update({COUNTS: mine, MARK: _marker(mine)})
            for answers in vars(module).values():
                if hasattr(answers, "cache_clear"):
                    answers.cache_clear()
            for function in _functions(module):
                before.append((function, function.__code__))
                function.__code__ = codes[function.__qualname__]
        try:
            yield found
        finally:
            for function, code in before:
                function.__code__ = code
        for name, (module, owners, _) in self._modules.items():
            del vars(module)[COUNTS], vars(module)[MARK]
            by_function = defaultdict[str, list[int]](list)
            for owner, count in zip(owners, counts[name], strict=True):
                by_function[owner].append(count)
            if ran := {owner: each for owner, each in by_function.items() if any(each)}:
                found[name] = ran


def _marker(counts: list[int]) -> Any:
    def take(branch: int) -> None:
        counts[branch] += 1

    return take


def _with_marks(module: ModuleType) -> tuple[list[str], dict[str, CodeType]]:
    """The function of each mark, and the code of each function by its qualified name."""
    assert module.__file__ is not None
    marking = _Marking()
    tree = ast.fix_missing_locations(marking.visit(ast.parse(Path(module.__file__).read_text("utf-8"))))
    return marking.owners, dict(_codes(compile(tree, module.__file__, "exec")))


def _codes(code: CodeType) -> Iterator[tuple[str, CodeType]]:
    for each in code.co_consts:
        if isinstance(each, CodeType):
            yield each.co_qualname, each
            yield from _codes(each)


def _functions(module: ModuleType) -> list[FunctionType]:
    """The functions of a module, with those of its classes and of properties, and those inside a memory of answers."""
    found: dict[int, FunctionType] = {}

    def look(value: Any) -> None:
        for name in ("__func__", "fget", "func", "__wrapped__"):
            if (inner := getattr(value, name, None)) is not None:
                look(inner)
        if (
            isinstance(value, FunctionType)
            and value.__module__ == module.__name__
            and value.__code__.co_filename == module.__file__
        ):
            found[id(value)] = value
        elif isinstance(value, type) and value.__module__ == module.__name__:
            for each in list(vars(value).values()):
                look(each)

    for value in list(vars(module).values()):
        look(value)
    return list(found.values())


BOARDS = "tracker.plan.boards"


@cache
def _in_plan(boards: bool) -> Branches:
    inside = (each.name for each in walk_packages(plan.__path__, f"{plan.__name__}."))
    return Branches([import_module(name) for name in inside if name.startswith(BOARDS) is boards])


@contextmanager
def in_boards() -> Iterator[Taken]:
    """Count the branches that the search for boards takes within the block."""
    with _in_plan(boards=True).counted() as taken:
        yield taken


@contextmanager
def in_shapes() -> Iterator[Taken]:
    """Count the branches that all other modules of `tracker.plan` take within the block."""
    with _in_plan(boards=False).counted() as taken:
        yield taken


def total(taken: Taken) -> int:
    """How many branches were taken in all."""
    return sum(sum(map(sum, functions.values())) for functions in taken.values())
