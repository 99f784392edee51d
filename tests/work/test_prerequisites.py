"""Everything that can block a step, one kind at a time, word by word."""

from __future__ import annotations

from typing import Any

import pytest
from kit.build_text import one_wood
from work.one_tablet import Bench

from tracker.design.load import load_build
from tracker.work.checklist import checklist
from tracker.work.decide.intents import CheckIn, Do, Prove, PutAside, Resume, SetAir, Spoil, UndoEntry
from tracker.work.decide.prerequisites import Blocker, blockers, next_step, sentence
from tracker.work.facts import CheckedIn, Done, Wait
from tracker.work.run import Run, start_run

BUILD = (
    one_wood("Tray", "mm", "ash", "white ash", "thickness = 20", "width = 60", "lengths = [2000]")
    + """\
[[parts]]
id = "jig"
name = "Jig"
wood = "ash"
length = 200
[[parts]]
id = "side"
name = "Side"
quantity = 2
wood = "ash"
length = 500
steps = [{ do = "round the edge", after = "cut", station = "bench", jig = "jig" }]
[[parts]]
id = "foot"
name = "Foot"
wood = "ash"
length = 90
[[assemblies]]
id = "tray"
name = "Tray"
joins = { side = 2, foot = 1 }
by = "glue"
glue = "Epoxy, two-part"
route = ["dry fit", "glue", "sand 120", "attach", "finish", "prove"]
finish = { kind = "Drying oil + wax", coats = 3 }
prove = ["flat", "square"]
"""
)
FIRST, OWN = "cut", "own: round the edge"


def run_of(text: str = BUILD) -> Run:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return start_run(loaded.build)


RUN = run_of()


@pytest.fixture
def bench() -> Bench:
    return Bench(RUN)


def done(bench: Bench, key: str, *steps: str, **more: Any) -> None:
    """Written without asking: what is in the way is asked after it."""
    for step in steps:
        bench.write(Done(RUN.name, key, step, **more))


def found(bench: Bench, key: str, step_id: str) -> tuple[Blocker, ...]:
    item = bench.run.items[key]
    step = item.step(step_id)
    assert step is not None
    return blockers(bench.run, bench.state, item, step, bench.now)


def started(bench: Bench, step: str, kind: Any, seconds: int, **more: int) -> None:
    done(bench, "tray:1", step, wait=Wait(kind, seconds, bench.boot_id, bench.now.boot, **more))


def parts_made(bench: Bench) -> None:
    done(bench, "jig:1", FIRST)
    for key in ("side:1", "side:2"):
        done(bench, key, FIRST, OWN)
    done(bench, "foot:1", FIRST)


def glued(bench: Bench) -> None:
    parts_made(bench)
    done(bench, "tray:1", "dry fit", "spread")


# -- a piece -----------------------------------------------------------------------------------------------------------


def test_earlier_steps_in_the_order_of_the_route(bench: Bench) -> None:
    assert found(bench, "foot:1", FIRST) == ()
    assert found(bench, "side:1", OWN) == (
        Blocker("not cut yet", "earlier step"),
        Blocker("make Jig first: it is still to cut", "earlier step"),
    )
    done(bench, "side:1", FIRST)
    assert found(bench, "side:1", OWN) == (Blocker("make Jig first: it is still to cut", "earlier step"),)
    done(bench, "jig:1", FIRST)
    assert found(bench, "side:1", OWN) == ()


def test_set_aside_with_and_without_a_reason(bench: Bench) -> None:
    bench.must(PutAside("foot:1", "a knot"))
    assert found(bench, "foot:1", FIRST) == (Blocker("set aside: a knot", "aside"),)
    bench.must(Resume("foot:1"))
    bench.must(PutAside("foot:1", ""))
    assert found(bench, "foot:1", FIRST) == (Blocker("set aside", "aside"),)


def test_a_piece_that_is_in_is_out_of_reach_once_the_joining_has_begun(bench: Bench) -> None:
    parts_made(bench)
    done(bench, "tray:1", "dry fit")
    assert found(bench, "side:1", FIRST) == ()
    done(bench, "tray:1", "spread")
    assert found(bench, "side:1", FIRST) == (Blocker("already part of Tray", "gone"),)


def test_a_piece_made_too_small_by_an_older_file(bench: Bench) -> None:
    sizes = (("length", "90"),)
    bench.write(Done(RUN.name, "foot:1", FIRST, to=sizes))
    bench.run = run_of(BUILD.replace("length = 90", "length = 95"))
    assert found(bench, "foot:1", FIRST) == (
        Blocker("made to the old version: 5 mm too short (90 mm, now 95 mm)", "misfit"),
    )
    bench.write(Done(RUN.name, "side:1", FIRST, to=(("blank", "490"),)))
    assert [each.words for each in found(bench, "tray:1", "dry fit")] == [
        "Side 1 made to the old version: 10 mm too short (490 mm, now 500 mm)", "Side 2 still to cut",
        "Foot made to the old version: 5 mm too short (90 mm, now 95 mm)",
    ], "what can only be made again needs no next step"  # fmt: skip
    bench.run = run_of(BUILD.replace("length = 90", "length = 85"))
    assert found(bench, "foot:1", FIRST) == (), "it can still be made shorter"
    assert [each.words for each in found(bench, "tray:1", "dry fit")] == [
        "Side 1 made to the old version: 10 mm too short (490 mm, now 500 mm)", "Side 2 still to cut",
        "Foot made to the old version: 5 mm too long (90 mm, now 85 mm)",
    ]  # fmt: skip


# -- the parts of an assembly ------------------------------------------------------------------------------------------


def test_what_the_parts_need_is_grouped(bench: Bench) -> None:
    two = Blocker("2 sides still to cut", "member", count=2)
    assert found(bench, "tray:1", "dry fit") == (two, Blocker("Foot still to cut", "member"))
    done(bench, "side:2", FIRST)
    bench.must(PutAside("foot:1", "a knot"))
    assert found(bench, "tray:1", "dry fit") == (
        Blocker("Side 1 still to cut", "member"),
        Blocker("Side 2 still to do: round the edge", "member"),
        Blocker("Foot set aside", "member"),
    )
    parts_made(bench)
    bench.must(Resume("foot:1"))
    assert found(bench, "tray:1", "dry fit") == ()


def test_once_it_is_begun_the_parts_are_no_matter(bench: Bench) -> None:
    done(bench, "tray:1", "dry fit")
    assert [each.kind for each in found(bench, "tray:1", "spread")] == ["member", "member", "unchecked"]
    done(bench, "tray:1", "spread")
    assert found(bench, "tray:1", "clamp") == ()


def test_a_part_whose_own_clock_runs_is_not_ready() -> None:
    nested = BUILD + ('[[assemblies]]\nid = "stand"\nname = "Stand"\njoins = { tray = 1 }\nby = "screws"\n')
    bench = Bench(run_of(nested))
    parts_made(bench)
    done(bench, "tray:1", *(step.id for step in bench.run.items["tray:1"].route if step.id != "unclamp"))
    started(bench, "unclamp", "cure", 7200)
    assert found(bench, "stand:1", "attach")[1:] == (Blocker("Tray not ready: glue cures for 2 h more", "member"),)
    bench.time += 7200
    assert [each.kind for each in found(bench, "stand:1", "attach")] == ["earlier step"]


# -- clocks ------------------------------------------------------------------------------------------------------------


def test_a_clamp_time_holds_up_everything_but_what_is_done_in_clamps(bench: Bench) -> None:
    glued(bench)
    started(bench, "clamp", "clamp", 600)
    left = Blocker("10 min left in clamps", "clock", left=600)
    assert found(bench, "tray:1", "unclamp") == (left,)
    bench.time += 599
    assert found(bench, "tray:1", "unclamp") == (Blocker("1 min left in clamps", "clock", left=1),)
    bench.time += 1
    assert found(bench, "tray:1", "unclamp") == ()


def test_an_open_time_holds_up_nothing(bench: Bench) -> None:
    parts_made(bench)
    done(bench, "tray:1", "dry fit")
    started(bench, "spread", "open", 600)
    assert found(bench, "tray:1", "clamp") == ()


def test_curing_glue_lets_be_worked_before_it_may_be_loaded(bench: Bench) -> None:
    glued(bench)
    done(bench, "tray:1", "clamp")
    started(bench, "unclamp", "cure", 7200, machine=3600)
    assert found(bench, "tray:1", "sand 120") == (
        Blocker("glue cures: no work on it for 1 h more", "clock", left=3600),
    )
    assert found(bench, "tray:1", "attach")[1:] == (Blocker("glue cures for 2 h more", "clock", left=7200),)
    bench.time += 3599
    assert found(bench, "tray:1", "sand 120") == (Blocker("glue cures: no work on it for 1 min more", "clock", left=1),)
    bench.time += 1
    assert found(bench, "tray:1", "sand 120") == ()
    assert found(bench, "tray:1", "attach")[1:] == (Blocker("glue cures for 1 h more", "clock", left=3600),)
    assert found(bench, "tray:1", "dry fit") == (), "it neither loads nor machines"


def test_glue_that_says_no_sooner_time_holds_up_all_work(bench: Bench) -> None:
    glued(bench)
    done(bench, "tray:1", "clamp")
    started(bench, "unclamp", "cure", 7200)
    assert found(bench, "tray:1", "sand 120") == (Blocker("glue cures for 2 h more", "clock", left=7200),)


@pytest.mark.parametrize(
    ("kind", "words"),
    [("recoat", "coat dries for 10 min more"), ("dry", "finish cures for 10 min more")],
)
def test_a_finish_that_dries_holds_up_the_next_coat(bench: Bench, kind: str, words: str) -> None:
    glued(bench)
    done(bench, "tray:1", "clamp", "unclamp", "sand 120", "attach")
    started(bench, "finish 1", kind, 600)
    assert found(bench, "tray:1", "finish 2") == (Blocker(words, "clock", left=600),)


@pytest.mark.parametrize(
    ("later", "words"),
    [(900, ""), (901, "past its recoat window of 15 min: sand first")],
)
def test_a_coat_past_its_window_is_sanded_first(bench: Bench, later: int, words: str) -> None:
    glued(bench)
    done(bench, "tray:1", "clamp", "unclamp", "sand 120", "attach")
    started(bench, "finish 1", "recoat", 600, limit=900)
    bench.time += later
    assert found(bench, "tray:1", "finish 2") == ((Blocker(words, "window"),) if words else ())
    done(bench, "tray:1", "between 1")
    assert found(bench, "tray:1", "finish 2") == ()


def test_a_window_that_may_be_past_says_perhaps(bench: Bench) -> None:
    glued(bench)
    done(bench, "tray:1", "clamp", "unclamp", "sand 120", "attach")
    started(bench, "finish 1", "recoat", 60, limit=900)
    bench.beat()
    bench.restart(off=10)
    bench.time += 60
    perhaps = Blocker("perhaps past its recoat window of 15 min: sand first", "window")
    assert found(bench, "tray:1", "finish 2") == (perhaps,)
    bench.time += 840
    assert found(bench, "tray:1", "finish 2") == (perhaps,)
    bench.time += 1
    assert found(bench, "tray:1", "finish 2") == (Blocker("past its recoat window of 15 min: sand first", "window"),)
    assert [each.kind for each in found(bench, "tray:1", "finish 3")] == ["earlier step"]


# -- what is checked ---------------------------------------------------------------------------------------------------


def test_below_its_least_temperature_a_glue_doesnt_bond(bench: Bench) -> None:
    """15 °C for epoxy: from the table of glues, by memory."""
    parts_made(bench)
    done(bench, "tray:1", "dry fit")
    bench.check_all("tray:1")
    assert found(bench, "tray:1", "spread") == ()
    bench.must(SetAir(14.9, 50))
    assert found(bench, "tray:1", "spread") == (
        Blocker("the shop is at 15 °C: Epoxy, two-part needs 15 °C; check the label", "air"),
    )
    bench.must(SetAir(15, 50))
    assert found(bench, "tray:1", "spread") == ()
    bench.must(SetAir(2, 50))
    assert found(bench, "tray:1", "sand 120")[0].kind == "earlier step"
    assert not [each for each in found(bench, "tray:1", "sand 120") if each.kind == "air"], "only where glue is spread"


def test_unchecked_lines_are_named(bench: Bench) -> None:
    parts_made(bench)
    done(bench, "tray:1", "dry fit")
    names = "clamps, pads, wax paper, glue, warmth, what this glue needs, scraper"
    assert found(bench, "tray:1", "spread") == (Blocker(f"not checked: parts, {names}", "unchecked"),)
    for key in ("side:1", "side:2", "foot:1"):
        bench.write(CheckedIn(RUN.name, "tray:1", key))
    assert found(bench, "tray:1", "spread") == (Blocker(f"not checked: {names}", "unchecked"),)


def test_each_check_has_passed_before_it_is_proven(bench: Bench) -> None:
    glued(bench)
    done(bench, "tray:1", "clamp", "unclamp", "sand 120", "attach", "finish 1", "finish 2", "finish 3")
    assert found(bench, "tray:1", "prove") == (
        Blocker("not checked yet: flat", "proof"), Blocker("not checked yet: square", "proof"),
    )  # fmt: skip
    bench.must(Prove("tray:1", "flat", True))
    bench.must(Prove("tray:1", "square", False))
    assert found(bench, "tray:1", "prove") == (Blocker("failed: square", "proof", overridable=False),)
    bench.must(Prove("tray:1", "square", False, "2 mm off"))
    (failed,) = found(bench, "tray:1", "prove")
    assert failed == Blocker("failed: square (2 mm off)", "proof", overridable=False)
    refused = bench.do(Do("tray:1", "prove", anyway="My own risk"))
    assert refused is not None
    assert (refused.reason, refused.overridable) == ("Failed: square (2 mm off)", False)


# -- sentences ---------------------------------------------------------------------------------------------------------


RING = Blocker("ring still to glue", "member")
NOT_CUT = Blocker("not cut yet", "earlier step")


@pytest.mark.parametrize(
    ("each", "said"),
    [
        ((), ""),
        ((NOT_CUT,), "Not cut yet"),
        ((Blocker("6 sides still to trim", "member", count=6),), "6 sides still to trim"),
        ((RING, Blocker("x", "member", count=1)), "Ring still to glue, and 1 more part"),
        ((RING, Blocker("x", "member", count=11)), "Ring still to glue, and 11 more parts"),
        ((RING, Blocker("x", "air")), "Ring still to glue, and 1 more"),
        ((NOT_CUT, Blocker("x", "member", count=3), Blocker("y", "air")), "Not cut yet, and 4 more"),
    ],
)
def test_the_nearest_is_said_and_the_others_counted(each: tuple[Blocker, ...], said: str) -> None:
    assert sentence(each) == said


def test_the_next_step_is_the_first_that_is_not_done(bench: Bench) -> None:
    side = RUN.items["side:1"]
    step = next_step(RUN, bench.state, side)
    assert step is not None
    assert step.id == FIRST
    done(bench, "side:1", OWN)
    step = next_step(RUN, bench.state, side)
    assert step is not None
    assert step.id == FIRST
    done(bench, "side:1", FIRST)
    assert next_step(RUN, bench.state, side) is None
    bench.must(Spoil("side:1", "split"))
    assert next_step(RUN, bench.state, side) is not None
    refused = bench.do(CheckIn("tray:1", "jig:1"))
    assert refused is not None
    assert refused.reason == "Jig isn't for Tray: it goes into nothing."


def test_only_the_line_on_warmth_depends_on_the_air(bench: Bench) -> None:
    lines = checklist(RUN, bench.state, RUN.items["tray:1"])
    assert [line.id for line in lines if line.air] == ["warm"]
    assert [line.state for line in lines] == ["open"] * len(lines)
    assert {line.id: line.said for line in lines if line.said} == {
        "parts": "0 of 3 here", "warm": "the shop's temperature was not entered",
    }  # fmt: skip
    assert checklist(RUN, bench.state, RUN.items["side:1"]) == ()


@pytest.mark.parametrize(("early", "words"), [(0, "Stand: put together by that clock. Take that back first."), (9, "")])
def test_what_went_on_early_on_purpose_doesnt_depend_on_a_confirmed_clock(early: int, words: str) -> None:
    bench = Bench(
        run_of(f'{BUILD}[[assemblies]]\nid = "stand"\nname = "Stand"\njoins = {{ tray = 1 }}\nby = "screws"\n')
    )
    started(bench, "unclamp", "cure", 7200)
    bench.beat()
    bench.restart(off=9000)
    bench.confirm()
    confirmed = bench.entries[-1].id
    done(bench, "stand:1", "attach", early=early)
    refused = bench.do(UndoEntry(confirmed))
    assert (refused.reason if refused else "") == words
