"""The words about the wood on the cards of each step, against independent sums.

White oak, flat-sawn: C_T 0.00365 per percent (Wood Handbook, FPL-GTR-190, table 13-5); moisture by its equation 4-5,
which `test_moisture.py` checks: 20 °C and 35, 50, 65 % are 6.97, 9.27, 12.00 %. Play of 0.5 mm, a screw of 4.2 mm, and
1.5 mm that may be held: common practice, no source.
"""

from __future__ import annotations

import pytest
from work.one_tablet import Bench, floor

from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.glueup.prove import prove_card
from tracker.cards.history import history_card
from tracker.cards.piece.piece import piece_card
from tracker.cards.wood.at_work import wood_card
from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.plan.wood import assess, held_by_contact, wood_problems
from tracker.work.decide.decide import Do, Refusal, next_step
from tracker.work.decide.intents import ReadMoisture, SetAir, Spoil, UndoEntry
from tracker.work.run import start_run

BUILD = """
[build]
name = "Side table"
units = "mm"
[woods.oak]
species = "white oak"
thickness = 22
width = 180
lengths = ["3 m"]
[[parts]]
id = "board"
name = "Board"
quantity = 4
wood = "oak"
length = 900
sequence = "top"
[[parts]]
id = "bearer"
name = "Bearer"
quantity = 2
wood = "oak"
length = 500
width = 50
[[parts]]
id = "shelf"
name = "Shelf"
quantity = 1
wood = "oak"
length = 800
[[parts]]
id = "panel"
name = "Panel"
wood = "oak"
length = 400
[[assemblies]]
id = "top"
name = "Top"
joins = { board = 4 }
by = "glue"
glue = "PVA, interior (white)"
[[assemblies]]
id = "table"
name = "Table"
joins = { top = 1, bearer = 2, shelf = 1, panel = 1 }
by = "screws"
prove = ["stands flat", "shelf carries 40 kg"]
[assemblies.fastens]
top = { by = "slots", at = ["-250", 0, 250], through = "bearer" }
shelf = { by = "screws" }
panel = { by = "groove", depth = 10 }
[[loads]]
on = "shelf"
weight = "20 kg"
years = true
"""
C_T = 0.00365
WIDE = 180
SHOP, DRY, DAMP = 9.271, 6.968, 11.996


def bench(text: str = BUILD) -> Bench:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return Bench(start_run(loaded.build))


def work(bench: Bench, key: str, until: str = "") -> None:
    for member in bench.run.items[key].members:
        work(bench, member)
    while (step := next_step(bench.run, bench.state, bench.run.items[key])) and step.id != until:
        assert not isinstance(bench.do(Do(key, step.id, "Tested: ready")), Refusal)


def test_attach_says_slots_and_what_is_not_screwed_solid() -> None:
    mine = bench()
    work(mine, "table:1", until="attach")
    card = assembly_card(floor(mine), "table:1")
    slot = 4.2 + 250 * C_T * (DAMP - DRY) + 2 * 0.5
    inner = 4.2 / 2 + 0.5 + 250 * C_T * (DAMP - SHOP)
    assert (slot, inner) == (pytest.approx(9.79, abs=0.01), pytest.approx(5.09, abs=0.01))
    said = card.facts_words
    assert "Slot 10 mm long, screw 5 mm from its inner end" in said.replace("\u2009", " ")
    moves = WIDE * C_T * (DAMP - SHOP)
    assert f"Don't screw Shelf solid: it moves {moves:.1f} mm" in said
    tile = next(tile for tile in card.tiles if tile.sheet == "wood")
    assert (tile.text, tile.tone) == (f"{4 * WIDE * C_T * (DAMP - DRY):.1f} mm", "caution")
    lines = {line.title: line.said for line in wood_card(floor(mine), "table:1").lines}
    shelf = lines["Don't screw Shelf solid"]
    assert "handbook figure" in shelf
    assert "common practice" in shelf
    assert f"up to {round(1.5 / (C_T * (DAMP - SHOP)))} mm wide" in shelf.replace("\u2009", " ")


def test_the_bearers_have_a_drilling_step_that_says_the_slot() -> None:
    mine = bench()
    assert [step.id for step in mine.run.items["bearer:1"].route] == ["cut", "rip", "drill"]
    work(mine, "bearer:1", until="drill")
    card = piece_card(floor(mine), "bearer:1")
    assert card.to_set.headline == "Slot length"
    assert card.to_set.reading.text.replace("\u2009", " ") == "10 mm"
    assert "250 mm from Top's middle: slot 10 mm, screw 5 mm in" in card.said.replace("\u2009", " ")


def test_a_panel_floats_in_its_groove() -> None:
    gap = WIDE * C_T * (DAMP - SHOP) / 2 + 0.5
    stays = 10 - gap - WIDE * C_T * (SHOP - DRY) / 2
    (found,) = assess(bench().run.build).gaps
    assert (found.gap, found.stays) == (pytest.approx(gap, abs=0.01), pytest.approx(stays, abs=0.01))
    assert piece_card(floor(bench()), "panel:1").said.startswith("floats: 2")
    shallow = load_build(BUILD.replace("depth = 10", "depth = 4")).build
    assert shallow is not None
    assert [each.enough for each in assess(shallow).gaps] == [False]
    assert groove_notes(shallow) == [BUILD.splitlines().index('panel = { by = "groove", depth = 10 }') + 1]
    assert groove_notes(bench().run.build) == []


def groove_notes(build: Build) -> list[int]:
    return [each.line for each in wood_problems(build) if "stays in its groove" in each.what]


def test_a_line_to_prove_has_the_arithmetic_of_its_own_load() -> None:
    """5/384 W L³ / E I with the handbook's E of white oak, 12,273 MPa: 40 kg on 800 x 180 x 22."""
    line = prove_card(floor(bench()), "table:1").lines[1]
    sag = 5 / 384 * 40 * 9.80665 * 800**3 / (12_273 * WIDE * 22**3 / 12)
    assert f"Shelf sags {sag:.1f} mm at once, {2 * sag:.1f} mm in years" in line.sums.replace("\u2009", " ")
    assert line.sums.startswith("By arithmetic: ")
    assert line.sums.endswith("Try it.")


def test_the_shops_air_serves_where_the_file_is_silent() -> None:
    mine = bench()
    mine.do(SetAir(20.0, 35.0))
    assert wood_card(floor(mine), "table:1").foot.startswith("Wood made at 7.0 % (35 % air, as entered)")
    said = bench(BUILD.replace('units = "mm"', 'units = "mm"\n[air]\nshop = 50'))
    said.do(SetAir(20.0, 35.0))
    assert "9.3 % (50 % air, from the build file)" in wood_card(floor(said), "table:1").foot


def test_a_meters_reading_overrules_the_air_until_the_piece_is_made_again() -> None:
    """Made at 12 %, the shelf only shrinks: 180 · C · (12.0 − 6.97)."""
    mine = bench()
    work(mine, "shelf:1")
    mine.do(ReadMoisture("shelf:1", 12.0))
    titles = [line.said for line in wood_card(floor(mine), "table:1").lines]
    assert f"It wants to move {WIDE * C_T * (12.0 - DRY):.1f} mm" in titles[0]
    assert history_card(floor(mine)).rows[0].title == "Shelf: 12 % moisture"
    mine.do(Spoil("shelf:1", "split"))
    again = wood_card(floor(mine), "table:1").lines[0].said
    assert f"It wants to move {WIDE * C_T * (DAMP - SHOP):.1f} mm" in again
    reading = next(iter(mine.state.whole(mine.run).moisture.values()))
    mine.do(UndoEntry(reading.id))
    assert not mine.state.whole(mine.run).moisture


@pytest.mark.parametrize("percent", [0.0, 2.9, 61.0, float("nan"), float("inf")])
def test_what_no_meter_reads_is_refused(percent: float) -> None:
    assert isinstance(bench().do(ReadMoisture("shelf:1", percent)), Refusal)


CROSSED = """
[build]
name = "Lid"
units = "mm"
[woods.oak]
species = "white oak"
thickness = 20
width = 400
lengths = ["2 m"]
[[parts]]
id = "lid"
name = "Lid"
wood = "oak"
length = 600
[[parts]]
id = "batten"
name = "Batten"
quantity = 2
wood = "oak"
length = {long}
width = 40
[[assemblies]]
id = "chest"
name = "Chest lid"
joins = {{ lid = 1, batten = 2 }}
by = "{by}"
{glue}
size = [600, 400, 40]
place = [
  {{ part = "lid", at = {{ bottom = 20 }} }},
  {{ part = "batten", lies = "B {way}, top up", at = {{ left = 100 }}, mirror = "left-right" }},
]
"""


@pytest.mark.parametrize(("by", "glue"), [("glue", 'glue = "PVA, interior (white)"'), ("screws", "")])
def test_battens_across_a_lid_are_found_from_where_they_are(by: str, glue: str) -> None:
    loaded = load_build(CROSSED.format(long=360, by=by, glue=glue, way="back"))
    assert loaded.build is not None, loaded.problems
    (lid, batten) = sorted(held_by_contact(loaded.build), key=lambda each: -each.moves)
    assert (lid.of, lid.to, lid.verdict) == ("Lid", "Batten", "no")
    assert lid.moves == pytest.approx(360 * C_T * (DAMP - SHOP), abs=0.01)
    assert batten.moves == pytest.approx(40 * C_T * (DAMP - SHOP), abs=0.01)


def test_battens_along_the_grain_hold_nothing() -> None:
    loaded = load_build(CROSSED.format(long=160, by="screws", glue="", way="right"))
    assert loaded.build is not None, loaded.problems
    assert held_by_contact(loaded.build) == ()


def test_a_row_of_fastens_is_asked_instead_of_the_places() -> None:
    text = CROSSED.format(long=360, by="screws", glue='fastens.lid = { by = "slots", at = [150] }', way="back")
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    assert held_by_contact(loaded.build) == ()


PLY = """
[build]
name = "Box"
units = "mm"
[woods.ply]
species = "yellow birch"
thickness = 12
sheets = [[1200, 2400]]
[[parts]]
id = "side"
wood = "ply"
length = 400
width = 300
"""


def test_what_plywood_moves_is_not_said() -> None:
    found = assess(bench(PLY).run.build)
    assert (found.movements, found.sheets) == ((), ("ply",))
