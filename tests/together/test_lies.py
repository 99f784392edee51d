"""A lying hub and a machine in the middle: nothing false gets into a record, and the source is named."""

from __future__ import annotations

import random
import socket
import ssl
import struct
import subprocess
import threading
from collections.abc import Callable, Sequence
from pathlib import Path

import psycopg
import pytest
from msgspec.structs import replace
from together.cluster import CERTIFICATE, Cluster
from together.shops import Tablet, rows_of
from together.simulated import MemorySide, ModelHub

from tracker.store.rows import Row
from tracker.together.connection import Connection
from tracker.together.errors import HubError
from tracker.together.exchange import End, Tails, exchange


class Liar(ModelHub):
    """A hub whose answers are changed by `lie`, and that accepts everything."""

    batch = 100

    def __init__(self, lie: Callable[[list[Row]], list[Row]]) -> None:
        super().__init__()
        self._lie = lie

    def take(self, tails: Tails, most: int) -> list[Row]:
        return self._lie(super().take(tails, most))

    def gaps(self) -> list[object]:  # type: ignore[override]
        return []

    def tell(self, tablet: str, count: int) -> None: ...


TRUE = {"aaaa0001": rows_of("aaaa0001", 9), "bbbb0001": rows_of("bbbb0001", 9)}


def changed(rows: list[Row]) -> list[Row]:
    return [row._replace(data=row.data.replace("side", "rail")) if row.id == ("aaaa0001", 4) else row for row in rows]


def left_out(rows: list[Row]) -> list[Row]:
    return [row for row in rows if row.id != ("aaaa0001", 4)]


def reordered(rows: list[Row]) -> list[Row]:
    mine = [row for row in rows if row.tablet == "aaaa0001"]
    return [*mine[:3], *mine[3:][::-1], *(row for row in rows if row.tablet != "aaaa0001")]


def anothers(rows: list[Row]) -> list[Row]:
    """Rows of one tablet under another's name."""
    return [row._replace(tablet="aaaa0001") if row.tablet == "bbbb0001" else row for row in rows]


def far_ahead(rows: list[Row]) -> list[Row]:
    """A correctly chained row that claims to have seen entries that don't exist, so that it would always be the
    last."""
    forged = rows_of("cccc0001", 1, others={"zzzz": 10**9})
    return [*rows, *forged] if rows else []


@pytest.mark.parametrize("lie", [changed, left_out, reordered, far_ahead])
def test_a_row_that_is_not_true_is_named_and_holds_up_no_other(lie: Callable[[list[Row]], list[Row]]) -> None:
    hub = Liar(lie)
    hub.rows = {tablet: list(rows) for tablet, rows in TRUE.items()}
    side = MemorySide("dddd0001", random.Random(1))
    met = exchange(side, hub)  # type: ignore[arg-type]
    assert {row for row in side.list if row.tablet == "bbbb0001"} == set(TRUE["bbbb0001"])
    assert {row for row in side.list if row.tablet == "aaaa0001"} <= set(TRUE["aaaa0001"])
    assert list(met.doubted) == ["cccc0001" if lie is far_ahead else "aaaa0001"]
    assert not {row for row in side.list if row.tablet == "cccc0001"}


def test_rows_under_anothers_name_never_come_in() -> None:
    hub = Liar(anothers)
    hub.rows = {"bbbb0001": list(TRUE["bbbb0001"])}
    side = MemorySide("dddd0001", random.Random(1))
    exchange(side, hub)  # type: ignore[arg-type]
    assert side.list == []


def test_a_hub_that_forgets_what_it_was_given_is_said_to_disagree() -> None:
    class Forgets(Liar):
        def ends(self, tails: Tails) -> dict[str, End]:
            return {tablet: End(end.count, "0" * 64, "1" * 64) for tablet, end in super().ends(tails).items()}

    hub = Forgets(list)
    side = MemorySide("aaaa0001", random.Random(1), TRUE["aaaa0001"])
    hub.give(side.list)
    with pytest.raises(HubError, match="don't hold together"):
        exchange(side, hub)  # type: ignore[arg-type]
    assert side.list == TRUE["aaaa0001"], "nothing here was changed or renamed"


class InBetween:
    """A machine in the middle with its own certificate, which reads everything and passes it on."""

    def __init__(self, folder: Path, target: int) -> None:
        self._target = target
        self.read: list[bytes] = []
        certificate, key = folder / "certificate", folder / "key"
        subprocess.run(["openssl", *CERTIFICATE, "-out", certificate, "-keyout", key], check=True, capture_output=True)
        self._context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        self._context.load_cert_chain(certificate, key)
        self._ear = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._ear.getsockname()[1]
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        while True:
            try:
                caller, _ = self._ear.accept()
            except OSError:
                return
            threading.Thread(target=self._serve, args=(caller,), daemon=True).start()

    def _serve(self, caller: socket.socket) -> None:
        wants_tls = struct.pack("!ii", 8, 80877103)  # PostgreSQL's SSLRequest
        try:
            caller.recv(8)
            caller.sendall(b"S")
            there = socket.create_connection(("127.0.0.1", self._target))
            there.sendall(wants_tls)
            there.recv(1)
            blind = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
            blind.check_hostname = False
            blind.verify_mode = ssl.CERT_NONE
            ends = self._context.wrap_socket(caller, server_side=True), blind.wrap_socket(there)
            threading.Thread(target=self._pass_on, args=ends, daemon=True).start()
            self._pass_on(*reversed(ends))
        except OSError:
            return

    def _pass_on(self, one: socket.socket, other: socket.socket) -> None:
        try:
            while data := one.recv(65536):
                self.read.append(data)
                other.sendall(data)
        except OSError:
            return
        finally:
            other.close()

    def close(self) -> None:
        self._ear.close()


def test_somebody_in_between_is_not_the_hub_that_this_tablet_knows(
    cluster: Cluster, shop: Sequence[Tablet], tmp_path: Path
) -> None:
    there = InBetween(tmp_path, cluster.port)
    member = shop[0].membership
    with pytest.raises(HubError) as error:
        Connection(replace(member, port=there.port))
    assert error.value.why == "stranger"
    assert member.secret.encode() not in b"".join(there.read)
    where = f"host=127.0.0.1 port={there.port} dbname=kerfcard user={member.login} password={member.secret}"
    with psycopg.connect(f"{where} sslmode=require channel_binding=disable") as line:  # why binding is needed
        line.execute("SELECT 1")
    there.close()
