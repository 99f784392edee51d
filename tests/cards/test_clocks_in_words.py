"""Running clocks in the little room that a screen has for them: the stack, the day ahead, and the word before closing.

The hours are worked out by hand from a clock on the wall.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from msgspec.structs import replace
from work.one_tablet import BUILD, Bench, floor, towel_frame

from tracker.cards.clocks.alarm import alarm_card, anything_runs, nearly_over
from tracker.cards.clocks.clocks import ClockView, clock_stack, clocks_card, most_urgent_first
from tracker.cards.clocks.closing import CONSEQUENCE, closing_card
from tracker.cards.clocks.day import day_line
from tracker.design.load import load_build
from tracker.work.checklist import checklist
from tracker.work.decide.decide import Check, Do
from tracker.work.run import start_run

NOW = datetime(2026, 3, 2, 8, 20, tzinfo=UTC)
"""A Monday."""
VIEW = ClockView(
    run="Towel frame#1", key="frame:1", kind="clamp", title="Frame", build="Towel frame", word="clamp time",
    text="10:00", left=600.0, share=0.5, tone="waiting", at_least=True, over=False, soon=False, ends=NOW, when="08:30",
    until="clamps off at 08:30", said="at least 45 min", source="default", machine="", limit="", doubt="", unsure=False,
    answer=None,
)  # fmt: skip


def ending(**after: float) -> ClockView:
    ends = NOW + timedelta(**after)
    return replace(VIEW, ends=ends, when=f"{ends:%H:%M}")


def marks(**after: float) -> str:
    line = day_line([ending(**after)], NOW)
    return " ".join(f"{mark.word}{'!' if mark.midnight else ''}" for mark in line.marks)


@pytest.mark.parametrize(
    ("after", "words"),
    [
        ({"hours": 1}, "09:00 10:00 11:00 12:00"),
        ({"hours": 7.5}, "09:00 10:00 11:00 12:00 13:00 14:00 15:00 16:00"),
        ({"hours": 7.6}, "10:00 12:00 14:00 16:00"),
        ({"hours": 10}, "10:00 12:00 14:00 16:00 18:00"),
        ({"hours": 15.5}, "10:00 12:00 14:00 16:00 18:00 20:00 22:00 Tue!"),
        ({"hours": 23.5}, "09:00 12:00 15:00 18:00 21:00 Tue! 03:00 06:00"),
        ({"hours": 30}, "12:00 16:00 20:00 Tue! 04:00 08:00 12:00"),
        ({"days": 9}, "12:00 18:00 Tue! 06:00 12:00 18:00"),
    ],
)
def test_the_hours_of_the_day_ahead(after: dict[str, float], words: str) -> None:
    """At least 4 h, at most 36 h, half an hour more than the last wait; at most 8 steps of 1, 2, 3, 4, 6 or 12 h."""
    assert marks(**after) == words


def test_a_wait_ends_where_its_hour_is_on_the_line() -> None:
    line = day_line([ending(hours=3), ending(hours=1)], NOW)
    assert [mark.at for mark in line.marks] == pytest.approx([40 / 240, 100 / 240, 160 / 240, 220 / 240])
    assert [(bar.end, bar.word, bar.beyond) for bar in line.bars] == [(0.25, "09:20", False), (0.75, "11:20", False)]
    at_the_end, past_it = (day_line([ending(hours=36, seconds=each)], NOW).bars[0] for each in (0, 1))
    assert (at_the_end.end, at_the_end.beyond) == (1.0, False)
    assert (past_it.end, past_it.beyond, past_it.tone) == (1.0, True, "waiting")
    assert day_line([replace(VIEW, over=True)], NOW) == day_line([], NOW)
    assert day_line([], NOW).marks == ()
    assert (day_line([VIEW] * 6, NOW).more, len(day_line([VIEW] * 6, NOW).bars)) == ("", 6)
    assert (day_line([VIEW] * 8, NOW).more, len(day_line([VIEW] * 8, NOW).bars)) == ("and 2 more", 6)


def test_a_screen_shows_its_own_clocks_and_of_other_builds_only_what_must_be_ended() -> None:
    mine, far = VIEW, replace(VIEW, run="Stool#1", text="5:00")
    soon, late = replace(far, soon=True), replace(far, over=True, at_least=False)
    over = replace(far, over=True, text="+1:00")
    stack = clock_stack([mine, soon, late, over], "Towel frame#1", 3)
    assert (stack.chips, stack.more, stack.others) == ((mine, soon, late), 1, "")
    stack = clock_stack([far, mine, over, mine], "Towel frame#1", 1)
    assert (stack.chips, stack.more, stack.others) == ((mine,), 3, "")
    stack = clock_stack([mine], "Towel frame#1", 1)
    assert (stack.chips, stack.more, stack.others) == ((mine,), 0, "")
    stack = clock_stack([far, over], "Towel frame#1", 1)
    assert (stack.chips, stack.more, stack.others) == ((), 0, "Other builds: 2, 5:00")
    assert clock_stack([over], "Towel frame#1", 1).others == "Other build: +1:00"
    assert clock_stack([], "Towel frame#1", 1).others == ""


def test_the_words_of_a_clock() -> None:
    over = replace(VIEW, over=True, left=-59.9)
    assert (over.over_words, replace(over, left=-60.0).over_words) == ("time's up", "done 1 min ago")
    assert (VIEW.over_words, replace(over, left=-61.0).over_words) == ("", "done 2 min ago")
    noted = replace(VIEW, doubt="perhaps more", machine="Machine it in 2 h")
    assert noted.notes == "perhaps more · Machine it in 2 h · default"
    assert (noted.short_notes, VIEW.short_notes) == ("perhaps more", "default")
    assert replace(noted, unsure=True).short_notes == "The tablet was off: see Timers"
    order = [
        replace(VIEW, left=5.0),
        replace(VIEW, left=9.0, over=True, at_least=False),
        replace(VIEW, left=9.5, soon=True),
    ]
    assert [view.left for view in most_urgent_first(order)] == [9.0, 9.5, 5.0]


# -- from the work itself ----------------------------------------------------------------------------------------------


def spread(bench: Bench) -> Bench:
    """Glue is on the frame."""
    for key in ("rail:1", "rail:2", "peg:1", "peg:2"):
        for step in bench.run.items[key].route:
            assert bench.do(Do(key, step.id)) is None
    frame = bench.run.items["frame:1"]
    assert bench.do(Do("frame:1", "dry fit")) is None
    for line in checklist(bench.run, bench.state, frame):
        bench.do(Check("frame:1", line.id))
    assert bench.do(Do("frame:1", "spread")) is None
    return bench


def both() -> tuple[Bench, Bench]:
    """Two frames with wet glue, of two runs."""
    first = towel_frame()
    return spread(Bench(first)), spread(Bench(start_run(first.build, 2)))


def test_nothing_runs_nothing_is_said() -> None:
    assert closing_card([floor(Bench(towel_frame()))]) is None
    assert not anything_runs([floor(Bench(towel_frame()))])


def test_closing_says_what_runs_and_that_nothing_will_call() -> None:
    here, there = both()
    card = closing_card([floor(here)])
    assert card is not None
    assert (card.title, card.said, card.tone) == ("Frame, open time: 8:00 left.", CONSEQUENCE, "ready")
    card = closing_card([floor(here), floor(there)])
    assert card is not None
    assert card.said == f"{CONSEQUENCE} Another timer is running."
    here.time += 480
    card = closing_card([floor(here)])
    assert card is not None
    assert card.title == "Frame: Open time is over. Clamp right now, or scrape the glue off and spread fresh."
    assert card.tone == "caution"


def test_clocks_that_ended_together_are_stopped_together() -> None:
    here, there = both()
    here.time += 480
    there.time += 540
    alarm = alarm_card([floor(here), floor(there)])
    assert alarm is not None
    assert (alarm.stop_text, len(alarm.answers), alarm.run) == ("Stop all 2 alarms", 2, there.run.name)
    assert alarm.answer == alarm.answers[0]
    assert (alarm.over, alarm.sound, alarm.tone) == ("done 1 min ago", "late", "caution")
    assert alarm.others == "Also: Frame (clamp it now)"
    assert alarm.title == "Frame, Towel frame"
    alone = alarm_card([floor(here)])
    assert alone is not None
    assert (alone.stop_text, alone.title, alone.others) == ("Stop alarm", "Frame", "")
    assert (alone.go, alone.go_text) == (Do("frame:1", "clamp", run=here.run.name), "Clamped: start 45 min")


def test_an_open_time_is_never_stopped_along_with_a_wait() -> None:
    here, there = both()
    assert here.do(Do("frame:1", "clamp")) is None
    here.time += 45 * 60
    there.time += 480
    alarm = alarm_card([floor(here), floor(there)])
    assert alarm is not None
    assert (alarm.headline, alarm.stop_text, alarm.others) == (
        "Clamp it now",
        "Stop alarm",
        "Next alarm: Frame (clamp time up)",
    )
    assert nearly_over([floor(here), floor(there)]) == ()


def test_a_clock_is_nearly_over_before_it_is_over() -> None:
    here, _ = both()
    tones = []
    for seconds in range(0, 500, 10):
        here.time = seconds
        (view,) = clocks_card(floor(here)).clocks
        tones.append((view.tone, view.soon, view.over))
        assert view.share == pytest.approx(max(0.0, 1 - seconds / 480))
        assert (view.answer is not None) == view.over == (seconds >= 480)
        assert bool(view.when) != view.over
    assert sorted(set(tones)) == [("caution", False, True), ("caution", True, False), ("ready", False, False)]
    assert tones == sorted(tones, key=lambda each: (each[2], each[1])), "ready, then soon, then over"


def test_a_cure_says_when_it_may_be_machined_and_a_coat_how_long_it_needs_no_sanding() -> None:
    """Epoxy is machined after a day and loaded after a week (common practice, from memory); the recoat window is the
    file's."""
    text = BUILD.replace('"Test glue"', '"Epoxy, two-part"').replace('open_time = "8 min"\n', "")
    text = text.replace('clamp_time = "45 min"\n', "").replace('cure_time = "24 h"\n', "")
    text = text.replace('recoat = "12 h"', 'recoat = "12 h", recoat_limit = "48 h"')
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    bench = spread(Bench(start_run(loaded.build)))
    assert bench.do(Do("frame:1", "clamp")) is None
    bench.time += 86_400
    assert bench.do(Do("frame:1", "unclamp")) is None
    began = bench.time
    for hours, machine in (
        (0, "Machine it in 1 day"), (23.5, "Machine it in 30 min"), (24, "Ready to machine, not to load"),
    ):  # fmt: skip
        bench.time = began + hours * 3600
        (view,) = clocks_card(floor(bench)).clocks
        assert (view.machine, view.limit, view.over) == (machine, "", False)
    bench.time = began + 8 * 86_400
    assert bench.do(Do("frame:1", "finish 1")) is None
    began = bench.time
    for hours, limit in (
        (0, "Without sanding for 2 days"), (47, "Without sanding for 1 h"),
        (48, "Too late to coat without sanding first"),
    ):  # fmt: skip
        bench.time = began + hours * 3600
        (view,) = [each for each in clocks_card(floor(bench)).clocks if each.kind == "recoat"]
        assert (view.limit, view.machine, view.over) == (limit, "", hours >= 12)
