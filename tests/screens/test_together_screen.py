"""Together on the screen: joining by a scan, the mark on every screen, the sheet of the other tablets, an
invitation."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from kit import walk
from kit.qr_readers import read_by_opencv
from kit.story import Maker, new_app
from together.cluster import Cluster
from together.shops import Tablet, invitation, prepared, shop_of

from tracker.screens.overlays.invitation import InvitationSheet
from tracker.screens.toolkit.buttons import BigButton
from tracker.screens.toolkit.list_rows import ListRow
from tracker.screens.toolkit.prompts import Panel
from tracker.together import server
from tracker.together.connection import Connection
from tracker.together.invitation import parse_invitation
from tracker.together.joining import join
from tracker.work.facts import Done

if TYPE_CHECKING:
    from kit.driver import Driver

SCREEN_SIZES = {"wide": (1280, 800, 149.0), "upright": (1200, 1920, 224.0)}
SECONDS = 20.0


@pytest.fixture(scope="module")
def hub() -> Iterator[Cluster]:
    with Cluster(durable=False) as made:
        yield prepared(made, force=True)


@pytest.fixture
def desk(hub: Cluster, tmp_path: Path) -> Iterator[Tablet]:
    """The computer with the hub, which invites the others."""
    [tablet] = shop_of(hub, tmp_path, ["Desk"])
    yield tablet
    tablet.close()


@pytest.fixture(params=SCREEN_SIZES)
def maker(run_app: Callable[..., Driver], hand_time: Any, tmp_path: Path, request: pytest.FixtureRequest) -> Maker:
    width, height, dpi = SCREEN_SIZES[request.param]
    maker = Maker(run_app(new_app(tmp_path / "home", hand_time), (width, height), dpi))
    maker.open("Doorstep planter")
    maker.driver.run_for(0.4, 0.05)
    return maker


def says(maker: Maker, words: str) -> bool:
    return any(words in text for text in maker.driver.texts())


def choose(maker: Maker, word: str) -> None:
    """Tap an answer on the panel that is open."""
    [panel] = maker.driver.find(Panel)
    maker.driver.tap(next(each for each in panel.walk() if isinstance(each, BigButton) and each.text == word))


def to_together(maker: Maker) -> None:
    maker.go("settings")
    maker.driver.run_for(0.5, 0.05)
    maker.app.root.screen.ids.list.show("together")
    maker.driver.run_for(0.5, 0.05)
    maker.driver.tap(next(row for row in maker.driver.find(ListRow) if row.title == "Together"))
    maker.driver.run_for(0.5, 0.05)


def judge(maker: Maker, shots: Path, name: str) -> None:
    """Save a picture, and check the screen for visible faults."""
    if os.environ.get("KERFCARD_TEST_DISPLAY") != "null":
        shots.mkdir(parents=True, exist_ok=True)
        maker.driver.save(shots / f"{name}.png")
    assert maker.driver.judge(*walk.ALL_RULES) == []


def test_joined_by_scanning_then_together_then_alone(maker: Maker, desk: Tablet, hub: Cluster, shots: Path) -> None:
    driver = maker.driver
    to_together(maker)
    assert says(maker, "Scan the code")
    code = invitation(hub, *desk.hub.invite("Saw")).text
    driver.scan(code)
    driver.run_for(1.0, 0.05)
    assert says(maker, "What is this tablet called?")
    assert says(maker, "of this tablet will belong to that shop for ever")
    choose(maker, "Saw")
    driver.until_thread(lambda: maker.app.together.status.state == "together", SECONDS)
    driver.run_for(1.0, 0.05)
    assert says(maker, "Saw belongs to Shop now.")
    driver.tap_text("OK")
    driver.run_for(0.3, 0.05)
    judge(maker, shots, "joined")
    desk.meet()
    assert len(desk.rows) == len(maker.app.shop.entries())
    desk.hub.meet(desk.side.tablet, "boot", 5.0, "1")
    maker.app.together.check_now()
    driver.until_thread(lambda: says(maker, "Together with Desk, just now"), SECONDS)
    maker.go("station")
    driver.run_for(0.5, 0.05)
    assert says(maker, "Together with Desk, just now"), "the mark is on every screen"
    judge(maker, shots, "mark")
    hub.stop()
    driver.until_thread(lambda: maker.app.together.status.state == "alone", SECONDS)
    driver.run_for(0.5, 0.05)
    assert says(maker, "Alone since ")
    assert says(maker, ": all is kept here")
    judge(maker, shots, "alone")
    to_together(maker)
    judge(maker, shots, "alone sheet")
    hub.start()
    driver.until_thread(lambda: maker.app.together.status.state == "together", SECONDS)
    desk.hang_up()
    desk.hub.revoke(maker.app.together.membership.login)
    driver.until_thread(lambda: maker.app.together.status.state == "refused", SECONDS)
    driver.run_for(0.5, 0.05)
    assert says(maker, "Not let in: see Settings, Together")
    judge(maker, shots, "refused")
    to_together(maker)
    judge(maker, shots, "refused sheet")


@pytest.mark.parametrize("maker", ["wide"], indirect=True)
def test_a_keeper_shows_a_code_that_another_reader_reads(
    maker: Maker, hub: Cluster, tmp_path: Path, shots: Path
) -> None:
    driver = maker.driver
    driver.run_for(0.2, 0.05)
    login, secret = server.new_shop(hub.admin(), "Shop", "Bench")
    maker.app.together.join(invitation(hub, login, secret), "Bench")
    maker.app.together.start()
    driver.until_thread(lambda: maker.app.together.status.state == "together", SECONDS)
    to_together(maker)
    driver.tap_text("Show a code")
    driver.run_for(0.5, 0.05)
    choose(maker, "Finishing")
    driver.until_thread(lambda: driver.find(InvitationSheet), SECONDS)
    driver.run_for(0.5, 0.05)
    judge(maker, shots, "code")
    [sheet] = driver.find(InvitationSheet)
    found = parse_invitation(sheet.text)
    assert found is not None
    assert (found.port, found.database) == (hub.port, "kerfcard")
    if os.environ.get("KERFCARD_TEST_DISPLAY") != "null":  # another library's reader, from the pixels
        assert sheet.text in read_by_opencv(np.asarray(driver.picture().convert("L")))


@pytest.mark.parametrize("maker", ["wide"], indirect=True)
def test_a_finger_on_its_way_marks_nothing_else_when_another_tablet_was_quicker(maker: Maker, hub: Cluster) -> None:
    """The words of the button under the finger change before the finger is lifted."""
    driver, app = maker.driver, maker.app
    login, secret = server.new_shop(hub.admin(), "Shop", "Saw")
    saw = app.together.join(invitation(hub, login, secret), "Saw")
    app.together.start()
    driver.until_thread(lambda: app.together.status.state == "together", SECONDS)
    with_saw = Connection(saw)
    [bench] = [join(app.shop.home / "bench", invitation(hub, *with_saw.invite("Bench")), "Bench")]
    with_saw.close()
    other = Tablet(bench, app.shop.home / "bench", "bench000")
    other.meet()
    driver.run_for(0.6, 0.05)
    button = next(each for each in driver.find(BigButton) if each.text.endswith("is cut"))
    key = next(each.key for each in app.shop.run.pieces if button.text == f"{each.short} is cut")
    first = button.text
    before = len(app.shop.entries())
    finger = driver.press(button)
    driver.run_for(0.1, 0.05)
    other.tick(what=Done(app.shop.run.name, key, "cut"))
    other.meet()
    other.hub.tell("bench000", 1)
    driver.until_thread(lambda: len(app.shop.entries()) == before + 1, SECONDS)
    driver.run_for(0.1, 0.05)
    assert not [each for each in driver.find(BigButton) if each.text == first], "the card has gone on"
    driver.release(finger)
    driver.run_for(0.4, 0.05)
    assert len(app.shop.entries()) == before + 1, "nothing was marked by that finger"
    other.close()
