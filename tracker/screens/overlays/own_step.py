"""A maker's own step, large: its number, its words and its picture."""

from __future__ import annotations

from kivy.properties import ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.piece.own_step import own_step_card
from tracker.floor.saw_cuts import next_step
from tracker.screens.desk import the_desk
from tracker.screens.overlays.cover import Cover


class OwnNumber(BoxLayout):
    """A Reading or finished text, with its name below."""

    reading = ObjectProperty("", allownone=True)
    words = StringProperty("")
    sizes = ListProperty([9.5, 7])


class OwnStepCover(Cover):
    """The next step of an assembly; it closes when the step is done."""

    angles = ListProperty([("", ""), ("", "")])
    """The further numbers: two at most."""

    def draw(self) -> None:
        floor = the_desk().floor()
        card = own_step_card(floor, self.key, next_step(floor, floor.item(self.key)))
        if card is None:
            self.close()
            return
        self.title, self.card = card.title, card
