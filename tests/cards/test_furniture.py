"""The words and marks of an assembly's picture: the current piece in its place, and which pieces are there and which
are not."""

from __future__ import annotations

from itertools import combinations
from math import cos, radians, sin

import pytest
from work.one_tablet import Bench, floor

from tracker.assets import asset_dir
from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.picture.furniture import (
    START,
    TURN,
    Scenes,
    assembly_in_place,
    build_in_place,
    no_picture_words,
    piece_in_place,
    side_words,
)
from tracker.cards.piece.piece_options import OptionsCard, options_card
from tracker.design.joining import Numbered
from tracker.design.load import load_build
from tracker.floor.floor import Floor
from tracker.plan.place import PlaceError
from tracker.plan.place.bodies import bounds
from tracker.plan.place.side_by_side import side_by_side
from tracker.plan.placeable import MOST_LOOSE
from tracker.work.decide.intents import Check, CheckIn, Do, Swap
from tracker.work.run import start_run


def bench_of(text: str) -> Bench:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return Bench(start_run(loaded.build))


def stool_text() -> str:
    return (asset_dir("sample_projects") / "stool.toml").read_text(encoding="utf-8")


def without_places(text: str, *assemblies: str) -> str:
    """The file without the rows of these assemblies, or of all."""
    kept, assembly, inside = [], "", False
    for line in text.splitlines():
        if line.startswith("id = "):
            assembly = line.split('"')[1]
        inside = inside or (line.startswith("place = [") and (not assemblies or assembly in assemblies))
        if not inside:
            kept.append(line)
        inside = inside and line != "]"
    return "\n".join(kept)


def mirrored_stretcher(text: str) -> str:
    """A build in which a stretcher has a button's hole at one end only, so that it isn't its own mirror image."""
    wrong = text.replace('kind = "blind", end = "both", from_edge = 50', 'kind = "blind", end = "A", from_edge = 50')
    wrong = wrong.replace('top = "= height" }, around = [0, 180] }', 'top = "= height" }, mirror = "left-right" }')
    assert wrong.count("mirror") > text.count("mirror")
    assert wrong.count('"both"') < text.count('"both"')
    return wrong


def make(bench: Bench, *keys: str) -> None:
    """Do the whole routes of these items."""
    for key in keys:
        for step in bench.run.items[key].route:
            bench.must(Do(key, step.id))


def roles(bench: Bench, key: str) -> dict[Numbered, set[str]]:
    """How each piece is shown, by the number of its place."""
    here = floor(bench)
    card = (piece_in_place if here.item(key).kind == "piece" else assembly_in_place)(here, key)
    scenes = Scenes(here.run.build)
    picture = scenes.picture(card)
    placed = scenes._placer.placed(*card.assembly)
    found: dict[Numbered, set[str]] = {}
    for face, role in picture.faces:
        found.setdefault(placed[face.piece].key, set()).add(role)
    return found


def test_a_piece_is_marked_in_the_assembly_that_it_goes_into() -> None:
    bench = bench_of(stool_text())
    card = piece_in_place(floor(bench), "leg:1")
    assert card.title == "Leg 1 of 4: its place in Leg frame 1 of 2"
    assert roles(bench, "leg:1") == {("leg", 1): {"here"}, ("leg", 2): {"pale"}, ("rail", 1): {"pale"}}
    assert roles(bench, "leg:4") == {("leg", 3): {"pale"}, ("leg", 4): {"here"}, ("rail", 2): {"pale"}}


def test_a_swapped_piece_is_marked_where_it_goes_now() -> None:
    bench = bench_of(stool_text())
    bench.must(Swap("leg:1", "leg:4"))
    card = piece_in_place(floor(bench), "leg:1")
    assert card.title == "Leg 1 of 4: its place in Leg frame 2 of 2"
    assert card.here == {("leg", 4)}
    make(bench, "leg:1")
    assert assembly_in_place(floor(bench), "frame:2").done == {("leg", 4)}
    assert assembly_in_place(floor(bench), "frame:1").done == frozenset()


def test_what_is_ready_is_wood_and_once_one_is_scanned_in_what_was_is() -> None:
    bench = bench_of(stool_text())
    make(bench, "leg:1", "rail:1")
    assert roles(bench, "frame:1") == {("leg", 1): {"wood"}, ("leg", 2): {"missing"}, ("rail", 1): {"wood"}}
    assert assembly_in_place(floor(bench), "frame:1").said == "Outlined, still to come: Leg 2."
    make(bench, "leg:2")
    assert assembly_in_place(floor(bench), "frame:1").said == "All its parts are ready."
    bench.must(CheckIn("frame:1", "rail:1"))
    assert roles(bench, "frame:1") == {("leg", 1): {"missing"}, ("leg", 2): {"missing"}, ("rail", 1): {"wood"}}
    assert assembly_in_place(floor(bench), "frame:1").said == "Outlined, not scanned in yet: Leg 1, Leg 2."
    bench.must(Check("frame:1", "parts"))
    card = assembly_in_place(floor(bench), "frame:1")
    assert (card.done, card.said) == ({("leg", 1), ("leg", 2), ("rail", 1)}, "All its parts are here.")


def test_of_an_assembly_that_goes_in_all_pieces_come_at_once() -> None:
    bench = bench_of(stool_text())
    make(bench, "leg:1", "leg:2", "rail:1")
    assert set().union(*roles(bench, "base:1").values()) == {"missing"}, "its frame is still to glue"
    for step in bench.run.items["frame:1"].route:
        bench.time += 30 * 86_400
        bench.must(Do("frame:1", step.id, "Tested: ready"))
    done = assembly_in_place(floor(bench), "base:1").done
    assert done == {("leg", 1), ("leg", 2), ("rail", 1)}


def test_the_piece_says_where_it_goes_only_where_the_build_does() -> None:
    def row(card: OptionsCard) -> list[str]:
        return [option.said for option in card.options if option.key == "place"]

    said = options_card(floor(bench_of(stool_text())), "leg:3")
    assert (row(said), said.note) == (["Leg frame 2 of 2"], "")
    unsaid = options_card(floor(bench_of(without_places(stool_text(), "frame"))), "leg:3")
    assert (row(unsaid), unsaid.note) == (
        [],
        "The build file doesn't say where the pieces of Leg frame 2 of 2 go.",
    )
    none = options_card(floor(bench_of(without_places(stool_text()))), "leg:3")
    assert (row(none), none.note) == ([], "")


def test_an_assembly_has_a_picture_only_where_the_build_says_all_its_places() -> None:
    def pictured(text: str) -> list[str]:
        here = floor(bench_of(text))
        return [item.id for item in here.run.assemblies if assembly_card(here, item.key).placed and item.number == 1]

    assert pictured(stool_text()) == ["frame", "base", "seat", "stool"]
    assert pictured(without_places(stool_text(), "frame")) == ["seat"], "a run of boards has its places by itself"


def test_a_wrong_place_is_a_sentence_with_its_line() -> None:
    text = mirrored_stretcher(stool_text())
    line = next(at for at, row in enumerate(text.splitlines(), 1) if 'part = "stretcher"' in row)
    bench = bench_of(text)
    with pytest.raises(PlaceError) as told:
        Scenes(bench.run.build).picture(assembly_in_place(floor(bench), "base:1"))
    words = no_picture_words(told.value)
    assert words.startswith(f"There is no picture of it. Line {line} of the build file: Base: a mirrored Stretcher")


def test_it_says_which_side_is_seen() -> None:
    """The eye is at (sin, -cos) of the turn: the front is toward -y, the right toward +x."""
    for turned in range(START, START + 360, TURN):
        x, y = sin(radians(turned)), -cos(radians(turned))
        said = side_words(turned % 360)
        assert ("front" in said) == (-y > cos(radians(67.5)))
        assert ("back" in said) == (y > cos(radians(67.5)))
        assert ("right" in said) == (x > cos(radians(67.5)))
        assert ("left" in said) == (-x > cos(radians(67.5)))


def test_another_piece_marked_needs_no_other_order() -> None:
    bench = bench_of(stool_text())
    scenes = Scenes(bench.run.build)
    one, other = (scenes.picture(piece_in_place(floor(bench), key)) for key in ("leg:1", "leg:2"))
    assert all(a is b for (a, _), (b, _) in zip(one.faces, other.faces, strict=True))
    assert one.dashes != other.dashes
    assert scenes.picture(piece_in_place(floor(bench), "leg:1"), START + TURN).bounds != one.bounds


def test_a_build_as_far_as_it_is() -> None:
    bench = bench_of(stool_text())
    floor = Floor(bench.run, bench.state, bench.now)
    card = build_in_place(floor, "stretcher:1")
    assert card is not None
    assert (card.title, card.done) == ("Stool: 0 of 11 pieces made", frozenset())
    assert card.here == {("stretcher", 1)}
    for step in bench.run.items["leg:2"].route:
        bench.must(Do("leg:2", step.id))
    card = build_in_place(Floor(bench.run, bench.state, bench.now))
    assert card is not None
    assert card.done == {("leg", 2)}
    assert card.said.startswith("Outlined, still to make: Leg 1, Rail 1, Leg 3, Leg 4 and 6 more.")


def test_a_build_without_places_is_its_pieces_side_by_side() -> None:
    bench = bench_of(without_places(stool_text(), "stool"))
    for step in bench.run.items["leg:2"].route:
        bench.must(Do("leg:2", step.id))
    card = build_in_place(floor(bench), "leg:1")
    assert card is not None
    assert (card.title, card.done, card.here) == ("1 of 11 pieces made", {("leg", 2)}, {("leg", 1)})
    assert card.said.startswith("Blue is the piece in hand. Outlined, still to make: ")
    assert Scenes(bench.run.build).picture(card).faces
    pieces = side_by_side(bench.run.build)
    assert {piece.key for piece in pieces} == {(item.id, item.number) for item in bench.run.pieces}
    boxes = [bounds(piece.points) for piece in pieces]
    assert all(low[2] == pytest.approx(0) for low, _ in boxes), "each lies on its face"
    for (low, high), (other_low, other_high) in combinations(boxes, 2):
        assert any(high[at] < other_low[at] or other_high[at] < low[at] for at in (0, 1)), "none lies on another"
    across, deep = (max(high[at] for _, high in boxes) for at in (0, 1))
    assert 1 / 3 < across / deep < 3


def test_many_loose_pieces_have_no_picture() -> None:
    text = without_places(stool_text(), "stool").replace("quantity = 4", f"quantity = {MOST_LOOSE}", 1)
    bench = bench_of(text)
    assert len(list(bench.run.pieces)) > MOST_LOOSE
    assert build_in_place(floor(bench)) is None


TWO = """
[build]
name = "Two pegs"
units = "mm"
copies = 2
[woods.ash]
species = "white ash"
thickness = 20
width = 60
lengths = [2000]
[[parts]]
id = "block"
name = "Block"
wood = "ash"
length = 300
[[parts]]
id = "cap"
name = "Cap"
wood = "ash"
length = 300
[[assemblies]]
id = "peg"
name = "Peg"
joins = { block = 1, cap = 1 }
by = "dry"
place = [
  { part = "block", lies = "A left, top up", at = { left = 0, front = 0, bottom = 0 } },
  { part = "cap", lies = "A left, top up", at = { left = 0, front = 0, bottom = 20 } },
]
"""


def test_of_two_of_a_build_the_one_in_hand_is_shown_or_the_first_that_is_not_made() -> None:
    bench = bench_of(TWO)

    def shown(current: str = "") -> tuple[str, str]:
        card = build_in_place(floor(bench), current)
        assert card is not None
        return card.title, card.said

    assert shown() == ("Peg 1 of 2, copy 1: 0 of 2 pieces made", "Outlined, still to make: Block 1, Cap 1.")
    assert shown("cap:2")[0] == "Peg 2 of 2, copy 2: 0 of 2 pieces made"
    make(bench, "block:1", "cap:1")
    assert shown() == ("Peg 2 of 2, copy 2: 0 of 2 pieces made", "Outlined, still to make: Block 2, Cap 2.")
    assert shown("cap:1") == ("Peg 1 of 2, copy 1: 2 of 2 pieces made", "Blue is the piece in hand.")
    make(bench, "block:2")
    assert shown() == ("Peg 2 of 2, copy 2: 1 of 2 pieces made", "Outlined, still to make: Cap 2.")
    make(bench, "cap:2")
    assert shown() == ("Peg 1 of 2, copy 1: 2 of 2 pieces made", "All its pieces are made.")
