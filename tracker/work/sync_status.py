"""What this tablet knows about the other tablets of its shop, and about the hub that carries facts between them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Literal

from msgspec import Struct, field

from tracker.words import say

SyncState = Literal["off", "alone", "together", "refused", "waiting"]
"""off: no hub. alone: the hub can't be reached. together: both sides have everything. refused: this tablet is no longer
let in. waiting: one side must be updated first."""


class Tablet(Struct, frozen=True, kw_only=True):
    """A tablet of the shop. `met`: when it last had everything, by this tablet's clock; None: never."""

    login: str
    word: str
    met: datetime | None = None
    app: str = ""
    keeper: bool = False
    out: bool = False
    mine: bool = False
    copied: bool = False
    """Whether two machines use its login."""


class SyncStatus(Struct, frozen=True, kw_only=True):
    """Whether this tablet is in touch with the others. `since`: when that state began; `why`: a sentence, where it
    isn't."""

    state: SyncState = "off"
    since: datetime | None = None
    why: str = ""
    shop: str = ""
    word: str = ""
    """What people call this tablet."""
    keeper: bool = False
    others: tuple[Tablet, ...] = ()
    """Everybody who ever joined, including this tablet."""
    words: Mapping[str, str] = field(default_factory=dict)
    """What people call the tablet that wrote under each name."""
    waiting: int = 0
    """The number of facts of this record that the hub doesn't have yet."""
    trouble: tuple[str, ...] = ()
    """Sentences about what a person should deal with, for as long as it is so."""
    news: tuple[str, ...] = ()
    """Sentences about what has just happened, each shown once."""

    @property
    def joined(self) -> bool:
        return self.state != "off"

    def name_of(self, tablet: str, own: str = "") -> str:
        """What people call the tablet that wrote under a name."""
        return self.words.get(tablet) or (self.word if tablet == own else "") or say("another tablet")
