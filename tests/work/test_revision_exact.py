"""What a revised file changes: which sizes differ, which pieces are too small, what has lost its place; and what keeps
an entry from being undone."""

from __future__ import annotations

from typing import Any

import pytest
from work.one_tablet import BUILD, Bench, towel_frame

from tracker.design.load import load_build
from tracker.work import facts
from tracker.work.decide.intents import Do, DoTogether, PutAside, Refusal, Resume, Spoil, Swap, UndoEntry, UndoLast
from tracker.work.decide.prerequisites import begun, built_into
from tracker.work.facts import Done
from tracker.work.misfits import Misfit, misfits
from tracker.work.revision import Change, Orphan, changes, compare, is_revised, orphans
from tracker.work.run import Run, start_run

RUN = towel_frame()
R = RUN.name


def run_of(text: str) -> Run:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return start_run(loaded.build)


def test_differences_in_the_order_of_the_new_build() -> None:
    before = {"a": {"name": "Arm", "length": "600", "grain": "along"}, "b": {"name": "Base"}, "c": {}}
    after = {"d": {"name": "Door"}, "a": {"name": "Arm", "length": "1143/2", "holes": "one"}, "c": {"name": "Cap"}}
    found = compare(before, after, RUN.build.shop.mark)
    assert found == (
        Change(part="d", name="Door", what="new"),
        Change(part="a", name="Arm", what="length", before="600 mm", after="572 mm"),
        Change(part="a", name="Arm", what="holes", before="none", after="one"),
        Change(part="a", name="Arm", what="grain", before="along", after="none"),
        Change(part="c", name="Cap", what="name", before="none", after="Cap"),
        Change(part="b", name="Base", what="gone"),
    )
    assert [change.words for change in found[:3]] == [
        "Door: new", "Arm: length 600 mm, now 572 mm", "Arm: holes none, now one",
    ]  # fmt: skip
    assert found[-1].words == "Base: gone"
    assert compare({"z": {}}, {}, RUN.build.shop.mark) == (Change(part="z", name="z", what="gone"),)
    assert compare(after, after, RUN.build.shop.mark) == ()


def misfits_of(step: str, text: str = BUILD, *more: str, **to: str) -> list[tuple[str, str, str, str]]:
    bench = Bench(run_of(text))
    for each in more:
        bench.write(Done(R, "rail:1", each))
    bench.write(Done(R, "rail:1", step, to=tuple(to.items())))
    found = misfits(bench.run, bench.state, bench.run.items["rail:1"])
    assert all((each.key, each.title, each.step) == ("rail:1", "Rail 1 of 2", step) for each in found)
    return [(each.what, each.was, each.now, each.verdict) for each in found]


@pytest.mark.parametrize(
    ("step", "more", "to", "found"),
    [
        ("cut", (), {"blank": "520"}, []),
        ("cut", (), {"blank": "521"}, []),  # long enough
        ("cut", (), {"blank": "500"}, []),
        ("cut", (), {"blank": "499"}, [("blank", "499 mm", "500 mm", "too small")]),
        ("cut", (), {"width": "60", "wood": "white ash"}, []),
        ("cut", (), {"width": "61"}, [("width", "61 mm", "60 mm", "differs")]),
        ("cut", (), {"width": "59"}, [("width", "59 mm", "60 mm", "too small")]),
        ("cut", (), {"wood": "red oak"}, [("wood", "red oak", "white ash", "differs")]),
        ("cut", (), {"holes": "one"}, [("holes", "one", "none", "differs")]),
        ("cut", (), {"slack": "9"}, [("slack", "9", "none", "differs")]),
        ("trim A", (), {"length": "480"}, []),  # the other end is still to be cut
        ("trim A", (), {"ends": "A round"}, [("ends", "A round", "A square, B square", "differs")]),
        ("trim A", ("trim B",), {"length": "480"}, [("length", "480 mm", "500 mm", "too small")]),
        ("trim A", ("trim B",), {"length": "510"}, [("length", "510 mm", "500 mm", "differs")]),
        ("cut", ("trim A", "trim B"), {"blank": "100"}, []),  # it is trimmed: its length counts
        ("cut", ("trim A", "trim B"), {"width": "59"}, [("width", "59 mm", "60 mm", "too small")]),
        ("plane", (), {"thickness": "19"}, [("thickness", "19 mm", "20 mm", "too small")]),
    ],
)  # fmt: skip
def test_what_no_longer_fits(step: str, more: tuple[str, ...], to: dict[str, str], found: list[Any]) -> None:
    got = misfits_of(step, BUILD, *more, **to)
    assert [each for each in got if each[0] in to] == found


def test_a_size_that_two_steps_say_is_named_once_and_an_assembly_has_none() -> None:
    bench = Bench(RUN)
    for step, was in (("cut", "59"), ("rip", "59"), ("plane", "58")):
        bench.write(Done(R, "rail:1", step, to=(("width", was),)))
    bench.write(Done(R, "frame:1", "dry fit", to=(("width", "1"),)))
    found = misfits(RUN, bench.state, RUN.items["rail:1"])
    assert [(each.step, each.was) for each in found] == [("cut", "59 mm"), ("plane", "58 mm")]
    assert misfits(RUN, bench.state, RUN.items["frame:1"]) == ()
    assert misfits(RUN, bench.state, RUN.items["rail:2"]) == ()
    one: Misfit = found[0]
    assert one.words == "Rail 1 of 2: width 59 mm, now 60 mm: 1 mm too narrow"
    assert one.small_words == "made to the old version: 1 mm too narrow (59 mm, now 60 mm)"


LEG_BUILD = """
[build]
name = "Stool"
units = "mm"
[woods.ash]
species = "white ash"
thickness = 40
width = 40
lengths = [2000]
[[parts]]
id = "leg"
name = "Leg"
quantity = 4
wood = "ash"
joint = { kind = "splayed leg", height = 425, front = 8, side = 12 }
"""


def leg_misfit(text: str, *steps: str) -> Misfit | None:
    """What no longer fits of a leg of which these steps were done to the first version."""
    bench = Bench(run_of(LEG_BUILD))
    for step in steps:
        assert bench.do(Do("leg:1", step)) is None
    after = run_of(text)
    found = misfits(after, bench.state, after.items["leg:1"])
    assert len(found) <= 1
    return found[0] if found else None


def test_a_splayed_leg_says_by_how_much_its_height_is_off() -> None:
    short = leg_misfit(LEG_BUILD.replace("425", "460"), "cut", "trim A", "trim B")
    assert short is not None
    assert (short.what, short.was, short.now, short.verdict) == ("height", "425 mm", "460 mm", "too small")
    assert short.off == "35 mm too short"
    assert short.small_words == "made to the old version: 35 mm too short (425 mm, now 460 mm)"
    tall = leg_misfit(LEG_BUILD.replace("425", "400"), "cut", "trim A", "trim B")
    assert tall is not None
    assert (tall.off, tall.verdict) == ("25 mm too tall", "differs"), "it can be cut down"


def test_a_splayed_leg_with_an_end_to_cut_has_no_height_yet() -> None:
    assert leg_misfit(LEG_BUILD.replace("425", "400"), "cut", "trim A") is None
    perhaps = leg_misfit(LEG_BUILD.replace("425", "460"), "cut", "trim A")
    assert perhaps is not None
    assert (perhaps.off, perhaps.verdict) == ("", "differs"), "its blank may be long enough: the record doesn't say"


def test_other_angles_are_not_a_height() -> None:
    leaning = leg_misfit(LEG_BUILD.replace("front = 8", "front = 9"), "cut", "trim A", "trim B")
    assert leaning is not None
    assert (leaning.what, leaning.off, leaning.verdict) == ("ends", "", "differs")


def test_what_has_lost_its_place() -> None:
    bench = Bench(RUN)
    bench.write(facts.Opened(R, "Towel frame", "", "", "d", (("leg", (("name", "Leg"), ("quantity", "4"))),)))
    for key, step in (("leg:3", "cut"), ("leg:3", "trim"), ("odd:1", "cut"), ("rail:1", "cut"), ("rail:2", "lathe")):
        bench.write(Done(R, key, step))
    assert orphans(RUN, bench.state) == (
        Orphan(key="leg:3", title="Leg 3", steps=("cut", "trim")), Orphan(key="odd:1", title="odd 1", steps=("cut",)),
        Orphan(key="rail:2", title="Rail 2 of 2", steps=("lathe",)),
    )  # fmt: skip
    assert orphans(RUN, bench.state)[0].words == "Leg 3: cut, trim: no longer in the build"
    bench.write(facts.Opened(R, "Towel frame", "", "", "e", (("x", ()),)))
    assert orphans(RUN, bench.state)[0].title == "Leg 3", "by the file before"
    bench.write(Done(R, "rail:1", "trim"))
    assert len(orphans(RUN, bench.state)) == 3, "both ends were meant"


def test_when_a_build_counts_as_revised() -> None:
    bench = Bench(RUN)
    assert (is_revised(RUN, bench.state), changes(RUN, bench.state)) == (False, ())

    def opened(digest: str, *parts: Any) -> None:
        bench.write(facts.Opened(R, "Towel frame", "", "", digest, parts))

    opened("")
    assert not is_revised(RUN, bench.state), "an old log doesn't say"
    sizes = {part: tuple(each.items()) for part, each in RUN.sizes.items()}
    opened("other", ("rail", sizes["rail"]))
    assert is_revised(RUN, bench.state)
    assert [change.words for change in changes(RUN, bench.state)] == ["Peg: new"]
    opened(RUN.digest, *sizes.items())
    assert not is_revised(RUN, bench.state)
    assert [change.words for change in changes(RUN, bench.state)] == ["Peg: new"], "against the revision before"


# -- undo --------------------------------------------------------------------------------------------------------------


def refused(bench: Bench, entry: int) -> str:
    """Why an entry of the log, counted from its end, can't be undone; empty where it is."""
    refusal = bench.do(UndoEntry(bench.entries[entry].id))
    return refusal.reason if isinstance(refusal, Refusal) else ""


def test_what_was_done_since_keeps_an_entry() -> None:
    bench = Bench(RUN)
    bench.must(Do("rail:1", "cut"))
    bench.must(PutAside("rail:1", "knot"))
    assert bench.do(UndoEntry(bench.entries[0].id)) is None, "being set aside doesn't depend on it"
    bench.must(Do("rail:1", "cut", anyway="x"))
    bench.must(Resume("rail:1"))
    assert refused(bench, 1) == "Rail 1 was put back to work since: take that back first."
    bench.must(PutAside("rail:1", "again"))
    assert refused(bench, -2) == "Rail 1 was set aside again since: take that back first."
    assert refused(bench, 1) == "Rail 1 was put back to work since: take that back first."
    assert refused(bench, -1) == ""
    bench.must(Do("rail:1", "trim A"))
    assert refused(bench, 4) == "Rail 1: trimmed at end A since. Take that back first."
    bench.must(Spoil("rail:1", "split"))
    assert refused(bench, 4) == "Rail 1 was spoiled since: take that back first."
    assert refused(bench, 3) == "Rail 1 was spoiled since: take that back first."
    bench.must(Do("rail:1", "cut"))
    assert refused(bench, -2) == "Rail 1: cut since. Take that back first."


def test_pieces_that_changed_places_stay_where_they_are_while_something_depends_on_it() -> None:
    text = BUILD.replace("quantity = 2", "quantity = 4").replace("left = 1\nright = 1", "left = 2\nright = 2")
    second = text[text.index("[[assemblies]]") :].replace('id = "frame"', 'id = "other"').replace('"Frame"', '"Other"')
    bench = Bench(run_of(text + second))
    bench.must(Swap("rail:1", "rail:3"))
    bench.must(Swap("rail:1", "rail:2"))
    assert refused(bench, 0) == "They changed places again since: take that back first."
    assert refused(bench, 1) == ""
    items = bench.run.items
    assert [built_into(bench.run, bench.state, items[key]) for key in ("rail:1", "rail:3")] == [None, None]
    bench.write(Done(bench.run.name, "other:1", "dry fit"))
    assert not begun(bench.run, bench.state, "other:1")
    bench.write(Done(bench.run.name, "other:1", "spread"))
    assert begun(bench.run, bench.state, "other:1")
    assert [built_into(bench.run, bench.state, items[key]) for key in ("rail:1", "rail:3")] == [items["other:1"], None]
    assert refused(bench, 0) == "Rail 1 is in Other: take that back first."


def test_what_is_never_undone() -> None:
    bench = Bench(RUN)
    bench.write(facts.Opened(R, "Towel frame", "", "", "d", ()))
    assert refused(bench, 0) == "Opening a build can't be undone: open another."
    bench.must(Do("rail:1", "cut"))
    bench.must(UndoEntry(bench.entries[1].id))
    assert refused(bench, 1) == "That was undone already."
    assert refused(bench, 2) == "There is nothing to take back."
    bench.write(Done("Stool#1", "leg:1", "cut"))
    assert refused(bench, -1) == "That belongs to another build: open it first."
    bench.write(Done(R, "gone:1", "cut"))
    assert refused(bench, -1) == "That piece isn't in this build any more."


def test_only_what_cannot_be_taken_apart_again_keeps_a_piece() -> None:
    bench = Bench(RUN)
    bench.write(Done(R, "frame:1", "dry fit"))
    bench.write(Done(R, "rail:1", "cut"))
    bench.write(Done(R, "frame:1", "spread"))
    assert refused(bench, 1) == "Rail 1 is in Frame: take that back first."
    assert refused(bench, 0) == "Frame: spread with glue since. Take that back first."
    other = Bench(RUN)
    other.write(Done(R, "frame:1", "spread"))
    other.write(Done(R, "rail:1", "cut"))
    other.write(Done(R, "frame:1", "dry fit"))
    assert refused(other, 1) == "", "it was put together before that"


@pytest.mark.parametrize(
    ("beside", "together"),
    [
        (Done(R, "rail:2", "cut", batch=2, batch_at=1), True),
        (Done(R, "gone:2", "cut", batch=2, batch_at=1), False),
        (facts.Noted(R, "rail:2", "a knot"), False),
        (facts.Undone("saw", 99), False),
        (None, False),
    ],
)
def test_what_one_hold_ticked_is_taken_back_together_where_all_of_it_is_known(beside: Any, together: bool) -> None:
    bench = Bench(RUN)
    bench.write(Done(R, "rail:1", "cut", batch=2, batch_at=0))
    if beside:
        bench.write(beside)
    bench.must(UndoLast("rail:1"))
    undone = [(each.fact.tablet, each.fact.count) for each in bench.entries if isinstance(each.fact, facts.Undone)]
    assert [id_ for id_ in undone if id_ != ("saw", 99)] == [("saw", 1), *([("saw", 2)] if together else [])]


def test_a_hold_of_which_one_was_made_again_or_taken_back_is_undone_one_by_one() -> None:
    bench = Bench(RUN)
    bench.must(DoTogether(("rail:1", "rail:2", "peg:1"), "cut"))
    bench.must(UndoEntry(bench.entries[2].id))
    bench.must(UndoLast("rail:2"))
    assert bench.state.ticks == {}, "what was taken back already is left out"
    bench.must(DoTogether(("rail:1", "rail:2"), "cut"))
    bench.must(Spoil("rail:2", "split"))
    bench.must(Do("rail:2", "cut"))
    bench.must(UndoLast("rail:1"))
    assert [key for _, key in bench.state.ticks] == ["rail:2"]
