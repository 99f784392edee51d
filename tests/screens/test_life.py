"""The options of a piece by touch: the keypad for lengths, scrapping with a held button, swaps, notes, undo in the
history."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from kit.driver import Driver
from kit.story import Maker, new_app

from tracker.assets import asset_dir
from tracker.measure import millimetres
from tracker.screens.overlays.tape import TapeSheet
from tracker.screens.toolkit.buttons import BigButton, HoldButton
from tracker.screens.toolkit.keypad import Key
from tracker.screens.toolkit.list_rows import ListRow
from tracker.tour.headless import HandTime


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    """A maker at the saw; the current piece is the first leg of the stool, with its blank cut."""
    maker = Maker(run_app(new_app(tmp_path, hand_time)))
    maker.open("Kitchen stool")
    maker.scan("leg:1")
    maker.do_next()
    return maker


def choose(maker: Maker, *words: str) -> None:
    """Tap `this piece`, then one option after the other."""
    maker.driver.tap_text("This piece")
    for word in words:
        maker.driver.tap(next(button for button in maker.driver.find(BigButton) if button.text == word))


def press(maker: Maker, *keys: str) -> None:
    for key in keys:
        maker.driver.tap(next(each for each in maker.driver.find(Key) if each.key == key))


def state_of(maker: Maker) -> Any:
    return maker.app.shop.state


def said(maker: Maker) -> str:
    return str(maker.card().said)


def test_a_length_is_typed_and_stands_on_the_card(maker: Maker) -> None:
    choose(maker, "Record a size", "Length, blank")
    press(maker, "4", "5", "9", "+1/2")
    sheet = maker.driver.find(TapeSheet)[0]
    assert sheet.echo.text == "459.5mm"
    assert sheet.card.said == "as planned"
    maker.driver.tap_text("Save 459.5 mm")
    assert said(maker).split(" · ")[-1] == "length 459.5 mm, as planned"
    maker.undo()
    assert said(maker) == ""
    assert maker.marks()["cut"] == "done", "the reading was taken back, not the cut"


def test_a_length_out_by_ten_is_kept_only_when_it_is_held(maker: Maker) -> None:
    choose(maker, "Record a size", "Length, blank")
    press(maker, "4", "5")
    button = maker.driver.find(HoldButton)[0]
    assert "tenth" in button.sub_text
    maker.driver.tap(button)
    assert maker.driver.find(TapeSheet), "a tap keeps nothing"
    maker.driver.hold(button)
    assert not maker.driver.find(TapeSheet)
    run, state = maker.app.shop.run, state_of(maker)
    assert state.measures(run, run.items["leg:1"])["length"].fact.actual == millimetres(45).grid_up()


def test_a_key_that_cannot_come_now_stops_the_entry_and_is_seen(maker: Maker) -> None:
    choose(maker, "Record a size", "Width")
    press(maker, "0")
    sheet = maker.driver.find(TapeSheet)[0]
    assert sheet.card.said == "No length begins with 0."
    press(maker, "3", "8")
    assert sheet.entry.typed == ("0",)
    maker.driver.tap_text("Erase")
    press(maker, "3", "8")
    assert sheet.card.said == "as planned"


def test_waste_is_held_and_the_piece_begins_anew(maker: Maker) -> None:
    choose(maker, "Scrap")
    button = maker.driver.find(HoldButton)[0]
    assert button.disabled
    maker.driver.hold(button)
    maker.driver.tap_text("Split")
    finger = maker.driver.press(button)
    maker.driver.run_for(0.6)
    maker.driver.move(finger, (button.center_x, button.top + 100))
    maker.driver.run_for(0.8)
    maker.driver.release(finger)
    assert maker.marks()["cut"] == "done", "sliding off cancels"
    maker.driver.hold(button)
    assert maker.marks()["cut"] == "ready"
    assert said(maker) == "second making: split"
    maker.undo()
    assert maker.marks()["cut"] == "done"


def test_twins_change_places(maker: Maker) -> None:
    choose(maker, "Swap places")
    maker.driver.tap([row for row in maker.driver.find(ListRow) if row.title == "Leg 3 of 4"][-1])
    run, state = maker.app.shop.run, state_of(maker)
    assert state.into(run, run.items["leg:1"]) == "frame:2"


def test_a_note_in_words_and_letters(maker: Maker) -> None:
    choose(maker, "Add a note")
    press(maker, "knot")
    maker.driver.tap_text("Letters")
    maker.driver.tap_text("Space")
    press(maker, "A", "T")
    maker.driver.tap(next(button for button in maker.driver.find(BigButton) if button.text == "Save"))
    assert said(maker).split(" · ")[-1] == "knot at"


def test_aside_until_it_is_taken_up_again(maker: Maker) -> None:
    choose(maker, "Set aside", "Let the wood acclimate")
    assert maker.big_button().disabled
    assert maker.card().action.why == "Set aside: let the wood acclimate"
    choose(maker, "Back to work")
    assert not maker.big_button().disabled


def test_the_history_takes_back_what_nothing_was_built_upon(maker: Maker) -> None:
    maker.do_next()
    maker.go("history")
    rows = [row for row in maker.driver.find(ListRow) if row.title.startswith("Leg 1")]
    assert {row.title for row in rows} == {"Leg 1: trimmed at end B", "Leg 1: cut"}
    maker.driver.tap(next(row for row in rows if row.title == "Leg 1: cut"))
    assert maker.app.root.screen.card.why == "Leg 1: trimmed at end B since. Take that back first."
    assert maker.big_button().disabled
    maker.driver.tap(next(row for row in maker.driver.find(ListRow) if row.title == "Leg 1: trimmed at end B"))
    maker.driver.tap(maker.big_button())
    run, state = maker.app.shop.run, state_of(maker)
    assert state.steps(run, run.items["leg:1"]) == {"cut"}


def test_a_revised_file_says_what_no_longer_fits_before_it_is_worked_by(maker: Maker) -> None:
    text = (asset_dir("sample_projects") / "stool.toml").read_text(encoding="utf-8")
    text = text.replace('name = "Kitchen stool"', 'name = "My stool"')
    file = maker.app.shop.library.folder / "mine.toml"
    file.write_text(text, encoding="utf-8")
    maker.open("My stool")
    maker.work("rail:1")
    file.write_text(text.replace("leg = 38", "leg = 36"), encoding="utf-8")
    maker.open("My stool")
    rows = {row.title: row.subtitle for row in maker.driver.find(ListRow)}
    assert "4 mm too short: make another" in rows["Rail 1 of 2"], rows
    before = maker.app.shop.run.digest
    maker.driver.tap_text("Use the new version")
    assert maker.app.shop.run.digest != before
    maker.scan("rail:1")
    assert maker.card().said_tone == "caution"
    assert maker.card().said.startswith("made to the old version")


def test_a_file_revised_while_the_tablet_was_off_is_said_at_the_start(
    run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    text = (asset_dir("sample_projects") / "stool.toml").read_text(encoding="utf-8")
    (tmp_path / "builds").mkdir()
    file = tmp_path / "builds" / "mine.toml"
    file.write_text(text.replace('name = "Kitchen stool"', 'name = "My stool"'), encoding="utf-8")
    maker = Maker(run_app(new_app(tmp_path, hand_time)))
    maker.open("My stool")
    assert not maker.app.root.said
    maker.driver.stop()
    file.write_text(file.read_text(encoding="utf-8").replace("leg = 38", "leg = 36"), encoding="utf-8")
    again = Maker(run_app(new_app(tmp_path, hand_time)))
    assert again.app.root.said.startswith("The build file was revised since it was opened")
