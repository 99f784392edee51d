"""What a scanned code does, on any screen: it shows a card or a board, checks a piece in, or offers to open another
build."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from tracker.cards.scan.code_meaning import (
    AboutBoard,
    AskLibrary,
    CheckedIn,
    NotCheckedIn,
    NotKnown,
    OfAnotherBuild,
    Owner,
    ScanAnswer,
    ShowItem,
    TakeBoard,
    scan_answer,
)
from tracker.scan.typed import Typed, read_keys
from tracker.screens.desk import Desk
from tracker.screens.joining import Joining
from tracker.screens.toolkit.prompts import Option
from tracker.together.invitation import is_invitation
from tracker.words import say
from tracker.work.codes import Code


class Scans:
    """Carries out scans for the desk. `lost` reports that a build's file is gone."""

    def __init__(self, desk: Desk, lost: Callable[[str, str], str]) -> None:
        self._desk = desk
        self._lost = lost

    def read_keys(self, text: str) -> Typed:
        """The code in what a handheld scanner typed."""
        if is_invitation(invitation := text.replace(";", ":").strip("\n\t ")):  # a colon is a semicolon with Shift
            return Typed(invitation)
        return read_keys(text, self._desk.floor().run.codes.values() if self._desk.shop.run else ())

    def keys_scanned(self, typed: Typed) -> None:
        """A handheld scanner typed, on any screen."""
        if typed.code is None:
            self._say(typed.trouble)
            return
        self._desk.scanned(typed.code)
        if typed.trouble:
            before = self._desk.notice.sentence if self._desk.notice else ""
            self._say(f"{before} {typed.trouble}".strip())

    def carry_out(self, text: str) -> None:
        """A code was scanned or typed. An open question is closed first: it was about something else."""
        closed = self._desk.root.close_questions()
        if is_invitation(text):
            Joining(self._desk).ask(text)
            return
        floor = self._desk.floor() if self._desk.shop.run else None
        self._answer(scan_answer(text, floor, self._shown.assembly_scanned_into))
        if closed:
            self._add(say("Closed, and nothing was marked: {closed}", closed=closed))

    def _answer(self, answer: ScanAnswer) -> None:
        """Carry out an answer."""
        match answer:
            case ShowItem(key):
                self._desk.notify("", "scanned")
                self._desk.open_item(key)
            case CheckedIn():
                self._check_in(answer)
            case NotCheckedIn(message):
                self._desk.notify(message, "scanned", "caution")
            case TakeBoard(key):
                self._desk.go("boards")
                self._shown.choose(key)
            case AboutBoard(message) | NotKnown(message):
                self._say(message)
            case AskLibrary(code):
                if self._desk.shop.library.unread():
                    self._desk.learn(then=lambda: self._look_up(code))
                else:
                    self._look_up(code)
            case OfAnotherBuild():
                self._say(f"{answer.message} {self._lost(answer.build, answer.run)}")

    def _check_in(self, answer: CheckedIn) -> None:
        refusal = self._desk.shop.do(answer.intent) if answer.intent else None
        if refusal is not None:
            self._desk.notify(refusal.reason, "scanned", "caution")
        else:
            self._desk.notify(answer.message, "scanned", "done")

    def _look_up(self, code: Code) -> None:
        """Ask the library whose label this is; offer to open another build if its file is available."""
        shop = self._desk.shop
        found = shop.known.owner_of(code)
        owner = Owner(found.run, found.build, found.path is not None) if found else None
        floor = self._desk.floor() if shop.run else None
        answer = scan_answer(code, floor, self._shown.assembly_scanned_into, owner)
        if found is not None and found.path is not None and isinstance(answer, OfAnotherBuild):
            options = [Option(key=found.path, text=say("Open it"), sub_text=answer.build)]
            self._desk.ask(answer.message, options, lambda path: self._open_and_take(path, code))
        else:
            self._answer(answer)

    def _open_and_take(self, path: Path, code: str) -> None:
        """Open a build, and do there what the label requires; a file that can't be opened isn't tried twice."""

        def there() -> None:
            if code in self._desk.floor().run.codes.values():
                self._desk.scanned(code)

        self._desk.open_build(path, there)

    @property
    def _shown(self) -> Any:
        return self._desk.root.screen

    def _say(self, sentence: str) -> None:
        """Show the message on the screen itself if it has a place for it, otherwise in the banner."""
        if not self._shown.says(sentence):
            self._desk.notify(sentence, "scanned")

    def _add(self, sentence: str) -> None:
        """Append to the message about the scan."""
        notice = self._desk.notice
        before = f"{notice.sentence} " if notice else ""
        self._desk.notify(f"{before}{sentence}", "scanned", notice.tone if notice else "waiting")
