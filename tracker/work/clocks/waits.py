"""How long a wait is, and the source: the label on the bottle, the build file, or the default of its class.

Only defaults are adjusted to the shop's air, and only to the safe side: minimum waits become longer in the cold and the
damp, an open time becomes shorter in the warm. There are two rules of thumb, and the words on the screen call them
that:

- A glue that cures by reaction (epoxy, polyurethane, urea-formaldehyde): the reaction rate doubles with every 10 °C, so
  the time is 2^((20 − T)/10) times that at 20 °C. From memory; it doesn't apply to what dries or gels.
- What dries (other glues, finishes): half as long again in the cold or the damp, twice as long in both. Common
  practice, no source; no precision is claimed.
"""

from __future__ import annotations

import math
from typing import Literal

from msgspec import Struct

from tracker.design.model import Finish, Glue
from tracker.design.tables.finishes import finish_named
from tracker.design.tables.glues import GlueClass, glue_named
from tracker.measure import Span, Units
from tracker.words import say
from tracker.work.facts import Air, Overruled
from tracker.work.operations import WaitKind
from tracker.work.run import Item, Run

Origin = Literal["label", "build file", "default"]
TABLE_CELSIUS = 20.0
COLD_CELSIUS, DAMP_PERCENT = 18.0, 65.0
"""From these values on it is cold or damp for what dries. Common practice, no source."""
CHECK_LABEL = say("check the label")


class WaitOf(Struct, frozen=True):
    """A wait: its length, its origin, the row of the table for a default, and words for the user.

    `factor` is what the shop's air multiplied the default by; 1 for other waits.
    """

    span: Span
    origin: Origin
    row: str = ""
    words: str = ""
    machine: Span | None = None
    """For a cure: the time after which it may be handled and machined, but not loaded."""
    limit: Span | None = None
    """For a recoat: the time after which the next coat needs sanding first."""
    factor: float = 1.0


def wait_of(run: Run, item: Item, kind: WaitKind, label: Overruled | None, air: Air | None) -> WaitOf | None:
    """The wait of an assembly; None when it has no such wait."""
    if kind not in item.waits or item.kind != "assembly":
        return None
    assembly = run.build.assembly(item.id)
    units = run.build.units
    found = (
        _of_glue(assembly.glue, kind, air, units)
        if kind in _GLUE_KEYS and assembly.glue
        else _of_finish(assembly.finish, kind, air, units)
        if assembly.finish
        else None
    )
    if found is None or label is None:
        return found
    said = say("by the label: {why}", why=say(label.why)) if label.why else say("by the label")
    return WaitOf(Span(label.seconds), "label", words=said, limit=found.limit)


def degrees(celsius: float, units: Units) -> str:
    """A temperature in the units of a build: `19 °C`, `66 °F`."""
    number = f"{celsius if units == 'mm' else celsius * 9 / 5 + 32:.0f}".replace("-", "−")
    return f"{'0' if number == '−0' else number} {'°C' if units == 'mm' else '°F'}"


_GLUE_KEYS: dict[WaitKind, str] = {"open": "open", "clamp": "clamp", "cure": "cure"}
_FINISH_KEYS: dict[WaitKind, str] = {"recoat": "recoat", "dry": "cure"}


def _of_glue(glue: Glue, kind: WaitKind, air: Air | None, units: Units) -> WaitOf:
    span = {"open": glue.open_time, "clamp": glue.clamp_time, "cure": glue.cure_time}[_GLUE_KEYS[kind]]
    row = glue_named(glue.name)
    if _GLUE_KEYS[kind] not in glue.defaulted or row is None:
        return WaitOf(span, "build file", words=say("from the build file"))
    factor, why = _glue_factor(row, kind, air, units)
    machine = _times(row.machine, factor) if kind == "cure" and row.machine else None
    return _default(row.name, span, factor, why, machine=machine)


def _of_finish(finish: Finish, kind: WaitKind, air: Air | None, units: Units) -> WaitOf:
    span = {"recoat": finish.recoat, "cure": finish.cure}[_FINISH_KEYS[kind]]
    row = finish_named(finish.kind)
    factor, why = _drying(air, units)
    limit = finish.recoat_limit if kind == "recoat" else None
    if limit and finish.limit_defaulted:
        limit = _times(limit, factor)
    if _FINISH_KEYS[kind] not in finish.defaulted or row is None:
        return WaitOf(span, "build file", words=say("from the build file"), limit=limit)
    return _default(row.name, span, factor, why, limit=limit)


def _default(
    row: str, span: Span, factor: float, why: str, machine: Span | None = None, limit: Span | None = None
) -> WaitOf:
    words = say("typical for {row}; {caution}", row=row, caution=CHECK_LABEL)
    if why:
        words += say(". {why}; a rule of thumb", why=why)
    return WaitOf(_times(span, factor), "default", row, words, machine, limit, factor)


def _glue_factor(row: GlueClass, kind: WaitKind, air: Air | None, units: Units) -> tuple[float, str]:
    if air is None:
        return 1.0, ""
    if row.cures == "reaction":
        factor = 2 ** ((TABLE_CELSIUS - air.celsius) / 10)
        if (factor < 1) != (kind == "open") or factor == 1:
            return 1.0, ""
        return factor, say("At {celsius} {long}", celsius=degrees(air.celsius, units), long=_long(factor))
    if kind == "open" or row.cures == "contact":
        return 1.0, ""
    return _drying(air, units)


def _drying(air: Air | None, units: Units) -> tuple[float, str]:
    cold = air is not None and air.celsius < COLD_CELSIUS
    damp = air is not None and air.humidity > DAMP_PERCENT
    if air is None or not (cold or damp):
        return 1.0, ""
    factor = 2.0 if cold and damp else 1.5
    where = [degrees(air.celsius, units)] * cold + [f"{air.humidity:g} %"] * damp
    return factor, say("At {where} {long}", where=say(" and ").join(where), long=_long(factor))


def _long(factor: float) -> str:
    if factor in (1.5, 2.0):
        return say("twice as long") if factor == 2.0 else say("half as long again")
    return say("{factor:.1f} times as long", factor=factor)


def _times(span: Span, factor: float) -> Span:
    """A span made longer or shorter, rounded to the safe side and to a sensible precision."""
    if factor == 1:
        return span
    seconds = span.seconds * factor
    step = 3600 if seconds >= 6 * 3600 else 300 if seconds >= 1800 else 60 if seconds >= 300 else 1
    return Span((math.ceil if factor > 1 else math.floor)(round(seconds / step, 6)) * step)
