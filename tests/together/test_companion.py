"""The thread that exchanges with the hub, with a shop's record behind it."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from store.tablet import SAMPLE, opened, tap
from together.cluster import Cluster
from together.shops import invitation, shop_of

from tracker.shop import Shop, read_clock
from tracker.shop.together import Together
from tracker.together import connection, server
from tracker.together.joining import join
from tracker.together.membership import NAME, read_membership, write_membership
from tracker.work.clocks.alarms import calling
from tracker.work.decide.decide import Answer
from tracker.work.facts import Done, Entry, Wait

SECONDS = 30.0


class Screen:
    """The thread that owns a record: runs the delivered calls one after the other, like the screen's thread."""

    def __init__(self, shop: Callable[[], Shop]) -> None:
        self._calls: list[Callable[[], None]] = []
        self._ready = threading.Condition()
        self.news: list[Entry] = []
        self.ended = False
        self._started = threading.Event()
        self._make = shop
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()
        assert self._started.wait(SECONDS)

    def deliver(self, call: Callable[[], None]) -> None:
        with self._ready:
            self._calls.append(call)
            self._ready.notify()

    def do(self, call: Callable[[], Any]) -> Any:
        """Run something there and return its result."""
        done, answer = threading.Event(), []

        def run() -> None:
            answer.append(call())
            done.set()

        self.deliver(run)
        assert done.wait(SECONDS)
        return answer[0]

    def _run(self) -> None:
        self.shop = self._make()
        self.together = Together(self.shop, self.deliver, lambda new: self.news.extend(new))
        self.together.start()
        self._started.set()
        while not self.ended:
            with self._ready:
                self._ready.wait_for(lambda: self._calls)
                calls, self._calls = self._calls, []
            for call in calls:
                call()

    def close(self) -> None:
        def end() -> None:
            self.together.stop()
            self.shop.close()
            self.ended = True

        self.do(end)
        self._thread.join(SECONDS)


def until(what: Callable[[], object], seconds: float = SECONDS) -> None:
    end = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < end
        time.sleep(0.01)


@pytest.fixture
def pair(cluster: Cluster, tmp_path: Path) -> Iterator[tuple[Screen, Screen]]:
    """A saw and a bench, each with its record, connected through the hub."""
    login, secret = server.new_shop(cluster.admin(), "Shop", "Saw")
    saw = join(tmp_path / "saw", invitation(cluster, login, secret), "Saw")
    with_saw = connection.Connection(saw)
    join(tmp_path / "bench", invitation(cluster, *with_saw.invite("Bench")), "Bench")
    with_saw.close()
    screens = tuple(Screen(lambda name=name: opened(tmp_path / name, read_clock)) for name in ("saw", "bench"))
    for each in screens:
        until(lambda each=each: each.together.status.state == "together")
    yield screens[0], screens[1]
    for each in screens:
        if not each.ended:
            each.close()


def ticks(screen: Screen) -> set[tuple[str, str]]:
    shop = screen.shop
    assert shop.run is not None
    return {(key, tick.step) for key, done in shop.state.ticks_of(shop.run).items() for tick in done}


def test_a_tick_at_the_saw_shows_at_the_bench(pair: tuple[Screen, Screen]) -> None:
    saw, bench = pair
    assert saw.do(lambda: tap(saw.shop)) == ""
    until(lambda: ticks(bench) == ticks(saw) != set())
    assert bench.do(lambda: tap(bench.shop)) == ""
    until(lambda: ticks(saw) == ticks(bench) and len(ticks(saw)) == 2)
    assert {entry.tablet for entry in saw.news} == {bench.shop.tablet}
    until(lambda: saw.together.status.waiting == 0)


def test_what_was_marked_alone_comes_over_once_the_line_is_there(
    pair: tuple[Screen, Screen], cluster: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    saw, bench = pair
    bench.do(bench.together.stop)
    assert bench.do(lambda: [tap(bench.shop) for _ in range(5)]) == [""] * 5
    assert saw.do(lambda: tap(saw.shop)) == ""
    bench.do(bench.together.start)
    until(lambda: ticks(saw) == ticks(bench) and len(ticks(saw)) == 5)
    assert len({entry.tablet for entry in saw.shop.entries()}) == 2


def test_an_alarm_calls_on_both_and_is_answered_once(pair: tuple[Screen, Screen]) -> None:
    saw, bench = pair

    def calls(screen: Screen) -> list[str]:
        """The alarms that sound there now."""
        shop = screen.shop
        assert shop.run is not None
        found = (call for call in calling(shop.run, shop.state, shop.now()) if call.why == "over")
        return [call.running.item.key for call in found]

    def start(seconds: int) -> None:
        shop, now = saw.shop, saw.shop.now()
        assert shop.run is not None
        wait = Wait("clamp", seconds, now.boot_id, now.boot)
        fact = Done(shop.run.name, next(shop.run.assemblies).key, "clamp", wait=wait)
        shop._fold(shop._record.append(shop.tablet, now.wall, [fact]))

    def answer(screen: Screen) -> object:
        shop = screen.shop
        assert shop.run is not None
        [call] = calling(shop.run, shop.state, shop.now())
        return shop.do(Answer(call.id))

    saw.do(lambda: start(3))
    until(lambda: bench.do(lambda: [str(each.fact.kind) for each in bench.shop.entries()])[-1:] == ["done"])
    assert bench.do(lambda: calls(bench)) == [], "it still runs"
    until(lambda: saw.do(lambda: calls(saw)) and bench.do(lambda: calls(bench)))
    assert bench.do(lambda: answer(bench)) is None
    until(lambda: saw.do(lambda: calls(saw)) == [] and bench.do(lambda: calls(bench)) == [])


def test_a_hub_that_is_away_holds_nobody_up_and_is_said(tmp_path: Path, cluster: Cluster) -> None:
    """The line takes everything and never answers."""
    with socket.socket() as hole:
        hole.bind(("127.0.0.1", 0))
        hole.listen(5)
        [tablet] = shop_of(cluster, tmp_path, ["Saw"])
        tablet.close()
        home = tmp_path / "Saw"
        found = read_membership(home)
        assert found is not None
        write_membership(home, replace(found, port=hole.getsockname()[1]))
        screen = Screen(lambda: opened(home, read_clock))
        assert screen.do(lambda: tap(screen.shop)) == "", "no answer has come yet, and none ever will"
        assert screen.together.status.state == "alone"
        screen.close()


def test_a_tablet_that_is_taken_out_says_so_and_works_on(pair: tuple[Screen, Screen]) -> None:
    saw, bench = pair
    login = (
        next(each.login for each in saw.together.status.others if each.word == "Bench")
        if saw.together.status.others
        else ""
    )
    login = login or read_membership(bench.shop.home).login  # type: ignore[union-attr]
    assert saw.together.revoke(login) == ["Bench"]
    until(lambda: bench.together.status.state == "refused")
    assert "taken out" in bench.together.status.why
    assert bench.do(lambda: tap(bench.shop)) == ""


def test_a_branch_goes_on_under_its_own_name_and_the_shop_with_it(
    pair: tuple[Screen, Screen], cluster: Cluster
) -> None:
    """The bench's record is restored by hand to a state before its last facts."""
    saw, bench = pair
    for _ in range(3):
        bench.do(lambda: tap(bench.shop))
    until(lambda: len(ticks(saw)) == 3)
    bench.do(bench.together.stop)
    name = bench.shop.tablet
    rows = [row for row in bench.shop._log.rows() if row.tablet != name or row.count <= 2]
    bench.do(lambda: bench.shop._record.replace_rows(rows, bench.shop.now().wall, False))
    bench.do(bench.shop._read_record)
    assert bench.shop.tablet == name
    for _ in range(2):
        bench.do(lambda: tap(bench.shop))
    bench.do(bench.together.start)
    until(lambda: bench.shop.tablet != name)
    until(
        lambda: set(bench.do(lambda: list(bench.shop._log.rows()))) == set(saw.do(lambda: list(saw.shop._log.rows())))
    )
    until(lambda: any("under another name" in said for said in bench.shop.unseen_news))
    assert bench.do(lambda: tap(bench.shop)) == ""
    until(lambda: ticks(saw) == ticks(bench))


def test_the_secret_is_in_no_backup_and_no_export_and_a_copied_folder_is_no_member(
    pair: tuple[Screen, Screen], tmp_path: Path
) -> None:
    saw, _ = pair
    saw.do(lambda: tap(saw.shop))
    saw.do(saw.shop.back_up)
    saw.do(saw.shop.export)
    found = read_membership(saw.shop.home)
    assert found is not None
    assert (saw.shop.home / NAME).stat().st_mode & 0o777 == 0o600
    holders = [
        path.name for path in saw.shop.home.rglob("*") if path.is_file() and found.secret.encode() in path.read_bytes()
    ]
    assert holders == [NAME]
    assert found.secret not in repr(found)
    shutil.copytree(saw.shop.home, tmp_path / "copy")
    assert read_membership(tmp_path / "copy") is None


def test_a_build_file_follows_its_run(cluster: Cluster, tmp_path: Path) -> None:
    text = SAMPLE.read_text("utf-8")
    home = tmp_path / "Saw"
    tablets = shop_of(cluster, tmp_path, ["Saw", "Bench"])
    for each in tablets:
        each.close()
        for path in each.folder.glob("log.db*"):
            path.unlink()
    (home / "builds").mkdir()
    name = next(line for line in text.splitlines() if line.startswith("name"))
    (home / "builds" / "mine.toml").write_text(text.replace(name, 'name = "Own bench"', 1), "utf-8")

    def own() -> Shop:
        shop = Shop(home, read_clock)
        assert [each for each in shop.open(home / "builds" / "mine.toml") if each.kind == "problem"] == []
        return shop

    saw, bench = Screen(own), Screen(lambda: Shop(tmp_path / "Bench", read_clock))
    run = saw.shop.run
    assert run is not None
    until(lambda: run.name in bench.shop.state.runs)
    bench.do(bench.together.stop)  # check now what is otherwise checked each half minute
    bench.do(bench.together.start)
    until(lambda: bench.shop.library.file_of(run.name) is not None)
    file = bench.shop.library.file_of(run.name)
    assert file is not None
    assert file.path.read_bytes() == (home / "builds" / "mine.toml").read_bytes()
    assert bench.do(lambda: bench.shop.open(file.path)) is not None
    assert bench.do(lambda: tap(bench.shop)) == ""
    for each in (saw, bench):
        each.close()
