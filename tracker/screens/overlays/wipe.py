"""The screen is wiped: while it is, no touch does anything."""

from __future__ import annotations

from tracker.screens.toolkit.overlay import Overlay


class WipeLock(Overlay):
    """Lies over everything until its button is held for a second, which a rag never does."""

    stays = True
