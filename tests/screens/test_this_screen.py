"""The size of the screen and its source: made EDIDs, a bank card, the environment, a guess."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from kit import boxes, walk
from kit.driver import Driver
from kit.story import NOT_NEW, StoryClock

from tracker.screens.device import this_screen
from tracker.screens.device.edid import Edid, edid_of, parse_edid
from tracker.screens.device.sdl import Screen
from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.overlays.card_size import CardSize
from tracker.screens.start import app_on
from tracker.screens.toolkit.buttons import BigButton, SmallButton
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES

TABLET = Screen("eDP-1", 0, 0, 1920, 1200)


def edid(points: tuple[int, int], mm: tuple[int, int] = (0, 0), cm: tuple[int, int] = (0, 0), name: str = "") -> bytes:
    """A made EDID (VESA E-EDID, release A): the preferred detailed timing at byte 54, its picture in millimetres at 12
    to 14 of it, the screen in centimetres at 21 and 22 of the block, a product name as the second descriptor."""
    block = bytearray(128)
    block[:8] = bytes.fromhex("00ffffffffffff00")
    block[21], block[22] = cm
    block[54] = 1
    block[56], block[58] = points[0] & 0xFF, points[0] >> 8 << 4
    block[59], block[61] = points[1] & 0xFF, points[1] >> 8 << 4
    block[66], block[67], block[68] = mm[0] & 0xFF, mm[1] & 0xFF, mm[0] >> 8 << 4 | mm[1] >> 8
    if name:
        block[72:90] = b"\0\0\0\xfc\0" + name.encode().ljust(13, b"\n")[:13]
    return bytes(block)


def plug_in(drm: Path, connector: str, block: bytes, status: str = "connected") -> None:
    folder = drm / f"card0-{connector}"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "edid").write_bytes(block)
    (folder / "status").write_text(f"{status}\n")


def seen(monkeypatch: pytest.MonkeyPatch, *screens: Screen, shown_on: int = 0) -> None:
    """The screens of the window system, with the window on one of them."""
    monkeypatch.setattr(this_screen, "screens", lambda: screens)
    monkeypatch.setattr(this_screen, "screen_of_window", lambda: screens[shown_on] if screens else None)


@pytest.mark.parametrize(
    ("screen", "block", "dpi"),
    [
        # Worked by hand: 25.4 × points / millimetres, of the longer sides.
        (TABLET, edid((1920, 1200), (217, 136)), 224.7),
        (Screen("eDP-1", 0, 0, 1280, 800), edid((1280, 800), (217, 136)), 149.8),
        (Screen("eDP-1", 0, 0, 1200, 1920), edid((1920, 1200), (217, 136)), 224.7),  # turned upright
        (Screen("eDP-1", 0, 0, 960, 600), edid((1920, 1200), (217, 136)), 112.4),  # drawn at half its points
        (Screen("eDP-1", 0, 0, 800, 480), edid((800, 480), (154, 86)), 131.9),
        (Screen("eDP-1", 0, 0, 2560, 1600), edid((2560, 1600), (518, 324)), 125.5),  # more than 255 mm
        (TABLET, edid((1920, 1200), (0, 0), (22, 14)), 221.7),  # centimetres only
        (TABLET, edid((1920, 1200), (160, 90), (22, 14)), 221.7),  # a placeholder, and centimetres
        (TABLET, edid((1920, 1080), (160, 90)), None),
        (TABLET, edid((1920, 1080), (16, 9)), None),
        (TABLET, edid((1920, 1200), (16, 10)), None),
        (TABLET, edid((1920, 1200), (160, 100)), None),
        (TABLET, edid((1920, 1080), (0, 0), (16, 9)), None),  # a shape in the centimetres
        (TABLET, edid((1920, 1200), (0, 0), (0, 79)), None),  # a shape as EDID 1.4 writes it
        (TABLET, edid((1920, 1200), (0, 0)), None),
        (TABLET, edid((1920, 1200), (2170, 1360)), None),  # 22 points to an inch: no screen
        (TABLET, edid((1920, 1200), (60, 38)), None),  # 813 points to an inch
        (TABLET, edid((1920, 1200), (217, 136))[:100], None),
        (TABLET, bytes(128), None),
        (TABLET, b"", None),
    ],
)
def test_a_screen_is_believed_where_it_states_a_size(
    screen: Screen, block: bytes, dpi: float | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen(monkeypatch, screen)
    plug_in(tmp_path / "drm", "eDP-1", block)
    scale = ThisScreen(tmp_path, {}, tmp_path / "drm").scale
    assert (scale.dpi, scale.source) == ((pytest.approx(dpi, abs=0.06), "screen") if dpi else (160, "guess"))


def test_no_bytes_from_a_screen_stop_the_start() -> None:
    chance = random.Random(20261129)
    for _ in range(2000):
        block = bytearray(edid((1920, 1200), (217, 136), name="PANEL"))
        for _ in range(chance.randrange(1, 40)):
            block[chance.randrange(len(block))] = chance.randrange(256)
        parse_edid(bytes(block[: chance.choice((0, 8, 60, 127, 128))]))


def test_a_screen_that_is_not_connected_says_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen(monkeypatch, TABLET)
    plug_in(tmp_path / "drm", "eDP-1", edid((1920, 1200), (217, 136)), "disconnected")
    assert ThisScreen(tmp_path, {}, tmp_path / "drm").scale.source == "guess"
    assert ThisScreen(tmp_path, {}, tmp_path / "nowhere").scale.source == "guess"


PANEL = Edid("eDP-1", "", (1920, 1200), (217, 136))
LARGE = Edid("HDMI-A-1", "BENCH 24", (1920, 1080), (531, 299))


@pytest.mark.parametrize(
    ("name", "points", "found"),
    [
        ('BENCH 24 24"', (1920, 1080), LARGE),
        ("eDP-1", (1920, 1200), PANEL),
        ('eDP-1 10"', (1920, 1200), PANEL),
        ("HDMI-1", (1920, 1080), LARGE),
        ("screen", (1200, 1920), PANEL),  # by nothing but its points
        ("screen", (1024, 768), None),
    ],
)
def test_of_two_screens_the_one_meant_is_found(name: str, points: tuple[int, int], found: Edid | None) -> None:
    assert edid_of(name, points, (PANEL, LARGE)) == found


def test_the_screen_that_shows_the_window_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    drm = tmp_path / "drm"
    plug_in(drm, "eDP-1", edid((1920, 1200), (217, 136)))
    plug_in(drm, "HDMI-A-1", edid((1920, 1080), (531, 299), name="BENCH 24"))
    two = (TABLET, Screen('BENCH 24 24"', 1920, 0, 1920, 1080))
    seen(monkeypatch, *two)
    screen = ThisScreen(tmp_path, {}, drm)
    assert screen.scale.dpi == 224.7
    assert not screen.follow_window()
    seen(monkeypatch, *two, shown_on=1)
    assert screen.follow_window(), "the window was moved"
    assert screen.scale.dpi == 91.8


def test_environment_then_card_then_screen_then_a_guess(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen(monkeypatch, TABLET)
    drm = tmp_path / "drm"
    assert (ThisScreen(tmp_path, {}, drm).scale.dpi, ThisScreen(tmp_path, {}, drm).scale.source) == (160, "guess")
    plug_in(drm, "eDP-1", edid((1920, 1200), (217, 136)))
    screen = ThisScreen(tmp_path, {}, drm)
    assert (screen.scale.dpi, screen.scale.source) == (224.7, "screen")
    screen.keep_card(230.123)
    assert (screen.scale.dpi, screen.scale.source) == (230.12, "card")
    again = ThisScreen(tmp_path, {}, drm)
    assert (again.scale.dpi, again.scale.source) == (230.12, "card")
    forced = ThisScreen(tmp_path, {"KIVY_DPI": "96"}, drm)
    assert (forced.scale.dpi, forced.scale.source) == (96, "environment")
    kept = json.loads((tmp_path / "glass.json").read_text())
    assert kept == {"eDP-1 1920x1200": {"dpi": 230.12}}
    seen(monkeypatch, Screen("eDP-1", 0, 0, 1200, 1920))
    assert ThisScreen(tmp_path, {}, drm).scale.source == "card", "the same screen, turned upright"
    seen(monkeypatch, Screen("eDP-1", 0, 0, 960, 600))
    assert ThisScreen(tmp_path, {}, drm).scale.source == "screen", "another resolution has other points"


@pytest.mark.parametrize("dpi", [0, 59.9, 600.1, -224, float("inf"), float("nan")])
def test_what_no_screen_has_is_not_kept(dpi: float, tmp_path: Path) -> None:
    screen = ThisScreen(tmp_path, {}, tmp_path)
    with pytest.raises(ValueError, match="no screen has"):
        screen.keep_card(dpi)
    assert not (tmp_path / "glass.json").exists()


@pytest.mark.parametrize("text", ["", "[]", "{", '{"unknown": 3}', '{"unknown": {}}', "\x00", "null"])
def test_a_damaged_file_is_no_file(text: str, tmp_path: Path) -> None:
    starts_anew(text, tmp_path)


@pytest.mark.parametrize("value", ['"224"', "9", "true", "1e999", "NaN", "[]"])
def test_a_size_that_no_screen_has_is_none(value: str, tmp_path: Path) -> None:
    starts_anew(f'{{"unknown": {{"dpi": {value}}}}}', tmp_path)


def starts_anew(text: str, home: Path) -> None:
    (home / "glass.json").write_text(text)
    screen = ThisScreen(home, {}, home)
    assert screen.scale.source == "guess"
    assert screen.asks
    screen.keep_card(224)
    assert ThisScreen(home, {}, home).scale.dpi == 224


def test_where_nothing_can_be_written_the_card_counts_until_the_app_is_closed(tmp_path: Path) -> None:
    (tmp_path / "home").write_text("no folder")
    screen = ThisScreen(tmp_path / "home", {}, tmp_path)
    screen.keep_card(224)
    assert (screen.scale.dpi, screen.scale.source) == (224, "card")


# The question, by touch


def unknown(home: Path, hand_time: HandTime) -> Any:
    """The app as started by `kerfcard` on a screen of unknown size."""
    return app_on(home, screen=ThisScreen(home, {}, home), clock=StoryClock(hand_time), settings=NOT_NEW)


@pytest.mark.parametrize("size", ["1920x1200", "1200x1920", "1280x800", "800x480", "2560x1600"])
def test_a_card_is_held_to_the_screen_and_the_frame_is_fitted(
    size: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    width, height, true_dpi = SCREEN_SIZES[size]
    driver = run_app(unknown(tmp_path, hand_time), (width, height), 160.0)
    driver.run_for(0.5, 0.1)
    card = driver.find(CardSize)[0]
    assert not driver.judge(*walk.ALL_RULES)
    # A ruler on this screen: a card is 85.60 × 53.98 mm (ISO/IEC 7810, ID-1).
    wide, high = (side * true_dpi / 25.4 for side in (85.60, 53.98))
    for larger, smaller, near in (("+ +", "– –", 0.021), ("+", "–", 0.0021)):
        for _ in range(60):
            if abs(card.outline[0] / wide - 1) <= near:
                break
            driver.tap_text(larger if card.outline[0] < wide else smaller)
    assert card.outline == [pytest.approx(wide, rel=0.003), pytest.approx(high, rel=0.003)]
    assert not driver.judge(*walk.ALL_RULES), "the card fits between the words and the buttons"
    driver.run_for(0.4, 0.1)
    driver.tap(next(each for each in card.walk() if isinstance(each, BigButton) and each.text == "It fits"))
    assert not driver.find(CardSize)
    from kivy.metrics import Metrics

    assert Metrics.dpi == pytest.approx(true_dpi, rel=0.003)
    assert driver.app.screen.scale.source == "card"
    driver.stop()
    assert not run_app(unknown(tmp_path, hand_time), (width, height), true_dpi).find(CardSize), "asked once"


def test_not_now_is_an_answer_and_the_settings_have_the_question(
    run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    driver = run_app(unknown(tmp_path, hand_time), (1280, 800), 160.0)
    driver.run_for(0.5, 0.1)
    driver.tap(next(each for each in driver.find(SmallButton) if each.text == "Not now"))
    assert not driver.find(CardSize)
    assert driver.app.screen.scale == this_screen.Scale(160, "guess")
    driver.stop()
    driver = run_app(unknown(tmp_path, hand_time), (1280, 800), 160.0)
    assert not driver.find(CardSize), "asked once"
    driver.app.go("settings")
    driver.run_for(0.5, 0.1)
    driver.app.root.screen.ids.list.show("screen size")
    driver.run_for(0.5, 0.1)
    driver.tap(driver.find(title="Screen")[0])
    card = driver.find(CardSize)[0]
    driver.run_for(0.4, 0.1)
    driver.tap_text("+ +")
    driver.tap(next(each for each in card.walk() if isinstance(each, BigButton) and each.text == "It fits"))
    driver.run_for(0.3, 0.1)
    assert driver.find(title="Screen")[0].subtitle == "166 points to an inch, measured with a bank card"


def test_the_frame_stays_within_what_a_screen_can_have(
    run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    driver = run_app(unknown(tmp_path, hand_time), (1280, 800), 160.0)
    driver.run_for(0.5, 0.1)
    card = driver.find(CardSize)[0]
    for _ in range(40):
        card.change(1 / 1.04)
    assert card.dpi == 60
    for _ in range(100):
        card.change(1.04)
    driver.frames(3)
    frame = boxes.box_of(card.ids.frame)
    assert frame == frame.meet(boxes.Box(0, 0, 1280, 800))
    assert not driver.judge(*walk.ALL_RULES)
