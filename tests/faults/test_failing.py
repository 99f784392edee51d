"""A short count of `python tests/faults failing`: whichever change of the disk fails, nothing is lost and every failure
is reported."""

from __future__ import annotations

from pathlib import Path

from faults.failing import Fault, every_fault, live


def test_nothing_is_lost_when_a_change_of_the_disk_fails() -> None:
    lives = list(every_fault(every=53))
    assert [(life.fault, life.hit, life.wrong) for life in lives if life.wrong] == []
    assert {life.hit.what for life in lives if life.hit} >= {"write", "sync"}
    assert all(life.told for life in lives if life.fault.lasting and life.hit and life.fault.at < 200)


def test_on_a_disk_that_fails_from_the_start_one_sentence_says_so(tmp_path: Path) -> None:
    life = live(Fault(0, full=True, lasting=True), tmp_path / "home")
    assert life.wrong == []
    assert life.told
