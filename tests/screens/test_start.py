"""The app through its own door."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from kit.driver import Driver
from kivy.core.window import Window

from tracker.screens.start import app_on


@pytest.fixture(autouse=True)
def collector() -> Iterator[None]:
    assert gc.isenabled()
    yield
    gc.unfreeze()
    gc.enable()


def test_the_collector_rests_until_the_first_frame(run_app: Callable[..., Driver], tmp_path: Path) -> None:
    app = app_on(tmp_path)
    assert not gc.isenabled()
    run_app(app)
    assert not gc.isenabled(), "nothing is painted yet"
    Window.dispatch("on_flip")
    assert gc.isenabled()
    assert gc.get_freeze_count() > 10_000


def test_the_collector_is_back_where_no_record_can_be_kept(kivy_window: object, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(OSError, match="folder"):
        app_on(tmp_path / "file" / "home")
    assert gc.isenabled()
