"""One connection to the hub. Only a tablet that has joined a hub imports this, and psycopg with it.

Every query has its own deadline: a line that swallows everything and answers nothing would block libpq for ever. A
thread watches the deadline and shuts the socket, which ends the query with an error.
"""

from __future__ import annotations

import contextlib
import os
import select
import socket
import threading
import time
from collections.abc import Mapping, Sequence
from typing import Any

import psycopg
from msgspec import Struct
from psycopg import sql

from tracker.store.rows import Row
from tracker.together.errors import FULL, OLD_APP, REFUSED, STRANGER, USED, HubError, RefusedRowsError
from tracker.together.exchange import BATCH_ROWS, End, Gap, Tails
from tracker.together.invitation import MINUTES
from tracker.together.membership import Membership, new_secret

VERSION = 1
"""The protocol version of this app; a hub names the oldest that it still understands."""
CONNECT_SECONDS = 5.0
ANSWER_SECONDS = 20.0
_LOOK_AGAIN = ("KF001", "KF002", "40001", "40P01")
_LINE: dict[str, Any] = {
    "keepalives_idle": 5,
    "keepalives_interval": 2,
    "keepalives_count": 3,
    "tcp_user_timeout": 8000,
    "application_name": "kerfcard",
    # No list of certificates to distribute: the secret is bound to the server's own certificate (RFC 5929, RFC 7677),
    # so a man in the middle with another one is refused.
    "sslmode": "require",
    "channel_binding": "require",
    "gssencmode": "disable",
}


class Member(Struct, frozen=True):
    """A tablet of the shop, as the hub knows it. `ago`: seconds, by the hub's clock, since it last had everything."""

    login: str
    word: str
    tablet: str | None
    ago: float | None
    app: str | None
    keeper: bool
    revoked: bool
    mine: bool
    boot: str | None
    seconds: float | None
    copied: bool


def connect(membership: Membership, secret: str, seconds: float = CONNECT_SECONDS) -> psycopg.Connection[Any]:
    """A connection for a login. Raises HubError."""
    try:
        return psycopg.connect(
            host=membership.host,
            port=membership.port,
            dbname=membership.database,
            user=membership.login,
            password=secret,
            connect_timeout=max(2, round(seconds)),
            autocommit=True,
            **_LINE,
        )
    except psycopg.Error as error:
        raise why_not(error) from error
    except UnicodeError as error:  # a line that flips bits, or a host with an invalid name
        raise HubError("away", f"The hub's answer can't be read ({error}).") from error


def why_not(error: psycopg.Error) -> HubError:
    """What an error of the server or of the line means."""
    words = str(error).strip()
    state = error.sqlstate or ""
    if (
        state.startswith("28")
        or state == "42501"
        or "password authentication failed" in words
        or "not permitted to log in" in words
    ):
        return HubError("refused", REFUSED)
    if "channel binding" in words or "does not support SSL" in words:
        return HubError("stranger", STRANGER)
    if state in ("53100", "53200"):
        return HubError("full", FULL)
    if state == "KF004":
        return HubError("refused", USED)
    return HubError("away", f"The hub can't be reached: {_reason(words) or type(error).__name__}.")


_REASONS = (
    ("refused", "nobody answers there"),
    ("timeout", "it doesn't answer in time"),
    ("timed out", "it doesn't answer in time"),
    ("translate host name", "its name isn't known here"),
    ("resolve", "its name isn't known here"),
    ("unreachable", "this tablet has no network"),
    ("No route to host", "no way leads there"),
    ("starting up", "it is starting"),
    ("too many", "too many tablets speak to it at once"),
    ("closed", "the line was lost"),
    ("SSL", "the line was lost"),
)


def _reason(words: str) -> str:
    """Why a line failed, in words for people; libpq's message where there are none."""
    known = next((said for part, said in _REASONS if part in words), "")
    return known or next((line.strip() for line in words.splitlines() if line.strip()), "")


def shut(line: psycopg.Connection[Any]) -> None:
    """Shut the line, so that everything that waits for it ends with an error. May be called from any thread."""
    with contextlib.suppress(OSError, psycopg.Error, ValueError):
        ours = socket.socket(fileno=os.dup(line.pgconn.socket))
        with ours:
            ours.shutdown(socket.SHUT_RDWR)


class Connection:
    """The hub as seen by one tablet; a `tracker.together.exchange.Hub`. Raises HubError."""

    def __init__(self, membership: Membership, seconds: float = CONNECT_SECONDS) -> None:
        self.batch = BATCH_ROWS
        self._deadline = 0.0
        self._closed = threading.Event()
        self._heard: dict[str, int] = {}
        self._line = connect(membership, membership.secret, seconds)
        self._watch = threading.Thread(target=self._cut_stalled_queries, name="kerfcard-hub-deadline", daemon=True)
        self._watch.start()
        try:
            found = self._ask("SELECT * FROM kerfcard.greet()")
            if not found:
                raise HubError("refused", REFUSED)
            self.version, oldest, self.shop, self.name, self._channel, self.word, self.keeper = found[0]
            if oldest > VERSION:
                raise HubError("old", OLD_APP)
        except BaseException:
            self.close()
            raise

    def _cut_stalled_queries(self) -> None:
        while not self._closed.wait(0.25):
            if self._deadline and time.monotonic() > self._deadline:
                self._deadline = 0.0
                self.cut()

    def cut(self) -> None:
        """Shut the line: everything that waits for it ends with an error. May be called from any thread."""
        shut(self._line)

    def _ask(
        self, question: str, arguments: Sequence[object] = (), seconds: float = ANSWER_SECONDS
    ) -> list[tuple[Any, ...]]:
        self._deadline = time.monotonic() + seconds
        try:
            return self._line.execute(question, arguments, prepare=True).fetchall()
        except psycopg.Error as error:
            raise why_not(error) from error
        except UnicodeError as error:
            raise HubError("away", f"The hub's answer can't be read ({error}).") from error
        finally:
            self._deadline = 0.0

    def close(self) -> None:
        """Close the connection. Repeating it is harmless."""
        self._closed.set()
        with contextlib.suppress(Exception):
            self._line.close()

    # -- rows ------------------------------------------------------------------------------------------------------

    def ends(self, tails: Tails) -> dict[str, End]:
        counts = [count for count, _ in tails.values()]
        found = self._ask("SELECT * FROM kerfcard.ends(%b::text[], %b::int[])", [list(tails), counts])
        return {tablet: End(count, chain, here) for tablet, count, chain, here in found}

    def between(self, tablet: str, first: int, last: int) -> list[Row]:
        return [
            Row._make(row) for row in self._ask("SELECT * FROM kerfcard.between(%s, %s, %s)", [tablet, first, last])
        ]

    def gaps(self) -> list[Gap]:
        return [Gap(*found) for found in self._ask("SELECT * FROM kerfcard.gaps()")]

    def give(self, rows: Sequence[Row]) -> bool:
        columns = [list(column) for column in zip(*rows, strict=True)]
        types = ("text", "int", "text", "text", "text", "text", "text")
        places = ", ".join(f"%b::{each}[]" for each in types)
        self._deadline = time.monotonic() + ANSWER_SECONDS
        try:
            other = self._line.execute(f"SELECT * FROM kerfcard.give({places})", columns, prepare=True).fetchall()  # type: ignore[call-overload,unused-ignore]
        except psycopg.Error as error:
            state = error.sqlstate or ""
            if not self._line.broken and (state in _LOOK_AGAIN or state[:2] in ("22", "23", "KF")):
                raise RefusedRowsError(str(error).splitlines()[0], state in _LOOK_AGAIN) from error
            raise why_not(error) from error
        finally:
            self._deadline = 0.0
        return not other

    def tell(self, tablet: str, count: int) -> None:
        self._ask("SELECT kerfcard.tell(%s)", [f"{tablet} {count}"])

    def take(self, tails: Tails, most: int) -> list[Row]:
        counts = [count for count, _ in tails.values()]
        found = self._ask("SELECT * FROM kerfcard.take(%b::text[], %b::int[], %s)", [list(tails), counts, most])
        return [Row._make(row) for row in found]

    # -- the others ------------------------------------------------------------------------------------------------

    def meet(self, tablet: str, boot: str, seconds: float, app: str) -> tuple[Member, ...]:
        """Report that everything was given and taken, and get the state of all tablets."""
        found = self._ask("SELECT * FROM kerfcard.meet(%s, %s, %s, %s)", [tablet, boot, seconds, app])
        return tuple(Member(*row) for row in found)

    def members(self) -> tuple[Member, ...]:
        """Everybody who ever joined."""
        return tuple(Member(*row) for row in self._ask("SELECT * FROM kerfcard.members()"))

    def words(self) -> dict[str, str]:
        """What people call the tablet that wrote under each name."""
        found: dict[str, str] = dict(self._ask("SELECT * FROM kerfcard.words()"))
        return found

    def through(self, tablet: str, count: int) -> str:
        """The login through which an entry came; empty where that isn't known."""
        return self._ask("SELECT kerfcard.through(%s, %s)", [tablet, count])[0][0] or ""

    def listen(self) -> None:
        """Subscribe to notifications of new rows."""
        self._deadline = time.monotonic() + ANSWER_SECONDS
        try:
            self._line.execute(sql.SQL("LISTEN {}").format(sql.Identifier(self._channel)))
        except psycopg.Error as error:
            raise why_not(error) from error
        finally:
            self._deadline = 0.0

    def wait(self, seconds: float, wake: socket.socket) -> Mapping[str, int]:
        """Wait until there is a notification, `wake` is readable, or the time is over; returns the announced counts.
        Raises HubError when the line is lost."""
        try:
            self._hear()  # what came with the last answer is in libpq's buffer, where the socket doesn't show it
            if not self._heard:
                ours: Any = self._line.pgconn.socket
                ready, _, _ = select.select([ours, wake], [], [], seconds)
                if ours in ready:
                    self._line.pgconn.consume_input()
                    self._hear()
                if wake in ready:
                    with contextlib.suppress(BlockingIOError):
                        wake.recv(4096)
        except psycopg.Error as error:
            raise why_not(error) from error
        except (OSError, ValueError) as error:  # it was shut
            raise HubError("away", "The line to the hub was lost.") from error
        heard, self._heard = self._heard, {}
        return heard

    def _hear(self) -> None:
        while notice := self._line.pgconn.notifies():
            if notice.be_pid != self._line.pgconn.backend_pid:
                tablet, _, count = notice.extra.decode(errors="replace").rpartition(" ")
                known = self._heard.get(tablet, 0)
                self._heard[tablet] = max(known, int(count) if count.isdecimal() and len(count) < 10 else 10**9)

    # -- build files -----------------------------------------------------------------------------------------------

    def builds(self) -> list[tuple[str, str, str]]:
        """The run, file name and digest of every build file, the latest of each run last."""
        return [(run, name, digest) for run, name, digest in self._ask("SELECT * FROM kerfcard.builds_kept()")]

    def give_build(self, run: str, name: str, body: bytes) -> None:
        self._ask("SELECT kerfcard.give_build(%s, %s, %b)", [run, name, body])

    def file(self, digest: str) -> bytes | None:
        """The contents of a file, by its SHA-256 in hexadecimal."""
        found: bytes | None = self._ask("SELECT kerfcard.file(%s)", [digest])[0][0]
        return found

    # -- who belongs to the shop -----------------------------------------------------------------------------------

    def invite(self, word: str, minutes: int = MINUTES, keeper: bool = False) -> tuple[str, str]:
        """A login and a secret that can be used once. Raises HubError unless this tablet is a keeper."""
        secret = new_secret()
        login = self._ask(
            "SELECT kerfcard.invite(%s, %s, %s, %s)", [word, verifier(self._line, secret), minutes, keeper]
        )[0][0]
        return login, secret

    def revoke(self, login: str, since_hours: int = 0) -> list[str]:
        """Remove a tablet, together with those it invited in the last hours (0: only this one); returns who is out."""
        since = "now() - make_interval(hours => %s)" if since_hours else "'infinity'"
        arguments = [login, since_hours] if since_hours else [login]
        return [row[0] for row in self._ask(f"SELECT * FROM kerfcard.revoke(%s, {since})", arguments)]

    def leave(self) -> None:
        """Remove this tablet."""
        self._ask("SELECT kerfcard.leave()")


def verifier(line: psycopg.Connection[Any], secret: str) -> str:
    """The verifier of a secret that the server stores (SCRAM-SHA-256, RFC 7677): the secret itself is never sent."""
    return line.pgconn.encrypt_password(secret.encode(), b"kerfcard", b"scram-sha-256").decode()
