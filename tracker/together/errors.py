"""Why a tablet and its hub can't exchange, each with a sentence for the user."""

from __future__ import annotations

from typing import Literal

Why = Literal["away", "refused", "old", "full", "stranger", "disagree", "unsafe", "missing"]
"""In this order: nobody answers; the login isn't let in; one side is too old for the other; the hub has no room; it
isn't the hub that this tablet knows; the two can't agree; the server would lose or leak something; psycopg isn't
installed."""


class HubError(Exception):
    """`str` is a sentence for the user."""

    def __init__(self, why: Why, sentence: str) -> None:
        super().__init__(sentence)
        self.why: Why = why


class RefusedRowsError(Exception):
    """The hub refused rows. `again`: trying again may help, because somebody else was quicker or the hub was restored.
    `str` is the hub's message."""

    def __init__(self, words: str, again: bool) -> None:
        super().__init__(words)
        self.again = again


REFUSED = (
    "The hub doesn't let this tablet in: it was taken out of the shop, or the hub was put back to before it joined. "
    "Its facts stay here. To join again, scan a new code."
)
USED = "This code was used already, or it is too old. Ask for a new one."
STRANGER = "That is not the hub this tablet knows: somebody may be in between. Nothing was sent."
FULL = "The hub has no room. Everything is kept here; make room on the hub's computer."
OLD_APP = "The hub asks for a later Kerfcard: bring this tablet up to date. Everything is kept here."
MISSING = "Working together needs one more package: pip install 'kerfcard[together]'"
DISAGREE = "The hub's answers don't hold together. Everything is kept here, and nothing of it was changed."
