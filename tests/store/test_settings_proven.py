"""Settings changed by a damaged bit are never used: they fall back to the default, are named, and stop nothing."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner
from store.tablet import SAMPLE, Clock, opened, tap

from tracker.cli.main import commands
from tracker.measure import Length
from tracker.shop import Shop
from tracker.store.closed_copy import read_settings
from tracker.store.recovery import LOG_NAME
from tracker.store.schema import proof_of

PLAIN = SAMPLE.with_name("planter.toml")
RELEASED = sorted((Path(__file__).parent / "released").glob("*.db"))


def kept(folder: Path, **settings: str) -> Path:
    """A closed record with the kerf and the given settings."""
    shop = opened(folder)
    tap(shop)
    shop.settings.update({name.replace("_", " "): value for name, value in settings.items()})
    shop.close()
    return folder / LOG_NAME


def kerf(shop: Shop) -> Length:
    """The kerf by this tablet's settings, for a build in inches whose file doesn't give it."""
    assert shop.open(PLAIN) == ()
    assert shop.run is not None
    return shop.run.build.shop.kerf


def test_no_bit_that_turns_in_a_kerf_gives_another_kerf(tmp_path: Path) -> None:
    path = kept(tmp_path / "kept", kerf="3/32 in")
    data = path.read_bytes()
    assert data.count(b"kerf3/32 in") == 1
    at = data.index(b"kerf3/32 in") + len("kerf")
    plain = opened(tmp_path / "plain")
    ordinary = kerf(plain)
    plain.settings["kerf"] = "3/32 in"
    plain.settings_changed()
    assert kerf(plain) != ordinary  # the setting is used
    plain.close()
    for bit in range(8 * len("3/32 in")):
        home = tmp_path / f"bit {bit}"
        home.mkdir()
        turned = bytearray(data)
        turned[at + bit // 8] ^= 1 << bit % 8
        (home / LOG_NAME).write_bytes(turned)
        with contextlib.closing(sqlite3.connect(home / LOG_NAME)) as connection:
            found, wrong = read_settings(connection)
        assert "kerf" not in found
        assert wrong == ("kerf",)
        if bit % 9 == 0:  # one of each letter on the whole tablet, which takes a quarter of a second
            shop = Shop(home, Clock())
            assert "kerf" not in shop.settings
            assert kerf(shop) == ordinary
            assert "“kerf” can't be read" in shop.notice
            shop.close()
            shop = Shop(home, Clock())
            assert shop.notice == ""
            shop.close()
        shutil.rmtree(home)


@pytest.mark.parametrize("value", [b"\xff\xfe", b"", b"1/8", b"9 ft", None, 7])
def test_a_setting_of_any_bytes_stops_nothing(tmp_path: Path, value: object, monkeypatch: pytest.MonkeyPatch) -> None:
    path = kept(tmp_path / "home", kerf="1/8 in", backups_kept="7")
    connection = sqlite3.connect(path)
    connection.execute("UPDATE settings SET value = CAST(? AS TEXT) WHERE name = 'kerf'", (value or b"",))
    connection.execute("UPDATE settings SET value = CAST(? AS TEXT) WHERE name = 'tablet'", (value or b"",))
    connection.execute("UPDATE settings SET value = CAST(? AS TEXT) WHERE name = 'backups kept'", (value or b"",))
    connection.commit()
    connection.close()
    monkeypatch.setenv("KERFCARD_HOME", str(tmp_path / "home"))
    for words in (["export", str(tmp_path / "log.jsonl")], ["backup"], ["restore"]):
        done = CliRunner().invoke(commands, words)
        assert done.exit_code == 0, done.output
    assert "kerf" not in Shop(tmp_path / "home", Clock()).settings


@pytest.mark.parametrize("value", ["", "x", "1/0", "-1/8 in", "0", "2 ft", "9" * 400, "1/8 in 1/8", "٣"])
def test_a_proven_setting_that_makes_no_sense_falls_back(tmp_path: Path, value: str) -> None:
    ordinary = kerf(opened(tmp_path / "plain"))
    names = (
        "kerf",
        "max miter",
        "max bevel",
        "inch mark",
        "metric mark",
        "units",
        "backups kept",
        "build file",
        "theme",
    )
    shop = opened(tmp_path / "home")
    shop.settings.update(dict.fromkeys(names, value))
    shop.close()
    shop = Shop(tmp_path / "home", Clock())
    assert kerf(shop) == ordinary
    assert all(f"“{name}”" in shop.notice for name in ("kerf", "max miter", "inch mark")) == bool(value)
    assert tap(shop) == ""
    shop.back_up()
    shop.beat()
    shop.close()


def test_a_damaged_record_keeps_the_settings_that_can_be_proven(tmp_path: Path) -> None:
    path = kept(tmp_path, kerf="1/8 in", handed="left")
    data = bytearray(path.read_bytes())
    data[data.index(b'"step"') + 3] ^= 4
    data[data.index(b"kerf1/8") + 6] ^= 1
    path.write_bytes(data)
    shop = Shop(tmp_path, Clock())
    assert shop.settings["handed"] == "left"
    assert "kerf" not in shop.settings
    assert "“kerf” can't be read" in shop.notice
    shop.close()


def test_a_heartbeat_that_was_changed_is_left_out(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    shop.beat()
    clock.wait(600)
    shop.close()
    connection = sqlite3.connect(tmp_path / LOG_NAME)
    connection.execute("UPDATE heartbeats SET last_boot = last_boot + 3600")
    connection.commit()
    connection.close()
    shop = Shop(tmp_path, clock)
    assert shop.now().beats == ()
    shop.close()


@pytest.mark.parametrize("path", RELEASED, ids=lambda path: path.stem)
def test_the_settings_of_every_released_record_are_taken_over(path: Path, tmp_path: Path) -> None:
    shutil.copy(path, tmp_path / LOG_NAME)
    before = {}
    connection = sqlite3.connect(tmp_path / LOG_NAME)
    if connection.execute("PRAGMA user_version").fetchone()[0]:
        before = dict(connection.execute("SELECT name, value FROM settings"))
    connection.close()
    shop = Shop(tmp_path, Clock())
    assert before.items() <= dict(shop.settings).items()
    assert shop.notice == ""
    shop.close()
    connection = sqlite3.connect(tmp_path / LOG_NAME)
    rows = connection.execute("SELECT name, value, proof FROM settings").fetchall()
    connection.close()
    assert rows
    assert all(proof == proof_of(name, value) for name, value, proof in rows)
