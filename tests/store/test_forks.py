"""Two true histories under one name: the record's own continues, the other is renamed and kept. A copied, restored or
recovered record gets a new name, so that there is no third history."""

from __future__ import annotations

import json
import shutil
from itertools import permutations
from pathlib import Path

import pytest
from store.tablet import Clock, opened, tap, tend

from tracker.shop import Shop
from tracker.store import identity
from tracker.store.closed_copy import settings_in
from tracker.store.recovery import LOG_NAME, rejoin_rows
from tracker.store.rows import LOST, Row, row_of
from tracker.work.facts import Done, Entry

NOW = Clock().now.wall


def line(words: str, before: tuple[Row, ...] = ()) -> tuple[Row, ...]:
    """Rows of the tablet `saw`, one for each word, after those before."""
    rows = list(before)
    for word in words.split():
        count = len(rows) + 1
        seen = {"saw": count - 1} if count > 1 else {}
        rows.append(
            row_of(Entry("saw", count, seen, NOW, Done("frame#1", word, "cut")), rows[-1].chain if rows else "")
        )
    return tuple(rows)


def said(rows: list[Row]) -> list[str]:
    return [json.loads(row.data)["item"] for row in rows if row.kind != LOST]


ROOT = line("a b c")
OURS, THEIRS = line("ours1 ours2", ROOT), line("x y z", ROOT)


@pytest.mark.parametrize("copies", [(THEIRS, ROOT), (ROOT, THEIRS), (THEIRS,)])
def test_of_two_true_histories_the_records_own_goes_on(copies: tuple[tuple[Row, ...], ...]) -> None:
    rows, (saw,) = rejoin_rows([OURS, *copies], NOW)
    assert rows == list(OURS)
    assert (saw.lost, saw.unproven) == ((), ())
    (fork,) = saw.forks
    assert (fork.tablet, fork.first, fork.count, fork.rows) == ("saw", 4, 3, THEIRS)


@pytest.mark.parametrize("at", range(5))
def test_a_damage_in_the_record_lets_no_other_history_in(at: int) -> None:
    """A lost row of the record stays lost: no row of the other history takes its place."""
    ours = line("ours1 ours2 ours3 ours4 ours5", ROOT)
    damaged = [row if row.count != 4 + at else row._replace(data=row.data.replace("ours", "hours")) for row in ours]
    rows, (saw,) = rejoin_rows([damaged, THEIRS], NOW)
    assert not {"x", "y", "z"} & set(said(rows))
    kept = {f"ours{number}" for number in range(1, 6) if number != 1 + at}
    assert kept <= set(said(rows)) | {json.loads(row.data)["item"] for row in saw.unproven}
    assert [fork.rows for fork in saw.forks] == [THEIRS]


def test_whatever_order_the_rows_come_in_the_same_history_goes_on() -> None:
    for order in permutations(range(5)):
        rows, _ = rejoin_rows([[OURS[at] for at in order], THEIRS[::-1]], NOW)
        assert rows == list(OURS)


def test_a_backup_of_the_same_history_fills_what_was_damaged() -> None:
    whole = line("1 2 3 4 5 6 7 8")
    for at in range(8):
        damaged = [row._replace(data=row.data.replace("cut", "out")) if row.count == at + 1 else row for row in whole]
        rows, (saw,) = rejoin_rows([damaged, whole[: at + 1]], NOW)
        assert rows == list(whole)
        assert (saw.lost, saw.forks) == ((), ())
    rows, _ = rejoin_rows([whole[:3], whole[:7], whole[:5]], NOW)
    assert rows == list(whole[:7])


def test_what_the_mark_knows_of_and_nothing_has_is_lost_and_the_chain_goes_on_from_there() -> None:
    whole = line("1 2 3 4 5 6")
    rows, (saw,) = rejoin_rows([whole[:3]], NOW, ends={"saw": (5, whole[4].chain)})
    assert saw.lost == ((4, 5),)
    again, (saw,) = rejoin_rows([rows, whole], NOW)
    assert again == list(whole)
    assert saw.lost == ()


def test_what_another_tablet_had_seen_is_known_to_be_lost() -> None:
    bench = row_of(Entry("bench", 1, {"saw": 5}, NOW, Done("frame#1", "d", "cut")), "")
    rows, tablets = rejoin_rows([[*line("1 2 3"), bench]], NOW)
    assert {each.tablet: each.lost for each in tablets} == {"bench": (), "saw": ((4, 5),)}
    found, tablets = rejoin_rows([rows, line("1 2 3 4 5 6")], NOW)
    assert all(each.lost == () for each in tablets)
    assert len(found) == 7


def forked(tmp_path: Path) -> tuple[Path, list[object], list[object]]:
    """A home whose backups hold another history than its record: both continued under one name."""
    home, other = tmp_path / "home", tmp_path / "other"
    clock = Clock()
    shop = opened(home, clock)
    for _ in range(4):
        tap(shop)
    name = shop.tablet
    shop.close()
    shutil.copytree(home, other)
    histories = []
    for place in (other, home):
        shop = Shop(place, clock)
        shop.tablet = name  # as an older version continued in a copy
        shop.open(next(iter(sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml")))))
        for _ in range(5 if place == other else 2):
            tap(shop)
            clock.wait(7)
        if place == other:
            tend(shop)
        histories.append([entry.fact for entry in shop.entries()])
        shop.close()
    (home / "backups").mkdir(exist_ok=True)
    for backup in (other / "backups").iterdir():
        shutil.copy(backup, home / "backups" / backup.name)
    return home, histories[1], histories[0]


@pytest.mark.parametrize("run", range(6))
def test_a_damaged_record_comes_back_as_it_was_though_a_backup_holds_another_history(tmp_path: Path, run: int) -> None:
    home, ours, theirs = forked(tmp_path)
    data = bytearray((home / LOG_NAME).read_bytes())
    data[20 + run] ^= 1 << run  # in the head: every row can still be read
    data[100:108] = b"\0" * 8
    (home / LOG_NAME).write_bytes(data)
    shop = Shop(home, Clock())
    assert [entry.fact for entry in shop.entries()] == ours
    assert "of another history" in shop.notice
    shop.close()
    (kept,) = home.glob("damaged-*/other-history-*.jsonl")
    elsewhere = Shop(tmp_path / "elsewhere", Clock())
    assert elsewhere.import_from(kept).problems == ()
    assert [entry.fact for entry in elsewhere.entries() if entry.tablet in kept.name] == theirs
    elsewhere.close()


# -- names -------------------------------------------------------------------------------------------------------------


def test_a_backup_has_no_name_of_a_tablet(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    shop.settings["station"] = "drill"
    backup = shop.back_up()
    assert shop.settings["tablet"] == shop.tablet
    shop.close()
    assert settings_in(backup)["station"] == "drill"
    assert not {*identity.NAMES} & {*settings_in(backup)}


def test_a_backup_put_back_by_hand_goes_on_under_a_new_name(tmp_path: Path) -> None:
    shop = opened(tmp_path / "home")
    tap(shop)
    backup, name = shop.back_up(), shop.tablet
    tap(shop)
    shop.close()
    (tmp_path / "new").mkdir()
    shutil.copy(backup, tmp_path / "new" / LOG_NAME)
    shop = opened(tmp_path / "new")
    assert shop.tablet != name
    tap(shop)
    assert shop.entries()[-1].tablet == shop.tablet
    shop.close()


@pytest.mark.parametrize("how", ["another folder", "another machine"])
def test_a_copied_home_is_noticed_and_renews_its_name(
    tmp_path: Path, how: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = opened(tmp_path / "home")
    tap(shop)
    name = shop.tablet
    shop.close()
    again = Shop(tmp_path / "home", Clock())
    assert (again.tablet, again.notice) == (name, "")
    again.close()
    copy = tmp_path / "home"
    if how == "another folder":
        copy = shutil.copytree(copy, tmp_path / "copy")
    else:
        (tmp_path / "machine-id").write_text("0123456789abcdef0123456789abcdef\n")
        monkeypatch.setattr(identity, "_MACHINE_IDS", (tmp_path / "machine-id",))
    shop = opened(copy)
    assert "copied from another place" in shop.notice
    assert shop.tablet != name
    assert tap(shop) == ""
    renewed = shop.tablet
    shop.close()
    shop = Shop(copy, Clock())
    assert (shop.tablet, shop.notice) == (renewed, "")
    shop.close()


def test_two_copies_of_a_home_go_on_and_join(tmp_path: Path) -> None:
    shop = opened(tmp_path / "one")
    tap(shop)
    shop.close()
    shutil.copytree(tmp_path / "one", tmp_path / "two")
    shops = [opened(tmp_path / place) for place in ("one", "two")]
    for shop, taps in zip(shops, (2, 3), strict=True):
        for _ in range(taps):
            assert tap(shop) == ""
    for source, to in (shops, shops[::-1]):
        source.export_to(tmp_path / "carried.jsonl")
        assert to.import_from(tmp_path / "carried.jsonl").problems == ()
    assert {entry.id for entry in shops[0].entries()} == {entry.id for entry in shops[1].entries()}
    assert shops[0].state == shops[1].state
    for shop in shops:
        shop.close()


def test_after_a_restore_what_is_marked_is_accepted_where_the_rest_is_known(tmp_path: Path) -> None:
    saw, bench = opened(tmp_path / "saw"), opened(tmp_path / "bench")
    tap(saw)
    backup = saw.back_up()
    tap(saw)
    saw.export_to(tmp_path / "saw.jsonl")
    assert bench.import_from(tmp_path / "saw.jsonl").problems == ()
    saw.restore(backup)
    for _ in range(3):
        tap(saw)
    saw.export_to(tmp_path / "again.jsonl")
    taken = bench.import_from(tmp_path / "again.jsonl")
    assert taken.problems == ()
    assert [entry.tablet for entry in taken.new] == [saw.tablet] * 3
    bench.export_to(tmp_path / "bench.jsonl")
    assert saw.import_from(tmp_path / "bench.jsonl").problems == ()
    assert saw.state == bench.state
    saw.close()
    bench.close()
