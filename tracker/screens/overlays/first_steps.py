"""The first minute with the app: a sample build, and three things to look at."""

from __future__ import annotations

from collections.abc import Callable

from kivy.clock import Clock
from kivy.properties import ListProperty, NumericProperty, StringProperty
from kivy.uix.widget import Widget
from msgspec import Struct

from tracker.assets import asset_dir
from tracker.screens.base import the_app
from tracker.screens.toolkit.buttons import BigButton, RailButton
from tracker.screens.toolkit.fraction import BigReading
from tracker.screens.toolkit.overlay import Overlay

SAMPLE = "planter.toml"


class _Sight(Struct, frozen=True):
    """Something to look at: how to find it on the screen, and what it is."""

    find: Callable[[Widget], Widget]
    said: str


def _of(kind: type[Widget], **values: str) -> Callable[[Widget], Widget]:
    def find(root: Widget) -> Widget:
        return next(
            widget
            for widget in root.walk()
            if isinstance(widget, kind) and all(getattr(widget, name) == value for name, value in values.items())
        )

    return find


SIGHTS = (
    _Sight(_of(BigReading), "The large number is what to cut to, as your tape reads it."),
    _Sight(_of(BigButton), "Tap the blue button once that is done. Undo stands beside it."),
    _Sight(_of(RailButton, place="more"), "All else is here: your own builds, labels, settings, help."),
)


class FirstSteps(Overlay):
    """Points at one thing after the other; `frame` is x, y, width and height of what is pointed at."""

    at = NumericProperty(0)
    said = StringProperty("")
    word = StringProperty("next")
    frame = ListProperty([0, 0, 0, 0])

    @classmethod
    def begin(cls) -> None:
        """Open the sample when no build is open, take a piece in hand, and point."""
        app = the_app()
        if app.shop.run is None:
            app.open_build(asset_dir("sample_projects") / SAMPLE, cls._begin)
        else:
            cls._begin()

    @classmethod
    def _begin(cls) -> None:
        app = the_app()
        piece = next(app.shop.run.pieces, None) if app.shop.run else None
        if piece is None:
            app.root.said = "Open a build with a piece in it first."
            return
        app.stand_at("saw")
        app.take(piece.key)
        steps = cls()
        steps.open_on(app.root)
        app.shop.settings["first steps"] = "seen"

    def on_kv_post(self, base_widget: object) -> None:
        self._look = Clock.create_trigger(self._point)
        self.bind(size=self._look, at=self._look)
        self._look()

    def _point(self, *_: object) -> None:
        sight = SIGHTS[int(self.at)]
        seen = sight.find(the_app().root.ids.shown)
        self.frame = [*seen.to_window(*seen.pos), *seen.size]
        self.said = sight.said
        self.word = "next" if self.at + 1 < len(SIGHTS) else "begin"

    def go_on(self) -> None:
        """The next sight; after the last one the work begins."""
        if self.at + 1 < len(SIGHTS):
            self.at += 1
        else:
            self.close()
