"""Shops and tablets for the tests: a hub's connection for each, and a log on disk or in memory."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import psycopg
from together.cluster import Cluster

from tracker.store.log import Log
from tracker.store.recovery import rejoin_rows
from tracker.store.rows import LOST, Row, chain_link, first_lost
from tracker.together import server
from tracker.together.branch import Fork, branched
from tracker.together.connection import Connection
from tracker.together.exchange import ExchangeResult, Gap, exchange
from tracker.together.invitation import Invitation
from tracker.together.joining import join
from tracker.together.membership import Membership
from tracker.work.facts import Done, Fact, to_data

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def at(second: int) -> datetime:
    return START + timedelta(seconds=second)


def fact(number: int, board: str = "") -> Done:
    """A typical fact; `board` is unique."""
    step = ("cut", "trim", "drill", "sand 120", "finish 1")[number % 5]
    return Done("Doorstep planter", f"side:{1 + number % 60}", step, to=(("length", "412.5 mm"),), board=board)


def rows_of(
    tablet: str, number: int, start: int = 1, before: str = "", others: dict[str, int] | None = None
) -> list[Row]:
    """Typical rows of a tablet, without a log."""
    rows = []
    for count in range(start, start + number):
        kind, data = to_data(fact(count))
        seen = json.dumps({**(others or {}), **({tablet: count - 1} if count > 1 else {})}, sort_keys=True)
        columns = (
            tablet,
            count,
            seen,
            at(count).isoformat(),
            kind,
            json.dumps(data, sort_keys=True, ensure_ascii=False),
        )
        before = chain_link(before, *columns)
        rows.append(Row(*columns, before))
    return rows


class LogSide:
    """A tablet's log on disk with the interface of an exchange; it does directly what the app does through its
    record."""

    def __init__(self, path: Path, tablet: str) -> None:
        self.log, self.tablet, self._names = Log(path), tablet, 0

    @property
    def tails(self) -> dict[str, tuple[int, str]]:
        return self.log.tails

    @property
    def rows(self) -> set[Row]:
        return set(self.log.rows())

    def page(self, tablet: str, after: int, most: int) -> list[Row]:
        return self.log.page(tablet, after, most)

    def chain_at(self, tablet: str, count: int) -> str | None:
        return self.log.chain_at(tablet, count)

    def gaps(self) -> list[Gap]:
        return [Gap(row.tablet, first_lost(row), row.count) for row in self.log.rows() if row.kind == LOST]

    def take_in(self, rows: Sequence[Row]) -> None:
        self.log.take_in_rows(rows)

    def restore_rows(self, rows: Sequence[Row]) -> None:
        self.replace_by(rejoin_rows([self.log.rows(), rows], START)[0])

    def branch_off(self, forks: Sequence[tuple[str, int]]) -> list[Fork]:
        rows, said = list(self.log.rows()), []
        for tablet, first in forks:
            rows, fork = branched(rows, tablet, first)
            said += [fork] if fork else []
            if tablet == self.tablet:
                self.renew_name()
        self.replace_by(rows)
        return said

    def renew_name(self) -> None:
        self._names += 1
        self.tablet = f"{self.tablet[:8]}-{self._names}"

    def replace_by(self, rows: Sequence[Row]) -> None:
        path = self.log.path
        self.log.close()
        for suffix in ("", "-wal", "-shm"):
            Path(f"{path}{suffix}").unlink(missing_ok=True)
        self.log = Log(path)
        self.log.take_in_rows(rows)


class Tablet:
    """A tablet that has joined a shop."""

    def __init__(self, membership: Membership, folder: Path, name: str) -> None:
        self.membership, self.folder = membership, folder
        self.side = LogSide(folder / "log.db", name)
        self._ticks = 0
        self._hub: Connection | None = None

    @property
    def hub(self) -> Connection:
        if self._hub is None:
            self._hub = Connection(self.membership)
        return self._hub

    @property
    def rows(self) -> set[Row]:
        return self.side.rows

    def tick(self, number: int = 1, what: Fact | None = None) -> None:
        for _ in range(number):
            self._ticks += 1
            word = f"{self.membership.word}.{self._ticks}"
            self.side.log.append(self.side.tablet, at(self._ticks), [what or fact(self._ticks, word)])

    def meet(self) -> ExchangeResult:
        return exchange(self.side, self.hub)

    def hang_up(self) -> None:
        if self._hub is not None:
            self._hub.close()
            self._hub = None

    def close(self) -> None:
        self.hang_up()
        with contextlib.suppress(Exception):
            self.side.log.close()


def invitation(cluster: Cluster, login: str, secret: str, port: int = 0) -> Invitation:
    return Invitation("127.0.0.1", port or cluster.port, "kerfcard", login, secret)


def shop_of(cluster: Cluster, folder: Path, words: Sequence[str], port: int = 0) -> list[Tablet]:
    """A new shop; the first tablet is its keeper."""
    tablets: list[Tablet] = []
    for word in words:
        login, secret = tablets[0].hub.invite(word) if tablets else server.new_shop(cluster.admin(), "Shop", word)
        home = folder / word
        joined = join(home, invitation(cluster, login, secret, port), word)
        tablets.append(Tablet(joined, home, f"{word.lower():0<8}"[:8]))
    return tablets


def prepared(cluster: Cluster, force: bool = False) -> Cluster:
    """The cluster with the database and the schema."""
    cluster.make_database()
    assert not [each for each in server.prepare(cluster.admin(), force) if each.kind == "unsafe"] or force
    return cluster


def refused(line: psycopg.Connection[tuple[object, ...]], question: str) -> str:
    """The SQLSTATE with which the server refuses a query; empty if it doesn't."""
    try:
        line.execute(question)  # type: ignore[call-overload]
    except psycopg.Error as error:
        return error.sqlstate or "?"
    return ""
