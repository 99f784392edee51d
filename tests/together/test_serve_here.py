"""`kerfcard hub serve-here`, with the distribution's tools, in a cluster of the test."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from together.shops import refused

from tracker.together import here, server
from tracker.together.connection import Connection
from tracker.together.errors import HubError
from tracker.together.invitation import Invitation
from tracker.together.joining import join

TOOLS = shutil.which("pg_createcluster") is not None
NAME = f"kerftest{os.getpid()}"


@pytest.fixture
def own_cluster(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(here, "CLUSTER", NAME)
    yield
    version = here._version()
    subprocess.run(["pg_dropcluster", "--stop", version, NAME], check=False, capture_output=True)


@pytest.mark.skipif(os.geteuid() != 0 or not TOOLS, reason="only root may set up a server of the distribution's")
def test_this_computer_becomes_the_hub(own_cluster: None, tmp_path: Path) -> None:
    said: list[str] = []
    assert any(NAME in line for line in here.plan())
    url = here.set_up(said.append)
    assert not any("unsafe" in line.lower() for line in said)
    login, secret = server.new_shop(url, "Shop", "Saw")
    _, port, database = server.address(url)
    member = join(tmp_path, Invitation("127.0.0.1", port, database, login, secret), "Saw")
    hub = Connection(member)
    assert hub.ends({}) == {}
    assert refused(hub._line, "SELECT * FROM kerfcard.logins") == "42501"
    with pytest.raises(psycopg.OperationalError):  # over the network it admits only tablets
        psycopg.connect(f"host=127.0.0.1 port={port} dbname={database} user=postgres password=x")
    hub.close()


def test_elsewhere_it_says_what_to_do_instead(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(HubError, match="root"):
        list(here.plan())
    monkeypatch.setattr(shutil, "which", lambda _: None)
    with pytest.raises(HubError, match="no Debian"):
        list(here.plan())
