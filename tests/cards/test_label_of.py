"""The words of the labels of pieces, assemblies and boards; lengths computed by hand from the file."""

from __future__ import annotations

from tracker.cards.labels.labels_of_run import label_keys, labels_for
from tracker.design.load import load_build
from tracker.work.run import Run, start_run

FILE = """
[build]
name = "Key rack"
units = "mm"
[shop]
kerf = 3
end_trim = 10
[woods.oak]
species = "white oak"
thickness = 20
width = 80
lengths = [2000]
[[rack]]
wood = "oak"
length = 900
name = "W4"
defects = [[300, 340], [610, 611]]
[[rack]]
wood = "oak"
length = 100
name = "W5"
defects = [[0, 100]]
[[parts]]
id = "back"
name = "Back"
quantity = 2
wood = "oak"
length = 400
[[assemblies]]
id = "pair"
name = "Pair"
joins = { back = 2 }
by = "screws"
"""


def key_rack() -> Run:
    loaded = load_build(FILE)
    assert loaded.build is not None, loaded.problems
    return start_run(loaded.build)


def test_a_board_says_its_wood_its_size_and_what_is_clear() -> None:
    run = key_rack()
    (label,) = labels_for(run, ["rack/W4"])
    assert label.title == "Board W4"
    assert label.final == "900 mm × 80 mm × 20 mm"
    # 10 to 300; 340 to 610; the check at 610 takes a kerf, so 613 to 890.
    assert label.lines == ("white oak", "clear: 290 mm + 270 mm + 277 mm, from end A on")
    assert label.code == run.codes["rack/W4"]


def test_a_board_of_which_nothing_is_clear_says_so() -> None:
    (label,) = labels_for(key_rack(), ["rack/W5"])
    assert label.lines[1].startswith("clear: nothing")


def test_a_piece_says_what_joinery_is_cut_into_it() -> None:
    """Its kinds in the order of the file, with the sides that they are on; then without."""
    rows = """features = [
      { kind = "tenon", on = "A", length = 20, width = 60, thickness = 8 },
      { kind = "tenon", on = "B", length = 20, width = 60, thickness = 8 },
      { kind = "groove", on = "near", width = 6, depth = 8 },
      { kind = "bore", on = "top", from = { A = 100 }, diameter = 5, depth = 10, count = 4, spacing = 32 },
      { kind = "profile", edges = ["far top", "far bottom"], shape = "round over", radius = 3 },
    ]
    """
    text = FILE.replace("length = 400\n", f"length = 400\n{rows}")
    found = joinery(text, "back:1")
    assert found == (
        "2 tenons end A, end B · groove near edge · 4 bores top face · round over far top, far bottom",
        "2 tenons · groove · 4 bores · round over",
    )
    assert joinery(FILE, "back:1") == ()


def test_a_right_hand_piece_has_its_joinery_at_the_other_edge_and_half_laps_count() -> None:
    rows = 'features = [{ kind = "notch", on = "near", from = { A = 0 }, length = 30, depth = 20 }]\n'
    laps = 'laps = [{ end = "B", from_end = 60, crosses = "back" }]\n'
    text = FILE.replace("quantity = 2\n", "left = 1\nright = 1\n").replace(
        "length = 400\n", f"length = 400\n{rows}{laps}"
    )
    assert joinery(text, "back:1")[0] == "Notch near edge · half-lap top face"
    assert joinery(text, "back:2")[0] == "Notch far edge · half-lap top face"


def joinery(text: str, key: str) -> tuple[str, ...]:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    (label,) = labels_for(start_run(loaded.build), [key])
    return tuple(line.replace("\u00a0", " ") for line in label.joinery)


def test_whatever_has_a_code_has_one_label() -> None:
    run = key_rack()
    assert label_keys(run) == ("back:1", "back:2", "pair:1", "rack/W4", "rack/W5")
    assert [label.code for label in labels_for(run, label_keys(run))] == [run.codes[key] for key in label_keys(run)]
    assert [label.title for label in labels_for(run, run.items)] == ["Back 1 of 2", "Back 2 of 2", "Pair"]
