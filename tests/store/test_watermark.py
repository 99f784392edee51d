"""The high-water mark: how far the record has come, in a file beside it."""

from __future__ import annotations

from pathlib import Path

from store.tablet import Clock, ids, opened, tap, written

from tracker.shop import Shop
from tracker.store import watermark
from tracker.store.recovery import LOG_NAME


def test_a_mark_that_was_cut_short_or_changed_says_nothing_wrong(tmp_path: Path) -> None:
    path = tmp_path / "mark"
    mark = watermark.Watermark(path, {"saw": (3, "c" * 64)})
    mark.note({"saw": (4, "d" * 64)})
    mark.note({"bench": (1, "e" * 64)})
    mark.close()
    whole = path.read_bytes()
    assert watermark.read_mark(path) == {"saw": (4, "d" * 64), "bench": (1, "e" * 64)}
    good = [{}, {"saw": (3, "c" * 64)}, {"saw": (4, "d" * 64)}, watermark.read_mark(path)]
    for end in range(len(whole)):
        path.write_bytes(whole[:end])
        assert watermark.read_mark(path) in good
    for at in range(len(whole) * 8):
        data = bytearray(whole)
        data[at // 8] ^= 1 << at % 8
        path.write_bytes(data)
        found = watermark.read_mark(path)
        assert all(found[tablet] in ((3, "c" * 64), (4, "d" * 64), (1, "e" * 64)) for tablet in found)


def test_a_mark_that_is_lost_costs_nothing(tmp_path: Path) -> None:
    kept = written(tmp_path, 3)
    (tmp_path / f"{LOG_NAME}-mark").unlink()
    shop = Shop(tmp_path, Clock())
    assert (shop.notice, ids(shop)) == ("", kept)
    shop.close()


def test_every_mark_is_noted_before_it_is_shown(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    for _ in range(5):
        tap(shop)
        ends = watermark.read_mark(tmp_path / f"{LOG_NAME}-mark")
        assert ends == shop._log.tails
    shop.close()
