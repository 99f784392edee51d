"""Scanning: a handheld scanner that types, a picture of a label, or its ten characters typed by hand."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from kivy.properties import StringProperty

from tracker.cards.scanned import titles_of
from tracker.scan import Looked, look_at_picture
from tracker.screens.base import CardScreen, shown_path, the_app
from tracker.screens.sheets import Option, Panel
from tracker.work.codes import Code

PICTURES = (".png", ".jpg", ".jpeg")


class ScanScreen(CardScreen):
    """Brings up a card from whatever shows its code."""

    needs_run = False
    said = StringProperty("")

    def draw(self) -> None:
        self.card = None

    def leave(self) -> None:
        self.ids.keypad.clear()
        self.said = ""

    def typed(self, code: str) -> None:
        """Ten characters stand on the keypad."""
        self.ids.keypad.clear()
        the_app().scanned(code)

    @property
    def folder(self) -> Path:
        """Where pictures of labels are looked for."""
        folder = the_app().shop.home / "pictures"
        folder.mkdir(exist_ok=True)
        return folder

    def choose_picture(self) -> None:
        """Offer the newest pictures."""
        pictures = sorted(
            (path for path in self.folder.iterdir() if path.suffix.lower() in PICTURES),
            key=lambda path: path.stat().st_mtime,
            reverse=True,
        )[:6]
        if not pictures:
            self.said = f"No picture yet: put PNG or JPEG pictures of labels into {shown_path(self.folder)}"
            return
        panel = Panel(title="Which picture?", options=[Option(key=str(p), text=p.name) for p in pictures])
        panel.bind(on_choose=lambda _panel, path: self.read(Path(path)))
        panel.open_on(the_app().root)

    def read(self, path: Path) -> None:
        """Read a picture off the screen's thread."""
        self.said = f"Reading {path.name} ..."
        app, live = the_app(), self._live()
        app.worker.submit(lambda: look_at_picture(path, live), lambda looked: self._looked(looked, path), self._unread)

    def _live(self) -> tuple[Code, ...]:
        """The codes that a label here may bear: those of the build in hand."""
        run = the_app().shop.run
        return tuple(run.codes.values()) if run else ()

    def _looked(self, looked: Looked, path: Path) -> None:
        codes = [code.text for code in looked.found if code.valid]
        if codes:
            self.said = ""
            self._bring_up(codes)
        elif looked.maybe:
            self.said = f"The label in {path.name} can't be told for sure."
            self._ask("Can't tell: which one is it?", looked.maybe)
        else:
            self.said = f"No label of ours can be read in {path.name}: nearer, or wipe the dust off."

    def _bring_up(self, codes: Sequence[Code]) -> None:
        """The card of the one label that was read; of several, ask which."""
        if len(codes) == 1 or not self._ask("Several labels: which one?", codes):
            the_app().scanned(codes[0])

    def _ask(self, question: str, codes: Sequence[Code]) -> bool:
        """Ask the person which of the codes is meant; False when none is of the build in hand."""
        titles = titles_of(the_app().shop.run, codes)[:6]
        if not titles:
            return False
        panel = Panel(title=question, options=[Option(key=code, text=title) for title, code in titles])
        panel.bind(on_choose=lambda _panel, code: the_app().scanned(code))
        panel.open_on(the_app().root)
        return True

    def _unread(self, error: BaseException) -> None:
        if not isinstance(error, ValueError):
            raise error
        self.said = f"That picture can't be read: {error}."
