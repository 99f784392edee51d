"""An own step is done, waited for and undone like any other step, and a jig is made first."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from kit.build_text import one_wood

from tracker.design import load_build
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Do, Refusal, UndoLast, blockers, decide, next_step
from tracker.work.facts import Done, Entry, Fact
from tracker.work.operations import own_step, step_named
from tracker.work.run import Run, start_run
from tracker.work.state.replay import replay
from tracker.work.state.state import State

FILE = (
    one_wood("Hub table", "in", "oak", "white oak", 'section = "4/4"', "width = 6", 'lengths = ["8 ft"]')
    + """\
[[parts]]
id = "template"
name = "Curve template"
wood = "oak"
length = 12
[[parts]]
id = "arm"
name = "Arm"
quantity = 2
wood = "oak"
length = 20
steps = [{ do = "bandsaw the curve", after = "cut", station = "bench", jig = "template" }]
[[assemblies]]
id = "hub"
joins = { arm = 2 }
by = "dry"
"""
)
NOW = Now(datetime(2026, 12, 1, 8, tzinfo=UTC), "boot", 10.0)


def started() -> Run:
    build = load_build(FILE).build
    assert build is not None
    return start_run(build)


class Bench:
    """A log in memory, by one tablet."""

    def __init__(self) -> None:
        self.run = started()
        self.entries: list[Entry] = []

    @property
    def state(self) -> State:
        return replay(self.entries)

    def do(self, intent: Do | UndoLast) -> str:
        answer = decide(self.run, self.state, intent, NOW)
        if isinstance(answer, Refusal):
            return answer.reason
        for fact in answer:
            self._note(fact)
        return ""

    def _note(self, fact: Fact) -> None:
        count = len(self.entries) + 1
        self.entries.append(Entry("tablet", count, {"tablet": count - 1}, NOW.wall, fact))

    def next(self, key: str) -> str:
        step = next_step(self.run, self.state, self.run.items[key])
        return step.id if step else ""


def test_it_is_claimed_and_undone_as_any_other() -> None:
    bench = Bench()
    run = bench.run.name
    own = "own: bandsaw the curve"
    for step in ("cut",):
        assert bench.do(Do("template:1", step, run=run)) == ""
        assert bench.do(Do("arm:1", step, run=run)) == ""
    assert bench.next("arm:1") == own
    assert bench.do(Do("arm:1", own, run=run)) == ""
    assert bench.next("arm:1") == ""
    assert bench.do(UndoLast("arm:1", run=run)) == ""
    assert bench.next("arm:1") == own
    assert isinstance(bench.entries[-2].fact, Done)


def test_the_assembly_waits_for_it_and_it_waits_for_its_jig() -> None:
    bench = Bench()
    run = bench.run.name
    for piece in ("arm:1", "arm:2"):
        assert bench.do(Do(piece, "cut", run=run)) == ""
    hub, arm = bench.run.items["hub:1"], bench.run.items["arm:1"]
    fit, own = hub.route[0], arm.route[1]
    assert [each.words for each in blockers(bench.run, bench.state, hub, fit, NOW)] == [
        "2 arms still to do: bandsaw the curve"
    ]
    assert "make Curve template first: it is still to cut" in bench.do(Do("arm:1", own.id, run=run)).replace("M", "m")
    assert bench.do(Do("template:1", "cut", run=run)) == ""
    assert bench.do(Do("arm:1", own.id, run=run)) == ""


def test_a_step_that_the_file_no_longer_has_is_still_called_by_its_words() -> None:
    step = step_named("own: bandsaw the curve")
    assert (step.task, step.operation) == ("Bandsaw the curve", "bandsaw the curve")


@pytest.mark.parametrize(
    ("do", "mark"),
    [
        ("bandsaw the curve", "bandsaw"),
        ("steam and bend", "steam and bend"),
        ("ease all of the edges", "ease all"),
        ("counterboring", "counterboring"),
        ("counterboringfromabove twice", "counterboringfromabove twice"),
    ],
)
def test_under_a_mark_no_word_is_left_hanging(do: str, mark: str) -> None:
    """`bandsaw the` was read under the mark of a curve."""
    assert own_step(do).mark == mark
