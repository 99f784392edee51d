"""A spreadsheet of twenty parts becomes a build, and a piece of it is cut: on the tablet only, by touch."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, StoryClock

from tracker.screens.overlays.cut_list import CutListSheet, ListedPartsSheet, TableColumn
from tracker.screens.toolkit.buttons import BigButton, HoldButton, SmallButton
from tracker.screens.toolkit.list_rows import ListRow
from tracker.shop import read_build
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

HEAD = ["Piece", "Qty", "Long (in)", "Wide (in)", "Thick (in)", "Stock", "Remarks"]
PARTS = [
    ["Top rail", 2, "32 1/2", "3 1/2", "3/4", "white oak", ""],
    ["Bottom rail", 2, "32 1/2", "5", "3/4", "white oak", ""],
    ["Stile", 4, "28", "2 1/4", "3/4", "white oak", "pairs"], ["Shelf", 3, "31 3/4", "9 1/4", "3/4", "white oak", ""],
    *([f"Slat {number}", 1, f"{20 + number}", "1 1/2", "1/2", "white ash", ""] for number in range(1, 17)),
]  # fmt: skip
Open = Callable[[Look, Path], Maker]


def spreadsheet(path: Path) -> None:
    book = openpyxl.Workbook()
    for row in (HEAD, *PARTS, ["Total", sum(int(part[1]) for part in PARTS)]):
        book.active.append(row)
    book.save(path)


@pytest.fixture
def tablet(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Callable[[Look], Maker]:
    def start(look: Look) -> Maker:
        width, height, dpi = SCREEN_SIZES[look.screen]
        app = app_with(look, tmp_path / "kerfcard", StoryClock(hand_time), **{"first steps": "seen"})
        return Maker(run_app(app, (width, height), dpi))

    return start


def let_work(maker: Maker) -> None:
    maker.driver.run_for(0.6, 0.1)
    Guide(maker.app, maker.driver).let_work()
    maker.driver.run_for(0.6, 0.1)


def tap(maker: Maker, kind: type, **wanted: str) -> None:
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap(maker.driver.find(kind, **wanted)[0])
    let_work(maker)


def offered(maker: Maker, name: str) -> CutListSheet:
    maker.go("builds")
    let_work(maker)
    tap(maker, SmallButton, text="From a list")
    tap(maker, BigButton, text=name)
    return maker.driver.find(CutListSheet)[0]


@pytest.mark.parametrize("look", [Look("1920x1200"), Look("1200x1920", "shop", "left")], ids=lambda look: look.screen)
def test_a_spreadsheet_becomes_a_build_and_a_piece_of_it_is_cut(
    look: Look, tablet: Callable[[Look], Maker], tmp_path: Path
) -> None:
    maker = tablet(look)
    folder = maker.app.shop.library.folder
    spreadsheet(folder / "bookcase.xlsx")
    sheet = offered(maker, "bookcase.xlsx")
    assert [view.field for view in sheet.columns] == [
        "name",
        "quantity",
        "length",
        "width",
        "thickness",
        "wood",
        "notes",
    ]
    assert not maker.driver.judge(*walk.ALL_RULES)
    tap(maker, BigButton, text="See the parts")
    assert not list(folder.glob("*.toml"))
    parts = maker.driver.find(ListedPartsSheet)[0]
    assert not parts.looked  # twenty rows are more than a screen holds
    for _ in range(30):
        down = next(each for each in parts.walk() if isinstance(each, SmallButton) and each.text == "Down")
        if parts.looked or down.disabled:
            break
        maker.driver.tap(down)
        maker.driver.run_for(0.6, 0.1)
    assert parts.looked
    (hold,) = (each for each in maker.driver.find(HoldButton) if each.text == "Make the build")
    assert not maker.driver.judge(*walk.ALL_RULES)
    maker.driver.hold(hold)
    let_work(maker)
    build = read_build(folder / "bookcase.toml").build
    assert build is not None
    assert sum(part.quantity for part in build.parts) == 27
    assert len(build.parts) == 20
    tap(maker, ListRow, title="bookcase")
    maker.driver.until_thread(lambda: maker.app.shop.run is not None and maker.app.shop.run.build.name == "bookcase")
    let_work(maker)
    key = next(item.key for item in maker.app.shop.run.items.values() if item.kind == "piece")
    done: list[tuple[str, str]] = []
    maker.told = lambda item, step: done.append((item, step))
    maker.scan(key)
    maker.do_next()
    assert done == [(key, "cut")]


def test_a_column_that_was_taken_wrong_is_put_right_by_a_tap(tablet: Callable[[Look], Maker]) -> None:
    maker = tablet(Look("1920x1200"))
    folder = maker.app.shop.library.folder
    with (folder / "stool.csv").open("w", newline="") as file:
        csv.writer(file).writerows(
            [["Piece", "Qty", "X", "Y", "Z"], ["Leg", "4x", "420", "38", "38"], ["Rail", "two", "230", "60", "0"]]
        )
    sheet = offered(maker, "stool.csv")
    assert any(view.unsure for view in sheet.columns)
    assert sheet.cuts.faults
    assert any(cell.doubt for view in sheet.columns for cell in view.cells)
    column = next(each for each in maker.driver.find(TableColumn) if each.view.heading == "Y")
    maker.driver.tap(next(child for child in column.children if isinstance(child, SmallButton)))
    let_work(maker)
    tap(maker, BigButton, text="notes")
    assert {view.heading: view.field for view in sheet.columns}["Y"] == "notes"
    assert sheet.asks_units
    before = sheet.cuts.units
    tap(maker, SmallButton, text="It is in inches" if before == "mm" else "It is in mm")
    assert sheet.cuts.units != before


def test_what_is_no_cut_list_is_said_on_the_screen(tablet: Callable[[Look], Maker]) -> None:
    maker = tablet(Look("1920x1200"))
    maker.go("builds")
    let_work(maker)
    tap(maker, SmallButton, text="From a list")
    assert "No cut list yet" in maker.app.root.said
    (maker.app.shop.library.folder / "notes.csv").write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 old")
    tap(maker, SmallButton, text="From a list")
    tap(maker, BigButton, text="notes.csv")
    assert "save it as .xlsx or .csv" in maker.app.root.said
