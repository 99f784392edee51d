"""The tour's part with rough wood: a board is measured, entered on the rack and examined; a board is resawn and its
leaves rest; short pieces stay joined until they are milled; and the wood of a lid shows how it moves."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.screens.places.glueup_tiles import CardTile
from tracker.screens.toolkit.buttons import BigButton, HoldButton, SmallButton
from tracker.screens.toolkit.keypad import Key
from tracker.screens.toolkit.list_rows import ListRow
from tracker.tour.boards import wait_for_plans
from tracker.tour.guide import Guide
from tracker.work.decide.decide import Do

CHEST = """
[build]
name = "Tea chest"
units = "in"
currency = "USD"
[woods.walnut]
species = "black walnut"
rough = "8/4"
widths = "random"
grade = "FAS"
price_per_board_foot = 14
[woods.oak]
species = "white oak"
rough = "4/4"
widths = "random"
[[rack]]
wood = "walnut"
length = 60
width = 9
thickness = 2
name = "W1"
defects = [[52, 60, "near", "1 1/2"]]
[[rack]]
wood = "oak"
length = 66
width = 7
thickness = 1
name = "K1"
[[parts]]
id = "panel"
name = "Lid panel"
quantity = 2
wood = "walnut"
length = 18
width = 7
thickness = "3/4"
resaw = 2
[[parts]]
id = "slat"
name = "Slat"
quantity = 3
wood = "oak"
length = 5
width = "1 1/2"
[[parts]]
id = "batten"
name = "Batten"
quantity = 2
wood = "oak"
length = 13
width = 2
[[assemblies]]
id = "lid"
name = "Lid"
joins = { panel = 2 }
by = "glue"
glue = "PVA, aliphatic (yellow)"
clamps = 3
[[assemblies]]
id = "chest"
name = "Chest"
joins = { lid = 1, batten = 2, slat = 3 }
by = "screws"
fastens.lid = { by = "slots", at = ["-5 1/2", 0, "5 1/2"], through = "batten" }
"""


def rough_wood(guide: Guide) -> Iterator[str]:
    """From the rack to leaves that match."""
    (guide.app.shop.library.folder / "chest.toml").write_text(CHEST, encoding="utf-8")
    guide.open("Tea chest")
    guide.go("boards")
    wait_for_plans(guide)
    yield "18a boards of random width"
    guide.tap_kind(SmallButton, text="Rack")
    yield "18b the rack"
    guide.tap_words("Add a board")
    guide.choose("oak")
    yield "18c a board is measured in"
    for size in (60, 7, 1):
        measure(guide, size)
    guide.tap_kind(ListRow, key="rack/A1")
    yield "18d a board of the rack"
    guide.choose("Moisture")
    yield "18e what the meter says of it"
    guide.leave_panel()
    guide.leave_panel()
    guide.open_item("panel:1")
    do(guide, "panel:1", "cut", "joint")
    yield "18f a board to resaw"
    do(guide, "panel:1", "resaw")
    yield "18g leaves at rest"
    guide.open_item("slat:1")
    yield "18h short pieces stay joined"
    guide.open_item("lid:1")
    yield "18i a lid of two leaves"
    guide.open_item("chest:1")
    guide.tap_kind(CardTile, sheet="wood")
    yield "18j what the wood of a chest does"
    guide.leave_panel()


def measure(guide: Guide, inches: int) -> None:
    """Enter a length on the tape's keys; an unlikely one is held."""
    for digit in str(inches):
        guide.tap_kind(Key, key=digit)
    top = guide.app.root.children[0]
    save = [each for each in top.walk() if isinstance(each, HoldButton | BigButton)]
    held = [each for each in save if isinstance(each, HoldButton)]
    (guide.stage.hold if held else guide.stage.tap)((held or save)[0])
    guide.stage.run_for(0.4, 0.1)


def do(guide: Guide, key: str, *steps: str) -> None:
    """Do steps of an item, and show the item's card again."""
    for step in steps:
        guide.app.act(Do(key, step, run=guide.run))
    guide.open_item(key)
