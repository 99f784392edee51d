"""Wiping the screen: meanwhile touch does nothing."""

from __future__ import annotations

from tracker.screens.toolkit.overlay import Overlay


class WipeLock(Overlay):
    """Covers everything until its button is held for a second, which a rag never does."""

    stays = True
