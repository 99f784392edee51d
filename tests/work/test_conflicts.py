"""Two tablets that worked on one build while disconnected, and exchanged again: the result, and the messages."""

from __future__ import annotations

import random
from datetime import timedelta

from msgspec.structs import replace
from work.one_tablet import BUILD, Bench, towel_frame

from tracker.cards.station.batch import undo_here
from tracker.cards.together.conflicts import conflict_words
from tracker.cards.together.together import free_names, mark_words, together_card
from tracker.design.load import load_build
from tracker.floor.floor import Floor
from tracker.work import facts
from tracker.work.clocks.elapsed import Sighting, is_over, passed, remaining
from tracker.work.conflicts import conflicts
from tracker.work.decide.decide import Do, OpenBuild, Spoil, UndoEntry, next_step
from tracker.work.facts import Entry
from tracker.work.run import start_run
from tracker.work.state.state import running_waits
from tracker.work.sync_status import SyncStatus, Tablet

RUN = towel_frame()
STATUS = SyncStatus(state="together", words={"saw": "Saw", "bench": "Bench"}, word="Saw")


def pair(*steps: tuple[str, str]) -> tuple[Bench, Bench]:
    """Saw and bench, with some steps done that both know."""
    saw, bench = Bench(RUN, "saw"), Bench(RUN, "bench")
    bench.boot_id, bench.booted = "bench's boot", -77_000.0
    saw.must(OpenBuild("frame.toml"))
    for key, step in steps:
        saw.tick(key, step)
    bench.take_in(saw.entries)
    return saw, bench


def meet(saw: Bench, bench: Bench) -> tuple[list[Entry], list[Entry]]:
    """Let each take in the entries of the other; returns what was new at each."""
    to_saw = [entry for entry in bench.entries if entry not in saw.entries]
    to_bench = [entry for entry in saw.entries if entry not in bench.entries]
    saw.take_in(to_saw)
    bench.take_in(to_bench)
    assert saw.state == bench.state
    return to_saw, to_bench


def said(saw: Bench, bench: Bench) -> tuple[str, ...]:
    """The saw's messages after an exchange; the bench has the same ones."""
    to_saw, to_bench = meet(saw, bench)
    found = conflicts(to_saw, saw.state, RUN)
    assert sorted(map(repr, found)) == sorted(map(repr, conflicts(to_bench, bench.state, RUN)))
    return conflict_words(found, RUN, STATUS, "saw")


def next_id(bench: Bench, key: str) -> str:
    step = next_step(RUN, bench.state, RUN.items[key])
    assert step is not None
    return step.id


def test_one_step_ticked_on_both_is_done_once_and_both_are_named() -> None:
    saw, bench = pair()
    saw.must(Do("rail:1", "cut"))
    bench.must(Do("rail:1", "cut"))
    assert said(saw, bench) == (
        "Rail 1 was marked as cut on Bench and on Saw while they were apart. It counts once: look whether it was "
        "really done twice.",
    )
    [tick] = saw.state.of(RUN, RUN.items["rail:1"])
    assert len(tick.entries) == 2
    assert next_id(saw, "rail:1") != "cut"


def test_undo_at_the_saw_takes_back_what_was_marked_at_the_saw() -> None:
    saw, bench = pair()
    saw.must(Do("rail:1", "cut"))
    meet(saw, bench)
    bench.must(Do("rail:2", "cut"))
    meet(saw, bench)
    at_saw, at_bench = (Floor(RUN, each.state, each.now, tablet=each.tablet) for each in (saw, bench))
    item = RUN.items["rail:1"]
    offered = [undo_here(floor, item, moved=True) for floor in (at_saw, at_bench)]
    assert [each and each.key for each in offered] == ["rail:1", "rail:2"]


def test_what_one_did_after_hearing_of_the_other_is_no_news() -> None:
    saw, bench = pair(("rail:1", "cut"))
    bench.must(Do("rail:1", next_id(bench, "rail:1")))
    saw.must(Do("rail:2", "cut"))
    assert said(saw, bench) == ()


def test_work_on_a_piece_that_was_spoiled_elsewhere_belongs_to_the_spoiled_one() -> None:
    for notes in (0, 3):  # either of the two may be the later one in the order of all
        saw, bench = pair(("rail:1", "cut"))
        saw.must(Spoil("rail:1", "split"))
        for number in range(notes):
            bench.write(facts.Noted(RUN.name, "rail:2", f"{number}"))
        step = next_id(bench, "rail:1")
        bench.must(Do("rail:1", step))
        [sentence] = said(saw, bench)
        assert sentence.startswith("Rail 1 was scrapped on Saw while Bench marked it as trimmed")
        assert saw.state.of(RUN, RUN.items["rail:1"]) == (), "nothing of the new one is done"
        assert next_id(saw, "rail:1") == "cut"
        saw.must(Do("rail:1", "cut"))
        meet(saw, bench)
        assert len(bench.state.of(RUN, RUN.items["rail:1"])) == 1


def test_spoiled_on_both_is_one_piece_lost() -> None:
    saw, bench = pair(("rail:1", "cut"))
    saw.must(Spoil("rail:1", "split"))
    bench.must(Spoil("rail:1", "knot"))
    meet(saw, bench)
    assert saw.state.making(RUN, RUN.items["rail:1"]) == 2


def test_taken_back_on_one_and_built_upon_on_the_other() -> None:
    saw, bench = pair(("rail:1", "cut"))
    saw.must(UndoEntry(saw.state.of(RUN, RUN.items["rail:1"])[0].entries[0]))
    bench.must(Do("rail:1", next_id(bench, "rail:1")))
    [sentence] = said(saw, bench)
    assert sentence.startswith("Rail 1: cut was undone while Bench marked it as trimmed")


def test_one_piece_scanned_into_two_glueups() -> None:
    saw, bench = pair()
    saw.write(facts.CheckedIn(RUN.name, "frame:1", "rail:1"))
    bench.write(facts.CheckedIn(RUN.name, "frame:2", "rail:1"))
    [sentence] = said(saw, bench)
    assert "Rail 1 was scanned into frame 2 on Bench and into Frame on Saw" in sentence


def test_a_piece_that_changed_places_while_its_assembly_was_glued() -> None:
    two = BUILD.replace("quantity = 2", "quantity = 4").replace("left = 1\nright = 1", "left = 2\nright = 2")
    second = two[two.index("[[assemblies]]") :].replace('id = "frame"', 'id = "other"').replace('"Frame"', '"Other"')
    loaded = load_build(two + second)
    assert loaded.build is not None, loaded.problems
    run = start_run(loaded.build)
    saw, bench = Bench(run, "saw"), Bench(run, "bench")
    saw.write(facts.Swapped(run.name, "rail:1", "rail:3"))
    glued = bench.write(facts.Done(run.name, "frame:1", "spread"))
    saw.take_in([glued])
    [sentence] = conflict_words(conflicts([glued], saw.state, run), run, STATUS, "saw")
    assert sentence.startswith("Rail 1 changed places on Saw while Bench glued Frame")


def test_boards_planned_on_both_says_whose_plan_is_followed() -> None:
    saw, bench = pair()
    saw.write(facts.BoardsPlanned(RUN.name, ()))
    planned = bench.write(facts.BoardsPlanned(RUN.name, ()))
    [sentence] = said(saw, bench)
    kept = saw.state.whole(RUN).boards
    assert kept is not None
    followed = "Bench" if kept.entry == planned else "Saw"
    assert f"the plan of {followed} is followed" in sentence


# -- clocks that another tablet started ------------------------------------------------------------------------------


def glued() -> tuple[Bench, Bench]:
    """A running clamp time, started on the bench and known to the saw."""
    saw, bench = pair()
    bench.write(facts.Done(RUN.name, "frame:1", "clamp", wait=facts.Wait("clamp", 2700, bench.boot_id, 77_000.0)))
    saw.take_in(bench.entries)
    return saw, bench


def test_a_wait_that_another_tablet_began_ends_here_by_that_tablets_clock() -> None:
    saw, _ = glued()
    [running] = running_waits(RUN, saw.state)
    saw.time = 3000.0
    assert not is_over(running, saw.now), "nobody has been heard of: by itself it is never over"
    heard = Sighting("bench's boot", 77_000.0 + 1000.0, 2.0, saw.boot_id, saw.now.boot - 1800.0)
    now = replace(saw.now, sightings=(heard,))
    assert passed(running, now).least == 2800.0
    assert is_over(running, now)
    assert remaining(running, replace(now, sightings=(replace(heard, here=heard.here + 200.0),))) > 0
    assert not is_over(running, replace(now, boot_id="after a restart"))


def test_no_wait_is_over_early_whatever_the_wall_clocks_say() -> None:
    """Random histories against the true time: heartbeats that arrive late, wall clocks that jump, restarts of this
    tablet."""
    chance = random.Random(5)
    early = surely = 0
    for _ in range(2000):
        saw, _ = glued()
        [running] = running_waits(RUN, saw.state)
        start = 0.0
        sightings = []
        now = start
        for _ in range(chance.randrange(1, 6)):
            now += chance.expovariate(1 / 900)
            delay = chance.uniform(0, 15)
            sightings.append(Sighting("bench's boot", 77_000.0 + now - start, delay, saw.boot_id, now + delay + 1000.0))
            now += delay
        now += chance.expovariate(1 / 900)
        saw.time = now
        saw.wall_shift = chance.choice([0.0, 86_400.0, -86_400.0, 3600.0])
        least = passed(running, replace(saw.now, sightings=tuple(sightings))).least
        early += least > now - start + 1e-6
        surely += least > 0.5 * (now - start)
    assert early == 0
    assert surely > 1900


# -- words -----------------------------------------------------------------------------------------------------------


def test_the_mark_says_with_whom_or_since_when() -> None:
    now = Bench(RUN).wall
    bench = Tablet(login="b", word="Bench", met=now)
    status = SyncStatus(state="together", since=now, word="Saw", shop="Shop", others=(bench,))
    assert mark_words(status, now) == "Together with Bench, just now"
    two = replace(status, others=(bench, replace(bench, word="Desk")))
    assert mark_words(two, now) == "Together with Bench and Desk, just now"
    many = replace(status, others=tuple(replace(bench, word=word) for word in ("Bench", "Desk", "Drill")))
    assert mark_words(many, now) == "Together with Bench and 2 others, just now"
    alone = mark_words(replace(status, state="alone"), now)
    assert alone == f"Alone since {now.astimezone():%H:%M}: all is kept here"
    assert mark_words(SyncStatus(), now) == ""
    assert mark_words(status, now + timedelta(minutes=12)) == "Together; Bench last met 12 min ago"


def test_names_that_are_taken_get_a_number() -> None:
    others = tuple(Tablet(login=word, word=word) for word in ("Saw", "Bench", "Finishing", "Desk", "Drill", "Sanding"))
    assert free_names(SyncStatus(others=others))[:2] == ("Saw 2", "Bench 2")
    assert free_names(SyncStatus(others=others[1:]))[0] == "Saw"


def test_the_sheet_names_what_a_person_must_see_to() -> None:
    now = Bench(RUN).wall
    others = (Tablet(login="b", word="Bench", met=now, copied=True), Tablet(login="c", word="Saw", mine=True))
    card = together_card(SyncStatus(state="together", word="Saw", shop="Shop", others=others), now)
    assert [row.title for row in card.rows] == ["Saw", "Bench"]
    assert card.rows[1].tone == "caution"
    assert "Two machines use its login" in card.rows[1].said
