"""How this tablet works: hand, light, sound, its place, and its saw and tape."""

from __future__ import annotations

from tracker.cards.settings.settings import SETTINGS, SettingsCard, settings_card
from tracker.screens.base import CardScreen, the_app
from tracker.screens.device.worker import on_next_frame
from tracker.screens.toolkit.lists import RowView
from tracker.screens.toolkit.prompts import Option, Panel


class SettingsScreen(CardScreen):
    """A row a setting; a tap offers its choices."""

    card: SettingsCard
    needs_run = False
    _probed = False

    def draw(self) -> None:
        self.card = settings_card(the_app().shop.settings)
        if not self._probed:
            self._probed = True
            the_app().watch.sounds.probe(lambda: on_next_frame(self._draw_again))
        trouble = {"sound": the_app().watch.sounds.trouble}
        self.ids.list.rows = [
            RowView(
                title=setting.title,
                subtitle=trouble.get(setting.name) or chosen.word,
                tone="caution" if trouble.get(setting.name) else "",
                key=setting.name,
            )
            for setting, chosen in self.card.rows
        ]

    def _draw_again(self) -> None:
        if self.parent is not None:
            self.draw()

    def choose(self, name: str) -> None:
        """A setting was tapped."""
        setting = next(setting for setting in SETTINGS if setting.name == name)
        now = setting.chosen(the_app().shop.settings)
        panel = Panel(
            title=setting.title,
            note=setting.note,
            options=[
                Option(key=each.value, text=each.word, tone="done" if each == now else "ready")
                for each in setting.choices
            ],
        )
        panel.bind(on_choose=lambda _panel, value: the_app().set(name, value))
        panel.open_on(the_app().root)
