"""This tablet among the others of its shop: whether it belongs to a hub, the state of the connection, joining and
leaving."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from msgspec.structs import replace

from tracker.shop.shop import Shop
from tracker.together.errors import MISSING, HubError
from tracker.together.invitation import MINUTES, Invitation
from tracker.together.membership import Membership, forget_membership, read_membership, write_membership
from tracker.together.owner import Owner
from tracker.work.clocks.elapsed import Sighting
from tracker.work.facts import Entry
from tracker.work.sync_status import SyncStatus

if TYPE_CHECKING:
    from tracker.together.companion import Companion
    from tracker.together.connection import Connection

WORDS = "tablet words"
T = TypeVar("T")


def app_version() -> str:
    """The version of this app."""
    from importlib.metadata import PackageNotFoundError, version  # imports half of `email`, which a start doesn't need

    try:
        return version("kerfcard")
    except PackageNotFoundError:  # packaged without its metadata
        return ""


class Together:
    """Keeps the shop in touch with its hub. `deliver` runs something soon on the thread that owns the record. There,
    `changed` is called with the entries that came in and whenever the status changes, and `arriving` with a function
    that folds them."""

    def __init__(
        self,
        shop: Shop,
        deliver: Callable[[Callable[[], None]], None],
        changed: Callable[[tuple[Entry, ...]], None] = lambda _: None,
        arriving: Callable[[Callable[[], None]], None] = lambda fold: fold(),
    ) -> None:
        self._shop, self._deliver, self._changed, self._arriving = shop, deliver, changed, arriving
        self._companion: Companion | None = None
        self._owner: Owner | None = None
        self._end_listening: Callable[[], None] = lambda: None
        self.status = SyncStatus()

    @property
    def membership(self) -> Membership | None:
        """This tablet's membership of a shop; None while it belongs to none."""
        found = read_membership(self._shop.home)
        return found if found is not None and not found.code else None

    def start(self) -> None:
        """Start exchanging, if this tablet belongs to a hub. Nothing waits for it."""
        membership = self.membership
        if membership is None or self._companion is not None:
            return
        from tracker.shop.clock import read_clock
        from tracker.shop.hub_builds import BuildsOfHub
        from tracker.shop.hub_side import HubSide
        from tracker.together.companion import Companion

        def beat() -> tuple[str, float]:
            now = read_clock()
            return now.boot_id, now.boot

        self._owner = owner = Owner(self._deliver)
        side = HubSide(self._shop, owner.ask, self._arriving)
        builds = BuildsOfHub(self._shop)

        def tell(status: SyncStatus, sightings: tuple[Sighting, ...]) -> None:
            new, side.news = side.news, ()
            owner.tell(lambda: self._new_status(status, sightings, new))

        self._companion = Companion(side, membership, tell, beat, app_version(), builds.exchange)
        self.status = self._companion.status
        self._end_listening = self._shop.listen(self._companion.wake)
        self._companion.start()

    def _new_status(self, status: SyncStatus, sightings: tuple[Sighting, ...], new: tuple[Entry, ...]) -> None:
        self.status = status
        self._shop.sightings = sightings
        self._keep_removed()
        if status.news:
            self._shop.keep_news(status.news)
        self._changed(new)

    def _keep_removed(self) -> None:
        """What this keeper has heard about removed tablets must survive its own restart."""
        known, companion = self.membership, self._companion
        if known is not None and companion is not None and companion.membership.removed != known.removed:
            with contextlib.suppress(OSError):
                write_membership(self._shop.home, replace(known, removed=companion.membership.removed))

    def check_now(self) -> None:
        """Something has changed at the hub."""
        if self._companion is not None:
            self._companion.check_now()

    def stop(self) -> None:
        """Stop exchanging, at once."""
        self._end_listening()
        self._end_listening = lambda: None
        if self._owner is not None:
            self._owner.close()
            self._owner = None
        if self._companion is not None:
            self._companion.close()
            self._companion.join(2.0)
            self._companion = None
        self.status = SyncStatus()

    # -- slow operations: on a thread that may wait -----------------------------------------------------------------

    def join(self, invitation: Invitation, word: str) -> Membership:
        """Accept an invitation. Raises HubError, OSError."""
        joining = _loaded("joining")
        return joining.join(self._shop.home, invitation, word)  # type: ignore[attr-defined,no-any-return]

    def invite(self, word: str, minutes: int = MINUTES, keeper: bool = False) -> Invitation:
        """An invitation for one more tablet. Raises HubError."""
        membership = self._member()
        login, secret = self._asked(lambda hub: hub.invite(word, minutes, keeper))
        return Invitation(membership.host, membership.port, membership.database, login, secret)

    def revoke(self, login: str, since_hours: int = 0) -> list[str]:
        """Remove a tablet from the shop; returns who is out. Raises HubError."""
        return self._asked(lambda hub: hub.revoke(login, since_hours))

    def leave(self) -> None:
        """Leave the shop: the facts stay on both sides. Raises HubError; then the tablet is still a member."""
        try:
            self._asked(lambda hub: hub.leave())
        except HubError as error:
            if error.why != "refused":  # a tablet that isn't let in has already left
                raise
        self.forget()

    def forget(self) -> None:
        """Delete the login here, even if the hub still has it."""
        forget_membership(self._shop.home)

    def _member(self) -> Membership:
        membership = self.membership
        if membership is None:
            raise HubError("refused", "This tablet belongs to no hub: scan or type a code to join one.")
        return membership

    def _asked(self, question: Callable[[Connection], T]) -> T:
        connection = _loaded("connection")
        with contextlib.closing(connection.Connection(self._member())) as hub:  # type: ignore[attr-defined]
            return question(hub)


def _loaded(name: str) -> object:
    """A module of `tracker.together` that needs PostgreSQL's client. Raises HubError where psycopg isn't installed."""
    from importlib import import_module

    try:
        return import_module(f"tracker.together.{name}")
    except ImportError as error:
        raise HubError("missing", MISSING) from error
