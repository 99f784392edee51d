"""The app started as in the program."""

from __future__ import annotations

import gc
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from kit.driver import Driver
from kivy.core.window import Window

from tracker.assets import asset_dir
from tracker.screens.start import app_on, collector_paused
from tracker.shop import Shop

FIRST_CARD = """
import sys
from kit import display
display.environment()
display.open_window()
from pathlib import Path
from tracker.screens.start import app_on
app = app_on(Path(sys.argv[1]))
from kivy.base import EventLoop, runTouchApp
app._run_prepare()
runTouchApp(embedded=True)
EventLoop.idle()
from tracker.screens.toolkit.fraction import BigReading
assert any(isinstance(each, BigReading) and each.reading for each in app.root.walk())
loaded = ("numpy", "tracker.plan.boards", "tracker.plan.place", "tracker.cards.picture", "tracker.scan.reader",
          "tracker.paper")
print([name for name in loaded if name in sys.modules])
"""


@pytest.fixture(autouse=True)
def collector() -> Iterator[None]:
    assert gc.isenabled()
    yield
    gc.unfreeze()
    gc.enable()


def test_the_collector_rests_until_the_first_frame(run_app: Callable[..., Driver], tmp_path: Path) -> None:
    with collector_paused():
        run_app(app_on(tmp_path))
        assert not gc.isenabled(), "nothing is painted yet"
        Window.dispatch("on_flip")
        assert gc.isenabled()
        assert gc.get_freeze_count() > 10_000


def test_the_collector_is_back_where_no_record_can_be_kept(kivy_window: object, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(OSError, match="folder"), collector_paused():
        app_on(tmp_path / "file" / "home")
    assert gc.isenabled()


def test_the_first_card_waits_for_no_planner_and_no_reader(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.open(asset_dir("sample_projects") / "planter.toml")
    shop.settings["screen"], shop.settings["hand"] = "station", "side:1"
    shop.close()
    here = str(Path(__file__).parents[1])
    env = {**os.environ, "KERFCARD_TEST_DISPLAY": "null", "PYTHONPATH": os.pathsep.join((here, *sys.path))}
    done = subprocess.run([sys.executable, "-c", FIRST_CARD, tmp_path], env=env, capture_output=True, text=True)
    assert done.stdout.splitlines()[-1:] == ["[]"], done.stderr


@pytest.mark.parametrize("sample", ["planter", "stool", "hall_bench"])
def test_a_build_named_at_the_start_is_opened_before_any_screen_is_shown(
    sample: str, run_app: Callable[..., Driver], tmp_path: Path
) -> None:
    driver = run_app(app_on(tmp_path, asset_dir("sample_projects") / f"{sample}.toml"))
    assert driver.app.shop.run is not None
    assert driver.app.root.current == "station"
