"""A screen with a bar above its card: the button for the list of everything else, and the caution."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty

from tracker.screens.base import CardScreen, CardView
from tracker.screens.places.batch_bar import BatchBar


class BarredScreen(CardScreen):
    """One card takes all the room; the list is one tap away, behind the button in the bar. The clocks are in the upper
    corner in landscape, below the card in portrait; a clock that the card shows large isn't shown a second time."""

    upright = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.batch = self.make_bar()
        self.ids.above.add_widget(self.batch)

    def make_bar(self) -> Any:
        """The bar above the card."""
        bar = BatchBar()
        bar.bind(on_choose=lambda _, key: self.choose(key), on_list=lambda _: self.show_list())
        return bar

    def on_upright(self, *_: object) -> None:
        """The tablet was turned: the text above the card depends on that."""
        if self.parent is not None:
            self.draw()

    def view(self, kind: type[CardView]) -> CardView:
        """Put the kind of view that the current item needs in the card's place."""
        place = self.ids.place
        if not (place.children and isinstance(place.children[0], kind)):
            place.clear_widgets()
            place.add_widget(kind())
        return place.children[0]

    def choose(self, key: Any) -> None:
        """A piece of a strip was tapped, or what is held was held."""

    def show_list(self) -> None:
        """Open the list of everything else over the screen."""
        raise NotImplementedError
