"""A build file revised while its build is in progress, detected from the log only."""

from __future__ import annotations

from work.one_tablet import BUILD, Bench

from tracker.design.load import load_build
from tracker.work.decide.decide import Do, OpenBuild, Spoil
from tracker.work.facts import Done, from_data, to_data
from tracker.work.misfits import steps_that_differ
from tracker.work.revision import is_revised, revision
from tracker.work.run import Run, start_run
from tracker.work.state.replay import replay


def run_of(text: str) -> Run:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return start_run(loaded.build)


def revised(bench: Bench, text: str) -> Bench:
    """The same log with a changed build file."""
    after = Bench(run_of(text), bench.tablet)
    after.take_in(bench.entries)
    after.time = bench.time
    return after


def begun() -> Bench:
    bench = Bench(run_of(BUILD))
    bench.must(OpenBuild("frame.toml"))
    for key, step in (("rail:1", "cut"), ("rail:1", "trim"), ("rail:2", "cut"), ("peg:1", "cut")):
        bench.tick(key, step)
    return bench


def test_nothing_changed_says_nothing() -> None:
    bench = revised(begun(), BUILD)
    assert not is_revised(bench.run, bench.state)
    found = revision(bench.run, bench.state)
    assert (found.changes, found.misfits, found.orphans) == ((), (), ())


def test_what_changed_is_said_part_by_part_before_and_after_the_new_file_is_opened() -> None:
    text = BUILD.replace("length = 500", "length = 510").replace("diameter = 6", "diameter = 8")
    bench = revised(begun(), text)
    assert is_revised(bench.run, bench.state)
    said = [change.words for change in revision(bench.run, bench.state).changes]
    assert said[0] == "Rail: length 500 mm, now 510 mm"
    assert said[1].startswith("Peg: holes through at end A, 30 mm from the edge")
    bench.must(OpenBuild("frame.toml"))
    assert not is_revised(bench.run, bench.state)
    assert [change.words for change in revision(bench.run, bench.state).changes] == said


def test_a_blank_that_is_long_enough_still_fits_and_a_trimmed_piece_doesn_t() -> None:
    bench = revised(begun(), BUILD.replace("length = 500", "length = 510"))
    found = [misfit.words for misfit in revision(bench.run, bench.state).misfits]
    assert found == ["Rail 1 of 2: length 500 mm, now 510 mm: 10 mm too short"], "rail 2 is a blank of 520"
    refusal = bench.do(Do("frame:1", "dry fit"))
    assert refusal is not None
    bench = revised(begun(), BUILD.replace("length = 500", "length = 530"))
    assert [m.key for m in revision(bench.run, bench.state).misfits] == ["rail:1", "rail:2"]


def test_a_piece_that_became_shorter_can_still_be_worked_to_it() -> None:
    bench = revised(begun(), BUILD.replace("length = 500", "length = 480"))
    assert [m.words for m in revision(bench.run, bench.state).misfits] == [
        "Rail 1 of 2: length 500 mm, now 480 mm: 20 mm too long"
    ]


def test_every_end_that_was_cut_to_the_old_version_differs_not_only_the_first() -> None:
    """The card marks these steps: a tick at the second end would say that it is as the new version asks."""
    bench = revised(begun(), BUILD.replace("length = 500", "length = 480"))
    assert steps_that_differ(bench.run, bench.state, bench.run.items["rail:1"]) == {"trim A", "trim B"}
    assert steps_that_differ(bench.run, bench.state, bench.run.items["rail:2"]) == frozenset()
    assert steps_that_differ(bench.run, bench.state, bench.run.items["frame:1"]) == frozenset()


def test_an_assembly_waits_for_a_piece_that_no_longer_fits_until_it_is_made_again() -> None:
    bench = begun()
    for key, step in (("rail:2", "trim"), ("peg:1", "drill"), ("peg:2", "cut"), ("peg:2", "drill")):
        bench.tick(key, step)
    bench = revised(bench, BUILD.replace("length = 500", "length = 510"))
    refusal = bench.do(Do("frame:1", "dry fit"))
    assert refusal is not None
    assert refusal.reason == "2 rails made to the old version: 10 mm too short (500 mm, now 510 mm)"
    for key in ("rail:1", "rail:2"):
        bench.must(Spoil(key, "revised"))
        bench.must(Do(key, "cut"))
        bench.tick(key, "trim")
    bench.must(Do("frame:1", "dry fit"))


def test_what_was_done_to_a_part_that_is_gone_is_kept_and_listed() -> None:
    start, end = BUILD.index('[[parts]]\nid = "peg"'), BUILD.index("[[assemblies]]")
    text = BUILD[:start] + BUILD[end:].replace("rail = 2, peg = 2", "rail = 2")
    bench = revised(begun(), text.replace('name = "Rail"', 'name = "Rail"\nroute = ["cut", "sand 120"]'))
    found = revision(bench.run, bench.state)
    assert [change.words for change in found.changes] == ["Peg: gone"]
    assert [orphan.words for orphan in found.orphans] == [
        "Rail 1 of 2: trim A, trim B: no longer in the build",
        "Peg 1: cut: no longer in the build",
    ]
    back = revised(bench, BUILD)
    assert back.state.is_done(back.run, back.run.items["peg:1"], "cut"), "nothing done is forgotten"


def test_new_parts_begin_empty() -> None:
    bench = revised(begun(), BUILD.replace("quantity = 2", "quantity = 3").replace("rail = 2", "rail = 3"))
    assert not bench.state.steps(bench.run, bench.run.items["rail:3"])
    assert [change.words for change in revision(bench.run, bench.state).changes] == ["Rail: quantity 2, now 3"]


def test_a_log_from_before_sizes_were_kept_says_nothing_wrong() -> None:
    bench = Bench(run_of(BUILD))
    bench.write(from_data("opened", {"run": bench.run.name, "build": "Towel frame", "file": "frame.toml"}))
    bench.write(from_data("done", {"run": bench.run.name, "item": "rail:1", "step": "cut"}))
    bench = revised(bench, BUILD.replace("length = 500", "length = 900"))
    found = revision(bench.run, bench.state)
    assert (found.changes, found.misfits, found.orphans) == ((), (), ())


def test_sizes_in_the_log_survive_being_written_down() -> None:
    bench = begun()
    for entry in bench.entries:
        assert from_data(*to_data(entry.fact)) == entry.fact
    done = bench.entries[1].fact
    assert isinstance(done, Done)
    assert dict(done.to) == {"wood": "white ash", "thickness": "20", "grain": "along", "blank": "520", "width": "60"}
    assert replay(bench.entries) == bench.state
