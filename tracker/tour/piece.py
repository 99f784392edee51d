"""The tour's part with a single piece: its options, the tape's keypad, scrapping, notes, the history."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.assets import asset_dir
from tracker.tour.guide import Guide
from tracker.words import say


def piece_stops(guide: Guide) -> Iterator[str]:
    """Starts with the first leg of the stool on the card, whose blank is still to be cut."""
    guide.this_piece()
    yield "20 this piece"
    guide.choose("Where it goes")
    guide.let_work()
    yield "20a where it goes"
    guide.leave_panel()
    guide.this_piece("Record a size")
    yield "21 what was measured"
    guide.choose(say("Length, {where}", where=say("blank")))
    yield "22 the tape's keypad"
    for digit in "45":
        guide.press_key(digit)
    yield "23 an unlikely length is held"
    guide.leave_panel()
    guide.this_piece("Add a note")
    guide.press_key("knot")
    yield "24 a note in words"
    guide.tap_words("Letters")
    yield "25 a note by letters"
    guide.tap_words("Save")
    guide.this_piece("Scrap")
    guide.tap_words("split")
    yield "26 spoiled, held to make it again"
    guide.leave_panel()
    guide.this_piece("Swap places")
    yield "27 changing places with a twin"
    guide.leave_panel()
    guide.this_piece("Set aside")
    yield "28 set aside"
    guide.choose("let the wood acclimate")
    yield "29 a piece that is aside"
    guide.go("history")
    yield "30 history"
    guide.tap_button()
    yield "31 taken back"
    yield from _revised(guide)


def _revised(guide: Guide) -> Iterator[str]:
    """A build file of the user's own that is revised after two pieces were cut."""
    text = (asset_dir("sample_projects") / "stool.toml").read_text(encoding="utf-8")
    text = text.replace('name = "Kitchen stool"', 'name = "Stool for the workshop"')
    file = guide.app.shop.library.folder / "workshop_stool.toml"
    file.write_text(text, encoding="utf-8")
    guide.open("Stool for the workshop")
    guide.work("leg:1")
    guide.work("rail:1", until="drill")
    file.write_text(text.replace("height = 425", "height = 460"), encoding="utf-8")
    guide.go("builds")
    guide.let_work()  # files are read in the background
    yield "32 a build file that was revised"
    guide.open("Stool for the workshop")
    yield "33 what was revised"
    guide.tap_words("Use the new version")
    guide.open_item("leg:1")
    yield "34 a piece made to the old version"
