"""The words of the cards in every state of the work's table: now, later, after a restart, and about every undo."""

from __future__ import annotations

from collections.abc import Iterator

from said.besides import besides
from said.lines import lines_of
from said.queues import with_batches
from work.one_tablet import Bench
from work.table import ASSEMBLY_STATES, PIECE_STATES, RUN, Made, bench_in, steps, taps, wait

from tracker.cards.clocks.alarm import alarm_card, anything_runs, nearly_over
from tracker.cards.clocks.clocks import clock_question, clock_stack, clocks_card
from tracker.cards.clocks.closing import closing_card
from tracker.cards.clocks.day import day_line
from tracker.cards.glueup.air import air_card
from tracker.cards.glueup.checklist import checklist_card
from tracker.cards.glueup.glueup import assembly_card, assembly_rows
from tracker.cards.glueup.prove import prove_card
from tracker.cards.glueup.times import times
from tracker.cards.history import history_card
from tracker.cards.labels.labels import labels_card
from tracker.cards.piece.piece import piece_card
from tracker.cards.piece.piece_options import measurables, options_card, swap_partners
from tracker.cards.scan.code_meaning import scan_answer
from tracker.cards.station.batch import batch_of, following
from tracker.cards.station.station import STATION_WORDS
from tracker.floor.floor import Floor
from tracker.work.decide import decide as d
from tracker.work.decide.decide import Refusal, UndoEntry, UndoLast, decide
from tracker.work.hours import hours

OFTEN: tuple[Made, ...] = (
    steps("cut", key="rail:1"), taps(d.Note("rail:1", "knot")), wait(60),
    taps(d.Note("rail:1", "dark"), d.Measure("rail:1", "width", 19_200, 19_220)), wait(60),
    taps(d.Measure("rail:1", "length", 160_000, 160_640), d.ReadMoisture("rail:1", 9.5)),
)  # fmt: skip
RUINED = (steps("cut", key="rail:2"), taps(d.Spoil("rail:2", "split")))
MORE_STATES: dict[str, tuple[Made, ...]] = {
    "noted and measured often": OFTEN,
    "made three times": (*RUINED * 2, steps("cut", key="rail:2")),
    "made five times": RUINED * 4,
    "one spoiled, one set aside": (*RUINED, steps("cut", key="rail:1"), taps(d.PutAside("rail:1", "for later"))),
}
STATES = {f"{kind} {name}": made for kind, states in (
              ("piece", PIECE_STATES), ("assembly", ASSEMBLY_STATES), ("more", MORE_STATES))
          for name, made in states.items()}  # fmt: skip
MOMENTS = {"now": 0.0, "in 4 min": 240.0, "in 50 min": 3000.0, "tomorrow": 90_000.0}


def told_in(state: str) -> Iterator[str]:
    """All words, under headings that begin with `--`."""
    bench = bench_in(STATES[state])
    began = bench.time
    for moment, seconds in MOMENTS.items():
        bench.time = began + seconds
        yield f"-- clocks {moment}"
        yield from _clocks(bench)
    bench.time = began
    yield "-- cards"
    yield from _cards(bench)
    yield "-- beside them"
    for key in ("rail:1", "rail:2", "frame:1"):
        yield f"{key}:"
        yield from besides(_floor(bench), bench.run.items[key])
    yield "-- undo"
    yield from _undo(bench)
    bench.beat()
    bench.restart(1800.0)
    yield "-- clocks after a restart"
    yield from _clocks(bench)
    bench.confirm()
    yield "-- clocks after the time was confirmed"
    yield from _clocks(bench)


def _floor(bench: Bench) -> Floor:
    return Floor(bench.run, bench.state, bench.now, tablet=bench.tablet)


def _clocks(bench: Bench) -> Iterator[str]:
    floor = _floor(bench)
    card = clocks_card(floor)
    yield from lines_of(card, "clocks")
    yield from lines_of(clock_stack(card.clocks, RUN.name, 1), "stack")
    yield from lines_of(clock_stack(card.clocks, "another", 1), "stack elsewhere")
    yield from lines_of(day_line(card.clocks, bench.wall), "day")
    for name, each in (
        ("alarm", alarm_card([floor])), ("closing", closing_card([floor])), ("question", clock_question([floor])),
        ("soon", nearly_over([floor])), ("runs", anything_runs([floor])), ("frame", assembly_card(floor, "frame:1")),
    ):  # fmt: skip
        yield from lines_of(each, name)


def _cards(bench: Bench) -> Iterator[str]:
    floor = _floor(bench)
    for key in ("rail:1", "rail:2"):
        item = floor.item(key)
        yield from lines_of(piece_card(floor, key), key)
        yield from lines_of((options_card(floor, key), *swap_partners(floor, key), *measurables(floor, key)), key)
        step = floor.next_step(item)
        if step is not None:
            yield from lines_of(batch_of(floor, item, step), f"{key} batch")
            yield from lines_of(following(floor, item, step, step.station), f"{key} next")
        yield from lines_of(scan_answer(RUN.codes[key], floor, "frame:1"), f"{key} scanned")
        yield from lines_of(history_card(floor, key), f"{key} history")
    frame = floor.item("frame:1")
    for name, each in (
        ("list", checklist_card(floor, frame.key)), ("prove", prove_card(floor, frame.key)), ("air", air_card(floor)),
        ("times", times(floor, frame)), ("rows", assembly_rows(floor)), ("labels", labels_card(floor, "rail:1")),
        ("history", history_card(floor)), ("hours", hours(bench.run, bench.entries)),
        *((station, with_batches(floor, station)) for station in STATION_WORDS),
    ):  # fmt: skip
        yield from lines_of(each, name)


def _undo(bench: Bench) -> Iterator[str]:
    """Whether each entry, and the last one of each item, could be undone, or why not."""
    asked = [*(UndoEntry(entry.id) for entry in bench.entries), *(UndoLast(key) for key in bench.run.items)]
    for each in asked:
        answer = decide(bench.run, bench.state, each, bench.now)
        yield from lines_of(answer if isinstance(answer, Refusal) else tuple(answer), str(each))
