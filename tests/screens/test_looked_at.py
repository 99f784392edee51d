"""Faults found by looking at the pictures: where am I, what is wrong, how do I go on?"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from kit.boxes import in_view
from kit.driver import Driver
from kit.story import Maker, new_app

from tracker.assets import asset_dir
from tracker.screens.overlays.work_sheet import WorkSheet, queue_rows
from tracker.screens.places.assembly import AssemblyView
from tracker.screens.toolkit.buttons import BigButton
from tracker.screens.toolkit.list_rows import ListRow, StripCell
from tracker.tour.headless import HandTime


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    return Maker(run_app(new_app(tmp_path, hand_time)))


def rows_in_view(maker: Maker) -> list[str]:
    """The rows of the list of all work, and the numbers of its strips, that nothing cuts."""
    (sheet,) = maker.driver.find(WorkSheet)
    view = sheet.ids.list.ids.view
    low, top = view.to_window(view.x, view.y)[1], view.to_window(view.x, view.top)[1]
    rows = [row for row in view.walk() if isinstance(row, ListRow | StripCell)]
    return [row.key for row in rows if low - 1 <= row.to_window(row.x, row.y)[1] <= top - row.height + 1]


def piece_of(key: str | tuple[str, str]) -> str:
    """The piece of a row's key, which is that of a piece or of one of its steps."""
    return key if isinstance(key, str) else key[0]


def test_the_row_of_a_scanned_piece_is_in_view_wherever_the_queue_was_left(maker: Maker) -> None:
    maker.open("Hall bench")
    maker.driver.run_for(0.4, 0.1)
    rows = [row for row in queue_rows(maker.app.floor(), maker.app.root.screen.card) if not row.group]
    keys = [piece_of(key) for row in rows for key in ([cell.key for cell in row.cells] or [row.key])]
    for key in (keys[-1], keys[0], keys[len(keys) // 2]):
        maker.scan(key)
        maker.driver.run_for(0.4, 0.1)
        chosen = [cell.key for cell in maker.driver.find(StripCell, chosen=True) if in_view(cell)]
        assert [piece_of(each) for each in chosen] == [key], "its number is above its card"
        maker.driver.tap_text("All work")
        maker.driver.run_for(0.4, 0.1)
        selected = maker.app.root.screen.selected
        assert piece_of(selected) == key
        assert selected in rows_in_view(maker)
        maker.driver.tap_text("Back")
        maker.driver.run_for(0.4, 0.1)


def test_a_build_file_with_a_slip_says_which_line_to_mend(maker: Maker) -> None:
    text = (asset_dir("sample_projects") / "stool.toml").read_text(encoding="utf-8")
    line = 1 + text[: text.index("quantity")].count("\n")
    (maker.app.shop.library.folder / "tray.toml").write_text(text.replace("quantity", "quantitty"), encoding="utf-8")
    maker.go("scan")
    maker.go("builds")
    maker.open("tray.toml")
    assert maker.app.root.current == "builds"
    assert f"Fix line {line}: " in maker.app.root.said
    assert "did you mean 'quantity'?" in maker.app.root.said


def test_where_nothing_is_ready_one_tap_leads_to_the_station_with_most_to_do(maker: Maker) -> None:
    maker.open("Hall bench")
    maker.driver.run_for(0.4, 0.1)
    maker.app.move_to_station("finishing")
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap(next(button for button in maker.driver.find(BigButton) if button.text == "Go to the saw"))
    assert maker.app.station == "saw"
    assert maker.card().key


def test_two_builds_of_one_name_can_be_told_apart(maker: Maker) -> None:
    stool = (asset_dir("sample_projects") / "stool.toml").read_text(encoding="utf-8")
    for name in ("stool_low.toml", "stool.toml"):
        (maker.app.shop.library.folder / name).write_text(stool, encoding="utf-8")
    maker.open("Hall bench")
    maker.app.shop.settings["build file"] = str(maker.app.shop.library.folder / "stool_low.toml")
    maker.go("builds")
    maker.app.worker.submit(lambda: None, lambda _: None).result()  # files are read in the background
    maker.driver.run_for(0.4, 0.1)
    rows = [row for row in maker.app.root.screen.ids.list.rows if row.title == "Kitchen stool"]
    assert [row.subtitle.partition(":")[0] for row in rows] == [
        "builds/stool.toml",
        "stool_low.toml",
        "sample_projects/stool.toml",
    ]
    assert ["open now" in row.subtitle for row in rows] == [False, True, False]
    assert all(":" not in row.subtitle for row in maker.app.root.screen.ids.list.rows if row not in rows)


def test_what_is_in_the_way_of_a_glueup_is_large_where_it_has_room(maker: Maker) -> None:
    maker.open("Doorstep planter")
    maker.go("glueup")
    maker.driver.run_for(0.4, 0.1)
    (view,) = maker.driver.find(AssemblyView)
    assert view.why == "6 sides still to cut"
    assert view.ids.why.font_size == maker.app.theme.note
    assert [tile.sheet for tile in view.tiles][:2] == ["parts", "checks"], "and not at the cost of the tiles"
