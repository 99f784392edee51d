"""Screws, dowels and bolts on the cards: the setting of the drill, the distances to mark out, driving screws in and
undoing it.

Pilots, the lengths by thickness and the seat of a pocket are common practice, no source.
"""

from __future__ import annotations

from msgspec.structs import replace
from work.one_tablet import Bench, floor

from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.glueup.screws import screws_card
from tracker.cards.piece.drill import drill_setup
from tracker.cards.piece.marking_out import marking_out
from tracker.cards.piece.to_set import to_set
from tracker.design.load import load_build
from tracker.work.decide.decide import Do, Refusal
from tracker.work.routes import check_routes
from tracker.work.run import start_run

SHELF = """
[build]
name = "Shelf"
units = "in"
[woods.oak]
species = "{species}"
thickness = "3/4"
width = 8
lengths = ["8 ft"]
[[parts]]
id = "side"
name = "Side"
quantity = 2
wood = "oak"
length = 20
holes = [
  {{ kind = "screw", end = "A", from_edge = [2, 6], from_end = 4, screw = "1 1/4", recess = "1/4", plug = "3/8" }},
  {{ kind = "dowel", end = "B", face = "end", from_edge = 4, diameter = "3/8", length = 2 }},
]
[[parts]]
id = "board"
name = "Board"
quantity = 1
wood = "oak"
length = 30
holes = [
  {{ kind = "pocket", end = "both", from_edge = [2, 6], screw = "1 1/4", temporary = true }},
  {{ kind = "dowel", end = "A", face = "far", from_end = [6, 12], diameter = "3/8", depth = 1 }},
  {{ kind="bolt", end="B", from_edge=1, from_end=3, diameter="1/4", length=2, recess="1/4", counterbore="3/4" }},
]
[[assemblies]]
id = "shelf"
name = "Shelf"
joins = {{ side = 2, board = 1 }}
by = "glue and screws"
glue = "PVA, aliphatic (yellow)"
clamps = 2
"""


def bench(species: str = "white oak") -> Bench:
    loaded = load_build(SHELF.format(species=species))
    assert loaded.build is not None, loaded.problems
    return Bench(start_run(loaded.build))


def drilled(shop: Bench) -> Bench:
    for piece in shop.run.pieces:
        for step in piece.route:
            shop.must(Do(piece.key, step.id))
    return shop


def test_the_drill_s_setting_says_pilot_depth_and_screw() -> None:
    shop = bench()
    side = drill_setup(floor(shop), shop.run.items["side:1"])
    assert side.title == "Holes for screws No. 8 and Dowel holes 3⁄8″, 1″ deep"
    assert side.words == (
        "counterbore 3⁄8″, 1⁄4″ deep, first; bore 11⁄64″ through, back it up with scrap; "
        "screw 1\u20091⁄4″ No. 8, pilot 1⁄8″, common practice; set the depth stop; dowel 3⁄8″, 2″ long"
    )
    board = drill_setup(floor(shop), shop.run.items["board:1"])
    assert "collar for 3⁄4″ stock, 15°, seat 5⁄8″ from the end" in board.words, "0.8 of 3/4, to 1/16"
    assert (
        "screw 1\u20091⁄4″ No. 8 fine thread, only while the glue dries: out afterwards, common practice" in board.words
    )
    soft = drill_setup(floor(bench("eastern white pine")), shop.run.items["side:1"])
    assert "pilot 7⁄64″" in soft.words


def test_what_is_marked_out_names_edge_end_and_face() -> None:
    shop = bench()
    board = shop.run.items["board:1"]
    assert marking_out(floor(shop), board, board.step("drill")) == (
        "In the bottom face (turn it over): pockets at both ends, 2″ and 6″ from the near edge",
        "In the far edge: 3⁄8″ dowel holes, 1″ deep, 6″ and 12″ from end A, 3⁄8″ from the bottom face",
        "In the top face: 1⁄4″ bolt hole through, 3⁄4″ counterbore 1⁄4″ deep, 3″ from end B, 1″ from the near edge",
        "screw 1\u20091⁄4″ No. 8 fine thread, only while the glue dries: out afterwards, common practice",
        "dowel 3⁄8″, 2″ long",
        "bolt 1⁄4″, 2″ under its head",
    )
    side = shop.run.items["side:1"]
    assert marking_out(floor(shop), side, side.step("drill"))[1] == (
        "In end B: 3⁄8″ dowel hole, 1″ deep, 4″ from the near edge"
    )
    assert to_set(floor(shop), side, side.step("drill"), None).headline == "From near edge"


def test_screws_are_driven_in_the_clamps_and_come_out_after_the_cure() -> None:
    shop = drilled(bench())
    shelf = shop.run.items["shelf:1"]
    assert [step.id for step in shelf.route] == [
        "dry fit", "spread", "clamp", "drive screws", "unclamp", "take screws out",
    ]  # fmt: skip
    assert all(step.station == "bench" for step in shelf.route)
    shop.tick("shelf:1", "dry fit", "spread")
    refused = shop.do(Do("shelf:1", "drive screws"))
    assert isinstance(refused, Refusal)
    assert "clamped" in refused.reason
    shop.tick("shelf:1", "clamp")
    card = assembly_card(floor(shop), "shelf:1")
    assert card.action.text == "Screws are in Shelf"
    assert [tile.text for tile in card.tiles if tile.sheet == "screws"] == ["9 screws"]
    shop.tick("shelf:1", "drive screws")
    assert isinstance(shop.do(Do("shelf:1", "unclamp")), Refusal), "the clamp time runs on"
    shop.time += 3601
    shop.tick("shelf:1", "unclamp")
    refused = shop.do(Do("shelf:1", "take screws out"))
    assert isinstance(refused, Refusal)
    assert "cures" in refused.reason
    out = screws_card(floor(shop), "shelf:1")
    assert (out.count_words, [line.title for line in out.lines]) == ("4 screws", ["Board: 4 pocket screws"])
    assert "out afterwards" in out.lines[0].said
    shop.time += 86_400
    shop.tick("shelf:1", "take screws out")


def test_without_glue_driving_the_screws_is_what_joins_it() -> None:
    build = bench().run.build
    shelf = replace(build.assemblies[0], by="screws", glue=None)
    run = start_run(replace(build, assemblies=(shelf,)))
    drive = run.items["shelf:1"].step("drive screws")
    assert [step.id for step in run.items["shelf:1"].route] == ["dry fit", "drive screws", "take screws out"]
    assert drive is not None
    assert drive.loads, "what it joins is cured first"


def test_a_route_that_leaves_temporary_screws_in_or_meets_them_with_a_blade_is_a_problem() -> None:
    for route, words in (
        (["dry fit", "glue", "drive screws", "sand 120"], "doesn't take them out"),
        (["glue", "drive screws", "trim", "take screws out"], "'trim' comes before 'take screws out'"),
        (["drive screws", "glue", "take screws out"], "'drive screws' comes before 'glue'"),
    ):
        loaded = load_build(f"{SHELF.format(species='white oak')}route = {route}\n")
        assert loaded.build is not None
        assert any(words in each.what for each in check_routes(loaded.build)), route
