"""Where a card changes its words: just before the limit, and just beyond it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from kit.build_text import one_wood
from work.one_tablet import Bench, towel_frame

from tests.cards.board_shop import Saw
from tests.cards.test_clocks_in_words import spread
from tracker.cards.clocks.alarm import alarm_card
from tracker.cards.clocks.clocks import clock_question, clocks_card
from tracker.cards.glueup.air import air_card
from tracker.cards.glueup.glueup import assembly_card, assembly_rows
from tracker.cards.glueup.times import overrule
from tracker.cards.picture.furniture import START, TURN, assembly_in_place, side_words
from tracker.cards.piece.piece import MORE, _beginning, _within
from tracker.cards.reports.cut_list import cut_list_csv
from tracker.cards.reports.numbers import deg, mm
from tracker.cards.station.batch import MANY, Place, Strip, batch_of, following
from tracker.cards.station.station import queue_card
from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.floor.floor import Floor
from tracker.measure import Span, millimetres
from tracker.work.decide.decide import Do, Refusal, SetAir
from tracker.work.facts import Air
from tracker.work.run import start_run


def floor(bench: Bench) -> Floor:
    return Floor(bench.run, bench.state, bench.now)


def local(bench: Bench) -> Floor:
    """In a place whose clocks show universal time."""
    return Floor(bench.run, bench.state, bench.now, local=lambda moment: moment)


def built(text: str) -> Build:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return loaded.build


# -- time --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("seconds", "said", "stale"),
    [
        (59, "just now", False), (60, "1 min ago", False), (12 * 3600, "12 h ago", False),
        (12 * 3600 + 1, "12 h 1 min ago", True),
    ],
)  # fmt: skip
def test_air_of_more_than_half_a_day_ago_is_asked_for_again(seconds: int, said: str, stale: bool) -> None:
    bench = Bench(towel_frame())
    assert air_card(floor(bench)).said == "Not entered yet."
    bench.write(Air(19.6, 48.5))
    bench.time += seconds
    card = air_card(floor(bench))
    assert (card.words, card.said, card.stale) == ("20 °C, 48 %", said, stale)


@pytest.mark.parametrize(
    ("hours", "when"),
    [(15.9, "23:54"), (16, "Tue 00:00"), (24, "Tue 08:00"), (159.9, "Sun 23:54"), (160, "9 Mar"), (400, "19 Mar")],
)
def test_a_time_within_the_week_has_its_weekday_and_later_ones_their_date(hours: float, when: str) -> None:
    """From Monday 2 March at 8: on the same day of the next week the weekday would be today's."""
    bench = Bench(towel_frame())
    assert bench.do(overrule(bench.run.name, "frame:1", "open", Span(round(hours * 3600)))) is None
    spread(bench)
    (view,) = clocks_card(local(bench)).clocks
    assert (view.when, view.until) == (when, f"clamp by {when}")


def test_four_of_the_others_are_named_beside_an_alarm() -> None:
    build = towel_frame().build
    benches = [spread(Bench(start_run(build, number))) for number in range(1, 8)]
    for bench in benches:
        bench.time += 480
    alarm = alarm_card([floor(bench) for bench in benches])
    assert alarm is not None
    assert alarm.stop_text == "Stop all 7 alarms"
    assert alarm.others == f"Also: {', '.join(['Frame of Towel frame (clamp it now)'] * 4)} and 2 more"
    assert len(alarm.answers) == 7
    few = alarm_card([floor(bench) for bench in benches[:5]])
    assert few is not None
    assert few.others.count("Frame") == 4
    assert not few.others.endswith("more")


def test_two_starts_are_confirmed_at_once() -> None:
    """Three frames that were glued in three boots, and then the tablet was off: two are shown, and the time now."""
    build = towel_frame().build
    benches = []
    for number in (1, 2, 3):
        bench = Bench(start_run(build, number))
        bench.boot_id = f"boot {number}"
        spread(bench)
        bench.beat()
        bench.restart(60.0, boot_id="later boot")
        benches.append(bench)
    for count, lines, yes in (
        (1, 2, "Both times are right"),
        (2, 3, "All times are right"),
        (3, 3, "All times are right"),
    ):
        question = clock_question([local(bench) for bench in benches[:count]])
        assert question is not None
        assert (question.title, len(question.lines.splitlines()), question.yes) == (
            "Are these times right?",
            lines,
            yes,
        )
        assert question.lines.splitlines()[0] == "Frame: spread with glue Mon 2 Mar 08:00"
        assert question.lines.splitlines()[-1] == "Now: Mon 2 Mar 08:01"
    assert clock_question([floor(Bench(towel_frame()))]) is None


# -- room --------------------------------------------------------------------------------------------------------------


def test_more_than_twelve_alike_are_counted() -> None:
    places = tuple(Place(key=f"slat:{at}", step="cut", number=str(at), tone="") for at in range(1, MANY + 2))
    assert MANY == 12
    assert (Strip(name="Slat", places=places).many, Strip(name="Slat", places=places[:-1]).many) == (True, False)
    assert Strip(name="Slat", places=places).tally == "0 of 13"
    assert Strip(name="Slat", places=places).next == places[0]


FRAME = (
    one_wood("Rack", "mm", "ash", "white ash", "thickness = 20", "width = 60", "lengths = [2000]")
    + """\
[[parts]]
id = "bar"
name = "Bar"
quantity = {count}
wood = "ash"
length = 300
[[assemblies]]
id = "rack"
name = "Rack"
joins = {{ bar = {count} }}
by = "dry"
"""
)


@pytest.mark.parametrize(("count", "more"), [(4, ""), (5, " and 1 more"), (7, " and 3 more")])
def test_four_missing_parts_are_named_in_a_picture(count: int, more: str) -> None:
    text = FRAME.format(count=count)
    bench = Bench(start_run(built(text)))
    said = assembly_in_place(floor(bench), "rack:1").said
    assert said == f"Outlined, still to come: Bar 1, Bar 2, Bar 3, Bar 4{more}."
    assert assembly_card(floor(bench), "rack:1").members_words == f"0 of {count} ready"


def test_furniture_is_turned_by_a_twelfth_and_named_by_eighths() -> None:
    assert (START, TURN, 360 % TURN) == (24, 30, 0)
    seen = {0: "front", 22: "front", 23: "front right", 67: "front right", 90: "right", 180: "back", 270: "left",
            337: "front left", 338: "front", 360: "front"}  # fmt: skip
    for turned, side in seen.items():
        assert side_words(turned) == f"Seen from the {side}, and from above."


RIPPED = """
[build]
name = "Strips"
units = "in"
[shop]
kerf = "1/8"
end_trim = 0
[woods.pine]
species = "eastern white pine"
thickness = "3/4"
width = 12
rip = true
lengths = ["8 ft"]
prices = [20]
[[parts]]
id = "strip"
name = "Strip"
wood = "pine"
length = 40
width = "{width}"
"""


@pytest.mark.parametrize(("width", "pushed"), [("6", False), ("5 15/16", True)])
def test_a_strip_under_six_inches_is_pushed_with_a_stick(width: str, pushed: bool) -> None:
    """Common practice, no source."""
    saw = Saw(start_run(built(RIPPED.format(width=width))))
    saw.take_plan()
    board = saw.card().board
    assert board is not None
    assert ("push stick" in board.words) == pushed
    assert "rip" in board.words.lower()


def test_numbers_in_files_have_six_decimals_and_cut_lists_five() -> None:
    assert (mm(millimetres(Fraction(1, 3))), deg(1 / 3)) == (0.333333, 0.333333)
    text = FRAME.format(count=1).replace("length = 300", "length = 300.1234567")
    assert "300.12346,60,20" in cut_list_csv(built(text))


def test_assemblies_that_can_be_worked_on_come_first() -> None:
    bench = spread(Bench(towel_frame()))
    (row,) = assembly_rows(floor(bench))
    assert (row.title, row.said, row.tone) == ("Frame", "Next: clamp", "ready")
    assert bench.do(Do("frame:1", "clamp")) is None
    (row,) = assembly_rows(floor(bench))
    assert row.tone == "waiting"
    assert bench.do(SetAir(21, 50)) is None
    refused = bench.do(Do("frame:1", "unclamp"))
    assert isinstance(refused, Refusal)
    assert row.said == refused.reason
    assert queue_card(floor(bench), "bench").counts
    assert batch_of(floor(bench), bench.run.items["rail:1"], bench.run.items["rail:1"].route[0]).together is None


@pytest.mark.parametrize(("count", "rows"), [(12, 12), (13, 1)])
def test_more_than_twelve_that_wait_for_the_same_are_one_row(count: int, rows: int) -> None:
    text = FRAME.format(count=count).replace(
        "length = 300", 'length = 300\nsteps = [{ do = "bore", before = "cut", jig = "jig" }]'
    )
    text = text.replace(
        "[[assemblies]]", '[[parts]]\nid = "jig"\nname = "Jig"\nwood = "ash"\nlength = 300\n[[assemblies]]'
    ).replace("joins = { ", "joins = { jig = 1, ")
    bench = Bench(start_run(built(text)))
    (waiting,) = [group for group in queue_card(floor(bench), "bench").groups if group.title == "Waiting"]
    bars = [row for row in waiting.rows if row.key.startswith("bar")]
    assert [row.title for row in bars] == (
        [f"Bar {number} of 12" for number in range(1, 13)] if rows == 12 else ["Bar, 13 of 13"]
    )


@pytest.mark.parametrize("width", [87, 88, 89])
def test_words_take_two_lines_of_a_card(width: int) -> None:
    """88 letters; of words that are longer as many whole clauses as fit, and where the rest is."""
    clause = "a" * 40
    words = f"{clause}, {'b' * (width - 42)}"
    assert len(words) == width
    assert _within(words) == (words if width <= 88 else f"{clause} · {MORE}")
    assert _within("x", words) == f"x · {clause} · {MORE}"
    assert _within("x", "y" * 84) == f"x · {'y' * 84}"
    assert _within("x", "y" * 85) == f"x · {MORE}"
    assert _within("", words[:30], "") == words[:30]


@pytest.mark.parametrize("letters", [34, 35])
def test_a_name_that_is_long_is_not_said_twice_on_one_button(letters: int) -> None:
    """With its number a name of 34 letters has 36; the next piece of a longer one is called by its number, but not
    where its name differs."""
    name = "a" * letters
    text = FRAME.format(count=3).replace('name = "Bar"', f'name = "{name}"').replace("[[assemblies]]", OTHER, 1)
    bench = Bench(start_run(built(text.replace("joins = { ", "joins = { other = 1, "))))
    bars = [bench.run.items[f"bar:{number}"] for number in (1, 2, 3)]
    after = following(floor(bench), bars[0], bars[0].route[0], "saw")
    assert after is not None
    assert after.name == (f"{name} 2" if letters == 34 else "number 2")
    assert (after.key, after.step, after.tally) == ("bar:2", "cut", "")
    bench.must(Do("bar:2", "cut"))
    bench.must(Do("bar:3", "cut"))
    after = following(floor(bench), bars[0], bars[0].route[0], "saw")
    assert after is not None
    assert (after.key, after.name) == ("other:1", "Other bar")


OTHER = """\
[[parts]]
id = "other"
name = "Other bar"
wood = "ash"
length = 300
[[assemblies]]"""


AT_ITS_EDGE = """
[build]
name = "Edges"
units = "mm"
[shop]
kerf = 3
[woods.oak]
species = "white oak"
rough = "27 mm"
mill = { face = 5, edge = 5, ends = 20, shortest = 0 }
widths = [60, 320]
[[rack]]
wood = "oak"
length = 1300
width = 200
defects = [[20, 420, "near", 60]]
[[parts]]
id = "rail"
name = "Rail"
wood = "oak"
length = 390
width = 115
[[parts]]
id = "top"
name = "Top"
wood = "oak"
length = 850
width = 190
"""


def test_what_is_at_the_near_edge_is_ripped_off_first() -> None:
    """A defect of 60 mm and 3 mm of kerf beside a rail of 115 mm and 5 for its edges, in a board of 200: the top needs
    all that is behind it. 1300 mm less 20, 390 and 3 are left."""
    saw = Saw(start_run(built(AT_ITS_EDGE)))
    saw.take_plan()
    board = saw.card().board
    assert board is not None
    assert board.first == "First square end A (takes 20 mm). Rip 60 mm off its near edge (defect)."
    assert board.words == "Hold the long side (887 mm). Then rip it to 120 mm. Use a push stick."


@pytest.mark.parametrize(
    ("room", "said"), [(-1, ""), (0, ""), (3, ""), (4, "aaaa"), (9, "aaaa"), (10, "aaaa, bbbb"), (99, "aaaa, bbbb")]
)
def test_the_beginning_of_words_is_whole_clauses(room: int, said: str) -> None:
    """A clause ends at a comma, a semicolon or a full stop with a space after it."""
    assert _beginning("aaaa, bbbb; c.c", room) == said
