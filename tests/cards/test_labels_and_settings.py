"""What a label says about the joinery, what the labels screen counts, and what a tablet is set to out of its box."""

from __future__ import annotations

import pytest
from work.one_tablet import Bench, towel_frame

from tests.bench.feature_gallery import build_text
from tracker.cards.help import HELP, help_for
from tracker.cards.labels.joinery import joinery_words
from tracker.cards.labels.labels import labels_card
from tracker.cards.labels.labels_of_run import board_words, label_keys, labels_for
from tracker.cards.reports.piece_work import joint_words
from tracker.cards.scan.titles import named_item, titles_of
from tracker.cards.settings.settings import SETTINGS, screen_words, settings_card
from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.floor.floor import Floor
from tracker.work.facts import Labelled
from tracker.work.run import start_run

RACK = """
[build]
name = "Bench"
units = "mm"
[shop]
kerf = 3
end_trim = 10
[woods.oak]
species = "white oak"
thickness = 20
width = 100
lengths = ["2 m"]
[[rack]]
wood = "oak"
length = 900
name = "R1"
defects = [[100, 140]]
[[rack]]
wood = "oak"
length = 1200
width = 90
name = "R2"
end_trim = 0
[[parts]]
id = "rail"
name = "Rail"
quantity = 2
wood = "oak"
length = 500
allowance = 20
laps = [{ end = "A", from_end = 100, crosses = "rail" }]
[[parts]]
id = "pin"
name = "Pin"
quantity = 3
wood = "oak"
length = 60
labels = false
[[assemblies]]
id = "all"
name = "Whole"
joins = { rail = 2, pin = 3 }
by = "dry"
"""


def built(text: str) -> Build:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return loaded.build


@pytest.mark.parametrize(
    ("part", "words"),
    [
        ("notch-corner", "Notch near edge"), ("mortise", "2 mortises near edge"), ("tenon-haunched", "Tenon end B"),
        ("groove-end", "Groove end A"), ("dado-slanted", "Dado bottom face"), ("bore-row", "8 bores top face"),
        ("dowel", "3 dowel holes end A"), ("bolt", "Bolt hole top face"), ("counterbore", "Counterbore near edge"),
        ("slot", "Slot top face"), ("chamfer", "Chamfer near top, end A top, end B top, far top"),
        ("round-over", "Round over near top, far top"), ("cove", "Cove far bottom"), ("bevel", "Bevel near edge"),
        ("rabbet-end", "Rabbet bottom face"), ("frame", "2 mortises near edge · groove near edge"), ("many", ""),
    ],
)  # fmt: skip
def test_a_label_says_what_to_cut_into_its_piece(part: str, words: str) -> None:
    """The features are those of the build file; the short line leaves out where they are."""
    found = joinery_words(built(build_text([])).part(part), None)
    assert [each.replace("\u00a0", " ") for each in found[:1]] == ([words] if words else [])
    assert len(found) == (2 if words else 0)
    if part == "frame":
        assert found[1].replace("\u00a0", " ") == "2 mortises · groove"


def test_labels_of_pieces_assemblies_and_boards() -> None:
    """A board of 900 mm with a knot from 100 to 140 mm has 10 mm of trim and 3 mm of kerf at each end."""
    run = start_run(built(RACK))
    assert label_keys(run) == ("rail:1", "rail:2", "all:1", "rack/R1", "rack/R2")
    assert label_keys(run, boards=False) == ("rail:1", "rail:2", "all:1")
    rail, _, whole, board, other = labels_for(run, label_keys(run))
    assert (rail.title, rail.final, rail.blank) == ("Rail 1 of 2", "500 mm × 100 mm × 20 mm", "520 mm × 100 mm × 20 mm")
    assert (rail.joinery, rail.ends) == (("Half-lap top face", "Half-lap"), (("square",), ("square",)))
    assert (whole.title, whole.lines) == ("Whole", ("2 × Rail", "3 × Pin"))
    assert (board.title, board.final, board.lines[0]) == ("Board R1", "900 mm × 100 mm × 20 mm", "white oak")
    assert board.lines[1] == f"{board_words(run, run.boards['rack/R1'])[2]}, from end A on"
    assert other.final == "1200 mm × 90 mm × 20 mm"
    assert other.lines[1] == "clear: 1200 mm, from end A on"


def test_the_labels_screen_counts_what_has_none_yet() -> None:
    bench = Bench(start_run(built(RACK)))

    first = labels_card(Floor(bench.run, bench.state, bench.now), "rail:2")
    assert (first.said, first.new_said) == ("2 pieces, 1 assembly, 2 rack boards", "5 without a label")
    assert (first.hand, first.one, first.can_undo) == (("rail:2",), "Rail 2 of 2", False)
    assert [(each.title, each.said) for each in first.boards] == [
        ("Board R1", "white oak, 900 mm, no label yet"), ("Board R2", "white oak, 1200 mm, no label yet"),
    ]  # fmt: skip
    bench.write(Labelled(bench.run.name, ("rail:1", "rack/R1")))
    some = labels_card(Floor(bench.run, bench.state, bench.now), "")
    assert (some.new, some.new_said, some.hand, some.one) == (
        ("rail:2", "all:1", "rack/R2"),
        "3 without a label",
        (),
        "",
    )
    assert [each.said for each in some.boards] == ["white oak, 1200 mm, no label yet", "white oak, 900 mm, has a label"]
    bench.write(Labelled(bench.run.name, ("rail:2", "all:1", "rack/R2")))
    assert labels_card(Floor(bench.run, bench.state, bench.now), "").new_said == "all have a label"


def test_scanned_labels_are_asked_for_by_their_titles() -> None:
    run = start_run(built(RACK))
    codes = [run.codes[key] for key in ("rail:2", "rack/R2")]
    assert titles_of(run, [*codes, "NOSUCHCODE"]) == (("Rail 2 of 2", codes[0]), ("Board R2", codes[1]))  # type: ignore[list-item]
    assert named_item(run, codes[1]) == ("rack/R2", "Board R2")
    assert named_item(None, codes[0]) is None


def test_a_tablet_out_of_its_box() -> None:
    """A right hand, by day, at the saw, with the tapes and the kerf that are usual (common practice, no source)."""
    assert [(setting.name, choice.value) for setting, choice in settings_card({}).rows] == [
        ("handed", "right"), ("theme", "day"), ("sound", "on"), ("station", "saw"), ("tablet name", "Shop tablet"),
        ("units", ""), ("inch mark", "1/16 in"), ("metric mark", "1 mm"), ("kerf", ""), ("max miter", "50"),
        ("max bevel", "45"), ("backups kept", "14"),
    ]  # fmt: skip
    chosen = {setting.name: choice.word for setting, choice in settings_card({"handed": "left", "theme": "odd"}).rows}
    assert (chosen["handed"], chosen["theme"], chosen["kerf"]) == (
        "left hand",
        "bright day",
        "ordinary: 1/8 in or 3 mm",
    )
    assert len({setting.name for setting in SETTINGS}) == len(SETTINGS)
    assert screen_words(159.6, "card") == "160 points to an inch, measured with a bank card"


def test_every_screen_has_its_help_and_others_that_of_the_station() -> None:
    assert help_for("clocks") == HELP["clocks"]
    assert help_for("no such screen") == HELP["station"]


@pytest.mark.parametrize(
    ("joint", "said"),
    [
        ({"kind": "ring", "sides": 6, "lean_deg": 10.0, "butted": False}, "ring of 6, leaning 10°"),
        ({"kind": "ring", "sides": 5, "lean_deg": 0, "butted": True}, "ring of 5, butted"),
        ({"kind": "corner", "angle_deg": 90.0, "lean_deg": 2.5, "butted": True}, "corner of 90°, leaning 2.5°, butted"),
        ({"kind": "splayed leg", "front_deg": 8.0, "side_deg": 12.5}, "splayed leg, 8° in front and 12.5° at the side"),
    ],
)
def test_a_joint_in_words(joint: dict[str, object], said: str) -> None:
    assert joint_words(joint) == said


def test_the_frame_of_the_work_has_labels_too() -> None:
    bench = Bench(towel_frame())
    card = labels_card(Floor(bench.run, bench.state, bench.now), "peg:1")
    assert (card.said, card.boards) == ("4 pieces, 1 assembly", ())
    assert [label.hand for label in labels_for(bench.run, ["peg:1", "peg:2", "rail:1"])] == [
        "left-hand",
        "right-hand",
        "",
    ]
