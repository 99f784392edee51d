"""Formulas of a build file: `across * tan(180 / sides)`.

A build file may come from a stranger, so only arithmetic is accepted: the text is parsed to Python's syntax tree, and
only the nodes named here are evaluated. Size, depth, powers and results are bounded.
"""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import TypeAlias

from tracker.design.errors import AlreadyToldError, BadValueError
from tracker.design.name_lookup import nearest
from tracker.words import say

Number: TypeAlias = Fraction | float
"""Exact as long as a formula uses only + - * / and small whole powers."""

Names: TypeAlias = Mapping[str, Number | None]
"""The sizes that a formula may use. None: that size has a problem that was already reported."""

LONGEST = 200
DEEPEST = 20
LARGEST = 10**12
_BITS = 512
_EXACT_POWERS = range(-64, 65)

_ALLOWED = re.compile(r"[A-Za-z0-9_+\-*/()., \t]*\Z")
_GLUED = re.compile(r"(?<![A-Za-z0-9_])[0-9][0-9.]*[A-Za-z_][A-Za-z0-9_]*")
_MIXED = re.compile(r"[0-9][ \t]+[0-9]")
_PLAIN_NUMBER = re.compile(r"[0-9]+\.?[0-9]*\Z|\.[0-9]+\Z")


def evaluate(formula: str, names: Names) -> Number:
    """The value of a formula, without its `=`.

    Raises BadValueError with a sentence, or AlreadyToldError when a size it uses is wrong.
    """
    text = formula.strip()
    return _Walk(text, names).value(_parse(text).body, 1)


def names_in(formula: str) -> frozenset[str]:
    """The names that a formula uses, except functions; empty when it can't be read."""
    tree = syntax_of(formula)
    if tree is None:
        return frozenset()
    return frozenset(node.id for node in ast.walk(tree) if isinstance(node, ast.Name)) - FUNCTIONS.keys()


def syntax_of(formula: str) -> ast.expr | None:
    """A formula's syntax, without its `=`; None when it can't be read."""
    try:
        return _parse(formula.strip()).body
    except BadValueError:
        return None


def _parse(text: str) -> ast.Expression:
    if len(text) > LONGEST:
        raise BadValueError(
            say("the formula is longer than {longest} characters", longest=LONGEST),
            say("give its parts names under [sizes]"),
        )
    if not text:
        raise BadValueError(say("the formula is empty"))
    if not _ALLOWED.match(text):
        hint = say("write ** for a power") if "^" in text else say("only numbers, names, + - * / ** ( ) and commas")
        raise BadValueError(say("the formula has a character that can't be used"), hint)
    glued = _GLUED.search(text)
    if glued:
        raise BadValueError(
            say("can't read '{glued}' in the formula", glued=glued[0]),
            say("write 2 * x for two times x, 1000 for a thousand"),
        )
    try:
        return ast.parse(text, mode="eval")
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        hint = (
            say("write 3 + 5/8 for three and five eighths")
            if _MIXED.search(text)
            else say("check its brackets and signs")
        )
        raise BadValueError(say("can't read the formula"), hint) from None


class _Walk:
    def __init__(self, text: str, names: Names) -> None:
        self._text, self._names = text, names

    def value(self, node: ast.expr, depth: int) -> Number:
        if depth > DEEPEST:
            raise BadValueError(say("the formula is too deeply nested"), say("give its parts names under [sizes]"))
        match node:
            case ast.Constant():
                return self._constant(node)
            case ast.Name():
                return self._named(node.id)
            case ast.UnaryOp(op=ast.USub()):
                return -self.value(node.operand, depth + 1)
            case ast.UnaryOp(op=ast.UAdd()):
                return self.value(node.operand, depth + 1)
            case ast.BinOp() if type(node.op) in _OPERATIONS:
                left, right = self.value(node.left, depth + 1), self.value(node.right, depth + 1)
                return _bounded(_OPERATIONS[type(node.op)], left, right)
            case ast.Call(func=ast.Name(id=name), keywords=[]):
                return self._call(name, [self.value(each, depth + 1) for each in node.args])
        raise BadValueError(
            say("the formula has something other than arithmetic"),
            say("known functions: {functions}", functions=", ".join(FUNCTIONS)),
        )

    def _constant(self, node: ast.Constant) -> Number:
        written = self._text[node.col_offset : node.end_col_offset]
        if not _PLAIN_NUMBER.match(written):
            raise BadValueError(say("can't read '{written}' in the formula", written=written))
        return _bounded(Fraction, written)

    def _named(self, name: str) -> Number:
        if name == "pi":
            return math.pi
        if name in FUNCTIONS:
            raise BadValueError(say("'{name}' needs brackets", name=name), f"{name}(...)")
        if name not in self._names:
            raise BadValueError(
                say("no size is called '{name}'", name=name), nearest(name, [*self._names, *FUNCTIONS, "pi"])
            )
        value = self._names[name]
        if value is None:
            raise AlreadyToldError
        return value

    def _call(self, name: str, values: list[Number]) -> Number:
        if name not in FUNCTIONS:
            raise BadValueError(say("no function is called '{name}'", name=name), nearest(name, FUNCTIONS))
        least, most, function = FUNCTIONS[name]
        if not least <= len(values) <= most:
            wanted = say("one value") if most == 1 else say("two values") if most == 2 else say("two or more values")
            raise BadValueError(say("'{name}' needs {wanted}", name=name, wanted=wanted))
        return _bounded(function, *values)


def _bounded(function: Callable[..., Number], *values: Number | str) -> Number:
    """Call the function; report any arithmetic failure as a sentence, and bound the result."""
    try:
        result = function(*values)
    except ZeroDivisionError:
        raise BadValueError(say("the formula divides by zero")) from None
    except OverflowError:
        raise BadValueError(say("the formula's result is too large")) from None
    except BadValueError:
        raise
    except ValueError:
        raise BadValueError(
            say("the formula has no value here"), say("a root of a negative number, or a sine beyond 1?")
        ) from None
    if not -LARGEST <= result <= LARGEST:  # NaN and infinity fail this test, too
        raise BadValueError(say("the formula's result is too large"))
    if isinstance(result, Fraction) and max(result.numerator.bit_length(), result.denominator.bit_length()) > _BITS:
        return float(result)
    return result


def _power(base: Number, exponent: Number) -> Number:
    if isinstance(base, Fraction) and isinstance(exponent, Fraction) and exponent in _EXACT_POWERS:
        return Fraction(base ** int(exponent))
    result = float(base) ** float(exponent)
    if isinstance(result, complex):
        raise BadValueError(say("the formula takes a root of a negative number"))
    return float(result)


_OPERATIONS: dict[type[ast.operator], Callable[[Number, Number], Number]] = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: lambda a, b: a / b,
    ast.Pow: _power,
}

_HALF = Fraction(1, 2)
_SINES = {0: Fraction(0), 30: _HALF, 90: Fraction(1), 150: _HALF, 180: Fraction(0), 210: -_HALF, 270: Fraction(-1),
          330: -_HALF}  # fmt: skip
_TANGENTS = {0: Fraction(0), 45: Fraction(1), 135: Fraction(-1)}


def _sin(degrees: Number) -> Number:
    turn = Fraction(degrees) % 360
    exact = _SINES.get(int(turn)) if turn.denominator == 1 else None
    return math.sin(math.radians(turn)) if exact is None else exact


def _cos(degrees: Number) -> Number:
    return _sin(Fraction(degrees) + 90)


def _tan(degrees: Number) -> Number:
    turn = Fraction(degrees) % 180
    if turn == 90:
        raise BadValueError(say("the tangent of 90 degrees has no value"))
    exact = _TANGENTS.get(int(turn)) if turn.denominator == 1 else None
    return math.tan(math.radians(turn)) if exact is None else exact


_MANY = LONGEST
FUNCTIONS: dict[str, tuple[int, int, Callable[..., Number]]] = {
    "sin": (1, 1, _sin),
    "cos": (1, 1, _cos),
    "tan": (1, 1, _tan),
    "asin": (1, 1, lambda x: math.degrees(math.asin(x))),
    "acos": (1, 1, lambda x: math.degrees(math.acos(x))),
    "atan": (1, 1, lambda x: math.degrees(math.atan(x))),
    "atan2": (2, 2, lambda y, x: math.degrees(math.atan2(y, x))),
    "sqrt": (1, 1, math.sqrt),
    "hypot": (2, _MANY, math.hypot),
    "min": (2, _MANY, min),
    "max": (2, _MANY, max),
    "abs": (1, 1, abs),
}
"""For each function: the fewest and most arguments it takes, and what computes it. Trigonometry is in degrees."""
