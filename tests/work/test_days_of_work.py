"""Each sample build from its first board to the proven piece, over simulated days, with a restart in every wait.

The maker does the next step that the program names, never overrides it, and reads the log again after each restart.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from work.one_tablet import Bench

from tracker.design.load import load_build
from tracker.work.checklist import checklist
from tracker.work.clocks.alarms import calling
from tracker.work.clocks.elapsed import is_over, remaining
from tracker.work.decide.decide import Answer, Check, CheckIn, Do, OpenBuild, Prove, SetAir
from tracker.work.decide.prerequisites import next_step
from tracker.work.facts import Done
from tracker.work.hours import hours
from tracker.work.routes import check_routes
from tracker.work.run import Item, Run, start_run
from tracker.work.state.replay import Replay
from tracker.work.state.state import running_waits

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))


def opened(path: Path) -> Bench:
    loaded = load_build(path.read_bytes())
    assert loaded.build is not None, loaded.problems
    assert not [problem for problem in check_routes(loaded.build) if problem.kind == "problem"]
    bench = Bench(start_run(loaded.build))
    bench.must(OpenBuild(path.name))
    bench.must(SetAir(20, 50))
    return bench


def restart(bench: Bench) -> None:
    """The tablet is off for a quarter of an hour; the log is read again, and a person confirms its clock."""
    before = bench.state
    bench.beat()
    bench.restart(off=900, boot_id=f"boot at {bench.time}")
    bench.replay = Replay(bench.entries)
    assert bench.state == before
    bench.confirm()


def glue_ready(bench: Bench, item: Item) -> None:
    """Scan the parts in and go down the checklist."""
    for key in bench.state.members(bench.run, item):
        bench.must(CheckIn(item.key, key))
    for line in checklist(bench.run, bench.state, item):
        if line.state == "open":
            bench.must(Check(item.key, line.id))


def go_on(bench: Bench, item: Item) -> bool:
    """Do the next step of an item, if nothing is in its way."""
    step = next_step(bench.run, bench.state, item)
    if step is None:
        return False
    if step.id == "prove" and bench.run.build.assembly(item.id).prove:
        done = [
            bench.do(Prove(item.key, check, True, "as it should be", "me")) is None for check in checks(bench, item)
        ]
        return any(done)
    bench.time += 180
    return bench.do(Do(item.key, step.id)) is None


def checks(bench: Bench, item: Item) -> tuple[str, ...]:
    return bench.run.build.assembly(item.id).prove


def wait_for_the_next_clock(bench: Bench) -> None:
    """Wait for half of the clock, restart, and wait for the rest; then the alarm sounds until it is answered."""
    waits = [each for each in running_waits(bench.run, bench.state) if each.wait.at_least]
    assert waits, "something is to be done, nothing may be done, and no clock runs"
    soonest = min(waits, key=lambda each: remaining(each, bench.now))
    bench.time += max(0.0, remaining(soonest, bench.now)) / 2
    restart(bench)
    left = remaining(soonest, bench.now)
    assert left <= 0 or not is_over(soonest, bench.now)
    bench.time += max(0.0, left)
    assert is_over(soonest, bench.now)
    call = next(call for call in calling(bench.run, bench.state, bench.now) if call.id == soonest.entry.id)
    bench.must(Answer(call.id))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_from_the_first_board_to_the_proven_piece(path: Path) -> None:
    bench = opened(path)
    run: Run = bench.run
    seen_to: set[str] = set()
    while not all(bench.state.finished(run, item) for item in run.items.values()):
        moved = False
        for item in run.items.values():
            step = next_step(run, bench.state, item)
            if step and step.starts == "open" and item.key not in seen_to:
                glue_ready(bench, item)
                seen_to.add(item.key)
            moved = go_on(bench, item) or moved
        if not moved:
            wait_for_the_next_clock(bench)
    done = [entry.fact for entry in bench.entries if isinstance(entry.fact, Done)]
    assert all(not fact.anyway and not fact.early and not fact.unchecked for fact in done)
    assert len(done) == sum(len(item.route) for item in run.items.values())
    waited = [fact for fact in done if fact.wait]
    assert len({entry.at.date() for entry in bench.entries}) >= (2 if waited else 1), "it took days"
    for item in run.assemblies:
        proofs = bench.state.proofs(run, item)
        assert set(proofs) == set(checks(bench, item))
        assert all(kept.fact.passed for kept in proofs.values())
    assert hours(run, bench.entries).timed > 0
