"""A bug behind a tap: the app goes on, shows a message and writes a report; the log stays as it was."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from kit.story import Maker, new_app

from tracker.screens import crash_report

if TYPE_CHECKING:
    from kit.driver import Driver


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: Any, tmp_path: Path) -> Maker:
    maker = Maker(run_app(new_app(tmp_path / "home", hand_time)))
    maker.open("Doorstep planter")
    return maker


def bug(*_: object) -> None:
    raise RuntimeError("a bug in a callback")


def first_step(app: Any) -> Any:
    from tracker.work.decide.decide import Do

    piece = next(iter(app.shop.run.pieces))
    return Do(piece.key, piece.route[0].id)


def as_the_main_loop_does(job: Callable[[], None]) -> None:
    """Like Kivy's `EventLoopBase.mainloop`: an error goes to the handlers, and is raised again if they decide so."""
    from kivy.base import ExceptionManager

    try:
        job()
    except Exception as error:
        if ExceptionManager.handle_exception(error) == ExceptionManager.RAISE:
            raise


def test_the_app_goes_on_after_a_bug_behind_a_tap_and_the_report_can_be_shared(
    maker: Maker, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = maker.app
    monkeypatch.setattr(type(app), "turn_light", bug)
    maker.go("more")
    as_the_main_loop_does(lambda: maker.driver.tap_text("Dark screen"))
    assert "Something went wrong; nothing you ticked is lost" in app.root.said
    report = app.shop.home / "errors.log"
    assert "a bug in a callback" in report.read_text()
    assert "Kerfcard" in report.read_text()
    before = len(app.shop.entries())
    maker.go("station")
    app.act(first_step(app))
    assert len(app.shop.entries()) > before


def test_a_bug_that_comes_every_second_is_written_once_and_the_report_stays_small(
    maker: Maker, monkeypatch: pytest.MonkeyPatch
) -> None:

    monkeypatch.setattr(crash_report, "MOST_BYTES", 10_000)
    app = maker.app
    for _ in range(20):
        app._keeper.handle_exception(RuntimeError("every second"))
    report = app.shop.home / "errors.log"
    assert report.read_text().count("every second") == 1
    for number in range(300):
        app._keeper.handle_exception(RuntimeError(f"bug {number} " + "x" * 100))
    sizes = [path.stat().st_size for path in app.shop.home.glob("errors*.log")]
    assert len(sizes) == 2
    assert max(sizes) < 2 * 10_000


def test_a_state_that_a_bug_left_wrong_is_folded_anew_from_the_log(
    maker: Maker, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = maker.app
    app.act(first_step(app))
    state, replayed = app.shop.state, app.shop._replay
    monkeypatch.setattr(app.shop, "_replay", type(replayed)(app.shop.entries()[:1]))
    assert app.shop.state != state
    app._keeper.handle_exception(RuntimeError("in the middle of a change"))
    assert app.shop.state == state


def test_without_room_for_the_report_it_is_said(maker: Maker) -> None:
    app = maker.app
    (app.shop.home / "errors.log").mkdir()
    app._keeper.handle_exception(RuntimeError("no room"))
    assert "There is no room for a report" in app.root.said


def test_what_ends_programs_ends_this_one(maker: Maker) -> None:
    from kivy.base import ExceptionManager

    assert maker.app._keeper.handle_exception(KeyboardInterrupt()) == ExceptionManager.RAISE


def test_a_full_disk_is_said_on_the_screen_and_the_mark_stays_open(maker: Maker) -> None:
    from tracker.work.decide.decide import Do

    app = maker.app
    log = app.shop._log
    pages = log.db.execute("PRAGMA page_count").fetchone()[0]
    log.db.execute(f"PRAGMA max_page_count = {pages}")
    refused = None
    for piece in 3 * tuple(app.shop.run.pieces):
        left = [step for step in piece.route if not app.shop.state.is_done(app.shop.run, piece, step.id)]
        if left:
            app.act(Do(piece.key, left[0].id))
            if "storage is full" in app.root.said:
                refused = (piece, left[0])
                break
    assert refused is not None
    assert not app.shop.state.is_done(app.shop.run, refused[0], refused[1].id)
    maker.driver.frames(3)
    assert any("storage is full" in text for text in maker.driver.texts())
