"""The numbers of an own step: lengths, angles, times and counts, each shown as its kind."""

from __future__ import annotations

import re
from fractions import Fraction

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.formulas import Number
from tracker.design.kinds import kind_of_formula
from tracker.design.name_lookup import nearest
from tracker.design.own_step import Count, StepNumber
from tracker.design.values import Meaning
from tracker.measure import Length, Span, parse_length, parse_span
from tracker.words import say

_ANGLE = re.compile(r"deg|°|:")
_TIME = re.compile(r"\d\s*(?:s|sec|min|mins|h|hr|hours?|days?|weeks?)\b")
_WORD = r"[^\W\d_](?:[^\W\d_]|[ -](?=[^\W\d_])){0,29}"
_COUNT = re.compile(rf"([0-9]{{1,9}}(?:\.[0-9]{{1,6}})?)[ ]+({_WORD})\Z")
_UNIT_OF_FORMULA = re.compile(rf"(=.*[A-Za-z0-9_.)])(?:[ ]*(°)|[ ]+({_WORD}))\s*\Z")
"""Two adjacent names can't be a formula, so the last one is the unit."""
_DEGREES = frozenset({"°", "deg", "degree", "degrees"})
_UNITS = ("in", "inch", "inches", "ft", "foot", "feet", "mm", "cm", "min", "hours", "days", "weeks", "deg", "degrees")
LARGEST_COUNT = 10**9


def step_number(raw: object, meaning: Meaning) -> StepNumber:
    """A length (`"2 1/2"`), an angle (`"15 deg"`, `"1:8"`), a time (`"20 min"`) or a count (`"12 holes"`).

    The kind of a formula follows from its sizes, unless its unit is written after it: `"= 360 / sides deg"`, `"= sides
    * 2 holes"`.
    """
    if not isinstance(raw, str):
        return values.length(raw, meaning)
    if values.is_formula(raw):
        return _of_formula(raw, meaning)
    if _ANGLE.search(raw):
        return values.angle(raw, meaning)
    if _TIME.search(raw):
        return values.span(raw, meaning)
    counted = _COUNT.match(raw.strip())
    if counted and _unit_length(counted[2]) is None:
        return _count(Fraction(counted[1]), counted[2])
    return values.length(raw, meaning)


def doubt(raw: object, meaning: Meaning) -> str:
    """The advice for a formula of unknown kind: an angle times a bare number may be an angle, or the length of an
    arc."""
    if not isinstance(raw, str) or not values.is_formula(raw) or _UNIT_OF_FORMULA.match(raw):
        return ""
    if kind_of_formula(raw.strip()[1:], meaning.kinds) != "unsure":
        return ""
    return say("write its unit behind it, such as deg, holes or ") + meaning.units


def _of_formula(raw: str, meaning: Meaning) -> StepNumber:
    with_unit = _UNIT_OF_FORMULA.match(raw.strip())
    unit = (with_unit[2] or with_unit[3]) if with_unit else ""
    if with_unit and unit not in meaning.sizes:
        return _in_unit(values.number(with_unit[1], meaning), unit)
    kind = kind_of_formula(raw.strip()[1:], meaning.kinds)
    if kind == "angle":
        return values.angle(raw, meaning)
    return _count(values.number(raw, meaning), "") if kind == "number" else values.length(raw, meaning)


def _in_unit(number: Number, unit: str) -> StepNumber:
    """The result of a formula in the unit written after it."""
    if unit.lower() in _DEGREES:
        return float(number)
    scale = _unit_length(unit)
    if scale is not None:
        return values.not_negative(values.not_too_long(scale * Fraction(number)))
    seconds = _unit_time(unit)
    if seconds is not None:
        return values.at_most_a_year(Span(round(number * seconds)))
    return _count(number, unit)


def _count(number: Number, of: str) -> Count:
    """A count; a word that looks like a unit is a typing slip."""
    meant = nearest(of.lower().split()[0], _UNITS, 0.8) if of else ""
    if meant:
        raise BadValueError(say("'{of}' is not a unit that is known", of=of), meant)
    if not 0 <= number <= LARGEST_COUNT:
        raise BadValueError(say("must be a number of zero or more"))
    whole = Fraction(round(number))
    return Count(whole if abs(float(number) - float(whole)) < 1e-9 else number, of)


def _unit_length(word: str) -> Length | None:
    try:
        return parse_length(f"1 {word}", "mm")
    except ValueError:
        return None


def _unit_time(word: str) -> int | None:
    try:
        return parse_span(f"1 {word}").seconds
    except ValueError:
        return None
