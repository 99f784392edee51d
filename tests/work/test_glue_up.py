"""The glue-up: its checklist, the shop's air, the record of deviations, alarms, tests."""

from __future__ import annotations

from work.one_tablet import Bench
from work.table import CLAMPED, DONE, GLUED, READY, RUN, bench_in, checked, steps, taps
from work.test_waits import bench_with

from tracker.work.checklist import checklist
from tracker.work.clocks.alarms import calling, soon
from tracker.work.decide.decide import (
    Answer,
    Check,
    CheckIn,
    Do,
    Prove,
    Refusal,
    SetAir,
    UndoEntry,
    UndoLast,
)
from tracker.work.facts import Done

FRAME = RUN.items["frame:1"]


def line(bench: Bench, line_id: str) -> tuple[str, str]:
    found = {each.id: each for each in checklist(bench.run, bench.state, bench.run.items["frame:1"])}[line_id]
    return found.state, found.said


def test_the_checklist_counts_the_clamps_and_asks_for_the_glue_s_own_warmth() -> None:
    bench = bench_in(READY)
    words = {each.id: each.words for each in checklist(RUN, bench.state, FRAME)}
    assert list(words) == ["parts", "clamps", "pads", "paper", "fresh", "warm", "squeeze-out"]
    assert words["clamps"] == "4 clamps set and in reach"
    assert words["warm"] == "Glue and wood 13 °C or warmer"
    assert [each.id for each in checklist(RUN, bench.state, FRAME) if each.air] == ["warm"]


def test_parts_scanned_in_one_by_one_see_to_their_line() -> None:
    bench = bench_in(READY)
    assert line(bench, "parts") == ("open", "0 of 2 here")
    bench.must(CheckIn("frame:1", "rail:1"))
    bench.must(CheckIn("frame:1", "rail:2"))
    assert line(bench, "parts") == ("done", "all 2 here")


def test_air_that_nobody_entered_isn_t_known_and_isn_t_called_warm() -> None:
    bench = bench_in(READY)
    assert line(bench, "warm") == ("open", "the shop's temperature was not entered")
    bench.must(steps_of("dry fit"))
    bench.tick("frame:1", "spread")  # not refused: the temperature isn't known


def steps_of(step: str) -> Do:
    return Do("frame:1", step)


def test_too_cold_for_the_glue_is_refused_with_its_reason_and_can_be_overridden() -> None:
    bench = bench_in((*READY, steps("dry fit"), checked, taps(SetAir(6, 50))))
    assert line(bench, "warm") == ("against", "the shop is at 6 °C")
    assert bench.do(Check("frame:1", "warm")) is not None
    refusal = bench.do(steps_of("spread"))
    assert refusal is not None
    assert refusal.reason == "The shop is at 6 °C: PVA, cross-linking needs 13 °C; check the label"
    assert refusal.overridable
    bench.must(Do("frame:1", "spread", anyway="My own risk"))
    done = bench.entries[-1].fact
    assert isinstance(done, Done)
    assert "6 °C" in done.against


def test_what_was_not_seen_to_when_the_glue_was_spread_stays_in_the_record() -> None:
    bench = bench_in((*READY, taps(Check("frame:1", "clamps"), Check("frame:1", "pads")), steps("dry fit")))
    refusal = bench.do(Do("frame:1", "spread"))
    assert refusal == Refusal("Not checked: parts, wax paper, glue, warmth, scraper", overridable=True)
    bench.must(Do("frame:1", "spread", "Tested: ready"))
    done = bench.entries[-1].fact
    assert isinstance(done, Done)
    assert done.unchecked == ("parts", "paper", "fresh", "warm", "squeeze-out")


def test_a_checked_line_can_be_taken_back_until_the_glue_is_spread() -> None:
    bench = bench_in((*READY, taps(Check("frame:1", "pads"))))
    entry = bench.entries[-1].id
    bench.must(steps_of("dry fit"))
    bench.tick("frame:1", "spread")
    refusal = bench.do(UndoEntry(entry))
    assert refusal is not None
    assert refusal.reason == "Frame: spread with glue since. Take that back first."
    bench.must(UndoLast("frame:1"))
    bench.must(UndoEntry(entry))
    assert "pads" not in bench.state.checks(RUN, FRAME)


def test_glues_with_a_danger_of_their_own_say_so() -> None:
    bench = bench_with(glue="Epoxy, two-part")
    words = {each.id: each.words for each in checklist(bench.run, bench.state, bench.run.items["frame:1"])}
    assert words["care"].startswith("Mixed by the exact ratio. Gloves on")


def test_taken_off_early_is_recorded_and_marked() -> None:
    bench = bench_in(CLAMPED)
    bench.time += 600
    bench.must(Do("frame:1", "unclamp", anyway="My own risk"))
    tick = bench.state.tick(RUN, FRAME, "unclamp")
    assert tick is not None
    assert tick.early == 3600 - 600
    assert (tick.done.against, tick.done.anyway) == ("50 min left in clamps", "My own risk")


def test_clamps_after_the_open_time_are_recorded_as_late() -> None:
    bench = bench_in(GLUED)
    bench.time += 360
    bench.must(steps_of("clamp"))
    tick = bench.state.tick(RUN, FRAME, "clamp")
    assert tick is not None
    assert tick.done.late == 60


def test_open_time_calls_before_its_end_and_a_clock_that_is_over_until_it_is_answered() -> None:
    bench = bench_in(GLUED)
    assert calling(RUN, bench.state, bench.now) == ()
    bench.time += 300 - 74
    assert [(call.why, call.running.wait.kind) for call in calling(RUN, bench.state, bench.now)] == [("soon", "open")]
    bench.time += 75
    assert [call.why for call in calling(RUN, bench.state, bench.now)] == ["over"]
    bench.must(steps_of("clamp"))
    bench.time += 3600
    bench.beat()
    bench.restart(off=60)
    call = calling(RUN, bench.state, bench.now)[0]
    assert (call.why, call.running.wait.kind) == ("over", "clamp"), "it calls on after a restart"
    bench.must(Answer(call.id))
    assert calling(RUN, bench.state, bench.now) == ()


def test_a_warning_comes_in_time_and_not_all_the_time() -> None:
    assert (soon(480), soon(240), soon(60), soon(6)) == (120, 60, 30, 3)


def test_a_check_that_fails_blocks_until_it_passes_and_the_last_one_proves() -> None:
    bench = bench_in(DONE)
    bench.must(Prove("frame:1", "stands flat", False, "rocks by 1 mm", "me"))
    refusal = bench.do(Do("frame:1", "prove", anyway="My own risk"))
    assert refusal is not None
    assert (refusal.reason, refusal.overridable) == ("Failed: stands flat (rocks by 1 mm)", False)
    bench.must(Prove("frame:1", "stands flat", True, "", "me"))
    assert bench.state.finished(RUN, FRAME)
    proof = bench.state.proofs(RUN, FRAME)["stands flat"]
    assert (proof.fact.passed, proof.fact.by) == (True, "me")
    refusal = bench.do(UndoEntry(proof.id))
    assert refusal is not None
    assert refusal.reason == "Frame is proven: take that back first."
    bench.must(UndoLast("frame:1"))
    bench.must(UndoEntry(proof.id))
    assert not bench.state.proofs(RUN, FRAME)["stands flat"].fact.passed, "the failed one holds again"


def test_sanding_over_a_coat_answers_the_window() -> None:
    bench = bench_with(finish="Polyurethane, water-based")
    for step in ("dry fit", "spread", "clamp", "unclamp", "finish 1"):
        bench.must(Do("frame:1", step, anyway="Tested: ready"))
    bench.time += 13 * 3600 + 86_400
    refusal = bench.do(Do("frame:1", "finish 2"))
    assert refusal is not None
    assert refusal.reason == "Past its recoat window of 12 h: sand first"
    bench.must(Do("frame:1", "between 1"))
    bench.must(Do("frame:1", "finish 2"))


def test_after_a_restart_the_window_warns_by_what_may_have_passed() -> None:
    """The tablet was off for an unknown time: the coat may have stood too long."""
    bench = bench_with(finish="Polyurethane, water-based")
    for step in ("dry fit", "spread", "clamp", "unclamp", "finish 1"):
        bench.must(Do("frame:1", step, anyway="Tested: ready"))
        bench.time += 30 * 3600 if step == "unclamp" else 0
    bench.time += 6 * 3600
    bench.beat()
    bench.restart(off=60)
    refusal = bench.do(Do("frame:1", "finish 2"))
    assert refusal is not None
    assert refusal.reason == "Perhaps past its recoat window of 12 h: sand first"
    bench.confirm()
    assert bench.do(Do("frame:1", "finish 2")) is None, "confirmed: six hours and a minute"
