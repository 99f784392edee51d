"""Two tablets and a hub: the real command on two real screens, tapped through X; the network is cut and comes back.

The tests read each screen's pixels, and each log with SQLite; both tablets lose their power while clamps are on.
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

BOOKEND = """
[build]
name = "Bookend"
units = "in"

[woods.pine]
species = "eastern white pine"
section = "1x6"
lengths = ["6 ft"]

[[parts]]
id = "half"
quantity = 2
wood = "pine"
length = 9

[[assemblies]]
id = "bookend"
joins = { half = 2 }
by = "glue"
glue = "PVA, aliphatic (yellow)"
"""
GLUE_UP = 87, 235
"""The place of Glue-up on the bar at the left of a screen of 1280 x 800."""
OK = 1154, 85
"""The button of a notice at the top."""
CHECKLIST = [(220, 257), (640, 257), (1060, 257), (220, 473), (640, 473), (1060, 473), (220, 689)]
"""The places of the seven lines of the checklist before gluing."""
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


def glue_up(bench: Door, shots: Path) -> None:
    """Answer the message about the second half, then dry fit, tick the checklist, spread the glue and put the clamps
    on."""
    apart = bench.see(button=False)
    bench.server.touch(*OK, 0.1)
    saw = bench.see_other_than(apart, button=False)
    bench.server.touch(*GLUE_UP, 0.1)
    at_glue_up = bench.see_other_than(saw)
    at_glue_up.save(shots / "bench, at the glue-up.png")
    bench.tap_button(at_glue_up, button=True)
    checklist = bench.tap_button(bench.see())
    time.sleep(1)  # a new screen ignores taps at first: a finger may still be on its way to the old one
    for place in CHECKLIST:
        bench.server.touch(*place, 0.1)
        checklist = bench.see_other_than(checklist, button=False)
    spread = bench.tap_button(bench.see(), button=True)
    spread.save(shots / "bench, glue is on.png")
    bench.tap_button(spread)
    bench.see(button=False).save(shots / "bench, clamped.png")


def test_cut_here_glued_there_with_the_line_cut_in_between(hub: Cluster, tmp_path: Path, shots: Path) -> None:
    [desk] = shop_of(hub, tmp_path / "desk", ["Desk"])
    homes = [tmp_path / word for word in ("saw", "bench")]
    for home, word in zip(homes, ("Saw", "Bench"), strict=True):
        home.mkdir()
        (home / "kerfcard").mkdir()
        (home / "kerfcard" / "glass.json").write_text(json.dumps({"screen 1280x800": {"dpi": 149}}))
        join(home / "kerfcard", invitation(hub, *desk.hub.invite(word)), word)
    desk.close()
    file = tmp_path / "bookend.toml"
    file.write_text(BOOKEND)
    shots.mkdir(parents=True, exist_ok=True)
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
        at_bench = bench.see(button=False)
        at_bench.save(shots / "bench, after the saw's cut.png")

        hub.stop()  # the line is cut: both go on
        saw.tap_button(saw.see())
        bench.tap_button(bench.see())
        bench.see(button=False).save(shots / "bench, alone.png")
        hub.start()
        until(lambda: len(on_hub(hub)) >= 3, "all that was done alone is on the hub")
        time.sleep(1.5)
        saw.see(button=False).save(shots / "saw, together again.png")
        glue_up(bench, shots)
        until(lambda: len(on_hub(hub)) == 6, "what is glued at the bench is on the hub")
        time.sleep(3)
        left.picture().save(shots / "saw, while the bench waits.png")
    for door in (saw, bench):
        assert "Traceback" not in door.errors, door.errors
    kept = [_done(home / "kerfcard") for home in homes]
    assert kept[0] == kept[1] == on_hub(hub)
    assert kept[0] == [
        *("bookend:1 clamp", "bookend:1 dry fit", "bookend:1 spread"),
        *("half:1 cut", "half:2 cut", "half:2 cut"),  # both cut the second one while disconnected
    ]


def _done(record: Path) -> list[str]:
    found = (json.loads(data) for kind, data in log_of(record) if kind == "done")
    return sorted(f"{said['item']} {said['step']}" for said in found)


def _together(cluster: Cluster) -> int:
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        row = db.execute("SELECT count(*) FROM kerfcard.logins WHERE met IS NOT NULL AND word <> 'Desk'").fetchone()
        return row[0] if row else 0
