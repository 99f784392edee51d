"""Fixtures for the screens. Only their tests import Kivy: `tests/screens/conftest.py` chooses what it draws on."""

from __future__ import annotations

import datetime as dt
import gc
import logging
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, settings
from kit import display

if TYPE_CHECKING:
    from kit.driver import Driver

settings.register_profile("kerfcard", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("kerfcard")
# No test fails because of elapsed time: the machine may be busy with something else.

MORNING = dt.datetime(2026, 3, 2, 8, 0, tzinfo=dt.UTC)
"""The time at which every screen test starts."""


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "pixels: looks at what was drawn; skipped when KERFCARD_TEST_DISPLAY=null")
    display.environment()


@pytest.hookimpl(trylast=True)
def pytest_collection_finish() -> None:
    """Widgets are made by the thousand and die in cycles. With Python's usual thresholds the cyclic collector takes two
    fifths of the time of the screen tests, since it scans all modules and tests again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 10)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if os.environ.get("KERFCARD_TEST_DISPLAY") == "null":
        for item in items:
            if "pixels" in item.keywords:
                item.add_marker(pytest.mark.skip(reason="KERFCARD_TEST_DISPLAY=null draws nothing"))


@pytest.fixture(scope="session")
def kivy_window() -> Any:
    """The only window of this process. Fails with one sentence if there is no display."""
    from tracker.screens.display import NoDisplayError

    try:
        display.open_window()
    except NoDisplayError as reason:
        pytest.fail(str(reason), pytrace=False)
    from kivy.config import Config

    for name, _ in Config.items("input"):  # neither a mouse nor /dev/input: only the test's own finger
        Config.remove_option("input", name)
    from kivy.core.window import Window

    if Window is None:
        pytest.fail("Kivy found nothing to open a window on; its log says why.", pytrace=False)
    from kivy.base import EventLoop

    EventLoop.ensure_window()
    for provider in EventLoop.input_providers[:]:
        EventLoop.remove_input_provider(provider)
    return Window


@pytest.fixture(scope="session")
def _process_time(kivy_window: Any) -> Any:
    from tracker.tour.headless import HandTime

    return HandTime()


@pytest.fixture
def hand_time(_process_time: Any) -> Iterator[Any]:
    """Kivy's clock, the boot clock and the wall clock, moved together and only by hand; 8 in the morning, UTC."""
    import time_machine

    with time_machine.travel(MORNING, tick=False) as traveller:
        _process_time.wall = MORNING.timestamp()
        _process_time.follow = traveller.shift
        yield _process_time
        _process_time.follow = None


class _Complaints(logging.Handler):
    """A layout that loops for ever is only logged by Kivy; here it fails the test."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.seen: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        if "too much iteration" in record.getMessage():
            self.seen.append(record.getMessage()[:2000])


@pytest.fixture
def run_app(kivy_window: Any, hand_time: Any) -> Iterator[Callable[..., Driver]]:
    """`run_app(app, size=(1920, 1200), dpi=224)` starts a Kivy app, returns its Driver; stopped and checked after."""
    from kit import driver as kit

    from tracker.tour.headless import resize

    assert not kivy_window.children, "an earlier test left widgets in the window"
    kit.reset_input()
    events, bindings = kit.clock_events(), kit.window_bindings()
    complaints = _Complaints()
    logging.getLogger("kivy").addHandler(complaints)
    running: list[kit.Driver] = []

    def start(app: Any, size: tuple[int, int] = (1920, 1200), dpi: float = 224.0) -> kit.Driver:
        assert not any(each.app for each in running), "stop the app that runs before another is started"
        resize(*size, dpi)
        running.append(kit.Driver(app, hand_time))
        running[-1].start()
        return running[-1]

    yield start

    logging.getLogger("kivy").removeHandler(complaints)
    for each in running:
        each.stop()
    running.clear()
    kit.reset_input()
    for event in kit.clock_events() - events:
        event.cancel()
    left = {name: count for name, count in kit.window_bindings().items() if count > bindings.get(name, 0)}
    assert not left, f"the app left bindings on the window: {left}"
    assert not complaints.seen, complaints.seen[0]


@pytest.fixture
def shots(request: pytest.FixtureRequest) -> Path:
    """A folder for this test's pictures, kept to be looked at."""
    folder = Path(os.environ.get("KERFCARD_SHOTS", Path(__file__).parent / "_shots"))
    return folder / request.node.name.replace("/", "-")
