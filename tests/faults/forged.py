"""Exchanged logs from strangers: lines with errors, and facts that are correctly chained but make no sense."""

from __future__ import annotations

import json
import random
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from msgspec import Struct

from tracker.cards.boards.boards import boards_card
from tracker.cards.builds.builds import progress
from tracker.cards.clocks.alarm import alarm_card
from tracker.cards.clocks.clocks import clocks_card
from tracker.cards.glueup.air import air_card
from tracker.cards.glueup.checklist import checklist_card
from tracker.cards.glueup.glueup import assembly_card, assembly_rows
from tracker.cards.glueup.prove import prove_card
from tracker.cards.glueup.times import times
from tracker.cards.history import history_card
from tracker.cards.labels.labels import labels_card
from tracker.cards.piece.piece import piece_card
from tracker.cards.piece.piece_options import measurables, options_card, swap_partners
from tracker.cards.station.station import STATION_WORDS, queue_card
from tracker.floor.floor import Floor
from tracker.floor.rack import with_racked
from tracker.floor.replanning import needed, replan_request
from tracker.store.rows import chain_link
from tracker.work.clocks.elapsed import Now
from tracker.work.facts import Entry, kinds
from tracker.work.facts.written import KINDS
from tracker.work.revision import is_revised
from tracker.work.run import Run
from tracker.work.state.replay import replay

_TEXTS = (
    "",
    "x",
    "leg:2",
    "\x00",
    "é" * 50,
    "../..",
    "=1+1",
    "[b]",
    "%s",
    "\ud7ff",
    "x" * 19_000,
    "2026-03-02",
    "-1",
    "nan",
)
_NUMBERS = (0, 1, -1, 2, 60, 10**9, -(10**9), 7)
_ODD: tuple[Any, ...] = (None, True, 1.5, -0.0, 10**9, "x", [], {}, [[]], {"a": 1}, [1, 2, 3], [["a", 1]])


def forged_log(chance: random.Random, good: bytes, run: Run) -> bytes:
    """A good file with a few wrong bytes or lines, or one with facts that nobody wrote."""
    return _forged(chance, run) if chance.random() < 0.6 else _spoilt(chance, good)


def _spoilt(chance: random.Random, good: bytes) -> bytes:
    data = bytearray(good)
    for _ in range(chance.choice((1, 1, 2, 5))):
        at = chance.randrange(len(data)) if data else 0
        how = chance.random()
        if how < 0.4:
            data[at : at + 1] = bytes([chance.randrange(256)])
        elif how < 0.6:
            del data[at : at + chance.choice((1, 30, 3000))]
        elif how < 0.8:
            data[at:at] = chance.choice(
                (b"[", b"{" * 2000, b"[" * 90_000, b"9" * 5000, b"\n", b"NaN", b"\xff", b'"\\ud800"')
            )
        else:
            lines = bytes(data).splitlines(keepends=True) or [b""]
            one = chance.randrange(len(lines))
            lines.insert(chance.randrange(len(lines)), lines[one])
            data = bytearray(b"".join(lines))
    return bytes(data)


def _forged(chance: random.Random, run: Run) -> bytes:
    rows: list[list[Any]] = []
    chain, tablet = "", chance.choice(("stranger", "a", "Z" * 32))
    at = datetime.fromisoformat("2026-03-02T08:00:00+00:00")
    for count in range(1, chance.randint(2, 30)):
        kind, data = _fact(chance, run, tablet, count)
        seen: dict[str, Any] = {tablet: count - 1} if count > 1 else {}
        if chance.random() < 0.1:
            seen["other"] = chance.choice((0, 1, 10**9))
        at += timedelta(minutes=chance.choice((0, 1, -1, 600)))
        columns = (
            tablet,
            count,
            json.dumps(seen, sort_keys=True),
            at.isoformat(),
            kind,
            json.dumps(data, sort_keys=True),
        )
        chain = chain_link(chain, *columns)
        rows.append([*columns, chain])
    head = {"format": "kerfcard log", "version": 1, "entries": len(rows), "ends": {tablet: [len(rows), chain]}}
    return b"".join(json.dumps(line, ensure_ascii=False).encode("utf-8", "replace") + b"\n" for line in (head, *rows))


def _fact(chance: random.Random, run: Run, tablet: str, count: int) -> tuple[str, dict[str, Any]]:
    """A fact of any kind whose fields have valid values, invalid values, or none."""
    kind = chance.choice((*KINDS, "done", "done", "measured", "boards planned", "lost", "later kind"))
    cls = KINDS.get(kind)
    if cls is None:
        return kind, {"from": chance.choice(_NUMBERS), "row": chance.choice(_ODD), "chain": chance.choice(_TEXTS)}
    return kind, _value_of(cls, chance, run, tablet, count)


def _value_of(cls: type[Any], chance: random.Random, run: Run, tablet: str, count: int) -> dict[str, Any]:
    items = tuple(run.items)
    item = run.items[chance.choice(items)]
    likely: dict[str, Any] = {
        "run": run.name,
        "item": item.key,
        "twin": chance.choice(items),
        "piece": chance.choice(items),
        "items": list(items[:3]),
        "step": chance.choice(item.route).id if item.route else "cut",
        "tablet": tablet,
        "count": chance.randint(1, count),
        "kind": chance.choice(("open", "clamp", "cure", "recoat", "dry")),
        "what": chance.choice(("length", "width", "thickness")),
        "wait": chance.choice(("open", "clamp", "cure", "recoat", "dry")),
        "source": chance.choice(("dealer", "rack")),
        "wood": chance.choice(run.build.woods).id,
        "board": chance.choice(("", f"{run.build.woods[0].id}/1", "rack/K1")),
        "key": chance.choice((f"{run.build.woods[0].id}/1", f"{run.build.woods[-1].id}/2", "rack/K1")),
        "name": chance.choice(("K1", "K2", "R9")),
        "length": chance.choice((320 * 600, 320 * 2438, *_NUMBERS)),
        "at": chance.choice((0, 320 * 100, *_NUMBERS)),
        "planned": 320 * 600,
        "actual": chance.choice((320 * 590, *_NUMBERS)),
        "answers": [[tablet, chance.randint(1, count)]],
    }
    said: dict[str, Any] = {}
    for name, written in cls.__annotations__.items():
        if chance.random() < 0.1:
            continue
        named = written.replace('"', "'").split(" |")[0]
        inner = named.removeprefix("tuple[").removesuffix(", ...]")
        nested = getattr(kinds, inner, None)
        if chance.random() < 0.04:
            said[name] = chance.choice(_ODD)
        elif name in likely and chance.random() < 0.8:
            said[name] = likely[name]
        elif isinstance(nested, type) and issubclass(nested, Struct):
            value = _value_of(nested, chance, run, tablet, count)
            more = [_value_of(nested, chance, run, tablet, count) for _ in range(chance.choice((0, 1, 4)))]
            said[name] = [value, *more] if named != inner else value
        elif named in ("int", "float"):
            said[name] = chance.choice(_NUMBERS)
        elif named == "bool":
            said[name] = chance.random() < 0.5
        elif named.startswith("tuple"):
            said[name] = chance.choice(([], [["a", "b"]], [["leg", [["length", "600 mm"]]]], [["a", 1]], ["a"]))
        else:
            said[name] = chance.choice(_TEXTS)
    return said


def draw_all(run: Run, entries: Iterable[Entry], wall: datetime) -> None:
    """Fold a log, and make every card that the screens would draw from it."""
    state = replay(entries)
    floor = Floor(with_racked(run, state), state, Now(wall, "boot of the day", 7200.0))
    for station in STATION_WORDS:
        queue_card(floor, station)
    assembly_rows(floor)
    clocks_card(floor)
    alarm_card((floor,))
    history_card(floor)
    air_card(floor)
    labels_card(floor, "")
    boards_card(floor, None, False, "")
    replan_request(floor)
    needed(floor)
    progress(run, state)
    is_revised(run, state)
    for item in run.items.values():
        if item.kind == "piece":
            piece_card(floor, item.key)
            options_card(floor, item.key)
            swap_partners(floor, item.key)
            measurables(floor, item.key)
        else:
            assembly_card(floor, item.key)
            checklist_card(floor, item.key)
            times(floor, item)
            prove_card(floor, item.key)
        history_card(floor, item.key)
