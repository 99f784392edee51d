"""No build file is read or compared with the work on the screen's own thread: it may be large, and one of many."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from kit.driver import Driver
from kit.story import READING, Maker, new_app

from tracker.screens.places import builds as builds_screen
from tracker.screens.toolkit.list_rows import ListRow
from tracker.shop import library
from tracker.tour.headless import HandTime

SAMPLES = Path(__file__).parents[2] / "sample_projects"


@pytest.fixture
def on_the_screens_thread(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A list of everything read, laid out or compared on the thread that draws."""
    here, found = threading.current_thread(), []

    def watched(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*args: object, **kwargs: object) -> object:
            if threading.current_thread() is here:
                found.append(name)
            return real(*args, **kwargs)

        return call

    monkeypatch.setattr(library, "read_build", watched("read", library.read_build))
    monkeypatch.setattr(library, "start_run", watched("laid out", library.start_run))
    monkeypatch.setattr(builds_screen, "build_row", watched("compared", builds_screen.build_row))
    return found


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Iterator[Maker]:
    (tmp_path / "builds").mkdir()
    text = (SAMPLES / "planter.toml").read_text(encoding="utf-8")
    for number in range(6):
        named = text.replace('name = "Doorstep planter"', f'name = "Planter {number}"')
        (tmp_path / "builds" / f"planter_{number}.toml").write_text(named, encoding="utf-8")
    yield Maker(run_app(new_app(tmp_path, hand_time), (1280, 800), 149.0))
    assert not (tmp_path / "errors.log").exists(), (tmp_path / "errors.log").read_text()


def test_builds_shows_its_rows_at_once_and_fills_them_in(maker: Maker, on_the_screens_thread: list[str]) -> None:
    maker.open("Planter 3")
    maker.driver.until_thread(lambda: maker.app.shop.run is not None)
    maker.go("builds")
    rows = maker.app.root.screen.ids.list.rows
    assert len(rows) == 11
    maker.driver.until_thread(lambda: maker.driver.find(ListRow) and not maker.driver.find(ListRow, subtitle=READING))
    assert on_the_screens_thread == []


def test_a_build_from_elsewhere_is_opened_in_the_background(
    maker: Maker, on_the_screens_thread: list[str], tmp_path: Path
) -> None:
    path = tmp_path / "elsewhere.toml"
    text = (SAMPLES / "stool.toml").read_text(encoding="utf-8")
    path.write_text(text.replace('name = "Kitchen stool"', 'name = "From elsewhere"'), encoding="utf-8")
    maker.app.open_build(path)
    assert maker.app.root.said == "Reading elsewhere.toml ..."
    assert maker.app.root.said_tone == "waiting"
    maker.driver.until_thread(lambda: maker.app.shop.run is not None)
    assert maker.app.shop.run.build.name == "From elsewhere"
    assert maker.app.root.current == "station"
    assert maker.app.root.said == ""
    assert on_the_screens_thread == []


def test_a_file_with_a_slip_is_read_in_the_background_too(
    maker: Maker, on_the_screens_thread: list[str], tmp_path: Path
) -> None:
    path = tmp_path / "slip.toml"
    path.write_text((SAMPLES / "stool.toml").read_text(encoding="utf-8").replace("quantity", "quantitty"))
    maker.app.open_build(path)
    maker.driver.until_thread(lambda: "can't be opened" in maker.app.root.said)
    assert on_the_screens_thread == []
