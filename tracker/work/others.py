"""What this tablet knows of the others of its shop, and of the hub that carries facts between them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Literal

from msgspec import Struct, field

from tracker.words import say

TogetherState = Literal["off", "alone", "together", "refused", "waiting"]
"""No hub; the hub isn't reached; all that is known is on both sides; not let in any more; one side must be brought up
to date first."""


class Other(Struct, frozen=True, kw_only=True):
    """A tablet of the shop. `met`: when it had all that there was, by this tablet's clock; None: never yet."""

    login: str
    word: str
    met: datetime | None = None
    app: str = ""
    keeper: bool = False
    out: bool = False
    mine: bool = False
    copied: bool = False
    """Two machines use its login."""


class Standing(Struct, frozen=True, kw_only=True):
    """Whether this tablet is together with the others. `since`: when that began; `why`: a sentence, where it isn't."""

    state: TogetherState = "off"
    since: datetime | None = None
    why: str = ""
    shop: str = ""
    word: str = ""
    """What people call this tablet."""
    keeper: bool = False
    others: tuple[Other, ...] = ()
    """Everybody who ever joined, this tablet too."""
    words: Mapping[str, str] = field(default_factory=dict)
    """What people call the tablet that wrote under a name."""
    waiting: int = 0
    """Facts of this record that the hub hasn't yet."""
    trouble: tuple[str, ...] = ()
    """Sentences for what a person should see to, for as long as it is so."""
    news: tuple[str, ...] = ()
    """Sentences for what has just happened, each said once."""

    @property
    def joined(self) -> bool:
        return self.state != "off"

    def name_of(self, tablet: str, own: str = "") -> str:
        """What people call the tablet that wrote under a name."""
        return self.words.get(tablet) or (self.word if tablet == own else "") or say("another tablet")
