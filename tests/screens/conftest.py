"""Chooses what to draw on before any test module of this folder imports Kivy."""

from __future__ import annotations

import pytest
from kit import display

from tracker.screens.display import NoDisplayError

try:
    display.open_window()
except NoDisplayError as reason:
    pytest.exit(str(reason), returncode=4)
