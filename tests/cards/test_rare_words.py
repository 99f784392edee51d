"""Words that few builds need: a piece that is what is left, what has no place, no figure or no screw."""

from __future__ import annotations

import pytest
from kit.build_text import one_wood
from work.one_tablet import BUILD, Bench, towel_frame

from tests.cards.board_shop import Saw
from tracker.cards.boards.sheet import board_sheet
from tracker.cards.boards.shopping import shopping_card
from tracker.cards.builds.revision import revision_card
from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.keypad.moisture import read_moisture
from tracker.cards.picture.furniture import no_picture_words, piece_in_place
from tracker.cards.piece.drill import fastener_words, screw_words
from tracker.cards.piece.piece import piece_card
from tracker.cards.reports.boards import boards_lines
from tracker.cards.station.settings_of_work import ready_words, work_setting
from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.floor.boards import laid_out
from tracker.floor.floor import Floor
from tracker.work.decide.intents import Do, OpenBuild, ReadMoisture, Refusal
from tracker.work.run import start_run

HEAD = one_wood("Exact", "mm", "ash", "white ash", "thickness = 50", "width = 60", "lengths = [2000]").replace(
    "[woods", "[shop]\nkerf = 3\nend_trim = 0\n[woods", 1
)
EXACT = f"""{HEAD}
[[parts]]
id = "long"
name = "Long"
wood = "ash"
length = 1000
[[parts]]
id = "short"
name = "Short"
wood = "ash"
length = 997
"""
"""1000 + 3 + 997: the second piece is what the first cut leaves."""


def built(text: str) -> Build:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return loaded.build


def test_a_piece_that_is_what_is_left_needs_no_cut() -> None:
    saw = Saw(start_run(built(EXACT)))
    plan = saw.plan()
    assert list(boards_lines(saw.run.build, plan))[-2:] == [
        "        997 mm  Short 1",
        "        no cut  Long 1, which is what is left",
    ]
    (sheet,) = board_sheet(saw.run, laid_out(plan), "said").boards
    assert [(cut.number, cut.at, cut.falls, cut.mark) for cut in sheet.cuts] == [
        ("1", "997 mm", "Short", ""), ("1", "no cut", "Long is what is left", ""),
    ]  # fmt: skip
    saw.take_plan()
    said = []
    for _ in range(2):
        board = saw.card().board
        assert board is not None
        assert board.undo is not None
        said.append((board.falls, board.measured, board.action.text, board.undo.text, board.reading is None))
        saw.tap()
    assert said == [
        ("Cut off Short", "from end A", "Short is cut", "this plan", False),
        ("No cut: the rest is Long", "", "Long is cut", "Short cut", True),
    ]


JOINED = """
[[assemblies]]
id = "all"
name = "All"
joins = {{ long = 1 }}
{more}
"""


def test_what_has_no_figure_is_listed_without_one() -> None:
    """Paste wax; hot hide glue is brushed on both faces (common practice)."""
    more = 'by = "glue"\nglue = "hot hide glue"\nfinish = { kind = "paste wax", coats = 2 }'
    card = shopping_card(built(EXACT + JOINED.format(more=more)), ())
    rows = {row.title: row.said for group in card.groups for row in group.rows}
    # All faces of Long: 2 × (1000 × 60 + 1000 × 50 + 60 × 50) mm² = 0.226 m², and that twice.
    assert rows["paste wax"] == "2 coats on 0.5 m²; no figure is known"
    assert rows["hot hide glue"] == "0 cm² of joints; no figure is known"
    assert card.unknown == ""
    assert card.total == "no price is known"


def test_a_piece_that_goes_into_nothing() -> None:
    bench = Bench(start_run(built(EXACT)))
    floor = Floor(bench.run, bench.state, bench.now)
    with pytest.raises(ValueError, match=r"^Long goes into nothing$"):
        piece_in_place(floor, "long:1")
    assert no_picture_words(ValueError("it has no shape")) == "There is no picture of it: it has no shape."
    steps = 'steps = [{ do = "shave it", after = "cut", station = "bench" }]'
    bench = Bench(
        start_run(built(EXACT.replace("length = 1000", f'length = 1000\nroute = ["cut", "shave it"]\n{steps}')))
    )
    item = bench.run.items["long:1"]
    assert work_setting(Floor(bench.run, bench.state, bench.now), item, item.route[1]).title == "Shave it"


@pytest.mark.parametrize(
    ("count", "here", "said"),
    [
        (0, False, "nothing ready"), (1, False, "1 ready"), (3, True, "you are here, 3 ready"),
        (0, True, "you are here, nothing ready"),
    ],
)  # fmt: skip
def test_how_much_is_ready_at_a_station(count: int, here: bool, said: str) -> None:
    assert ready_words(count, here=here) == said


def test_stock_that_is_too_thick_has_no_usual_pocket_screw() -> None:
    """Above 1 3/4 in, 44.5 mm: common practice, no source."""
    pocket = 'holes = [{ kind = "pocket", end = "A", from_edge = 30 }]'
    build = built(EXACT.replace("length = 1000", f"length = 1000\n{pocket}"))
    part = build.part("long")
    assert screw_words(build, part) == ""
    assert fastener_words(build, part, part.holes[0]) == ""
    build = built(
        EXACT.replace("thickness = 50", "thickness = 19").replace("length = 1000", f"length = 1000\n{pocket}")
    )
    assert screw_words(build, build.part("long")) == "30 mm fine thread"
    assert fastener_words(build, build.part("long"), build.part("long").holes[0]) == "screw 30 mm fine thread"


def test_a_reading_of_the_meter_is_one_intent() -> None:
    assert read_moisture("Exact#1", "long:1", 9.3) == ReadMoisture("long:1", 9.3, run="Exact#1")


def to_set_at_each_step(more: str) -> list[tuple[str, str, str, list[tuple[str, str]], str]]:
    """The number of each step of a piece of 1000 mm, its name, which cut it is, what else is set, and how."""
    bench = Bench(start_run(built(EXACT.replace("length = 1000", f"length = 1000\n{more}"))))
    found = []
    for step in bench.run.items["long:1"].route:
        number = piece_card(Floor(bench.run, bench.state, bench.now), "long:1").to_set
        angles = [(str(getattr(each, "plain", each)), words) for each, words in number.angles]
        found.append(
            (str(getattr(number.reading, "plain", number.reading)), number.headline, number.which, angles, number.how)
        )
        bench.must(Do("long:1", step.id))
    return found


DOWEL = 'kind = "dowel", end = "A", face = "end", from_edge = 30, from_face = 9, diameter = 8, length = 40'


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("allowance = 10", [
            ("1010 mm", "Stop block", "Blank", [], ""),
            ("5 mm", "Mark from end A", "", [], "From the blank's end, blade left."),
            ("1000 mm", "Stop block", "End B, second cut", [], ""),
        ]),
        ("allowance = 10\nend_a = { miter = 15 }\nend_b = { bevel = 10 }", [
            ("1010 mm", "Stop block", "Blank", [], ""),
            ("5 mm", "Mark from end A", "", [("15°", "swing left")], "From the blank's end, blade left."),
            ("1000 mm", "Stop block", "End B, second cut", [("10°", "tilt left")], "Check 1000 mm longest edge."),
        ]),
        (f"holes = [{{ {DOWEL} }}]", [
            ("1000 mm", "Stop block", "Blank", [], ""),
            ("30 mm", "From near edge", "", [("9 mm", "from bottom")], ""),
        ]),
        ('holes = [{ kind = "through", end = "both", from_edge = [20, 40], from_end = 33, diameter = 8 }]', [
            ("1000 mm", "Stop block", "Blank", [], ""),
            ("20 mm", "From near edge", "", [("40 mm", "next row"), ("33 mm", "from ends")], ""),
        ]),
    ],
)  # fmt: skip
def test_the_number_of_each_step(more: str, expected: list[object]) -> None:
    """Half of the allowance is marked at the first end; the stop is for the longest edge."""
    assert to_set_at_each_step(more) == expected


def test_what_was_done_to_a_piece_that_a_revision_left_out() -> None:
    bench = Bench(start_run(built(EXACT)))
    bench.must(OpenBuild("exact.toml"))
    bench.must(Do("long:1", "cut"))
    after = Bench(start_run(built(EXACT.replace('id = "long"', 'id = "longer"'))))
    after.take_in(bench.entries)
    card = revision_card(after.run, after.state)
    assert [(row.title, row.said, row.tone == "caution", row.heading) for row in card.rows] == [
        ("Done, but no longer in the build", "", False, True), ("Long 1", "cut", True, False),
        ("What changed", "", False, True), ("Long", "new\ngone", False, False),
    ]  # fmt: skip


def test_a_member_that_was_made_to_the_old_version_says_so_in_its_assembly() -> None:
    bench = Bench(towel_frame())
    bench.must(OpenBuild("frame.toml"))
    for step in ("cut", "trim"):
        bench.tick("rail:1", step)
    after = Bench(start_run(built(BUILD.replace("length = 500", "length = 510"))))
    after.take_in(bench.entries)
    members = assembly_card(Floor(after.run, after.state, after.now), "frame:1").members
    assert [(each.said, each.tone) for each in members[:2]] == [
        ("made to the old version: 10 mm too short (500 mm, now 510 mm)", "caution"), ("still to cut", ""),
    ]  # fmt: skip


def test_a_cut_is_undone_after_what_was_done_since() -> None:
    saw = Saw(start_run(built(EXACT.replace("length = 997", "length = 987\nallowance = 10"))))
    saw.take_plan()
    saw.tap()
    saw.must(Do("short:1", "trim A"))
    board = saw.card().board
    assert board is not None
    assert board.undo is not None
    assert (board.undo.text, board.undo.refusal) == (
        "Short", Refusal("Short is trimmed at end A: take that back first."),
    )  # fmt: skip
