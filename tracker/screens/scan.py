"""Scanning: a handheld scanner that types, a picture of a label, or its ten characters typed by hand."""

from __future__ import annotations

from pathlib import Path

from kivy.properties import StringProperty

from tracker.scan import read_picture
from tracker.screens.base import CardScreen, shown_path, the_app
from tracker.screens.sheets import Option, Panel

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
        app = the_app()
        app.worker.submit(lambda: read_picture(path), lambda found: self._found(found, path), self._unread)

    def _found(self, found: object, path: Path) -> None:
        codes = [code.text for code in found if code.valid]  # type: ignore[attr-defined]
        self.said = "" if codes else f"No label of ours can be read in {path.name}: nearer, or wipe the dust off."
        if len(codes) == 1:
            the_app().scanned(codes[0])
        elif codes:
            self._which(codes)

    def _which(self, codes: list[str]) -> None:
        """Several labels in one picture: ask which."""
        run = the_app().shop.run
        known = [code for code in codes if run and code in run.by_code][:6]
        if not known or run is None:
            the_app().scanned(codes[0])
            return
        titles = [Option(key=code, text=run.items[run.by_code[code]].title) for code in known]
        panel = Panel(title="Several labels: which one?", options=titles)
        panel.bind(on_choose=lambda _panel, code: the_app().scanned(code))
        panel.open_on(the_app().root)

    def _unread(self, error: BaseException) -> None:
        if not isinstance(error, ValueError):
            raise error
        self.said = f"That picture can't be read: {error}."
