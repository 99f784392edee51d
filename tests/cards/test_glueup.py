"""The cards of a glue-up: clocks with their bounds and sources, the checklist, air, tests, plugs.

The waits and least temperatures are those of the reference's tables (common practice, from memory; go by the label).
"""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from work.one_tablet import Bench, floor

from tracker.cards.cautions import FUMES, RAGS, finish_caution
from tracker.cards.clocks.alarm import alarm_card, anything_runs, nearly_over
from tracker.cards.clocks.clocks import clock_question, clocks_card, most_urgent_first
from tracker.cards.clocks.day import day_line
from tracker.cards.glueup.air import air_card, to_celsius
from tracker.cards.glueup.checklist import checklist_card
from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.glueup.plugs import plugs_card
from tracker.cards.glueup.prove import lengths_words, prove, prove_card, question, tolerance, verdict
from tracker.cards.glueup.times import overrule, times
from tracker.cards.history import history_card
from tracker.design.load import load_build
from tracker.floor.floor import Floor
from tracker.measure import Span, inches, millimetres
from tracker.work.clocks.waits import degrees
from tracker.work.decide.intents import Check, CheckIn, Do, SetAir, UndoEntry
from tracker.work.run import start_run

BUILD = """
[build]
name = "Coat stand"
units = "{units}"
[woods.oak]
species = "white oak"
thickness = "20 mm"
width = "60 mm"
lengths = ["2 m"]
[[parts]]
id = "post"
name = "Post"
quantity = 2
wood = "oak"
length = "500 mm"
holes = [{{ kind="through", end="A", from_edge=["20 mm", "40 mm"], from_end="20 mm", diameter="8 mm", face="top" }}]
[[assemblies]]
id = "stand"
name = "Stand"
joins = {{ post = 2 }}
by = "glue"
glue = "{glue}"
clamps = 2
clamp_time = "50 min"
route = ["dry fit", "glue", "plug", "finish", "prove"]
finish = {{ kind = "{finish}", coats = 2, recoat = "12 h" }}
prove = ["stands flat", "diagonals within {within}", "carries a wet coat"]
"""  # fmt: skip
POSTS, STAND = ("post:1", "post:2"), "stand:1"


def bench(units: str = "mm", glue: str = "PVA, interior (white)", finish: str = "Danish oil") -> Bench:
    within = "2 mm" if units == "mm" else "1/16"
    loaded = load_build(BUILD.format(units=units, glue=glue, finish=finish, within=within))
    assert loaded.build is not None, loaded.problems
    return Bench(start_run(loaded.build))


def up_to(bench: Bench, *steps: str) -> Bench:
    for post in POSTS:
        for step in bench.run.items[post].route:
            if not bench.state.is_done(bench.run, bench.run.items[post], step.id):
                bench.must(Do(post, step.id))
    bench.tick(STAND, *steps)
    return bench


def test_every_default_names_its_row_and_is_shown_as_a_default() -> None:
    here = floor(bench())
    said = {view.kind: (view.span, view.short, view.source) for view in times(here, here.item(STAND))}
    assert said["clamp"][:2] == (Span(50 * 60), "build file")
    assert said["open"][:2] == (Span(8 * 60), "default")
    for kind in ("open", "cure"):
        assert "PVA, interior (white)" in said[kind][2]
        assert "check the label" in said[kind][2]


def test_the_label_overrules_and_can_be_taken_back() -> None:
    shop = bench()
    shop.must(overrule(shop.run.name, STAND, "open", Span(12 * 60)))
    view = times(floor(shop), shop.run.items[STAND], ("open",))[0]
    assert (view.span, view.short) == (Span(12 * 60), "label")
    assert view.overruled is not None
    shop.must(UndoEntry(view.overruled))
    assert times(floor(shop), shop.run.items[STAND], ("open",))[0].short == "default"


def test_a_clock_says_whether_it_is_at_least_or_at_most_and_where_it_comes_from() -> None:
    shop = up_to(bench(), "dry fit", "spread")
    (clock,) = clocks_card(floor(shop)).clocks
    assert (clock.text, clock.said, clock.at_least, clock.tone) == ("8:00", "8 min max", False, "ready")
    assert "PVA, interior (white)" in clock.source
    shop.time += 7 * 60
    assert nearly_over([floor(shop)])[0].tone == "caution"
    assert alarm_card([floor(shop)]) is None, "nearly over is no alarm yet"
    shop.time += 120
    late = alarm_card([floor(shop)])
    assert late is not None
    assert (late.headline, late.tone, late.sound) == ("Clamp it now", "caution", "late")
    assert late.go == Do(STAND, "clamp", run=late.run)
    shop.must(Do(STAND, "clamp"))
    (clock,) = clocks_card(floor(shop)).clocks
    assert (clock.text, clock.said, clock.at_least) == ("50:00", "at least 50 min", True)
    shop.time += 50 * 60
    done = alarm_card([floor(shop)])
    assert done is not None
    assert (done.headline, done.tone, done.sound, done.over) == ("Clamp time up", "done", "done", "time's up")
    assert (done.go, done.go_text, done.show_text) == (
        Do(STAND, "unclamp", run=done.run),
        "Clamps are off",
        "Show card",
    )
    shop.must(done.answer)
    assert alarm_card([floor(shop)]) is None


def test_a_wait_says_when_it_ends_by_the_clock_on_the_wall() -> None:
    shop = up_to(bench(), "dry fit", "spread")
    (clock,) = clocks_card(in_zone(shop)).clocks
    assert clock.until == "clamp by 10:08"
    shop.must(Do(STAND, "clamp"))
    shop.time += 30.5
    (clock,) = clocks_card(in_zone(shop)).clocks
    assert clock.until == "clamps off at 10:50"
    shop.time += 3600
    shop.must(Do(STAND, "unclamp"))
    (clock,) = clocks_card(in_zone(shop)).clocks
    assert clock.until.startswith("cured at Tue ")


@given(
    st.lists(st.integers(60, 60 * 86400), max_size=9),
    st.datetimes(datetime(2026, 1, 1), datetime(2027, 1, 1)),
)
def test_the_day_line_puts_every_end_where_its_hour_is(waits: list[int], now: datetime) -> None:
    shop = up_to(bench(), "dry fit", "spread")
    (clock,) = clocks_card(in_zone(shop)).clocks
    line = day_line([replace(clock, ends=now + timedelta(seconds=each)) for each in waits], now)
    assert bool(line.bars) == bool(waits)
    assert [bar.end for bar in line.bars] == sorted(bar.end for bar in line.bars)
    if not waits:
        return
    assert 2 <= len(line.marks) <= 9
    # Between two marks with an hour on them a bar's end is found as on a ruler, by proportion (an independent sum).
    one, two = line.marks[0], line.marks[1]
    hours = (_hour(two.word, now) - _hour(one.word, now)) % 24
    per_hour = (two.at - one.at) / hours
    first = min(waits) / 3600
    if not line.bars[0].beyond:
        assert line.bars[0].end == pytest.approx(first * per_hour, rel=1e-6)


def _hour(word: str, now: datetime) -> int:
    return int(word[:2]) if word[:2].isdigit() else 0


def test_what_must_be_ended_stands_before_what_is_merely_sooner() -> None:
    shop = up_to(bench(), "dry fit", "spread")
    views = clocks_card(floor(shop)).clocks
    soon = replace(views[0], soon=True, left=90.0, title="soon")
    later = replace(views[0], at_least=True, left=10.0, title="later")
    over = replace(views[0], at_least=True, over=True, left=-30.0, title="over")
    assert [view.title for view in most_urgent_first([later, over, soon])] == ["soon", "over", "later"]


def test_after_a_restart_a_person_is_asked_and_what_surely_passed_is_said() -> None:
    shop = up_to(bench(), "dry fit", "spread", "clamp")
    shop.time += 600
    shop.beat()
    assert clock_question([in_zone(shop)]) is None
    shop.restart(off=3600)
    (clock,) = clocks_card(floor(shop)).clocks
    assert clock.text == "40:00", "only what surely passed ends a wait of the kind `at least`"
    assert "10 min have surely passed" in clock.notes
    assert anything_runs([floor(shop)])
    question = clock_question([in_zone(shop)])
    assert question is not None
    assert question.title == "Are these times right?"
    assert question.lines == "Stand: clamped Mon 2 Mar 10:00\nNow: Mon 2 Mar 11:10"
    shop.must(question.intent)
    assert clock_question([in_zone(shop)]) is None
    shop.beat()
    shop.restart(off=60, boot_id="third boot")
    question = clock_question([in_zone(shop)])
    assert question is not None
    assert (question.title, question.lines) == ("Is it Mon 2 Mar 11:11?", ""), "the start isn't asked again"


def in_zone(bench: Bench) -> Floor:
    return Floor(bench.run, bench.state, bench.now, in_the_shop)


def in_the_shop(moment: datetime) -> datetime:
    """Two hours east of Greenwich."""
    return moment.astimezone(timezone(timedelta(hours=2)))


def test_a_start_by_a_clock_of_another_year_is_asked_with_its_year() -> None:
    shop = bench()
    shop.wall_shift = -56 * 365.25 * 86_400
    up_to(shop, "dry fit", "spread", "clamp")
    shop.beat()
    shop.restart()
    shop.wall_shift = 0
    question = clock_question([in_zone(shop)])
    assert question is not None
    assert question.lines == "Stand: clamped Mon 2 Mar 1970 10:00\nNow: Mon 2 Mar 10:00"


def test_the_checklist_counts_parts_and_clamps_and_asks_for_the_air() -> None:
    shop = up_to(bench(), "dry fit")
    lines = {line.check: line for line in checklist_card(floor(shop), STAND).lines}
    assert lines["clamps"].name == "2 clamps"
    assert lines["parts"].said == "0 of 2 here: scan each, or tap when all are"
    assert lines["warm"].said == "Glue and wood 13 °C or warmer: feel both"
    for post in POSTS:
        shop.must(CheckIn(STAND, post))
    shop.must(SetAir(19.0, 50.0))
    shop.must(lines["clamps"].intent)
    lines = {line.check: line for line in checklist_card(floor(shop), STAND).lines}
    assert (lines["parts"].tone, lines["clamps"].tone) == ("done", "done")
    assert lines["warm"].intent == Check(STAND, "warm", run=lines["warm"].intent.run)
    shop.must(lines["clamps"].intent)
    assert {line.check: line.tone for line in checklist_card(floor(shop), STAND).lines}["clamps"] == "ready"


def test_below_a_glue_s_least_temperature_it_says_no_and_why_in_the_build_s_degrees() -> None:
    shop = up_to(bench(units="in"), "dry fit")
    shop.must(SetAir(5.0, 60.0))
    (warm,) = [line for line in checklist_card(floor(shop), STAND).lines if line.check == "warm"]
    assert (warm.name, warm.tone, warm.intent) == ("Too cold", "caution", None)
    assert "41 °F" in warm.said
    assert "55 °F" in warm.said
    card = assembly_card(floor(shop), STAND)
    assert not card.action.ready
    assert "The shop is at 41 °F: PVA, interior (white) needs 55 °F" in card.action.why
    assert history_card(floor(shop)).rows[0].title == "Shop air 41 °F, 60 %"
    refusal = floor(shop).refusal(SetAir(80.0, 60.0))
    assert refusal is not None
    assert "°F" in refusal.reason
    assert "°C" not in refusal.reason


def test_the_air_of_yesterday_is_asked_for_again() -> None:
    shop = bench()
    assert air_card(floor(shop)).words == ""
    shop.must(SetAir(19.0, 50.0))
    assert (air_card(floor(shop)).words, air_card(floor(shop)).stale) == ("19 °C, 50 %", False)
    shop.time += 86_400
    assert air_card(floor(shop)).said == "1 day ago"
    assert air_card(floor(shop)).stale


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32, 0.0), (212, 100.0), (-40, -40.0), (68, 20.0)])
def test_degrees_are_those_of_the_thermometer(fahrenheit: int, celsius: float) -> None:
    """The fixed points of the two scales (ISO 80000-5)."""
    assert to_celsius(fahrenheit, "in") == pytest.approx(celsius, abs=0.05)
    assert degrees(celsius, "in") == f"{fahrenheit} °F".replace("-", "−")


def test_clamps_taken_off_early_stay_marked() -> None:
    shop = up_to(bench(), "dry fit", "spread", "clamp")
    shop.time += 20 * 60
    assert shop.do(Do(STAND, "unclamp")) is not None
    shop.must(Do(STAND, "unclamp", "My own risk"))
    card = assembly_card(floor(shop), STAND)
    assert card.facts[0] == "Done 30 min early: glued"
    assert {mark.word: mark.tone for mark in card.marks}["glued"] == "done", "done is done"


def test_what_was_done_early_or_at_risk_is_one_line_each() -> None:
    """By the marks' own words; what was tested, or done before the tablet knew of it, needs no line."""
    shop = up_to(bench(), "dry fit", "spread", "clamp")
    shop.must(Do(STAND, "unclamp", "Tested: ready"))
    assert assembly_card(floor(shop), STAND).facts[0] == "Done 50 min early: glued"
    shop.time += 3 * 86400
    for step, reason in (("plug", ""), ("finish 1", ""), ("between 1", "At my own risk")):
        shop.must(Do(STAND, step, reason))
    card = assembly_card(floor(shop), STAND)
    assert card.facts[0] == "Done early: glued, scuffed\u00a01"
    assert card.told == 1
    shop = bench()
    shop.must(Do(STAND, "dry fit", "Already done"))
    assert assembly_card(floor(shop), STAND).told == 0
    shop = bench()
    shop.must(Do(STAND, "dry fit", "At my own risk"))
    assert assembly_card(floor(shop), STAND).facts[0] == "Done at your own risk: dry fitted"


def test_the_finish_has_its_own_caution_and_an_unknown_one_counts_as_an_oil() -> None:
    for kind, caution in (("Danish oil", RAGS), ("shellac", FUMES), ("Grandfather's own", RAGS)):
        finish = bench().run.build.assembly("stand").finish
        assert finish is not None
        assert finish_caution(replace(finish, kind=kind)) == caution


def test_a_time_that_is_on_a_tile_is_not_said_beside_it() -> None:
    shop = up_to(bench(), "dry fit", "spread", "clamp")
    for step in ("unclamp", "plug"):
        shop.time += 3 * 86400
        shop.must(Do(STAND, step))
    card = assembly_card(floor(shop), STAND)
    assert [(tile.text, tile.said) for tile in card.tiles if tile.sheet == "times"] == [("12 h", "recoat: build file")]
    assert not any("12 h" in fact or "Recoat" in fact for fact in card.facts)
    assert any(fact.startswith("Finish cures") for fact in card.facts), "this one is on no tile"


def test_plugs_are_cut_from_the_holes_own_wood() -> None:
    card = plugs_card(floor(bench()), STAND)
    assert card.count_words == "4 plugs"
    assert card.lines[0].title == "Post: 2 8 mm through holes in each of 2"
    assert "end A, top face. White oak, its grain along the piece" in card.lines[0].said


def test_a_line_to_prove_asks_for_what_its_words_say() -> None:
    assert question("stands flat") == ("nothing", 0)
    assert question("diagonals within 1/16") == ("lengths", 2)
    assert question("flat to flat alike within 1/16, three ways") == ("lengths", 3)
    assert question("top flat within 1/32 under a straightedge") == ("lengths", 1)
    assert question("carries two people sitting still") == ("load", 0)
    assert tolerance("diagonals within 1/16", "in") == inches("1/16")
    assert tolerance("diagonals within 2 mm", "in") == millimetres(2)
    assert tolerance("flat to flat alike within 1/16, three ways", "in") == inches("1/16")
    assert tolerance("stands flat", "in") is None


def test_diagonals_are_judged_by_what_they_differ_by() -> None:
    shop = bench()
    (line,) = [line for line in prove_card(floor(shop), STAND).lines if "diagonals" in line.check]
    assert verdict(line, [millimetres(700)]) is None
    assert verdict(line, [millimetres(700), millimetres(702)]) is True
    assert verdict(line, [millimetres(700), millimetres(703)]) is False
    assert lengths_words(floor(shop), [millimetres(700), millimetres(703)]) == "700 mm and 703 mm: 3 mm apart"


def test_what_was_proven_is_kept_with_who_proved_it() -> None:
    shop = up_to(bench(), "dry fit", "spread", "clamp")
    for _ in range(12):
        shop.time += 40 * 86_400
        for step in shop.run.items[STAND].route:
            if step.id != "prove" and not shop.state.is_done(shop.run, shop.run.items[STAND], step.id):
                shop.do(Do(STAND, step.id))
    card = prove_card(floor(shop), STAND)
    assert (card.words, card.open) == ("0 of 3 checked", 3)
    assert assembly_card(floor(shop), STAND).opens == "prove"
    assert "not a strength rating" in card.lines[2].caution, "a load is tested with care, and rates nothing"
    shop.must(prove(shop.run.name, STAND, card.lines[0], True, "", "A. K."))
    shop.must(prove(shop.run.name, STAND, card.lines[2], False, "3 kg", "A. K."))
    card = prove_card(floor(shop), STAND)
    assert [line.tone for line in card.lines] == ["done", "ready", "caution"]
    assert card.lines[2].said == "failed: 3 kg, by A. K."
    assert card.names == ("A. K.",)
    shop.must(prove(shop.run.name, STAND, card.lines[1], True, "", "A. K."))
    shop.must(prove(shop.run.name, STAND, card.lines[2], True, "3 kg for 10 min", "B."))
    assert shop.state.finished(shop.run, shop.run.items[STAND]), "the last line that passes ticks the step"
    assert prove_card(floor(shop), STAND).names == ("B.", "A. K.")
