"""A glance at the boards screen, cut by cut, for boards of one width, of random width, and from the rack: the number is
the headline, what is needed at the saw reads at arm's length, the board is drawn large, and nothing is lost."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from kit import glance, walk
from kit.driver import Driver
from kit.long_names import BUILDS, long_name, write_long_builds
from kit.story import Maker

from tests.cards.test_rare_words import EXACT
from tests.screens.test_boards_story import tap_button, to_boards
from tests.screens.test_glance import BLOCKS, LOOKS, at_work
from tracker.screens.drawing.board import BoardDrawing
from tracker.screens.toolkit.buttons import SmallButton
from tracker.tour.headless import HandTime

DRAWN, RIPPED = 0.18, 0.14
"""The least share of the screen that the board has, with its tape and what is measured below it; where it is also
ripped, more is said."""
CUTS = 6


@pytest.fixture(params=LOOKS, ids=lambda look: look.name.replace(" ", "-"))
def maker(request: pytest.FixtureRequest, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    return at_work(run_app, hand_time, tmp_path, request.param)


def faults(maker: Maker, *, ordinary: bool = True) -> Iterator[str]:
    """What the board is, and what is done after the cut, may be smaller than what the cut needs."""
    maker.driver.run_for(0.6, 0.1)
    root = maker.app.root
    seen = glance.seen_words(root)
    if ordinary and maker.app.root.screen.card.board.reading is not None:
        heads = glance.headlines(root)
        if len(heads) != 1:
            yield f"{len(heads)} headlines: {[each.text for each in heads]}"
    if len(found := glance.blocks(root)) > BLOCKS:
        yield f"{len(found)} blocks of text: {found}"
    if ordinary:
        (view,) = glance.shown(root, BoardDrawing)
        board = root.screen.card.board
        later = {" ".join(words.split()) for words in (board.words, board.said)}
        yield from glance.too_small(
            each
            for each in glance.seen_words(root.screen)
            if at_the_saw(each.widget) and " ".join(each.text.split()) not in later
        )
        yield from small_drawing(maker, view)
    yield from glance.small_fractions(seen)
    yield from glance.twice(root)
    for rule in (glance.left_out, walk.truncated, walk.overlaps, walk.small_targets):
        yield from map(str, rule(root))


def at_the_saw(widget: Any) -> bool:
    """Whether a text is read while cutting: not a small button, and not the names inside the pieces of a drawing, which
    are as large as the pieces."""
    while widget is not None and widget.parent is not widget:
        if isinstance(widget, SmallButton | BoardDrawing):
            return False
        widget = widget.parent
    return True


def small_drawing(maker: Maker, view: BoardDrawing) -> Iterator[str]:
    width, height = maker.app.root.size
    ink = glance.ink_of(view)
    drawn = ink.width * ink.height / (width * height) if ink else 0.0
    room = view.width * view.height / (width * height)
    if drawn < (RIPPED if "rip" in maker.app.root.screen.card.board.words else DRAWN):
        yield f"the board covers {drawn:.1%} of the screen, of room it has {room:.1%}"


@pytest.mark.parametrize("build", ["Doorstep planter", "Hall bench", "Bedside tables"])
def test_every_cut_of_a_board_is_read_at_a_glance(maker: Maker, build: str) -> None:
    maker.open(build)
    to_boards(maker)
    wrong = [f"{build}, plan: {each}" for each in faults(maker)]
    tap_button(maker)
    for _ in range(CUTS):
        board = maker.app.root.screen.card.board
        wrong += [f"{build}, {board.action.text}: {each}" for each in faults(maker)]
        tap_button(maker)
    assert not wrong, "\n".join(wrong)


def test_a_piece_that_is_what_is_left_is_said_where_there_is_no_number(maker: Maker) -> None:
    """1000 + 3 + 997 mm: the second piece needs no cut, and its card said nothing but where the board is."""
    maker.go("scan")
    (maker.app.shop.library.folder / "exact.toml").write_text(EXACT, encoding="utf-8")
    maker.open("Exact")
    to_boards(maker)
    tap_button(maker)
    tap_button(maker)
    assert maker.app.root.screen.card.board.reading is None
    wrong = list(faults(maker))
    assert "No cut: the rest is Long" in maker.driver.texts()
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("build", list(BUILDS)[:2])
def test_long_names_cost_no_word(maker: Maker, build: str) -> None:
    maker.go("scan")
    write_long_builds(maker.app.shop.library.folder)
    maker.open(long_name(BUILDS[build]))
    to_boards(maker)
    wrong = [f"plan: {each}" for each in faults(maker, ordinary=False)]
    tap_button(maker)
    for _ in range(2):
        board = maker.app.root.screen.card.board
        wrong += [f"{board.action.text}: {each}" for each in faults(maker, ordinary=False)]
        tap_button(maker)
    assert not wrong, "\n".join(wrong)
