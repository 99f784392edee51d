"""The same facts give the same state in every order of arrival; a merge of two tablets loses nothing."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from work.one_tablet import Bench, towel_frame

from tracker.work.decide.decide import Do, Label, Refusal, UndoEntry, UndoLabels, UndoLast
from tracker.work.facts import Done, Labelled, Opened, Undone, Unknown, Wait, from_data, to_data
from tracker.work.run import start_run
from tracker.work.state.replay import replay

RUN = towel_frame()
TAPS = st.lists(
    st.tuples(
        st.sampled_from(sorted(RUN.items)),
        st.sampled_from(["do", "do", "do", "back"]),
        st.integers(0, 90_000),
    ),
    max_size=40,
)


def tap(bench: Bench, key: str, kind: str, seconds: int) -> None:
    bench.time += seconds
    item = bench.run.items[key]
    done = bench.state.steps(bench.run, item)
    step = next((step for step in item.route if step.id not in done), None)
    if kind == "back" or step is None:
        bench.do(UndoLast(key))
    else:
        bench.do(Do(key, step.id, anyway="Tested: ready"))


@settings(max_examples=60, deadline=None)
@given(TAPS, st.randoms(use_true_random=False))
def test_replay_in_any_order_equals_the_live_state(taps: list[tuple[str, str, int]], chance: object) -> None:
    bench = Bench(RUN)
    for key, kind, seconds in taps:
        tap(bench, key, kind, seconds)
    shuffled = list(bench.entries)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    assert replay(shuffled) == bench.state
    assert replay(shuffled + shuffled) == bench.state


@settings(max_examples=40, deadline=None)
@given(TAPS, TAPS, st.integers(0, 20))
def test_two_tablets_merged_either_way_agree(
    ours: list[tuple[str, str, int]], theirs: list[tuple[str, str, int]], meet: int
) -> None:
    saw, bench = Bench(RUN, "saw"), Bench(RUN, "bench")
    for at, (mine, yours) in enumerate(zip(ours, theirs, strict=False)):
        tap(saw, *mine)
        tap(bench, *yours)
        if at == meet:
            bench.take_in(saw.entries)
    merged, other = list(saw.entries), list(bench.entries)
    saw.take_in(other)
    bench.take_in(merged)
    assert saw.state == bench.state


@settings(max_examples=60, deadline=None)
@given(TAPS)
def test_taking_back_what_was_just_done_gives_the_identical_state(taps: list[tuple[str, str, int]]) -> None:
    bench = Bench(RUN)
    for key, kind, seconds in taps:
        tap(bench, key, kind, seconds)
    for key in sorted(RUN.items):
        before = bench.state
        item = RUN.items[key]
        step = next((step for step in item.route if step.id not in before.steps(RUN, item)), None)
        if step is None or isinstance(bench.do(Do(key, step.id, anyway="Tested: ready")), Refusal):
            continue
        bench.do(UndoLast(key))
        assert bench.state == before


def test_the_same_tick_on_two_tablets_is_taken_back_once() -> None:
    saw, bench = Bench(RUN, "saw"), Bench(RUN, "bench")
    saw.must(Do("rail:1", "cut"))
    bench.must(Do("rail:1", "cut"))
    saw.take_in(bench.entries)
    saw.must(UndoLast("rail:1"))
    assert not saw.state.steps(RUN, RUN.items["rail:1"])


def test_what_has_a_label_is_known_on_both_tablets_and_the_last_sheet_can_be_taken_back() -> None:
    saw, bench = Bench(RUN, "saw"), Bench(RUN, "bench")
    saw.must(Label(("rail:1", "rail:2")))
    bench.take_in(saw.entries)
    bench.must(Label(("frame:1", "rail:1")))
    saw.take_in(bench.entries)
    assert saw.state == bench.state
    assert saw.state.labelled(RUN) == {"rail:1", "rail:2", "frame:1"}
    saw.must(UndoLabels())
    assert saw.state.labelled(RUN) == {"rail:1", "rail:2"}, "the earlier sheet still holds them"
    saw.must(UndoLabels())
    assert saw.state == Bench(RUN).state
    assert saw.do(UndoLabels()) == Refusal("There are no labels to take back.")


def test_labels_are_only_of_what_the_run_has() -> None:
    bench = Bench(RUN)
    assert isinstance(bench.do(Label(("leg:9",))), Refusal)
    assert isinstance(bench.do(Label(())), Refusal)
    assert not bench.entries


def test_the_labels_of_one_run_are_not_those_of_the_next() -> None:
    bench = Bench(RUN)
    bench.must(Label(("rail:1",)))
    assert bench.state.labelled(start_run(RUN.build, 2)) == frozenset()


def test_a_labelled_fact_that_is_damaged_is_kept_as_unknown() -> None:
    assert isinstance(from_data("labelled", {"run": "a#1", "items": 7}), Unknown)
    assert isinstance(from_data("labelled", {"run": "a#1"}), Unknown)


def test_facts_survive_being_written_down() -> None:
    facts = [
        Opened("a#1", "A", "a.toml"),
        Done("a#1", "leg:1", "cut"),
        Done("a#1", "frame:1", "clamp", "My own risk", "Waits", Wait("clamp", 2700, "boot", 12.5), (("saw", 7),)),
        Undone("saw", 3),
        Labelled("a#1", ("leg:1", "rack/K1")),
    ]
    for fact in facts:
        assert from_data(*to_data(fact)) == fact


def test_a_fact_of_a_later_version_is_kept_and_not_acted_upon() -> None:
    later = from_data("weighed", {"item": "leg:1", "kg": 1.2})
    assert later == Unknown("weighed", {"item": "leg:1", "kg": 1.2})
    assert to_data(later) == ("weighed", {"item": "leg:1", "kg": 1.2})
    assert isinstance(from_data("done", {"run": "a#1", "item": "leg:1", "step": "cut", "colour": "red"}), Unknown)
    bench = Bench(RUN)
    bench.write(later)
    assert not bench.state.ticks


def test_of_two_undos_of_one_entry_the_first_counts_whichever_comes_in_first() -> None:
    """Both tablets undo the same entry: the history of both names the one that did it first."""
    saw, bench = Bench(towel_frame(), "saw"), Bench(towel_frame(), "bench")
    saw.must(Do("rail:1", "cut"))
    cut = saw.entries[-1].id
    bench.take_in(saw.entries)
    for tablet in (saw, bench):
        tablet.time += 60
        tablet.must(UndoEntry(cut))
    undos = {tablet.tablet: tablet.entries[-1] for tablet in (saw, bench)}
    first = min(undos.values(), key=lambda entry: entry.rank)
    for one, other in ((saw, bench), (bench, saw)):
        one.take_in(other.entries)
        past = one.state.find(cut)
        assert past is not None
        assert past.undone_by == first
    assert saw.state == bench.state
