"""`kerfcard hub` as typed by a person: a server is prepared, two homes join and exchange, one is removed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import cv2
import pytest
from click.testing import CliRunner
from kit.qr_readers import read_by_opencv
from store.tablet import opened, tap
from together.cluster import Cluster

from tracker.cli.main import commands
from tracker.shop import read_clock

COMMAND = Path(sys.executable).with_name("kerfcard")


@pytest.fixture(scope="module")
def safe() -> Iterator[Cluster]:
    """A server with the right settings."""
    with Cluster() as made:
        made.make_database()
        yield made


def kerfcard(home: Path, *arguments: object, wrong: int = 0) -> str:
    """The output of a command run in this process; `wrong` is the expected exit code."""
    environment = {"KERFCARD_HOME": str(home)}
    done = CliRunner().invoke(commands, list(map(str, arguments)), env=environment, catch_exceptions=False)
    assert done.exit_code == wrong, done.output
    return done.stderr if wrong else done.stdout


def started(home: Path, *arguments: object, wrong: int = 0) -> str:
    """The same in a separate process."""
    done = subprocess.run(
        [str(COMMAND), *map(str, arguments)],
        env={**os.environ, "KERFCARD_HOME": str(home)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == wrong, done.stdout + done.stderr
    return done.stdout if not wrong else done.stderr


def test_from_a_bare_database_to_two_that_are_together(safe: Cluster, tmp_path: Path) -> None:
    saw, bench = tmp_path / "saw", tmp_path / "bench"
    said = json.loads(started(saw, "hub", "init", safe.admin(), "--shop", "Tillerman", "--host", "127.0.0.1", "--json"))
    assert [each for each in said["findings"] if each["kind"] == "unsafe"] == []
    assert "belongs to no hub" in kerfcard(saw, "hub", "status")
    shop = opened(saw, read_clock)
    tap(shop)
    shop.close()
    assert "belongs to Tillerman" in started(saw, "hub", "join", said["code"], "--as", "Saw", "--yes")
    assert "used already" in kerfcard(bench, "hub", "join", said["code"], "--as", "Bench", wrong=1)
    picture = tmp_path / "code.png"
    text = started(saw, "hub", "invite", "Bench", "-o", picture).splitlines()
    code = next(line for line in text if line.startswith("KERFHUB:"))
    assert code in read_by_opencv(cv2.imread(str(picture))), "the picture says what is typed"
    kerfcard(bench, "hub", "join", code, "--as", "Bench")
    assert kerfcard(saw, "hub", "meet").startswith("2 facts given")
    assert kerfcard(bench, "hub", "meet").startswith("0 facts given, 2 facts taken")
    status = json.loads(kerfcard(bench, "hub", "status", "--json"))
    assert [each["name"] for each in status["tablets"]] == ["Saw", "Bench"]
    assert status["reached"]
    assert kerfcard(saw, "hub", "revoke", "bench") == "Out: Bench.\n"
    assert "taken out" in kerfcard(bench, "hub", "meet", wrong=1)
    assert kerfcard(bench, "hub", "leave").startswith("Left"), "whoever was taken out can leave as well"
    assert kerfcard(saw, "hub", "leave").startswith("Left")
    again = json.loads(
        kerfcard(saw, "hub", "init", safe.admin(), "--shop", "Tillerman", "--host", "127.0.0.1", "--json")
    )
    kerfcard(bench, "hub", "join", again["code"], "--as", "Bench", "--yes")
    assert [each["name"] for each in json.loads(kerfcard(bench, "hub", "status", "--json"))["tablets"]] == [
        "Saw", "Bench", "Bench",
    ], "the server's owner lets a keeper in again, to the same shop"  # fmt: skip
    assert "belongs to no hub" in kerfcard(saw, "hub", "status")


def test_what_is_wrong_is_said_in_a_sentence(cluster: Cluster, tmp_path: Path) -> None:
    assert "no code of a hub" in kerfcard(tmp_path, "hub", "join", "KERFHUB:1:oops", "--as", "Saw", wrong=1)
    assert "The server says" in kerfcard(tmp_path, "hub", "init", "host=127.0.0.1 port=1 dbname=x", wrong=1)
    assert "belongs to no hub" in kerfcard(tmp_path, "hub", "invite", "Bench", wrong=1)
    said = kerfcard(tmp_path, "hub", "init", cluster.admin("postgres"), wrong=1)
    for word in ("fsync", "full_page_writes", "synchronous_commit"):
        assert f"Unsafe: {word}" in said
    assert said.endswith("Nothing was made. Put that right first.\n")
