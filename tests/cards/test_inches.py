"""A build in inches shows no millimetres: every word of every card of every piece at every step is read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from work.one_tablet import Bench

from tracker.cards.boards.shopping import shopping_card
from tracker.cards.clocks.clocks import clocks_card
from tracker.cards.glueup.air import air_card
from tracker.cards.glueup.checklist import checklist_card
from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.glueup.plugs import plugs_card
from tracker.cards.glueup.prove import prove_card
from tracker.cards.history import history_card
from tracker.cards.piece.checks import piece_checks
from tracker.cards.piece.piece import piece_card
from tracker.cards.piece.piece_options import options_card
from tracker.cards.station.station import queue_card
from tracker.design.load import load_build
from tracker.floor.floor import Floor
from tracker.work.decide.decide import Do, Measure, SetAir
from tracker.work.decide.prerequisites import next_step
from tracker.work.operations import STATIONS
from tracker.work.run import Run, start_run

SAMPLES = Path(__file__).parents[2] / "sample_projects"
IN_INCHES = sorted(path.stem for path in SAMPLES.glob("*.toml") if 'units = "in"' in path.read_text("utf-8"))
MILLIMETRE = re.compile(r"\bmm\b|millimet|\dmm\b")


def words(card: Any) -> Iterator[str]:
    """Every text in a card, without the names of its classes and fields."""
    if isinstance(card, str):
        yield card
    elif isinstance(card, msgspec.Struct):
        for name in card.__struct_fields__:
            yield from words(getattr(card, name))
    elif isinstance(card, dict):
        yield from (each for value in card.values() for each in words(value))
    elif isinstance(card, list | tuple | set | frozenset):
        yield from (each for value in card for each in words(value))


def cards(floor: Floor) -> Iterator[Any]:
    """All cards of a build at one moment; of equal pieces one."""
    alike = {(item.id, item.hand, len(floor.state.of(floor.run, item))): item for item in floor.run.items.values()}
    for item in alike.values():
        yield options_card(floor, item.key)
        if item.kind == "piece":
            yield piece_card(floor, item.key)
        else:
            yield from (of(floor, item.key) for of in (assembly_card, checklist_card, plugs_card, prove_card))
    yield from (queue_card(floor, station) for station in STATIONS)
    yield from (history_card(floor), air_card(floor), clocks_card(floor), shopping_card(floor.run.build, ()))


def run_of(name: str) -> Run:
    loaded = load_build((SAMPLES / f"{name}.toml").read_bytes())
    assert loaded.build is not None
    return start_run(loaded.build)


def in_millimetres(found: Any) -> set[str]:
    return {text for text in words(found) if MILLIMETRE.search(text)}


@pytest.mark.parametrize("name", IN_INCHES)
def test_no_card_of_an_inch_build_says_a_millimetre(name: str) -> None:
    bench = Bench(run_of(name))
    bench.must(SetAir(20, 50))
    seen = 0
    for _ in range(8):
        floor = Floor(bench.run, bench.state, bench.now)
        for card in cards(floor):
            seen += 1
            assert not in_millimetres(card), type(card).__name__
        for item in bench.run.items.values():
            step = next_step(bench.run, bench.state, item)
            if step is not None:
                bench.do(Do(item.key, step.id, "Tested: ready"))
                if item.kind == "piece" and "length" not in bench.state.measures(bench.run, item):
                    bench.do(Measure(item.key, "length", 200_000, 200_200))
        bench.time += 30 * 86_400
    assert seen > 100


@pytest.mark.parametrize("name", IN_INCHES)
def test_no_check_on_a_piece_of_an_inch_build_says_a_millimetre(name: str) -> None:
    build = run_of(name).build
    for part in build.parts:
        for piece in range(1, part.quantity + 1):
            assert not in_millimetres(piece_checks(build, part, part.hand(piece)))


def test_the_search_finds_a_millimetre_wherever_it_is() -> None:
    assert in_millimetres([{"a": ("0.3 mm under",)}, "9mm", "hammer"]) == {"0.3 mm under", "9mm"}
