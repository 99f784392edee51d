"""A board on the rack by taps only: measured in, measured again, priced, labelled, found by its label, removed."""

from __future__ import annotations

from pathlib import Path

import pytest
from kit.story import Maker
from kivy.uix.image import Image as Picture
from msgspec.structs import replace
from PIL import Image

from tests.screens.test_labels import other, printed, tap
from tests.screens.test_rough_oak import maker as maker
from tests.screens.test_rough_oak import measure_in, rack, think, type_length
from tracker.cards.rack.rack import changed
from tracker.screens.toolkit.buttons import BigButton, SmallButton
from tracker.screens.toolkit.keypad import Key
from tracker.screens.toolkit.list_rows import ListRow
from tracker.work.decide.decide import Refusal


def open_rack(maker: Maker) -> None:
    maker.go("boards")
    think(maker)
    maker.driver.tap_text("Rack")
    maker.driver.run_for(0.4, 0.05)


def listed(maker: Maker, board: str) -> ListRow:
    """The board's row on the topmost sheet."""
    rows = (each for each in maker.app.root.children[0].walk() if isinstance(each, ListRow))
    return next(each for each in rows if each.key == f"rack/{board}")


def choose(maker: Maker, board: str, option: str) -> None:
    maker.driver.tap(listed(maker, board))
    maker.driver.run_for(0.4, 0.05)
    maker.driver.tap_text(option)
    maker.driver.run_for(0.4, 0.05)


def back(maker: Maker) -> None:
    """Tap the Back button of the topmost sheet."""
    maker.driver.run_for(0.4, 0.05)
    top = maker.app.root.children[0]
    maker.driver.tap(next(each for each in top.walk() if isinstance(each, SmallButton) and each.text == "Back"))
    maker.driver.run_for(0.4, 0.05)


def row(maker: Maker, board: str) -> str:
    found = listed(maker, board)
    return f"{found.title} | {found.subtitle}"


def test_a_board_is_measured_again_priced_labelled_and_given_back(maker: Maker, tmp_path: Path) -> None:
    open_rack(maker)
    measure_in(maker, 2000, 230)
    assert row(maker, "A1") == "A1: 2000 mm × 230 mm × 27 mm | oak · no label yet"

    choose(maker, "A1", "Size")
    maker.driver.tap_text("Width")
    maker.driver.run_for(0.4, 0.05)
    type_length(maker, 225)
    assert rack(maker)["A1"].width == 225 * 320
    assert "225 mm" in row(maker, "A1")

    choose(maker, "A1", "Price")
    for key in ("4", "2", ".", "5"):
        maker.driver.run_for(0.1, 0.05)
        keys = maker.driver.find(SmallButton, text=".") if key == "." else maker.driver.find(Key, key=key)
        maker.driver.tap(next(each for each in keys if each.get_root_window()))
    maker.driver.tap(next(each for each in maker.driver.find(BigButton, text="Save") if each.get_root_window()))
    maker.driver.run_for(0.4, 0.05)
    assert rack(maker)["A1"].price == "42.50"
    assert rack(maker)["A1"].width == 225 * 320

    back(maker)
    maker.go("labels")
    maker.driver.run_for(0.4, 0.05)
    other(maker, "A rack board")
    tap(maker, "Board A1")
    code = maker.app.floor().run.codes["rack/A1"]
    assert printed(tmp_path / "labels" / "Boot bench Board A1.pdf") == {code}
    maker.driver.scan(code)
    assert maker.app.root.said.startswith("Board A1 on the rack: white oak, 2000 mm × 225 mm × 27 mm, clear: 1950 mm")

    open_rack(maker)
    assert row(maker, "A1").endswith("oak · labelled")
    choose(maker, "A1", "Remove board")
    assert "A1" not in rack(maker)
    with pytest.raises(StopIteration):
        listed(maker, "A1")


def test_a_photo_from_the_folder_of_pictures_is_kept_and_looked_at(maker: Maker, tmp_path: Path) -> None:
    """The photo's name is stored; a file that isn't a picture is refused, and no file outside the folder is named."""
    folder = tmp_path / "pictures"
    folder.mkdir(exist_ok=True)
    Image.new("RGB", (640, 120), (150, 110, 70)).save(folder / "walnut.png")
    (folder / "broken.jpg").write_bytes(b"no picture")
    open_rack(maker)
    measure_in(maker, 2000, 230)
    choose(maker, "A1", "Photo")
    maker.driver.tap_text("walnut.png")
    maker.driver.run_for(0.4, 0.05)
    assert rack(maker)["A1"].picture == "walnut.png"
    assert rack(maker)["A1"].width == 230 * 320
    choose(maker, "A1", "Photo")
    maker.driver.tap_text("Look at it")
    maker.driver.until_thread(lambda: [each for each in maker.driver.find(Picture) if each.texture])
    back(maker)
    choose(maker, "A1", "Photo")
    maker.driver.tap_text("broken.jpg")
    maker.driver.run_for(0.4, 0.05)
    choose(maker, "A1", "Photo")
    maker.driver.tap_text("Look at it")
    maker.driver.until_thread(lambda: any("broken.jpg: " in text for text in maker.driver.texts()))
    known = changed(maker.app.floor(), "rack/A1")
    for name in ("../secret.png", "a/b.png", ".hidden.png", "x" * 300):
        assert isinstance(maker.app.shop.do(replace(known, picture=name)), Refusal)
