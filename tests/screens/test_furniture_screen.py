"""The picture of a piece's place and of an assembly's parts: opened by touch from both buttons, turned, pulled apart.

The depth buffer of tests/place, which doesn't use the drawing, finds where the current piece should be blue.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, StoryClock, shown_picture
from place.depth_buffer import NOTHING, near_an_edge, nearest_pieces

from tests.cards.test_furniture import mirrored_stretcher, stool_text, without_places
from tracker.cards.picture import View, pulled_apart
from tracker.plan.place import Placed, Placer
from tracker.plan.place.bodies import Vector
from tracker.screens.overlays.picture import PictureCover
from tracker.screens.places.glueup_tiles import PictureTile
from tracker.screens.toolkit.buttons import BigButton, SmallButton
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

LOOKS = (
    Look("1920x1200"),
    Look("1200x1920", "shop", "left"),
    Look("800x480", "shop"),
    Look("800x480", hand="left"),
)
Open = Callable[[Look, str], Maker]


@pytest.fixture
def open_build(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Open:
    def start(look: Look, name: str) -> Maker:
        width, height, dpi = SCREEN_SIZES[look.screen]
        app = app_with(look, tmp_path / "kerfcard", StoryClock(hand_time), **{"first steps": "seen"})
        maker = Maker(run_app(app, (width, height), dpi))
        maker.open(name)
        return maker

    return start


def cover(maker: Maker) -> PictureCover:
    """The picture over the screen, after it is drawn."""
    maker.driver.run_for(0.3, 0.1)
    Guide(maker.app, maker.driver).let_work()
    (found,) = maker.driver.find(PictureCover)
    assert not maker.driver.judge(*walk.ALL_RULES)
    return found


def where_it_goes(maker: Maker, key: str) -> PictureCover:
    """Tap `this piece` on the card, and the row there."""
    maker.scan(key)
    maker.driver.tap_text("This piece")
    assert not maker.driver.judge(*walk.ALL_RULES)
    maker.driver.tap(next(each for each in maker.driver.find(BigButton) if each.text == "Where it goes"))
    return cover(maker)


def blue(maker: Maker) -> np.ndarray:
    """The points of the drawing that are blue, from its upper left corner."""
    (shown,) = maker.driver.find(PictureCover)
    drawing = shown.ids.drawing
    picture = maker.driver.picture()
    x, top = (round(each) for each in drawing.to_window(drawing.x, drawing.top))
    low = picture.height - top
    rgb = np.array(picture.crop((x, low, x + int(drawing.width), low + int(drawing.height))), dtype=int)
    return rgb[:, :, 2] - rgb[:, :, 0] > 40


def owners(placed: tuple[Placed, ...], turned: float, shape: tuple[int, ...]) -> np.ndarray:
    """The nearest piece at each point of a drawing with a margin of a twentieth all around."""
    height, width = shape
    view = View(turned)
    flat = np.array([view.flat(point) for piece in placed for point in piece.points])
    (left, bottom), (right, top) = flat.min(axis=0), flat.max(axis=0)
    free = 0.05 * min(width, height)
    scale = min((width - 2 * free) / (right - left), (height - 2 * free) / (top - bottom))

    def to_page(point: Vector) -> Vector:
        x, y = view.flat(point)
        return (
            width / 2 + scale * (x - (left + right) / 2),
            height / 2 - scale * (y - (bottom + top) / 2),
            view.depth(point),
        )

    return nearest_pieces(placed, view, to_page, width, height)


def assert_blue_where_it_is(found: np.ndarray, placed: tuple[Placed, ...], key: tuple[str, int], turned: float) -> None:
    at = [piece.key for piece in placed].index(key)
    owner = owners(placed, turned, found.shape)
    clear = ~near_an_edge(owner)
    mine = clear & (owner == at)
    assert mine.sum() > 300, "it is seen"
    assert found[mine].mean() > 0.8, "blue but for its edges"
    others = clear & (owner != at) & ~veiled(placed, at, turned, found.shape)
    assert found[others].mean() < 0.002, "and nothing else is"


def veiled(placed: tuple[Placed, ...], at: int, turned: float, shape: tuple[int, ...]) -> np.ndarray:
    """Where the piece would be seen if nothing hid it, widened by six points on every side."""
    lifted = View(turned).toward
    nearer = tuple(
        piece.moved(type(piece.pose)().by((lifted[0] * 1e4, lifted[1] * 1e4, lifted[2] * 1e4)))
        if which == at
        else piece
        for which, piece in enumerate(placed)
    )
    mine = owners(nearer, turned, shape) == at
    for _ in range(6):
        grown = mine.copy()
        grown[1:] |= mine[:-1]
        grown[:-1] |= mine[1:]
        grown[:, 1:] |= mine[:, :-1]
        grown[:, :-1] |= mine[:, 1:]
        mine = grown
    return mine


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name.replace(" ", "-"))
@pytest.mark.pixels
def test_the_piece_in_hand_is_blue_where_it_is_seen(look: Look, open_build: Open) -> None:
    maker = open_build(look, "Kitchen stool")
    shown = where_it_goes(maker, "stretcher:1")
    assert shown.title == "Stretcher 1 of 2: its place in Base"
    assert shown.said.endswith("Screws 4.5 mm clear: its bore and the bore from Stretcher 1.")
    placed = Placer(maker.app.shop.run.build).placed("base")
    assert_blue_where_it_is(blue(maker), placed, ("stretcher", 1), 24)
    maker.driver.tap_text("Turn left")
    cover(maker)
    assert_blue_where_it_is(blue(maker), placed, ("stretcher", 1), 54)
    maker.driver.tap_text("Pull it apart")
    cover(maker)
    assert_blue_where_it_is(blue(maker), pulled_apart(placed), ("stretcher", 1), 54)
    for _ in range(2):
        maker.driver.tap_text("Turn right")
    maker.driver.tap_text("Close it up")
    cover(maker)
    assert_blue_where_it_is(blue(maker), placed, ("stretcher", 1), -6)
    maker.driver.tap_text("Back")
    assert not maker.driver.find(PictureCover)


@pytest.mark.pixels
def test_the_lights_are_turned_down_while_it_shows(open_build: Open) -> None:
    maker = open_build(Look("1280x800"), "Kitchen stool")
    where_it_goes(maker, "leg:1")
    day = np.array(maker.driver.picture()).mean()
    before = blue(maker).sum()
    maker.app.theme.name = "shop"
    cover(maker)
    assert np.array(maker.driver.picture()).mean() < day / 3
    assert 0.7 < blue(maker).sum() / before < 1.4


@pytest.mark.pixels
@pytest.mark.parametrize("theme", ["day", "shop"])
def test_a_glue_up_shows_what_is_here_and_what_is_missing(theme: str, open_build: Open) -> None:
    maker = open_build(Look("1920x1200", theme), "Kitchen stool")
    Guide(maker.app, maker.driver).work("leg:1")
    maker.app.open_item("frame:1")
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap(shown_picture(maker))
    shown = cover(maker)
    assert shown.said.startswith("Outlined, still to come: Leg 2, Rail 1.")
    assert not blue(maker).any()
    placed = Placer(maker.app.shop.run.build).placed("frame")
    drawing = shown.ids.drawing
    owner = owners(placed, 24, (int(drawing.height), int(drawing.width)))
    picture = maker.driver.picture()
    x, top = (round(each) for each in drawing.to_window(drawing.x, drawing.top))
    rgb = np.array(picture)[picture.height - top :, x:][: owner.shape[0], : owner.shape[1]].astype(int)
    warmth = rgb[:, :, 0] - rgb[:, :, 2]  # wood is brown, paper and outlines hardly
    inside = ~near_an_edge(owner) & (owner != NOTHING)
    keys = [piece.key for piece in placed]
    brown = {key: np.median(warmth[inside & (owner == at)]) for at, key in enumerate(keys)}
    assert brown[("leg", 1)] > 2.5 * max(brown[("leg", 2)], brown[("rail", 1)])
    for key in ("leg:2", "rail:1"):
        Guide(maker.app, maker.driver).work(key)
    assert cover(maker).said.startswith("All its parts are ready.")
    maker.scan("rail:1")
    assert cover(maker).said.startswith("Outlined, not scanned in yet: Leg 1, Leg 2."), "the picture stays"


def test_a_wrong_place_is_said_instead_of_drawn(open_build: Open) -> None:
    maker = open_build(Look("1200x1920"), "Hall bench")
    wrong = mirrored_stretcher(stool_text()).replace("Kitchen stool", "Crooked stool")
    (maker.app.shop.library.folder / "crooked.toml").write_text(wrong, encoding="utf-8")
    maker.open("Crooked stool")
    shown = where_it_goes(maker, "stretcher:1")
    assert shown.why.startswith("There is no picture of it. Line ")
    assert not shown.ids.drawing.meshes
    assert all(button.disabled for button in maker.driver.find(SmallButton) if button.text.startswith("Turn"))
    maker.driver.tap_text("Back")
    assert not maker.driver.find(PictureCover)


def test_without_places_there_is_no_door(open_build: Open) -> None:
    maker = open_build(Look("1280x800"), "Hall bench")
    plain = without_places(stool_text().replace("Kitchen stool", "Plain stool"))
    (maker.app.shop.library.folder / "plain.toml").write_text(plain, encoding="utf-8")
    maker.open("Plain stool")
    maker.scan("leg:1")
    maker.driver.tap_text("This piece")
    assert "Where it goes" not in [button.text for button in maker.driver.find(BigButton)]
    maker.driver.tap_text("Back")
    maker.app.open_item("frame:1")
    maker.driver.run_for(0.4, 0.1)
    assert not [each for each in maker.driver.find(PictureTile) if each.opacity]
