"""The boards by touch: a plan is accepted, cut, replanned after a spoiled piece, and still there after a restart."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from kit.driver import Driver
from kit.story import Maker, new_app

from tracker.screens.places.boards import BoardsSheet
from tracker.screens.toolkit.buttons import HoldButton
from tracker.screens.toolkit.list_rows import ListRow
from tracker.tour.headless import HandTime
from tracker.work.decide.intents import Spoil


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    maker = Maker(run_app(new_app(tmp_path, hand_time)))
    maker.open("Doorstep planter")
    to_boards(maker)
    return maker


def to_boards(maker: Maker) -> None:
    maker.driver.run_for(0.4, 0.05)
    maker.go("boards")
    wait_for_plans(maker)


def wait_for_plans(maker: Maker) -> None:
    maker.driver.frames(2)
    maker.driver.until_thread(lambda: not maker.app.board_search.searching, seconds=90.0)  # a process must start
    maker.driver.run_for(0.4, 0.05)


def board(maker: Maker) -> Any:
    return maker.app.root.screen.card.board


def tap_button(maker: Maker) -> None:
    maker.driver.run_for(0.4, 0.05)
    maker.driver.tap(maker.big_button())


def choose_board(maker: Maker, key: str) -> None:
    """Choose a board from the list of all, scrolling as a finger would."""
    maker.driver.run_for(0.4, 0.05)
    maker.driver.tap_text("All boards")
    maker.driver.run_for(0.4, 0.05)
    (sheet,) = maker.driver.find(BoardsSheet)
    sheet.ids.list.show(key)
    maker.driver.run_for(0.4, 0.05)
    maker.driver.tap(next(row for row in maker.driver.find(ListRow) if row.key == key))


def test_a_plan_is_taken_followed_and_found_again_after_a_restart(
    maker: Maker, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    assert board(maker).action.text == "Use this plan"
    assert "lowest cost possible (proved)" in maker.app.root.screen.card.said
    tap_button(maker)
    tap_button(maker)
    tap_button(maker)
    assert [span.state for span in board(maker).bar.spans if span.kind == "piece"][:3] == ["gone", "gone", "next"]
    assert board(maker).falls == "Cut off Side 3"
    said = board(maker)
    maker.driver.stop()
    again = Maker(run_app(new_app(tmp_path, hand_time)))
    assert again.app.root.current == "boards"
    assert board(again) == said
    again.driver.run_for(0.4, 0.05)
    again.driver.tap_text("Undo")
    assert board(again).falls == "Cut off Side 2"
    assert not (tmp_path / "errors.log").exists()


def test_a_spoiled_piece_is_planned_again_and_the_change_is_told(maker: Maker) -> None:
    tap_button(maker)
    tap_button(maker)
    maker.driver.run_for(0.4, 0.05)
    maker.driver.tap_text("Scrap")
    maker.driver.tap_text("Side 1")
    maker.driver.tap_text("Cut too short")
    (button,) = maker.driver.find(HoldButton)
    maker.driver.tap(button)
    assert board(maker).spoilable, "a tap spoils nothing"
    maker.driver.hold(button)
    wait_for_plans(maker)
    assert board(maker).words.startswith("Side 1 now from the rest of side board 1.")
    assert not board(maker).spoilable
    tap_button(maker)
    assert board(maker).action.text.endswith("cut")
    assert any(span.kind == "spoiled" for span in board(maker).bar.spans)
    tap_button(maker)
    key, name = board(maker).spoilable[0]
    maker.scan(key)
    maker.app.act(Spoil(key, "Split"))  # as its own card does
    to_boards(maker)
    assert f"{name} now from" in board(maker).words


def test_an_offcut_goes_to_the_rack_gets_its_label_and_is_scanned(maker: Maker, tmp_path: Path) -> None:
    tap_button(maker)
    choose_board(maker, "cleat/1")
    for _ in range(4):
        tap_button(maker)
    assert board(maker).action.text == "Rack offcut"
    tap_button(maker)
    assert "On the rack: A1" in board(maker).words
    maker.go("labels")
    assert "2 rack boards" in maker.app.root.screen.card.said, "F2 of the file, and A1"
    maker.driver.run_for(0.4, 0.05)
    maker.driver.tap_text("Make labels")
    maker.driver.until_thread(lambda: not maker.app.root.screen.busy)
    (sheet,) = (tmp_path / "labels").glob("*.pdf")
    document = pypdfium2.PdfDocument(sheet)
    codes = {code.text for page in document for code in zxingcpp.read_barcodes(page.render(scale=3).to_pil())}
    document.close()
    code = maker.app.floor().run.codes["rack/A1"]
    assert code in codes
    maker.go("scan")
    maker.driver.scan(code)
    maker.driver.run_for(0.4, 0.05)
    assert maker.app.root.screen.said.startswith("Board A1 on the rack: western redcedar, ")
    maker.scan("rack/F2")
    assert maker.app.root.current == "boards", "from F2 something is still to be cut: its next cut comes up"
    assert board(maker).key == "rack/F2"
    assert board(maker).action.text.endswith("cut")


def test_the_shopping_list_can_be_seen_before_a_plan_is_taken_and_costs_the_same_after(
    maker: Maker, tmp_path: Path
) -> None:
    maker.driver.tap_text("Shopping list")
    assert maker.app.root.current == "shopping"
    before = maker.app.root.screen.card
    assert before.total == "about $26"
    maker.driver.run_for(0.4, 0.05)
    maker.driver.tap_text("Board plan")
    tap_button(maker)
    maker.driver.tap_text("Shopping list")
    assert maker.app.root.screen.card == before
    to_boards(maker)
    maker.driver.tap_text("Plan again")
    wait_for_plans(maker)
    assert board(maker).action.text == "Use this plan", "before the first cut the whole plan is offered again"
    prints_the_board_sheet(maker, tmp_path)


def prints_the_board_sheet(maker: Maker, home: Path) -> None:
    maker.driver.tap_text("Print")
    maker.driver.until_thread(lambda: not maker.app.root.screen.busy)
    sheet = home / "boards" / "Doorstep planter board sheet.pdf"
    assert sheet.name in maker.app.root.said
    document = pypdfium2.PdfDocument(sheet)
    assert len(document) == 2
    document.close()


def test_another_build_has_its_own_boards(maker: Maker) -> None:
    maker.open("Kitchen stool")
    to_boards(maker)
    assert "€" in maker.app.root.screen.card.said
    assert {row.key.split("/")[0] for group in maker.app.root.screen.card.groups for row in group.rows} == {
        "square", "board", "rack",
    }  # fmt: skip
