"""The settings of this tablet: hand, light, sound, its place, and its saw and tape."""

from __future__ import annotations

from tracker.cards.settings.settings import SETTINGS, SettingsCard, screen_words, settings_card
from tracker.cards.words import capital
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.device.worker import on_next_frame
from tracker.screens.lazy import class_named
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.prompts import Option
from tracker.words import say

SCREEN, TOGETHER = "screen size", "together"
"""The keys of the rows that aren't a choice among values."""


class SettingsScreen(CardScreen):
    """A row for each setting; a tap offers its choices."""

    card: SettingsCard
    needs_run = False
    _probed = False

    def draw(self) -> None:
        self.card = settings_card(the_desk().shop.settings)
        if not self._probed:
            self._probed = True
            the_desk().sounds.probe(lambda: on_next_frame(self._draw_again))
        trouble = {"sound": the_desk().sounds.trouble}
        rows = [
            RowView(
                title=setting.title,
                subtitle=trouble.get(setting.name) or chosen.word,
                tone="caution" if trouble.get(setting.name) else "",
                key=setting.name,
            )
            for setting, chosen in self.card.rows
        ]
        self.ids.list.rows = [*rows, self._screen_row(), self._together_row()]

    def _screen_row(self) -> RowView:
        scale = the_desk().screen.scale
        return RowView(
            title=say("Screen"),
            subtitle=screen_words(scale.dpi, scale.source),
            tone="caution" if scale.source == "guess" else "",
            key=SCREEN,
        )

    def _together_row(self) -> RowView:
        words = the_desk().together_words() or say("on its own: tap to join the others")
        return RowView(title=say("Together"), subtitle=words, key=TOGETHER)

    def _draw_again(self) -> None:
        if self.parent is not None:
            self.draw()

    def choose(self, name: str) -> None:
        """A setting was tapped."""
        if name == SCREEN:
            self._measure_screen()
            return
        if name == TOGETHER:
            the_desk().go(TOGETHER)
            return
        setting = next(setting for setting in SETTINGS if setting.name == name)
        now = setting.chosen(the_desk().shop.settings)
        options = [
            Option(key=each.value, text=capital(each.word), tone="done" if each == now else "ready")
            for each in setting.choices
        ]
        the_desk().ask(setting.title, options, lambda value: the_desk().set(name, value), note=setting.note)

    def _measure_screen(self) -> None:
        desk = the_desk()
        if desk.screen.scale.source == "environment":
            desk.notify(
                say("KIVY_DPI is set on this tablet, and it comes first: take it away to use a card."), "refused"
            )
            return
        class_named("overlays.card_size.CardSize")().begin()
