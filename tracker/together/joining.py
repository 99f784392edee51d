"""Accepting an invitation, over a line that may break at any moment."""

from __future__ import annotations

import contextlib
import threading
from pathlib import Path

import psycopg
from msgspec.structs import replace

from tracker.together.connection import ANSWER_SECONDS, Connection, connect, shut, verifier, why_not
from tracker.together.errors import USED, HubError
from tracker.together.invitation import Invitation
from tracker.together.membership import Membership, forget_membership, invited, read_membership, write_membership


def join(folder: Path, invitation: Invitation, word: str) -> Membership:
    """Join the shop of an invitation: from then on the record in `folder` has its own login.

    The secret is created here and on the disk before the hub hears of it, and only its verifier is sent. If the line
    breaks, the same invitation can be used again, because either of the two secrets is valid. Raises HubError, OSError.
    """
    begun = read_membership(folder)
    if begun is None or begun.code != invitation.secret or begun.login != invitation.login:
        begun = invited(invitation, word)
        write_membership(folder, begun)
    elif (joined := _tried(begun)) is not None:
        return _kept(folder, begun, joined)
    try:
        _accept(begun)
    except HubError as error:
        if error.why != "refused":
            raise
        forget_membership(folder)  # it is useless now
        raise HubError("refused", USED) from error
    joined = Connection(begun)
    return _kept(folder, begun, joined)


def _tried(begun: Membership) -> Connection | None:
    """A connection with this tablet's own secret, if the hub already knows it. Raises HubError when the hub can't be
    reached."""
    try:
        return Connection(begun)
    except HubError as error:
        if error.why != "refused":
            raise
        return None


def _accept(begun: Membership) -> None:
    line = connect(begun, begun.code)
    overdue = threading.Timer(ANSWER_SECONDS, lambda: shut(line))
    overdue.daemon = True
    overdue.start()
    try:
        line.execute("SELECT kerfcard.join_shop(%s, %s)", [begun.word, verifier(line, begun.secret)])
    except psycopg.Error as error:
        raise why_not(error) from error
    finally:
        overdue.cancel()
        with contextlib.suppress(Exception):
            line.close()


def _kept(folder: Path, begun: Membership, joined: Connection) -> Membership:
    with contextlib.closing(joined):
        membership = replace(begun, code="", shop=joined.name, word=joined.word, keeper=joined.keeper)
    write_membership(folder, membership)
    return membership
