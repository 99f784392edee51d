"""Seven pieces of furniture as a new user would write them: they load, and each step's numbers are on its card."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from tracker.cards.piece.features import feature_words, features_on
from tracker.cards.piece.own_step import described, own_to_set
from tracker.cards.piece.piece import piece_card
from tracker.floor.floor import Floor
from tracker.shop import read_build
from tracker.work.clocks.elapsed import Now
from tracker.work.operations import OWN
from tracker.work.run import start_run
from tracker.work.state.state import State

FILES = sorted((Path(__file__).parent / "pieces").glob("*.toml"))
NOW = Now(datetime(2026, 12, 1, 8, tzinfo=UTC), "boot", 10.0)


def floor_of(file: Path) -> Floor:
    loaded = read_build(file)
    assert loaded.build is not None, loaded.problems
    return Floor(start_run(loaded.build), State(), NOW)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_each_number_of_a_step_is_on_its_card(file: Path) -> None:
    floor = floor_of(file)
    seen = 0
    for item in floor.run.items.values():
        for step in item.route:
            if step.id.startswith(OWN):
                own = next(each for each in described(floor, item).steps if each.do == step.operation)
                number = own_to_set(floor, own)
                shown = [number.reading, *(reading for reading, _ in number.angles)]
                assert len([each for each in shown if each != ""]) + number.how.count(": ") >= len(own.numbers)
                seen += 1
            if item.kind == "piece":
                for shape in features_on(floor.part(item), item.hand):
                    words = feature_words(shape, floor.run.build.shop.mark)
                    assert len(shape.numbers) <= words.count(",") + 2, words
                    seen += shape.feature.operation == step.operation
        if item.kind == "piece":
            assert piece_card(floor, item.key).title
    assert seen


def test_there_are_seven() -> None:
    assert len(FILES) == 7
