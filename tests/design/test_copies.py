"""Several copies of a build: every quantity counts all of them, and each piece names its copy."""

from __future__ import annotations

import pytest
from kit.build_text import one_wood

from tracker.design import load_build
from tracker.plan.boards.blanks import demand_of
from tracker.work.run import start_run

FILE = """[build]
name = "Three benches"
units = "mm"
copies = 3
[woods.oak]
species = "white oak"
thickness = 22
width = 60
lengths = ["3 m"]
[[parts]]
id = "leg"
name = "Leg"
left = 2
right = 2
wood = "oak"
length = 400
[[parts]]
id = "slat"
name = "Slat"
quantity = 5
wood = "oak"
length = 900
steps = [{ do = "round the ends", jig = "template" }]
[[parts]]
id = "template"
wood = "oak"
length = 100
[[assemblies]]
id = "end"
joins = { leg = 2 }
by = "dry"
[[assemblies]]
id = "bench"
joins = { end = 2, slat = 4 }
by = "dry"
[[hardware]]
name = "Screw"
quantity = 16
"""


def test_everything_is_made_three_times_but_a_jig() -> None:
    build = load_build(FILE).build
    assert build is not None
    assert {part.id: part.quantity for part in build.parts} == {"leg": 12, "slat": 15, "template": 1}
    assert {each.id: each.quantity for each in build.assemblies} == {"end": 6, "bench": 3}
    assert [each.quantity for each in build.hardware] == [48]


def test_each_piece_says_the_copy_that_it_goes_into() -> None:
    build = load_build(FILE).build
    assert build is not None
    items = start_run(build).items
    for item in items.values():
        bench = item
        while bench.into:
            bench = items[bench.into]
        if bench.id == "bench":
            assert item.copy == bench.number, item.key
    assert items["leg:1"].title == "Leg 1 of 12, left, copy 1"
    assert items["template:1"].copy == 0


def test_one_copy_says_nothing_of_it() -> None:
    build = load_build(FILE.replace("copies = 3\n", "")).build
    assert build is not None
    items = start_run(build).items.values()
    assert {item.copy for item in items} == {0}
    assert all("copy" not in item.title for item in items)


def test_each_copy_has_its_own_sequence() -> None:
    build = load_build(FILE.replace("length = 900\n", 'length = 900\nsequence = "seat"\n')).build
    assert build is not None
    runs = [batch for batch in demand_of(build, build.woods[0]).runs if batch.sequence]
    assert [[blank.piece for blank in batch.blanks] for batch in runs] == [
        [1, 2, 3, 4, 5], [6, 7, 8, 9, 10], [11, 12, 13, 14, 15],
    ]  # fmt: skip
    assert [batch.sequence for batch in runs] == ["seat, copy 1", "seat, copy 2", "seat, copy 3"]


CHEST = (
    one_wood("Chest", "mm", "oak", "white oak", "thickness = 12", "width = 100", 'lengths = ["3 m"]')
    + """\
[[parts]]
id = "side"
name = "Side"
left = 1
right = 1
wood = "oak"
length = 400
sequence = "box"
[[parts]]
id = "front"
name = "Front"
wood = "oak"
length = 500
sequence = "box"
[[parts]]
id = "knob"
name = "Knob"
quantity = 2
wood = "oak"
length = 30
[[parts]]
id = "leg"
name = "Leg"
quantity = 4
wood = "oak"
length = 300
[[assemblies]]
id = "face"
name = "Face"
joins = { front = 1, knob = 2 }
by = "dry"
[[assemblies]]
id = "drawer"
name = "Drawer"
copies = 4
joins = { face = 1, side = 2 }
by = "dry"
[[assemblies]]
id = "chest"
name = "Chest"
joins = { drawer = 4, leg = 4 }
by = "dry"
"""
)


def test_copies_of_an_assembly_multiply_what_goes_into_it_and_nothing_else() -> None:
    build = load_build(CHEST).build
    assert build is not None
    assert {part.id: part.quantity for part in build.parts} == {"side": 8, "front": 4, "knob": 8, "leg": 4}
    assert {each.id: each.quantity for each in build.assemblies} == {"face": 4, "drawer": 4, "chest": 1}
    items = start_run(build).items
    assert items["knob:5"].title == "Knob 5 of 8, Drawer 3"
    assert items["side:2"].title == "Side 2 of 8, left, Drawer 2"
    assert items["face:4"].title == "Face 4 of 4, Drawer 4"
    assert (items["drawer:3"].title, items["leg:1"].title) == ("Drawer 3 of 4", "Leg 1 of 4")


def test_a_piece_is_named_by_the_assembly_that_it_really_goes_into() -> None:
    build = load_build(CHEST.replace('units = "mm"', 'units = "mm"\ncopies = 3')).build
    assert build is not None
    assert {part.id: part.quantity for part in build.parts} == {"side": 24, "front": 12, "knob": 24, "leg": 12}
    items = start_run(build).items
    for item in items.values():
        above = item
        while above.into and above.id != "drawer":
            above = items[above.into]
        inside = above.id == "drawer" and above is not item
        assert item.within == (above.short if inside else ""), item.key
        assert not inside or item.copy == (above.number - 1) // 4 + 1


def test_the_pieces_of_a_sequence_stay_with_their_copy() -> None:
    build = load_build(CHEST).build
    assert build is not None
    items = start_run(build).items
    for batch in demand_of(build, build.woods[0]).runs:
        if batch.sequence:
            assert len({items[f"{blank.part}:{blank.piece}"].within for blank in batch.blanks}) == 1
            assert len(batch.blanks) == 3


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("joins = { drawer = 4,", "joins = { drawer = 3,", "there are 4 copies of 'drawer', but 3 of it are joined"),
        ("joins = { drawer = 4, leg = 4 }", "joins = { drawer = 4, leg = 4, knob = 1 }",
         "'knob' goes into 'face', made 4 times over by copies, and into 'chest'"),
        ("copies = 4", "copies = 0", "Drawer: copies:"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_copies_is_said_with_its_line(old: str, new: str, said: str) -> None:
    problems = load_build(CHEST.replace(old, new)).problems
    assert any(each.what.startswith(said) and each.line for each in problems), problems
