"""The thread that keeps a tablet in touch with its hub for as long as there is a line, and reports the state.

| state | leaves it when | does |
|---|---|---|
| alone | some time has passed, longer after each failure | connects |
| together | something was ticked here, a notification came, or half a minute has passed | gives and takes |
| refused, waiting | a person has done something about it | reports why; tries again rarely |

Every error is caught: if this thread ended, the tablet would be alone without a word.
"""

from __future__ import annotations

import contextlib
import random
import socket
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any, Protocol

from msgspec.structs import replace

from tracker.store.errors import CannotWriteError, DamagedLogError
from tracker.together.errors import MISSING, HubError, RefusedRowsError
from tracker.together.exchange import BATCH_ROWS, ExchangeResult, Side, exchange, give_after, take_all
from tracker.together.membership import Membership
from tracker.together.owner import ClosedError
from tracker.work.clocks.elapsed import Sighting
from tracker.work.sync_status import SyncState, SyncStatus, Tablet

CHECK_SECONDS = 30.0
BACKOFF = (0.2, 15.0)
STARTS = '"wait": {'
"""The key in the data of a fact that starts a clock."""
FEW = 100
MOST_BOOTS = 200
SELDOM = 60.0
"""Seconds until the next try, where a person has to do something first."""
_STATES: dict[str, SyncState] = {"refused": "refused", "stranger": "refused", "old": "waiting"}


class RecordSide(Side, Protocol):
    """This tablet's record, with the folding of what was taken in."""

    def settle(self) -> None: ...

    def new_clock_arrived(self) -> bool:
        """Whether anything taken in since the last call has started a clock."""


class Companion(threading.Thread):
    """`tell` is called from this thread with every new status; `beat` returns the boot's id and its age in seconds;
    `builds` exchanges build files over the connection, and returns sentences."""

    def __init__(
        self,
        side: RecordSide,
        membership: Membership,
        tell: Callable[[SyncStatus, tuple[Sighting, ...]], None],
        beat: Callable[[], tuple[str, float]],
        app: str,
        builds: Callable[[Any], tuple[str, ...]] = lambda _: (),
    ) -> None:
        super().__init__(daemon=True, name="kerfcard-hub")
        self._side, self._tell, self._beat, self._app, self._builds = side, tell, beat, app, builds
        self.membership = membership
        self._ear, self._mouth = socket.socketpair()
        self._ear.setblocking(False)
        self._mouth.setblocking(False)
        self._stopping, self._check_now = threading.Event(), threading.Event()
        self._hub: Any = None
        self._batch = BATCH_ROWS
        self._met = ExchangeResult()
        self._notes: tuple[str, ...] = ()
        self._sightings: tuple[Sighting, ...] = ()
        self.given: dict[str, int] = {}
        """For every tablet, the last count known to be on the hub."""
        self.status = SyncStatus(
            state="alone", since=datetime.now(UTC), shop=membership.shop, word=membership.word, keeper=membership.keeper
        )

    # -- from any thread ---------------------------------------------------------------------------------------------

    def wake(self) -> None:
        """Something was ticked here."""
        with contextlib.suppress(OSError):
            self._mouth.send(b"x")

    def check_now(self) -> None:
        """Check the hub again soon: something changed there without a notification."""
        self._check_now.set()
        self.wake()

    def close(self) -> None:
        """End the thread; it doesn't wait for an answer from the line."""
        self._stopping.set()
        self.wake()
        hub = self._hub
        if hub is not None:
            hub.cut()

    # -- the thread --------------------------------------------------------------------------------------------------

    def run(self) -> None:
        wait = BACKOFF[0]
        while not self._stopping.is_set():
            try:
                self._connect_and_exchange()
            except ClosedError:
                return
            except HubError as error:
                state = _STATES.get(error.why, "alone")
                began = self.status.state == "together"
                self._report(state, str(error))
                wait = BACKOFF[0] if began else min(SELDOM if state != "alone" else BACKOFF[1], wait * 2)
            except ImportError:
                self._report("alone", MISSING)
                wait = SELDOM
            except CannotWriteError as error:
                self._report("alone", str(error))
                wait = min(BACKOFF[1], wait * 2)
            except Exception as error:
                self._report("alone", f"Something went wrong: {type(error).__name__}: {error}")
                wait = min(BACKOFF[1], wait * 2)
            self._pause(wait * random.uniform(0.5, 1.5))

    def _pause(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        while not self._stopping.is_set() and time.monotonic() < end:
            time.sleep(min(0.1, max(0.0, end - time.monotonic())))

    def _connect_and_exchange(self) -> None:
        from tracker.together.connection import Connection  # psycopg: only now, and not on the screen's thread

        hub = self._hub = Connection(self.membership)
        hub.batch = self._batch
        try:
            hub.listen()
            self._exchange_all(hub)
            checked = time.monotonic()
            while not self._stopping.is_set():
                heard = hub.wait(max(0.05, checked + CHECK_SECONDS - time.monotonic()), self._ear)
                if self._stopping.is_set():
                    return
                due = time.monotonic() - checked >= CHECK_SECONDS or self._check_now.is_set()
                if due or not self._exchange_news(hub, heard):
                    self._check_now.clear()
                    self._exchange_all(hub)
                    checked = time.monotonic()
        finally:
            self._batch = max(1, hub.batch // 8)  # what was too much for the line is tried in smaller pieces
            self._hub = None
            hub.close()

    def _exchange_news(self, hub: Any, heard: Mapping[str, int]) -> bool:
        """Give what was ticked here and take what was announced: one query each. Returns False if everything must be
        compared.

        A tablet that starts a clock first reports its boot clock, and one that hears of a clock asks for it: from then
        on both know how long it has been running.
        """
        tails = self._side.tails
        own = self._side.tablet
        try:
            if any(STARTS in row.data for row in self._side.page(own, self.given.get(own, 0), FEW)):
                self._exchange_clocks(hub)
            for tablet, (count, _) in tails.items():
                if count > self.given.get(tablet, 0) and tablet not in self._met.stuck:
                    self._met.given += give_after(self._side, hub, tablet, self.given.get(tablet, 0))
            if any(count > tails.get(tablet, (0, ""))[0] for tablet, count in heard.items()):
                take_all(self._side, hub, self._met, {}, last_try=True)
        except (RefusedRowsError, DamagedLogError):
            return False
        finally:
            self._side.settle()
        if self._met.doubted or self._met.renewed:
            return False
        if self._side.new_clock_arrived():
            self._exchange_clocks(hub)
        self._note_given(tails)
        self._report("together", "")
        return True

    def _exchange_all(self, hub: Any) -> None:
        met = self._met
        met.renewed = False
        known_forks, before = len(met.forks), self._side.tails
        try:
            exchange(self._side, hub, met)
        except (DamagedLogError, CannotWriteError) as error:
            raise HubError("disagree", str(error)) from error
        finally:
            self._side.settle()
        self._side.new_clock_arrived()
        members = self._exchange_clocks(hub)
        self._note_given(before)
        for fork in met.forks[known_forks:]:
            through = hub.through(fork.tablet, fork.first)
            by = f", and {through} brought the other ones" if through else ""
            facts = "1 fact" if fork.count == 1 else f"{fork.count} facts"
            self._notes += (f"{facts} of this record go on under another name: two tablets had one name{by}.",)
        if met.renewed:
            self._notes += (
                "Facts came back under this tablet's own name: an older record was restored, or its memory card was "
                "copied. The tablet goes on under a new name.",
            )
        try:
            self._notes += self._builds(hub)
        except OSError as error:
            self._notes += (f"A build file that came from another tablet can't be kept here: {error.strerror}.",)
        self._remove_again(hub, members)
        self._report("together", "", words=hub.words(), shop=hub.name, word=hub.word, keeper=hub.keeper)

    def _exchange_clocks(self, hub: Any) -> Sequence[Any]:
        """Report this tablet's boot clock, and get those of the others."""
        boot, seconds = self._beat()
        members: Sequence[Any] = hub.meet(self._side.tablet, boot, seconds, self._app)
        here, now = self._beat(), datetime.now(UTC)
        known = {each.boot_id: each for each in self._sightings if each.here_id == here[0]}
        for each in members:
            if not each.mine and each.boot and each.seconds is not None:
                known[each.boot] = Sighting(each.boot, each.seconds, each.ago or 0.0, *here)
        self._sightings = tuple(known.values())[-MOST_BOOTS:]
        self.status = replace(self.status, others=tuple(_other(each, now) for each in members))
        return members

    def _remove_again(self, hub: Any, members: Any) -> None:
        """A restored hub has forgotten which tablets were removed: a keeper tells it again."""
        if not hub.keeper:
            return
        for each in members:
            if each.login in self.membership.removed and not each.revoked:
                hub.revoke(each.login)
        out = tuple(sorted({*self.membership.removed, *(each.login for each in members if each.revoked)}))
        self.membership = replace(self.membership, removed=out)

    def _note_given(self, before: Mapping[str, tuple[int, str]]) -> None:
        """Everything that the log held `before` is now on the hub, except what it refuses, and everything from there is
        here."""
        own = self._side.tablet
        self.given = {
            tablet: before.get(tablet, (0, ""))[0] if tablet == own else count
            for tablet, (count, _) in self._side.tails.items()
            if tablet not in self._met.stuck
        }

    def _report(self, state: SyncState, why: str, **more: Any) -> None:
        """Report the present state."""
        now = datetime.now(UTC)
        waiting = 0
        with contextlib.suppress(Exception):
            waiting = sum(max(0, count - self.given.get(tablet, 0)) for tablet, (count, _) in self._side.tails.items())
        was = self.status
        since = was.since if was.state == state else now
        self.status = replace(
            was,
            state=state,
            since=since,
            why=why,
            waiting=waiting,
            trouble=self._troubles(),
            news=self._notes,
            **more,
        )
        self._notes = ()
        self._tell(self.status, self._sightings)

    def _troubles(self) -> tuple[str, ...]:
        said = [f"The hub refuses a fact of {self.status.name_of(tablet, self._side.tablet)}: {words}"
                for tablet, words in self._met.stuck.items()]  # fmt: skip
        said += [f"A fact of {self.status.name_of(tablet)} on the hub can't be believed: {words}"
                 for tablet, words in self._met.doubted.items()]  # fmt: skip
        if any(each.mine and each.copied for each in self.status.others):
            said.append("Two machines use this tablet's login, as after a card was copied: invite one of them again.")
        return tuple(said)


def _other(member: Any, now: datetime) -> Tablet:
    return Tablet(
        login=member.login,
        word=member.word,
        met=None if member.ago is None else now - timedelta(seconds=max(0.0, member.ago)),
        app=member.app or "",
        keeper=member.keeper,
        out=member.revoked,
        mine=member.mine,
        copied=member.copied,
    )
