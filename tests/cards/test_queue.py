"""A station's queue: the work that can be done here now, in groups with one setting of the machine."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest
from kit.build_text import one_wood
from msgspec.structs import replace

from tracker.cards.piece.drill import screw_words
from tracker.cards.piece.marking_out import marking_out
from tracker.cards.station.batch import action_here, batch_of
from tracker.cards.station.settings_of_work import size_words
from tracker.cards.station.station import QueueCard, group_batch, queue_card
from tracker.design import load_build
from tracker.design.tables.screws import METRIC, SCREWS, pocket_screw
from tracker.floor import saw_cuts
from tracker.floor.floor import Floor
from tracker.measure import inches, millimetres
from tracker.shop import read_build
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Do, next_step, refusal
from tracker.work.facts import Done, Entry, Fact, SetAside
from tracker.work.run import Run, start_run
from tracker.work.state.replay import replay

SAMPLES = Path(__file__).parents[2] / "sample_projects"
MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def run_of(sample: str) -> Run:
    build = read_build(SAMPLES / f"{sample}.toml").build
    assert build is not None
    return start_run(build)


def floor_of(run: Run, *done: tuple[str, str]) -> Floor:
    """The floor after these steps of these items."""
    entries = [
        Entry("tablet", at, {"tablet": at - 1}, MORNING, Done(run.name, item, step))
        for at, (item, step) in enumerate(done, start=1)
    ]
    return Floor(run, replay(entries), Now(MORNING, "boot", 0.0))


def until(run: Run, station_step: str) -> list[tuple[str, str]]:
    """Every step of every piece before the named one."""
    found = []
    for item in run.pieces:
        ids = [step.id for step in item.route]
        last = ids.index(station_step) if station_step in ids else len(ids)
        found += [(item.key, step) for step in ids[:last]]
    return found


def groups(card: QueueCard) -> list[tuple[str, str, int]]:
    return [(group.title, group.setup, len(group.rows)) for group in card.groups]


def test_the_saw_is_grouped_by_setup_in_the_order_of_the_plan() -> None:
    run = run_of("planter")
    card = queue_card(floor_of(run), "saw")
    assert all(group.title == "Cut" for group in card.groups)
    assert ("Cut", "square, stop 9\u20093⁄4″", 6) in groups(card)
    assert len({group.setup for group in card.groups}) == len(card.groups), "no setup is listed twice"
    trimming = queue_card(floor_of(run, *((f"side:{n}", "cut") for n in range(1, 7))), "saw")
    saw = "swing 5.7° left, tilt 29.5° left"
    either_first = [("Trim end B", f"{saw}, no stop", 6), ("Trim end A", f"{saw}, no stop", 6)]
    assert [group for group in groups(trimming) if "Trim" in group[0]] == either_first
    first = [(f"side:{n}", step) for n in range(1, 7) for step in ("cut", "trim B")]
    second = groups(queue_card(floor_of(run, *first), "saw"))
    assert [group for group in second if "Trim" in group[0]] == [("Trim end A", f"{saw}, stop 9\u20091⁄4″", 6)]


def test_the_drill_is_grouped_by_depth_and_screw() -> None:
    run = run_of("stool")
    card = queue_card(floor_of(run, *until(run, "drill")), "drill")
    rails = next(group for group in card.groups if any(row.key == "rail:1" for row in group.rows))
    assert (rails.title, rails.setup) == (
        "Pocket holes in 27 mm",
        "collar for 27 mm stock, 15°; screw 40 mm fine thread",
    )
    stretchers = next(group for group in card.groups if any(row.key == "stretcher:1" for row in group.rows))
    assert stretchers.title == "Pocket holes in 27 mm and Holes 10 mm, 10 mm deep", "the button's hole is another depth"


def test_the_bench_is_grouped_by_assembly() -> None:
    run = run_of("stool")
    done = [(item.key, step.id) for item in run.pieces for step in item.route]
    card = queue_card(floor_of(run, *done), "bench")
    assert groups(card)[0] == ("Leg frame", "Hide, liquid, 1 clamp", 2)


def test_what_waits_comes_last() -> None:
    run = run_of("stool")
    card = queue_card(floor_of(run), "bench")
    assert [group.title for group in card.groups] == ["Waiting"]
    assert card.empty.startswith("Nothing to do at the bench yet. Ready elsewhere: Saw ")


@pytest.mark.parametrize(
    ("stock", "screw"),
    # Screw by thickness of the stock, both parts alike: common practice, no source.
    [
        ("1/2", "1"),
        ("5/8", "1"),
        ("3/4", "1 1/4"),
        ("7/8", "1 1/2"),
        ("1", "1 1/2"),
        ("1 1/4", "2"),
        ("1 1/2", "2 1/2"),
    ],
)
def test_the_screw_follows_the_thickness_of_the_stock(stock: str, screw: str) -> None:
    assert pocket_screw(inches(stock)) == inches(screw)


def test_no_screw_is_named_where_practice_has_none() -> None:
    assert pocket_screw(millimetres(6)) is None
    assert pocket_screw(millimetres(60)) is None
    assert set(METRIC) == {round(float(length)) for _, length in SCREWS}


def test_softwood_takes_a_coarse_thread_and_hardwood_a_fine_one() -> None:
    bench = run_of("hall_bench")
    assert screw_words(bench.build, bench.build.part("long-apron")) == "1\u20091⁄4″ fine thread"
    soft = replace(bench.build, woods=tuple(replace(wood, species="western redcedar") for wood in bench.build.woods))
    run = start_run(soft)
    assert screw_words(run.build, run.build.part("long-apron")) == "1\u20091⁄4″ coarse thread"


def test_what_is_marked_out_stands_on_the_card_of_the_step() -> None:
    run = run_of("stool")
    floor = floor_of(run, *until(run, "drill"))
    stretcher = run.items["stretcher:1"]
    assert marking_out(floor, stretcher, stretcher.step("drill")) == (
        "In the bottom face (turn it over): pockets at both ends, 14 mm and 34 mm from the near edge",
        "In the bottom face (turn it over): 10 mm hole, 10 mm deep, 55 mm from each end, 50 mm from the near edge",
        "screw 40 mm fine thread",
    )
    assert marking_out(floor, stretcher, stretcher.step("trim A")) == ()
    bench = run_of("hall_bench")
    leg = bench.items["leg:1"]
    # From the build file: 5″ from the upper end, 1 1/8″ left. atan(5/8 over 11 1/4), what is left of 16 1/4″: 3.2°.
    assert marking_out(floor_of(bench), leg, leg.step("taper")) == (
        "Near edge: taper starts 5″ from end A, leaves 1\u20091⁄8″ at end B (3°)",
    )


def test_what_is_ready_elsewhere_is_counted_by_station() -> None:
    """Before the first cut every piece waits at the saw only; a cut piece waits at the station of its next step."""
    run = run_of("stool")
    first = dict(queue_card(floor_of(run), "saw").counts)
    assert first == {
        name: sum(1 for item in run.pieces if item.route[0].station == name)
        for name in ("saw", "drill", "bench", "sanding", "finishing")
    }
    assert first["sanding"] == first["finishing"] == 0
    piece = next(item for item in run.pieces if {step.station for step in item.route} >= {"saw", "drill"})
    sawn = [(piece.key, step.id) for step in piece.route if step.station == "saw"]
    after = dict(queue_card(floor_of(run, *sawn), "saw").counts)
    assert after == {**first, "saw": first["saw"] - 1, "drill": first["drill"] + 1}


@pytest.mark.parametrize("sample", sorted(path.stem for path in SAMPLES.glob("*.toml")))
def test_pieces_that_are_alike_are_answered_as_each_alone(sample: str) -> None:
    """A floor computes one answer for all equal pieces without entries. `decide`, and a floor that knows one piece
    only, give the same answer for each, also when some are cut, one is set aside and others are being joined."""
    run, pick = run_of(sample), Random(sample)
    facts: list[Fact] = [
        Done(run.name, item.key, step.id)
        for item in run.items.values()
        if pick.random() < 0.4
        for step in item.route[: pick.randint(1, len(item.route))]
    ]
    facts.append(SetAside(run.name, pick.choice(list(run.pieces)).key, "a knot"))
    for known in (facts, []):
        entries = [Entry("tablet", at, {"tablet": at - 1}, MORNING, fact) for at, fact in enumerate(known, start=1)]
        floor = Floor(run, replay(entries), Now(MORNING, "boot", 0.0))
        for item in run.items.values():
            assert floor.next_step(item) == next_step(run, floor.state, item), item.key
            for step in item.route:
                asked = Do(item.key, step.id, run=run.name)
                assert floor.refusal(asked) == refusal(run, floor.state, asked, floor.now), asked
        rows = {(row.key, row.step): row for group in queue_card(floor, "saw").groups for row in group.rows}
        for item in run.pieces:
            alone = Floor(run, floor.state, floor.now)
            step = saw_cuts.next_step(alone, item)
            if step is not None and step.station == "saw":
                refused = refusal(run, floor.state, Do(item.key, step.id), floor.now)
                said = refused.reason if refused else size_words(alone, item, step)
                assert rows[(item.key, step.id)].said == said


SLATS = (
    one_wood("Cot", "mm", "ash", "white ash", "thickness = 20", "width = 60", 'lengths = ["3 m"]')
    + """\
[[parts]]
id = "slat"
name = "Slat"
quantity = 24
wood = "ash"
length = 700
[[parts]]
id = "rail"
name = "Rail"
quantity = 2
wood = "ash"
length = 1400
[[assemblies]]
id = "cot"
name = "Cot"
joins = { slat = 24, rail = 2 }
by = "screws"
"""
)


def cot(done: int) -> Floor:
    build = load_build(SLATS).build
    assert build is not None
    return floor_of(start_run(build), *((f"slat:{number}", "cut") for number in range(1, done + 1)))


def test_many_alike_are_counted_and_the_next_one_is_named() -> None:
    floor = cot(18)
    groups = queue_card(floor, "saw").groups
    batches = [(group, batch) for group in groups if (batch := group_batch(floor, group))]
    group, strip = next((group, strip) for group, batch in batches for strip in batch.strips if strip.many)
    assert (strip.name, strip.tally, strip.next.number) == ("Slat", "18 of 24", "19")
    assert len(group.rows) == 6  # each remaining piece is still a piece of its own
    rails = next(strip for _, batch in batches for strip in batch.strips if strip.name == "Rail")
    assert not rails.many


def test_the_button_of_one_of_many_says_how_many_are_done() -> None:
    floor = cot(18)
    item = floor.item("slat:19")
    action = action_here(floor, item, item.step("cut"), "saw", ticked=False)
    assert action.then == "18 of 24 done, next: Slat 20"
    batch = batch_of(floor, item, item.route[0])
    assert (batch.all_text, batch.all_short) == ("These 6 slats are cut", "These 6 are cut")
    last = floor.item("slat:24")
    after = action_here(cot(23), last, last.step("cut"), "saw", ticked=False)
    assert after.then.startswith("Next: ")  # there is none left: the rails come next


def test_many_that_wait_for_the_same_are_one_row() -> None:
    jig = SLATS.replace("length = 700\n", 'length = 700\nsteps = [{ do = "bore", before = "cut", jig = "rail" }]\n')
    jigged = load_build(jig).build
    assert jigged is not None
    card = queue_card(floor_of(start_run(jigged)), "bench")
    (waiting,) = (group for group in card.groups if group.title == "Waiting")
    assert [row.title for row in waiting.rows if row.key.startswith("slat")] == ["Slat, 24 of 24"]
