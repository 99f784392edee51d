"""The facts that each intent makes, whole: nothing that a later reader needs is left out, nothing else is written."""

from __future__ import annotations

import pytest
from work.one_tablet import BUILD, START, Bench, towel_frame

from tracker.design.load import load_build
from tracker.work import facts
from tracker.work.decide import decide as d
from tracker.work.facts import Fact, PlannedBoard, PlannedCut
from tracker.work.planned import of_the_build
from tracker.work.run import start_run

RUN = towel_frame()
R = RUN.name
BLANK = (("blank", "520"), ("grain", "along"), ("thickness", "20"), ("width", "60"), ("wood", "white ash"))
ENDS = (("ends", "A square, B square"), ("length", "500"), ("measured", RUN.sizes["rail"]["measured"]))
PLAN = PlannedBoard(
    "ash/1", "ash", "dealer", 640_000, (PlannedCut("rail:1", 3200, 166_400), PlannedCut("rail:2", 0, 9))
)


@pytest.fixture
def bench() -> Bench:
    return Bench(RUN)


def made(bench: Bench, intent: d.Intent) -> tuple[Fact, ...]:
    """The facts, which are written, too."""
    found = d.decide(bench.run, bench.state, intent, bench.now)
    assert not isinstance(found, d.Refusal), found
    for fact in found:
        bench.write(fact)
    return found


def test_a_step_of_a_piece(bench: Bench) -> None:
    assert made(bench, d.Do("rail:1", "cut")) == (facts.Done(R, "rail:1", "cut", to=BLANK),)
    assert made(bench, d.Do("rail:1", "trim A", anyway="My own risk")) == (facts.Done(R, "rail:1", "trim A", to=ENDS),)
    against = facts.Done(R, "rail:2", "trim B", anyway="My own risk", against="Not cut yet", to=ENDS)
    assert made(bench, d.Do("rail:2", "trim B", anyway="My own risk")) == (against,)


def test_where_a_blank_is_cut(bench: Bench) -> None:
    bench.must(d.KeepBoards((PLAN,)))
    (said,) = made(bench, d.Do("rail:2", "cut", board="rack/F2", at=77))
    assert said == facts.Done(R, "rail:2", "cut", board="rack/F2", at=77, to=BLANK)
    (planned,) = made(bench, d.Do("rail:1", "cut"))
    assert planned == facts.Done(R, "rail:1", "cut", board="ash/1", at=3200, to=BLANK)
    (trimmed,) = made(bench, d.Do("rail:1", "trim A"))
    assert trimmed == facts.Done(R, "rail:1", "trim A", to=ENDS), "only a blank comes from a board"
    (peg,) = made(bench, d.Do("peg:1", "cut"))
    assert isinstance(peg, facts.Done)
    assert (peg.board, peg.at) == ("", 0), "the plan doesn't have it"


def test_several_at_once_say_that_they_belong_together(bench: Bench) -> None:
    assert made(bench, d.DoTogether(("rail:1", "rail:2"), "cut")) == (
        facts.Done(R, "rail:1", "cut", to=BLANK, batch=2, batch_at=0),
        facts.Done(R, "rail:2", "cut", to=BLANK, batch=2, batch_at=1),
    )


def glued(bench: Bench) -> None:
    for key in ("rail:1", "rail:2", "peg:1", "peg:2"):
        for step in RUN.items[key].route:
            bench.must(d.Do(key, step.id))
    bench.must(d.Do("frame:1", "dry fit"))


def wait(bench: Bench, kind: str, seconds: int, **more: object) -> facts.Wait:
    return facts.Wait(kind, seconds, bench.boot_id, bench.now.boot, source="from the build file", **more)  # type: ignore[arg-type]


def test_a_glue_up_from_the_spreading_to_the_cure(bench: Bench) -> None:
    glued(bench)
    bench.must(d.SetAir(19, 55))
    lines = ("parts", "clamps", "pads", "paper", "fresh", "warm", "squeeze-out")
    names = "parts, clamps, pads, wax paper, glue, warmth, scraper"
    (spread,) = made(bench, d.Do("frame:1", "spread", anyway="My own risk"))
    assert spread == facts.Done(
        R, "frame:1", "spread", anyway="My own risk", against=f"Not checked: {names}", unchecked=lines,
        wait=wait(bench, "open", 480, celsius=19, humidity=55),
    )  # fmt: skip
    bench.time += 480 + 90.2
    (clamped,) = made(bench, d.Do("frame:1", "clamp"))
    assert clamped == facts.Done(
        R, "frame:1", "clamp", wait=wait(bench, "clamp", 2700, celsius=19, humidity=55), late=91
    )
    bench.time += 2000.5
    (early,) = made(bench, d.Do("frame:1", "unclamp", anyway="My own risk"))
    assert early == facts.Done(
        R, "frame:1", "unclamp", anyway="My own risk", against="12 min left in clamps",
        wait=wait(bench, "cure", 86_400, celsius=19, humidity=55), early=700,
    )  # fmt: skip
    cure = bench.entries[-1].id
    bench.time += 86_400
    (coat,) = made(bench, d.Do("frame:1", "finish 1"))
    assert coat == facts.Done(
        R, "frame:1", "finish 1", wait=wait(bench, "recoat", 43_200, celsius=19, humidity=55), answers=(cure,)
    )


def test_an_open_time_that_was_kept_is_not_late(bench: Bench) -> None:
    glued(bench)
    bench.check_all("frame:1")
    (spread,) = made(bench, d.Do("frame:1", "spread"))
    assert spread == facts.Done(R, "frame:1", "spread", wait=wait(bench, "open", 480))
    bench.time += 480
    (clamped,) = made(bench, d.Do("frame:1", "clamp"))
    assert clamped == facts.Done(R, "frame:1", "clamp", wait=wait(bench, "clamp", 2700))
    bench.time += 2700
    (off,) = made(bench, d.Do("frame:1", "unclamp"))
    assert off == facts.Done(R, "frame:1", "unclamp", wait=wait(bench, "cure", 86_400), answers=(bench.entries[-2].id,))


def test_a_wait_has_its_limits_and_its_source() -> None:
    text = (
        BUILD[: BUILD.index("glue = ")]
        + 'glue = "Epoxy, two-part"\nfinish = { kind = "Drying oil + wax", coats = 2 }\n'
    )
    build = load_build(text).build
    assert build is not None
    bench = Bench(start_run(build))
    for step in ("dry fit", "spread", "clamp", "unclamp"):
        bench.must(d.Do("frame:1", step, anyway="Tested: ready"))
    cure = bench.entries[-1].fact
    assert isinstance(cure, facts.Done)
    assert cure.wait == facts.Wait("cure", 7 * 86_400, bench.boot_id, bench.now.boot, machine=86_400,
                                   source="typical for Epoxy, two-part; check the label")  # fmt: skip
    bench.must(d.Do("frame:1", "finish 1", anyway="Tested: ready"))
    coat = bench.entries[-1].fact
    assert isinstance(coat, facts.Done)
    assert coat.wait is not None
    assert (coat.wait.kind, coat.wait.machine, coat.wait.limit) == ("recoat", 0, 2 * 86_400)


def test_spoiling_an_assembly_takes_what_is_in_it_once_the_joining_has_begun(bench: Bench) -> None:
    glued(bench)
    assert made(bench, d.Spoil("frame:1", "fell")) == (facts.Spoiled(R, "frame:1", "fell"),)
    bench.must(d.Do("frame:1", "dry fit"))
    bench.check_all("frame:1")
    bench.must(d.Do("frame:1", "spread"))
    inside = [facts.Spoiled(R, key, "fell", inside="frame:1") for key in RUN.items["frame:1"].members]
    assert made(bench, d.Spoil("frame:1", "fell")) == (facts.Spoiled(R, "frame:1", "fell"), *inside)
    assert bench.state.making(RUN, RUN.items["rail:1"]) == 2


def test_the_other_intents(bench: Bench) -> None:
    glued(bench)
    at = bench.now
    assert made(bench, d.PutAside("rail:1", "knot")) == (facts.SetAside(R, "rail:1", "knot"),)
    assert made(bench, d.Note("rail:1", " by the window ")) == (facts.Noted(R, "rail:1", "by the window"),)
    assert made(bench, d.Check("frame:1", "pads")) == (facts.Checked(R, "frame:1", "pads"),)
    assert made(bench, d.CheckIn("frame:1", "rail:2")) == (facts.CheckedIn(R, "frame:1", "rail:2"),)
    assert made(bench, d.SetAir(19, 50)) == (facts.Air(19.0, 50.0),)
    assert made(bench, d.Overrule("frame:1", "clamp", 60, "tin")) == (
        facts.Overruled(R, "frame:1", "clamp", 60, "tin"),
    )
    assert made(bench, d.Label(("rail:1", "frame:1"))) == (facts.Labelled(R, ("rail:1", "frame:1")),)
    assert made(bench, d.UndoLabels()) == (facts.Undone("saw", bench.entries[-2].count),)
    assert made(bench, d.Measure("rail:1", "width", 5, 6)) == (facts.Measured(R, "rail:1", "width", 5, 6),)
    assert made(bench, d.KeepBoards((PLAN,))) == (facts.BoardsPlanned(R, (PLAN,)),)
    assert made(bench, d.ReadMoisture("rail:1", 9)) == (facts.MoistureRead(R, "rail:1", 9.0),)
    assert made(bench, d.Rack(" K1 ", "ash", 5, "ash/1", 4, 3, (), "9", True, False, "k.jpg")) == (
        facts.Racked(R, "K1", "ash", 5, "ash/1", width=4, thickness=3, price="9", rough_ends=True, picture="k.jpg"),
    )
    assert made(bench, d.GiveBack("K1")) == (facts.GivenBack(R, "K1"),)
    assert made(bench, d.ConfirmClock()) == (facts.ClockConfirmed(at.boot_id, at.boot, ()),)


def test_confirming_a_clock_names_the_moments_that_it_was_right_at(bench: Bench) -> None:
    bench.time = 50
    bench.must(d.Do("frame:1", "clamp", anyway="My own risk"))
    start, boot = bench.entries[-1].id, bench.now.boot
    bench.time = 900
    moment = facts.Moment("first boot", boot, START.timestamp() + 50)
    assert made(bench, d.ConfirmClock((start,))) == (facts.ClockConfirmed("first boot", boot + 850, (moment,)),)


def test_opening_a_build_gives_its_sizes_only_where_they_are_new(bench: Bench) -> None:
    parts = tuple((part, tuple(sizes.items())) for part, sizes in RUN.sizes.items())
    first = facts.Opened(R, "Towel frame", "frame.toml", RUN.build.revision, RUN.digest, parts)
    assert made(bench, d.OpenBuild("frame.toml")) == (first,)
    again = facts.Opened(R, "Towel frame", "frame.toml", RUN.build.revision, RUN.digest, ())
    assert made(bench, d.OpenBuild("frame.toml")) == (again,)
    bench.run = start_run(load_build(BUILD.replace("length = 500", "length = 510")).build)  # type: ignore[arg-type]
    (revised,) = made(bench, d.OpenBuild("frame.toml"))
    assert isinstance(revised, facts.Opened)
    assert len(revised.parts) == 2


def test_the_last_check_that_passes_ticks_the_step() -> None:
    bench = Bench(start_run(load_build(BUILD + 'prove = ["flat", "square"]\n').build))  # type: ignore[arg-type]
    route = [step.id for step in bench.run.items["frame:1"].route]
    assert route[-1] == "prove"
    for step in route[:-1]:
        bench.must(d.Do("frame:1", step, anyway="My own risk"))
        bench.time += 700_000
    last = bench.entries[-1].id
    assert made(bench, d.Prove("frame:1", "flat", True, " 0.1 ", " J. ")) == (
        facts.Proven(R, "frame:1", "flat", True, "0.1", "J."),
    )
    assert made(bench, d.Prove("frame:1", "square", False)) == (facts.Proven(R, "frame:1", "square", False, "", ""),)
    assert made(bench, d.Prove("frame:1", "flat", False)) == (facts.Proven(R, "frame:1", "flat", False, "", ""),)
    assert made(bench, d.Prove("frame:1", "square", True)) == (facts.Proven(R, "frame:1", "square", True, "", ""),)
    assert made(bench, d.Prove("frame:1", "flat", True)) == (
        facts.Proven(R, "frame:1", "flat", True, "", ""), facts.Done(R, "frame:1", "prove", answers=(last,)),
    )  # fmt: skip


# -- what of a plan matches the build ----------------------------------------------------------------------------------


def test_a_plan_of_the_build_is_left_as_it_is_and_what_is_not_of_it_is_dropped() -> None:
    def board(*cuts: tuple[str, int, int], wood: str = "ash", length: int = 9) -> PlannedBoard:
        return PlannedBoard("ash/1", wood, "dealer", length, tuple(PlannedCut(*cut) for cut in cuts))

    good, edge = board(("rail:1", 0, 5), ("peg:2", 5, 4)), board(("rail:1", 0, 1), length=1)
    plan = (good, edge, board())
    assert of_the_build(RUN, plan) is plan
    for odd in (("rail:9", 0, 5), ("frame:1", 0, 5), ("rail:2", -1, 5), ("rail:2", 0, 0)):
        assert of_the_build(RUN, (board(("rail:1", 0, 5), odd), edge)) == (board(("rail:1", 0, 5)), edge), odd
    for odd_board in (board(("rail:1", 0, 5), wood="oak"), board(length=0), board(("rail:1", 0, 5), length=-1)):
        assert of_the_build(RUN, (odd_board, good)) == (good,)
