"""Two tablets and a hub: the real command on two real screens, tapped through X; the line is cut, and comes back.

What each shows is read from its pixels, and what it kept is read by SQLite once it has ended.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest
from kit.door import Door, blue_button, log_of
from kit.xserver import XServer
from together.cluster import Cluster
from together.shops import invitation, prepared, shop_of

from tracker.together.joining import join

SAMPLES = Path(__file__).parents[2] / "sample_projects"
SECONDS = 40.0


@pytest.fixture(scope="module")
def hub() -> Iterator[Cluster]:
    with Cluster(durable=False) as made:
        yield prepared(made, force=True)


def until(what: Callable[[], object], why: str) -> None:
    end = time.monotonic() + SECONDS
    while not what():
        assert time.monotonic() < end, why
        time.sleep(0.05)


def on_hub(cluster: Cluster) -> list[str]:
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        rows = db.execute("SELECT data FROM kerfcard.entries WHERE kind = 'done'").fetchall()
    return sorted(f"{(said := json.loads(data))['item']} {said['step']}" for (data,) in rows)


def test_cut_here_cut_there_with_the_line_cut_in_between(hub: Cluster, tmp_path: Path, shots: Path) -> None:
    [desk] = shop_of(hub, tmp_path / "desk", ["Desk"])
    homes = [tmp_path / word for word in ("saw", "bench")]
    for home, word in zip(homes, ("Saw", "Bench"), strict=True):
        home.mkdir()
        (home / "kerfcard").mkdir()
        (home / "kerfcard" / "glass.json").write_text(json.dumps({"screen 1280x800": {"dpi": 149}}))
        join(home / "kerfcard", invitation(hub, *desk.hub.invite(word)), word)
    desk.close()
    file = SAMPLES / "planter.toml"
    with (
        XServer(1280, 800) as left,
        XServer(1280, 800) as right,
        Door(left, homes[0], "open", file) as saw,
        Door(right, homes[1], "open", file) as bench,
    ):
        at_saw, at_bench = saw.see(), bench.see()
        assert blue_button(at_bench) is not None
        until(lambda: _together(hub) == 2, "both have met the hub")
        at_saw = saw.see()
        saw.tap_button(at_saw)
        until(lambda: len(on_hub(hub)) == 1, "what is cut at the saw is on the hub")
        at_bench = bench.see()
        shots.mkdir(parents=True, exist_ok=True)
        at_bench.save(shots / "bench, after the saw's cut.png")

        hub.stop()  # the line is cut: both go on
        saw.tap_button(saw.see())
        bench.tap_button(bench.see())
        at_bench = bench.see()
        at_bench.save(shots / "bench, alone.png")
        hub.start()
        until(lambda: len(on_hub(hub)) >= 3, "all that was done alone is on the hub")
        time.sleep(1.5)
        saw.see().save(shots / "saw, together again.png")
        assert saw.close() == 0
        assert bench.close() == 0
    for door in (saw, bench):
        assert "Traceback" not in door.errors, door.errors
    kept = [_done(home / "kerfcard") for home in homes]
    assert kept[0] == kept[1] == on_hub(hub)
    assert len(kept[0]) == 3


def _done(record: Path) -> list[str]:
    found = (json.loads(data) for kind, data in log_of(record) if kind == "done")
    return sorted(f"{said['item']} {said['step']}" for said in found)


def _together(cluster: Cluster) -> int:
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        row = db.execute("SELECT count(*) FROM kerfcard.logins WHERE met IS NOT NULL AND word <> 'Desk'").fetchone()
        return row[0] if row else 0
