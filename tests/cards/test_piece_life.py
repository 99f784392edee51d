"""Everything done to a piece apart from its route, and the undo of all of it."""

from __future__ import annotations

import random

from work.one_tablet import BUILD, Bench, floor, towel_frame

from tracker.cards.builds.revision import revision_card, revision_words, was_now
from tracker.cards.history import history_card
from tracker.cards.piece.action import undo
from tracker.cards.piece.piece import piece_card
from tracker.cards.piece.piece_options import measurables, measure_intent, note_words, options_card, swap_partners
from tracker.cards.station.station import queue_card
from tracker.design.load import load_build
from tracker.measure import millimetres
from tracker.work.decide.intents import (
    Do,
    Intent,
    KeepBoards,
    Label,
    Note,
    OpenBuild,
    PutAside,
    Refusal,
    Resume,
    Spoil,
    Swap,
    UndoEntry,
)
from tracker.work.facts import PlannedBoard, PlannedCut
from tracker.work.run import start_run

TWO_FRAMES = (
    BUILD
    + """
[[assemblies]]
id = "pair"
name = "Pair"
joins = { frame = 2 }
by = "screws"
"""
)


def bench_of(text: str = BUILD) -> Bench:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return Bench(start_run(loaded.build))


def two_frames() -> Bench:
    text = TWO_FRAMES.replace("quantity = 2", "quantity = 4").replace("left = 1\nright = 1", "left = 2\nright = 2")
    return bench_of(text)


def options(bench: Bench, key: str) -> dict[str, str]:
    return {option.key: option.said for option in options_card(floor(bench), key).options}


def test_a_reading_stands_on_the_card_with_its_difference() -> None:
    bench = Bench(towel_frame())
    bench.must(Do("rail:1", "cut"))
    length = measurables(floor(bench), "rail:1")[0]
    assert (length.text, length.said) == ("Length, blank", "planned 520 mm")
    bench.must(measure_intent(bench.run.name, "rail:1", length, millimetres(521)))
    assert options(bench, "rail:1")["measure"] == "length 521 mm, +1 mm"
    assert piece_card(floor(bench), "rail:1").said == "length 521 mm, +1 mm"
    bench.tick("rail:1", "trim")
    assert measurables(floor(bench), "rail:1")[0].planned == millimetres(500)


def test_a_spoiled_piece_begins_anew_and_says_which_making_it_is() -> None:
    bench = Bench(towel_frame())
    bench.must(Do("rail:1", "cut"))
    bench.must(Spoil("rail:1", "split"))
    card = piece_card(floor(bench), "rail:1")
    assert card.said == "second making: split"
    assert card.marks[0].tone == "ready"
    back = undo(floor(bench), bench.run.items["rail:1"])
    assert back is not None
    assert back.text == "Undo: Rail 1: scrapped, made again"
    bench.must(back.intent)
    assert piece_card(floor(bench), "rail:1").marks[0].tone == "done"


def test_a_piece_set_aside_waits_in_its_queue_until_it_is_taken_up() -> None:
    bench = Bench(towel_frame())
    bench.must(PutAside("rail:1", "let the wood acclimate"))
    waits = queue_card(floor(bench), "saw").groups[-1]
    assert [(row.key, "let the wood acclimate" in row.said) for row in waits.rows] == [("rail:1", True)]
    assert "take up" in options(bench, "rail:1")
    bench.must(Resume("rail:1"))
    assert piece_card(floor(bench), "rail:1").action.ready


def test_twins_change_the_frames_they_go_into() -> None:
    bench = two_frames()
    assert [twin.key for twin in swap_partners(floor(bench), "rail:1")] == ["rail:3", "rail:4"]
    assert [twin.said for twin in swap_partners(floor(bench), "peg:1")] == ["goes into Frame 2"]
    bench.must(Swap("rail:1", "rail:3"))
    assert piece_card(floor(bench), "rail:1").into == "frame:2"
    assert piece_card(floor(bench), "rail:3").into == "frame:1"


def test_a_note_stands_on_the_card() -> None:
    bench = Bench(towel_frame())
    bench.must(Note("rail:1", "best face"))
    assert note_words(floor(bench), bench.run.items["rail:1"]) == "best face"


def test_a_piece_to_be_cut_says_from_which_board() -> None:
    bench = Bench(towel_frame())
    cuts = (PlannedCut("rail:1", 0, 520 * 320), PlannedCut("rail:2", 523 * 320, 520 * 320))
    bench.must(KeepBoards((PlannedBoard("ash/1", "ash", "dealer", 2000 * 320, cuts),)))
    assert piece_card(floor(bench), "rail:1").said == "from ash board 1, at its end A"
    assert piece_card(floor(bench), "rail:2").said == "from ash board 1, 523 mm from its end A"
    action = piece_card(floor(bench), "rail:2").action
    assert action.intent == Do("rail:2", "cut", board="ash/1", at=523 * 320, run=action.intent.run)
    bench.must(action.intent)
    assert piece_card(floor(bench), "rail:2").said == ""
    assert history_card(floor(bench)).rows[0].said == "08:00 · from ash/1"


def test_the_history_says_what_happened_and_what_can_be_taken_back() -> None:
    bench = Bench(towel_frame())
    for step in ("cut", "trim B"):
        bench.must(Do("rail:1", step))
        bench.time += 120
    newest, oldest = history_card(floor(bench)).rows
    assert (newest.title, newest.said) == ("Rail 1: trimmed at end B", "08:02")
    assert (oldest.title, oldest.said) == ("Rail 1: cut", "08:00")
    card = history_card(floor(bench), chosen=newest.id)
    assert card.intent == UndoEntry(newest.id, run=card.intent.run)
    assert not card.why
    bench.must(card.intent)
    assert history_card(floor(bench)).rows[0].said == "undone 08:04"
    assert history_card(floor(bench), "rail:2").rows == ()


def some_action(bench: Bench, chance: random.Random) -> Intent:
    """Anything a person might do, allowed or not; an opened build can't be undone."""
    run = bench.run
    keys = list(run.items)
    key = chance.choice(keys)
    step = chance.choice(run.items[key].route).id if run.items[key].route else "cut"
    size = measurables(floor(bench), key)[chance.randrange(3)] if run.items[key].kind == "piece" else None
    kinds: list[Intent] = [
        Do(key, step),
        Do(key, step),
        Do(key, step, "My own risk"),
        PutAside(key, "needs a look"),
        Resume(key),
        Note(key, "knot"),
        Swap(key, chance.choice(keys)),
        Spoil(key, "split"),
        Label((key,)),
    ]
    if size is not None:
        kinds.append(measure_intent(bench.run.name, key, size, size.planned + millimetres(1)))
    return chance.choice(kinds)


def test_fifty_random_actions_taken_back_leave_the_identical_state() -> None:
    """Undone through the history, newest first, as on its screen; an entry that others are based on waits for its
    turn."""
    for seed in range(4):
        chance, bench = random.Random(seed), two_frames()
        before, done = bench.state, 0
        while done < 50:
            bench.time += 1
            done += not isinstance(bench.do(some_action(bench, chance)), Refusal)
        assert bench.state != before
        while True:
            live = [row for row in history_card(floor(bench), most=10_000).rows if row.tone]
            if not live:
                break
            cards = (history_card(floor(bench), chosen=row.id, most=10_000) for row in live)
            card = next((card for card in cards if not card.why), None)
            assert card is not None, [row.title for row in live]
            assert card.intent is not None
            bench.must(card.intent)
        assert bench.state == before


def test_a_revised_build_lists_what_no_longer_fits_and_marks_it() -> None:
    bench = Bench(towel_frame())
    bench.must(OpenBuild("frame.toml"))
    for step in ("cut", "trim"):
        bench.tick("rail:1", step)
    loaded = load_build(BUILD.replace("length = 500", "length = 510"))
    assert loaded.build is not None
    after = Bench(start_run(loaded.build))
    after.take_in(bench.entries)
    card = revision_card(after.run, after.state)
    assert card.open_now
    assert [(row.title, row.said) for row in card.rows if not row.heading] == [
        ("Rail 1 of 2", "length: was 500 mm, now 510 mm (10 mm too short: make another)"),
        ("Rail", "length: was 500 mm, now 510 mm"),
    ]
    both = ("splayed leg 425 mm high, 10° in front", "splayed leg 460 mm high, 10° in front")
    assert was_now(*both) == "was splayed leg 425 mm high, now splayed leg 460 mm high", "only what differs"
    assert revision_words(after.run, after.state) == "revised: 1 change, 1 piece made to the old version"
    group = queue_card(floor(after), "saw").groups[0]
    assert (group.title, group.rows[0].key, group.rows[0].tone) == ("Made to the old version", "rail:1", "caution")
    piece = piece_card(floor(after), "rail:1")
    assert (piece.said, piece.said_tone) == ("made to the old version: 10 mm too short (500 mm, now 510 mm)", "caution")
