"""The lists behind "More": the shop's tablets, backups, a record taken in, and the builds that this tablet knows."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from work.one_tablet import Bench, towel_frame

from tracker.cards.builds.builds import build_row, lost_row, lost_words, progress, said_first, told_apart, unread_row
from tracker.cards.builds.revision import was_now
from tracker.cards.settings.restore import restore_card
from tracker.cards.settings.take_in import take_in_card, take_in_lines
from tracker.cards.together.together import free_names, in_two, mark_words, member_words, together_card
from tracker.design.load import load_build
from tracker.work.decide.decide import Do
from tracker.work.facts import Done, Entry, Opened, Spoiled, Undone
from tracker.work.state.replay import replay
from tracker.work.sync_status import SyncStatus, Tablet

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def met(seconds: float) -> datetime:
    return NOW - timedelta(seconds=seconds)


def other(
    word: str, seconds: float | None = None, *, mine: bool = False, out: bool = False, keeper: bool = False
) -> Tablet:
    last = None if seconds is None else met(seconds)
    return Tablet(login=word.lower(), word=word, met=last, mine=mine, out=out, keeper=keeper)


# -- the tablets of the shop -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("others", "said"),
    [
        ((), "Together with the hub"),
        ((other("Saw", 0, mine=True), other("Desk", 1, out=True)), "Together with the hub"),
        ((other("Bench", 89.9),), "Together with Bench, just now"),
        ((other("Bench", 90),), "Together; Bench last met 2 min ago"),
        ((other("Bench", 5), other("Drill", 6)), "Together with Bench and Drill, just now"),
        ((other("Bench", 5), other("Drill", 6), other("Desk", 7)), "Together with Bench and 2 others, just now"),
        ((other("Bench", 7200), other("Drill", 3600), other("Desk")), "Together; Drill last met 1 h ago"),
    ],
)
def test_the_mark_of_a_tablet_that_is_together(others: tuple[Tablet, ...], said: str) -> None:
    """Each tablet reports every half minute, so one that was heard from within 90 s is there."""
    assert mark_words(SyncStatus(state="together", others=others), NOW) == said


def test_the_mark_of_a_tablet_that_is_not() -> None:
    assert mark_words(SyncStatus(), NOW) == ""
    assert mark_words(SyncStatus(state="refused"), NOW) == "Not let in: see Settings, Together"
    assert mark_words(SyncStatus(state="waiting"), NOW) == "Out of date: see Settings, Together"
    assert mark_words(SyncStatus(state="alone"), NOW) == "Alone: all is kept here"
    assert (
        mark_words(SyncStatus(state="alone", since=NOW), NOW)
        == f"Alone since {NOW.astimezone():%H:%M}: all is kept here"
    )


def test_the_sheet_of_the_tablets() -> None:
    status = SyncStatus(
        state="alone", shop="Oak Lane", word="Saw", why="The hub isn't reached.", waiting=1, keeper=True,
        others=(
            other("Desk", 30, out=True), other("Drill"), other("Bench", 200, keeper=True), other("Saw", 1, mine=True),
            Tablet(login="x", word="Attic", met=met(1), copied=True),
        ),
    )  # fmt: skip
    card = together_card(status, NOW)
    assert card.title == "Saw of Oak Lane"
    assert card.said == "This tablet is Saw in Oak Lane. The hub isn't reached. 1 fact isn’t on the hub yet."
    assert (card.tone, card.joined, card.keeper) == ("ready", True, True)
    assert [(row.title, row.said, row.tone, row.can_go) for row in card.rows] == [
        ("Saw", "this tablet", "ready", False),
        ("Attic", "Two machines use its login: invite one of them again.", "caution", True),
        ("Bench", "last met 4 min ago, may invite others", "ready", True),
        ("Drill", "hasn't met the hub yet", "ready", True),
        ("Desk", "taken out", "ready", False),
    ]
    assert together_card(SyncStatus(state="together", trouble=("It is full.",)), NOW).tone == "caution"
    assert together_card(SyncStatus(state="refused"), NOW).tone == together_card(SyncStatus(state="waiting"), NOW).tone
    assert together_card(SyncStatus(state="waiting"), NOW).tone == "caution"
    alone = together_card(SyncStatus(), NOW)
    assert (alone.title, alone.joined) == ("On its own", False)
    assert alone.said.startswith("With a hub, every tablet of the shop shows")
    assert together_card(SyncStatus(state="alone", word="A", shop="B"), NOW).said == "This tablet is A in B."


def test_a_tablet_on_a_line_of_a_terminal() -> None:
    assert member_words("Saw", 5.0, mine=True, out=False, keeper=True) == "Saw: this tablet, keeper"
    assert member_words("Bench", 89.0, mine=False, out=False, keeper=False) == "Bench: met just now"
    assert member_words("Bench", 90.0, mine=False, out=True, keeper=True) == "Bench: taken out"
    assert member_words("Bench", None, mine=False, out=False, keeper=False) == "Bench: hasn't met the hub yet"
    assert in_two("It is full. Free some room. Then try again.") == ("It is full.", "Free some room. Then try again.")
    assert in_two("It is full.") == ("It is full.", "")


def test_names_that_no_tablet_has() -> None:
    """Of one that was taken out the name is free again; where all are taken, the next ones have a number."""
    names = ["Saw", "Bench", "Finishing", "Desk", "Drill", "Sanding"]
    assert free_names(SyncStatus()) == tuple(names)
    taken = SyncStatus(others=(other("saw"), other("Drill", out=True)))
    assert free_names(taken) == ("Bench", "Finishing", "Desk", "Drill", "Sanding", "Saw 2")
    assert free_names(SyncStatus(others=tuple(map(other, names)))) == tuple(f"{name} 2" for name in names)


# -- the record: backups, and what another tablet's adds ---------------------------------------------------------------


def test_each_backup_says_when_why_and_what_it_holds() -> None:
    made = datetime(2026, 3, 2, 8, 5)
    rows = restore_card([("a", made, "finished", 6), ("b", made, "someday", 7), ("c", made, "guard", 8)], 7)
    assert [row.title for row in rows] == ["Mon 2 Mar 2026, 08:05"] * 3
    assert [row.said for row in rows] == [
        "when a build was finished: 6 entries, 1 fewer than now",
        "someday: 7 entries, as many as now",
        "when the record's file was gone: 8 entries, 1 more than now",
    ]


def entry(tablet: str, count: int, fact: object, at: datetime = NOW) -> Entry:
    return Entry(tablet, count, {tablet: count - 1} if count > 1 else {}, at, fact)  # type: ignore[arg-type]


def test_what_another_record_adds_changes_and_where_it_comes_from() -> None:
    here = [entry("here", 1, Done("Stool#1", "leg:1", "cut"))]
    undone = Entry("there", 11, {"here": 1, "there": 10}, NOW + timedelta(hours=1), Undone("here", 1))
    steps = [entry("there", at, Done("Stool#1", f"slat:{at}", "cut")) for at in range(1, 10)]
    spoiled = entry("there", 10, Spoiled("Stool#1", "slat:1", "split"), datetime(2019, 12, 31, 23, 59, tzinfo=UTC))
    new = [*steps, spoiled, undone]
    card = take_in_card(replay(here), replay([*here, *new]), new, "here")
    assert (card.title, card.undoes) == ("11 new facts", True)
    assert [(row.title, row.said, row.tone, row.heading) for row in card.rows] == [
        ("What it changes here", "", "ready", True),
        ("Stool: 1 step would no longer be done", "leg 1 cut", "caution", False),
        ("Takes back 1 mark", "1 made on this tablet", "caution", False),
        ("1 piece spoiled on another tablet", "slat 1 of Stool", "caution", False),
        ("What it adds", "", "ready", True),
        ("Stool: 8 steps done", ", ".join(f"slat {at} cut" for at in range(2, 10)), "done", False),
        ("Where it comes from", "", "ready", True),
        (
            "Tablet there: 11 facts",
            "2019-12-31 23:59 to 2026-03-02 09:00 (UTC); 1 time can't be right: its clock had lost the date",
            "waiting",
            False,
        ),
    ]
    lines = list(take_in_lines(card))
    assert lines[:3] == ["11 new facts.", "What it changes here:", "  Stool: 1 step would no longer be done: leg 1 cut"]
    nothing = take_in_card(replay(here), replay(here), [], "here")
    assert (nothing.title, nothing.undoes, nothing.rows) == ("Nothing new", False, ())
    assert list(take_in_lines(nothing)) == ["Everything in this file is known here already."]


def test_of_many_pieces_eight_are_named() -> None:
    steps = [entry("there", at, Done("Stool#1", f"slat:{at}", "cut")) for at in range(1, 11)]
    card = take_in_card(replay([]), replay(steps), steps, "here")
    assert not card.undoes
    assert [row.said for row in card.rows if row.tone == "done"] == [
        "slat 1 cut, slat 10 cut, slat 2 cut, slat 3 cut, slat 4 cut, slat 5 cut, slat 6 cut, slat 7 cut and 2 more"
    ]
    assert [row.said for row in card.rows][-1] == "2026-03-02 08:00 to 2026-03-02 08:00 (UTC)"
    assert card.rows[-1].tone == "ready"


# -- the builds that this tablet knows ---------------------------------------------------------------------------------


def test_a_builds_row_says_how_far_it_is() -> None:
    bench = Bench(towel_frame())
    run, build = bench.run, bench.run.build
    row = build_row("/b/frame.toml", "frame.toml", build, (), run, bench.state)
    assert (row.title, row.said, row.tone, row.problems) == ("Towel frame", "4 pieces, not begun", "", ())
    bench.write(Opened(run.name, "frame.toml", build.revision))
    for key in ("rail:1", "rail:2"):
        assert bench.do(Do(key, "cut")) is None
    done, steps = progress(run, bench.state)
    assert (done, steps) == (2, sum(len(item.route) for item in run.items.values()))
    row = build_row("/b/frame.toml", "frame.toml", build, (), run, bench.state)
    assert row.said.startswith(f"2 of {steps} steps done")


def test_a_file_with_problems_says_the_first_that_has_a_line() -> None:
    text = b'[build]\nname = "A"\nunits = "mm"\n[woods.ash]\nspecies = "white ash"\nthickness = 20\nwidth = 0\n'
    problems = load_build(text).problems
    bench = Bench(towel_frame())
    row = build_row("/b/a.toml", "a.toml", None, problems, None, bench.state)
    wrong = [each for each in problems if each.kind == "problem"]
    first = next(each for each in wrong if each.line)
    assert (row.title, row.tone, len(row.problems)) == ("a.toml", "caution", len(wrong))
    assert row.said.startswith(
        f"{len(wrong)} problem{'s' if len(wrong) > 1 else ''}, the first in line {first.line}: {first.what}"
    )
    assert said_first(problems[:1]).startswith("line ") == bool(problems[0].line)
    none = build_row("/b/a.toml", "a.toml", None, (), None, bench.state)
    assert none.said == "0 problems"


def test_rows_with_the_same_title_show_where_they_are() -> None:
    rows = [
        lost_row(path, title, "", clock=False)
        for path, title in (
            ("/x/a/stool.toml", "Stool"),
            ("C:\\b\\stool.toml", "Stool"),
            ("/x/other.toml", "Stool"),
            ("/x/tray.toml", "Tray"),
        )
    ]
    said = [row.said for row in told_apart(rows, "/x/other.toml")]
    lost = "its file isn't on this tablet"
    assert said == [f"a/stool.toml: {lost}", f"b/stool.toml: {lost}", f"other.toml: open now, {lost}", lost]


def test_a_build_whose_file_is_gone() -> None:
    row = lost_row("k", "Stool", "/usb/stool.toml", clock=True)
    assert row.said == "its file isn't at /usb/stool.toml any more; one of its timers is running"
    assert row.problems == ("its file isn't at /usb/stool.toml any more",)
    assert (row.tone, row.path, row.revised) == ("caution", "k", False)
    assert lost_words("Stool", "/usb/s.toml", "/b") == (
        "Stool can't be opened: its file isn't at /usb/s.toml any more. Put it back there, or into /b."
    )
    assert lost_words("Stool", "", "/b") == "Stool can't be opened: its file isn't on this tablet. Put it into /b."
    reading = unread_row("/b/s.toml", "s.toml")
    assert (reading.title, reading.said, reading.tone, reading.problems) == ("s.toml", "being read", "waiting", ())


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ("425 mm high", "460 mm high", "was 425 mm high, now 460 mm high"),
        ("20 mm, 60 mm, oak", "20 mm, 65 mm, ash", "was 60 mm, oak, now 65 mm, ash"),
        ("20 mm, 60 mm", "20 mm", "was 20 mm, 60 mm, now 20 mm"),
        ("20 mm", "", "was 20 mm"), ("", "20 mm", "now 20 mm"),
    ],
)  # fmt: skip
def test_only_the_sizes_that_differ_are_said(was: str, now: str, said: str) -> None:
    assert was_now(was, now) == said
