"""The builds that this tablet knows: take one up."""

from __future__ import annotations

from pathlib import Path

from kivy.properties import StringProperty

from tracker.cards.builds.builds import build_row, told_apart
from tracker.cards.builds.revision import revision_card
from tracker.screens.base import CardScreen, shown_path, the_app
from tracker.screens.overlays.revision import RevisionSheet
from tracker.screens.toolkit.lists import RowView
from tracker.work.run import start_run


class BuildsScreen(CardScreen):
    """A list of build files; a tap takes one up, or says what is wrong with it."""

    needs_run = False
    where = StringProperty("")
    next_words = StringProperty("")

    def draw(self) -> None:
        shop = the_app().shop
        files = shop.build_files()
        in_hand = shop.settings.get("build file")
        rows = [build_row(str(f.path), f.path.name, f.loaded.build, f.loaded.problems, shop.state) for f in files]
        self.card = told_apart(rows, in_hand or "")
        self.ids.list.rows = [RowView(title=r.title, subtitle=r.said, tone=r.tone, key=r.path) for r in self.card]
        self.ids.list.selected = in_hand
        self.next_words = "" if shop.run else "Tap a build to take it up."
        self.where = f"Your own build files go into the folder {shown_path(shop.builds_folder)}"

    def choose(self, path: str) -> None:
        """A build was tapped; one whose file was revised first says what that means."""
        row = next((row for row in self.card if row.path == path), None)
        build = next((f.loaded.build for f in the_app().shop.build_files() if str(f.path) == path), None)
        if row is None or not row.revised or build is None:
            the_app().open_build(Path(path))
            return
        sheet = RevisionSheet(card=revision_card(start_run(build), the_app().shop.state))
        sheet.bind(on_take=lambda _sheet: the_app().open_build(Path(path)))
        sheet.open_on(the_app().root)

    def turn_light(self) -> None:
        """From a bright day to a dark shop and back."""
        the_app().turn_light()
