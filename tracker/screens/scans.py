"""What a scanned code does, on whatever screen: it brings up a card or a board, checks a piece in, or offers to open
another build."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from tracker.cards.scan import ScanCard, scanned
from tracker.scan.typed import Typed, read_keys
from tracker.screens.desk import Desk
from tracker.screens.toolkit.prompts import Option
from tracker.work.codes import LENGTH


class Scans:
    """Carries out scans for the desk. `lost` says that a build's file is gone."""

    def __init__(self, desk: Desk, lost: Callable[[str, str], str]) -> None:
        self._desk = desk
        self._lost = lost

    def read_keys(self, text: str) -> Typed:
        """The code in what a handheld scanner typed."""
        return read_keys(text, self._desk.floor().run.codes.values() if self._desk.shop.run else ())

    def keys_scanned(self, typed: Typed) -> None:
        """A handheld scanner typed, on whatever screen."""
        if typed.code is None:
            self._say(typed.trouble)
            return
        self._desk.scanned(typed.code)
        if typed.trouble:
            before = self._desk.notice.sentence if self._desk.notice else ""
            self._say(f"{before} {typed.trouble}".strip())

    def carry_out(self, text: str) -> None:
        """A code was scanned or typed. A question that was open is closed first: it was about something else."""
        closed = self._desk.root.close_questions()
        card = scanned(self._desk.floor().run if self._desk.shop.run else None, text)
        if card.key:
            self._desk.notify("", "scanned")
            if not self._shown.takes_scan(card.key):
                self._desk.take(card.key)
        elif card.board:
            if not self._takes_board(card.board):
                self._say(card.said)
        elif self._desk.shop.library.unread():
            self._desk.learn(then=lambda: self._elsewhere(card))
        else:
            self._elsewhere(card)
        if closed:
            self._add(f"Closed, and nothing was marked: {closed}")

    def _elsewhere(self, card: ScanCard) -> None:
        """A code of no item of this build: of another one that this tablet knows, or of none."""
        shop = self._desk.shop
        owner = shop.known.owner_of(card.code) if len(card.code) == LENGTH else None
        if owner is None:
            self._say(card.said)
        elif shop.run is not None and owner.run == shop.run.name:
            self._say("That label is of a piece that this build no longer has.")
        elif owner.path is None:
            self._say(f"That label is of another build. {self._lost(owner.build, owner.run)}")
        else:
            path = owner.path
            self._desk.ask(
                "That label is of another build.",
                [Option(key=path, text="Open it", sub_text=owner.build)],
                lambda chosen: self._open_and_take(chosen, card.code),
            )

    def _open_and_take(self, path: Path, code: str) -> None:
        """Open a build, and do there what the label asks for; a file that can't be opened is not tried twice."""

        def there() -> None:
            if code in self._desk.floor().run.codes.values():
                self._desk.scanned(code)

        self._desk.open_build(path, there)

    def _takes_board(self, key: str) -> bool:
        """Whether something is to be cut from a board of the rack: then it is brought up."""
        floor = self._desk.floor()
        if not any(board.key == key for board in floor.state.boards(floor.run)):
            return False
        self._desk.go("boards")
        self._shown.choose(key)
        return True

    @property
    def _shown(self) -> Any:
        return self._desk.root.screen

    def _say(self, sentence: str) -> None:
        """On the screen itself where it has a place for it, else in the banner."""
        if not self._shown.says(sentence):
            self._desk.notify(sentence, "scanned")

    def _add(self, sentence: str) -> None:
        """After what was said of the scan."""
        notice = self._desk.notice
        before = f"{notice.sentence} " if notice else ""
        self._desk.notify(f"{before}{sentence}", "scanned", notice.tone if notice else "waiting")
