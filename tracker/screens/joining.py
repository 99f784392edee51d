"""Joining the shop whose code was scanned or typed, and inviting another tablet to this shop."""

from __future__ import annotations

from tracker.cards.together.together import free_names
from tracker.screens.desk import Desk
from tracker.screens.lazy import class_named
from tracker.screens.toolkit.prompts import Option
from tracker.together.errors import HubError
from tracker.together.invitation import MINUTES, Invitation, parse_invitation
from tracker.together.membership import Membership
from tracker.words import say


class Joining:
    """Asks the necessary questions, and does the work outside the screen's thread: a hub may answer slowly."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def ask(self, text: str) -> None:
        """A code was scanned: ask for this tablet's name, and whether its record should belong to that shop."""
        invitation = parse_invitation(text)
        if invitation is None:
            self._say(say("That code of a hub isn't whole. Scan it again."))
        elif self._desk.together.membership is not None and self._desk.together.status.state != "refused":
            self._say(say("This tablet belongs to a shop already: leave that first, in More, Settings, Together."))
        else:
            count = len(self._desk.shop.entries())
            facts = say("1 fact") if count == 1 else say("{count:,} facts", count=count)
            note = say("{facts} of this tablet will belong to that shop for ever.", facts=facts) if count else ""
            options = [Option(key=word, text=word) for word in free_names(self._desk.together.status)]
            self._desk.ask(
                say("What is this tablet called?"), options, lambda word: self._join(invitation, word), note=note
            )

    def _join(self, invitation: Invitation, word: str) -> None:
        self._desk.notify(say("Asking the hub at {host} ...", host=invitation.host), "record", "waiting")
        together = self._desk.together
        self._desk.worker.submit(lambda: together.join(invitation, word), self._joined, self._failed)

    def _joined(self, membership: Membership) -> None:
        self._desk.together.stop()
        self._desk.together.start()
        self._desk.go("together")
        self._desk.notify(
            say("{word} belongs to {shop} now.", word=membership.word, shop=membership.shop), "record", "done"
        )

    def invite(self) -> None:
        """Ask for the name of the tablet for which a code is to be shown."""
        options = [Option(key=word, text=word) for word in free_names(self._desk.together.status)]
        self._desk.ask(
            say("Which tablet is to join?"),
            options,
            self._invite,
            note=say("The code is good for {minutes} minutes.", minutes=MINUTES),
        )

    def _invite(self, word: str) -> None:
        self._desk.notify(say("Asking the hub for a code ..."), "record", "waiting")
        together = self._desk.together
        self._desk.worker.submit(
            lambda: together.invite(word), lambda invitation: self._show(word, invitation), self._failed
        )

    def _show(self, word: str, invitation: Invitation) -> None:
        self._desk.notify("", "record")
        class_named("overlays.invitation.InvitationSheet")(word=word, text=invitation.text).open_on(self._desk.root)

    def take_out(self, login: str) -> None:
        """Remove a tablet that is lost."""
        together = self._desk.together
        self._desk.worker.submit(lambda: together.revoke(login), self._taken_out, self._failed)

    def _taken_out(self, gone: list[str]) -> None:
        self._desk.together.check_now()
        self._say(
            say("Out: {gone}. What was marked there stays.", gone=", ".join(gone))
            if gone
            else say("Nobody was taken out."),
            done=True,
        )

    def leave(self) -> None:
        """Leave the shop."""
        together = self._desk.together
        self._desk.worker.submit(together.leave, lambda _: self._left(), self._failed)

    def _left(self) -> None:
        self._desk.together.stop()
        self._desk.redraw()
        self._say(say("Left. What was marked until now stays here and at the hub."), done=True)

    def _failed(self, error: BaseException) -> None:
        if not isinstance(error, HubError | OSError):
            raise error
        self._say(str(error))

    def _say(self, sentence: str, done: bool = False) -> None:
        self._desk.notify(sentence, "record", "done" if done else "caution")
