"""Heartbeats: the readings of the clocks are remembered over a restart."""

from __future__ import annotations

from pathlib import Path

from store.tablet import Clock, opened


def test_the_last_heartbeat_of_every_boot_is_remembered_over_a_restart(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    for _ in range(6):
        shop.beat()
        clock.wait(10)
    shop.close()
    clock.restart("boot 2", 3600)
    shop = opened(tmp_path, clock)
    shop.beat()
    assert [(beat.boot_id, beat.boot) for beat in shop.now().beats] == [("boot 1", 1060.0), ("boot 2", 5.0)]
    shop.close()


def test_heartbeats_of_fifty_boots_are_kept_and_the_present_one_even_by_a_wrong_wall_clock(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    for boot in range(70):
        clock.restart(f"boot {boot}", -86_400 if boot == 69 else 60)
        shop.beat()
    beats = shop.now().beats
    assert [beat.boot_id for beat in beats] == [f"boot {boot}" for boot in range(20, 70)]
    shop.close()
