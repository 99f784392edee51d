"""A step of the maker's own, large: its number, its words and its picture."""

from __future__ import annotations

from kivy.properties import ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.piece.own_step import own_step_card
from tracker.floor.saw_cuts import next_step
from tracker.screens.desk import the_desk
from tracker.screens.overlays.cover import Cover


class OwnNumber(BoxLayout):
    """A Reading or ready text, with what it is below it."""

    reading = ObjectProperty("", allownone=True)
    words = StringProperty("")
    sizes = ListProperty([9.5, 7])


class OwnStepCover(Cover):
    """The step of an assembly that is next; it goes once that is done."""

    angles = ListProperty([("", ""), ("", "")])
    """What goes with the number: two more at most."""

    def draw(self) -> None:
        floor = the_desk().floor()
        card = own_step_card(floor, self.key, next_step(floor, floor.item(self.key)))
        if card is None:
            self.close()
            return
        self.title, self.card = card.title, card
