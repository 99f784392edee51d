"""Several alike of a build: every quantity counts all of them, and each piece says which copy it goes into."""

from __future__ import annotations

from tracker.design import load_build
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


def test_a_sequence_is_not_multiplied() -> None:
    told = load_build(FILE.replace("length = 900\n", 'length = 900\nsequence = "seat"\n')).problems
    assert [each.what for each in told if each.kind == "problem"] == [
        "Slat: pieces of one sequence come from one board, and there are 3 copies"
    ]
