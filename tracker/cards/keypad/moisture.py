"""A moisture meter's reading of a piece or a board: its entry, and what is known so far."""

from __future__ import annotations

from tracker.cards.history import ago
from tracker.cards.keypad.decimal import DecimalEntry
from tracker.floor.floor import Floor
from tracker.words import say
from tracker.work.decide.board_guards import LIKELY_MOISTURE
from tracker.work.decide.intents import ReadMoisture

METER = say("Go by the meter's manual: species, temperature, and away from ends and wet spots.")


def moisture_entry() -> DecimalEntry:
    """An empty entry, in percent, to a tenth."""
    low, high = LIKELY_MOISTURE
    return DecimalEntry(least=low, most=high)


def moisture_said(floor: Floor, key: str) -> str:
    """`9.3 %, 2 h ago`; empty while there is no reading."""
    kept = floor.state.moisture(floor.run).get(key)
    return f"{kept.fact.percent:g} %, {ago(kept.entry.at, floor.now.wall)}" if kept else ""


def read_moisture(run: str, key: str, percent: float) -> ReadMoisture:
    """The intent that stores a reading."""
    return ReadMoisture(key, percent, run=run)
