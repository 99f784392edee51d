"""The current piece at a station: a tick goes on to the next piece of the same setting, an undo goes back."""

from __future__ import annotations

from typing import Protocol

from tracker.cards.piece.action import Go, Undo
from tracker.cards.station.batch import following
from tracker.floor.floor import Floor
from tracker.work.decide.decide import Do, DoTogether, Intent
from tracker.work.operations import Station


class PieceDesk(Protocol):
    """The part of the desk that the current piece needs."""

    station: Station

    def floor(self) -> Floor: ...
    def do(self, intent: Intent) -> bool: ...
    def redraw(self) -> None: ...
    def remember_item(self, key: str) -> None: ...
    def move_to_station(self, station: str) -> None: ...
    def open_item(self, key: str) -> None: ...
    def show_item(self, key: str) -> None: ...


class CurrentItem:
    """How the piece on the card got there, and what a tap on its buttons does."""

    def __init__(self, desk: PieceDesk) -> None:
        self._desk = desk
        self.chosen = ""
        """The step that was chosen, where either end may be trimmed first."""
        self.moved = False
        """Whether the card came here by itself after a tick, which undo then takes back."""
        self.ticked = ""
        """The piece that was just ticked, if the card stayed on it: then a tap only goes on."""
        self.busy = False
        """Whether a tick or an undo is being written; its changes are drawn when the next piece is current."""

    def choose(self, key: str, step: str = "") -> None:
        """A person took this piece."""
        self._put(key, step)

    def _put(self, key: str, step: str = "", *, moved: bool = False, ticked: str = "") -> None:
        self.chosen, self.moved, self.ticked = step, moved, ticked
        self._desk.remember_item(key)

    def tick(self, intent: Do | DoTogether) -> None:
        """Carry out a tap on a piece at this station, and go on to the next one of the same setting."""
        if self._do(intent):
            self._go_on_from(intent.item if isinstance(intent, Do) else intent.items[-1], intent.step)
        self._desk.redraw()

    def _do(self, intent: Intent) -> bool:
        self.busy = True
        try:
            return self._desk.do(intent)
        finally:
            self.busy = False

    def _go_on_from(self, key: str, step_id: str) -> None:
        floor = self._desk.floor()
        item = floor.item(key)
        step = item.step(step_id)
        after = following(floor, item, step, self._desk.station) if step else None
        if after is not None:
            self._put(after.key, after.step, moved=True)
        else:
            self._put(key, moved=True, ticked=key)

    def undo(self, undo: Undo) -> None:
        """Undo the last action, and show the item that it belongs to."""
        moved = self.moved
        if self._do(undo.intent) and self._desk.floor().item(undo.key).kind == "piece":
            self._put(undo.key, moved=moved)
        self._desk.redraw()

    def follow(self, go: Go) -> None:
        """Go where the large button leads when it ticks nothing."""
        if go.to == "station":
            self._desk.move_to_station(go.key)
        elif go.to == "assembly":
            self._desk.open_item(go.key)
        else:
            self._desk.show_item(go.key)
