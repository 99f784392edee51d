"""What appears over or beside a screen: a message that needs reading, and a choice that must be made."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, ListProperty, NumericProperty, OptionProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from msgspec import Struct

from tracker.screens.toolkit.buttons import BigButton, HoldButton
from tracker.screens.toolkit.overlay import Overlay
from tracker.screens.toolkit.palette import TONES
from tracker.screens.toolkit.text import count_lines, largest_type
from tracker.screens.toolkit.theme import HELD, SCALE, SMALL, TARGET, Themed, font_size
from tracker.words import say


class Banner(Themed, BoxLayout):
    """One sentence with its shape. It takes its own room in the layout (none while `text` is empty), so it never covers
    a button.

    text, tone ("caution", or "waiting" for a notice), action (word of a small button, none when empty), on_act
    """

    __events__ = ("on_act",)
    text = StringProperty("")
    tone = OptionProperty("caution", options=list(TONES))
    action = StringProperty("")
    lines = NumericProperty(1)
    words_font = NumericProperty(1)
    """Output: the smaller type, only for a long sentence."""

    def __init__(self, **kwargs: Any) -> None:
        self._arrange = Clock.create_trigger(self._word, -1)
        super().__init__(**kwargs)
        for name in ("text", "action", "width", "mm"):
            self.fbind(name, self._arrange)
        self._arrange()

    def _word(self, *_: object) -> None:
        width = self.width - (17.5 + (37 if self.action else 0)) * self.mm
        note, fine = (font_size(SCALE[name], self.mm) for name in ("note", "fine"))
        self.words_font = largest_type(self.text, width, [(note, 3)], fine)
        self.lines = max(1, min(5, count_lines(self.text, self.words_font, width)))

    def on_act(self) -> None: ...


class Option(Struct, frozen=True, kw_only=True):
    """One thing to choose: `key` is returned."""

    key: Hashable
    text: str
    sub_text: str = ""
    tone: str = ""
    possible: bool = True
    held: bool = False
    """Whether it is held for a second instead of tapped."""


def _button(option: Option) -> BigButton | HoldButton:
    if option.held:
        tone = option.tone or "caution"
        return HoldButton(text=option.text, sub_text=option.sub_text, tone=tone, disabled=not option.possible)
    return BigButton(
        text=option.text, sub_text=option.sub_text, tone=option.tone, look="plain", disabled=not option.possible
    )


_EASY, _FEW = 6, 4
"""How many options fit at any size, and in a narrower sheet."""


class Panel(Themed, Overlay):
    """A sheet over the screen for choosing one of up to seven. Show it with `open_on(root)`.

    title     the question, a sentence
    note      one more sentence, small
    options   a sequence of Option
    cancel    word of the button that changes nothing
    on_choose(key), on_cancel
    """

    __events__ = ("on_choose", "on_cancel")
    title = StringProperty("")
    note = StringProperty("")
    options = ListProperty([])
    cancel = StringProperty(say("Back"))
    columns = NumericProperty(1)
    held = BooleanProperty(False)
    """Whether one of its options is held: then the gaps are wider."""
    crowded = BooleanProperty(False)
    """Output: seven options. In two columns the way back is beside the last of them."""
    sheet_width = NumericProperty(1)
    title_lines = NumericProperty(1)
    title_font = NumericProperty(1)
    """Output: the smaller type, only for a long question."""
    note_lines = NumericProperty(1)

    def __init__(self, **kwargs: Any) -> None:
        self._arrange = Clock.create_trigger(self._word, -1)
        super().__init__(**kwargs)
        for name in ("title", "note", "width", "mm"):
            self.fbind(name, self._arrange)
        self._arrange()

    def _word(self, *_: object) -> None:
        self.crowded = len(self.options) > _EASY
        wide = len(self.options) > _FEW or any(option.held for option in self.options)
        self.sheet_width = min(self.width - 12 * self.mm, (204 if wide else 172) * self.mm)
        width = self.sheet_width - 12 * self.mm
        task, note, fine = (font_size(SCALE[name], self.mm) for name in ("task", "note", "fine"))
        self.title_font = largest_type(self.title, width, [(task, 2), (note, 3)], fine, True)
        self.title_lines = max(1, count_lines(self.title, self.title_font, width, True))
        self.note_lines = min(8, count_lines(self.note, note, width))
        self._fill()

    def on_options(self, *_: object) -> None:
        self._fill()

    def on_kv_post(self, base_widget: object) -> None:
        self._fill()

    def _fill(self) -> None:
        if "grid" not in self.ids:
            return
        grid, back = self.ids.grid.__self__, self.ids.back.__self__
        options: Sequence[Option] = self.options
        self.held = any(option.held for option in options)
        self.columns = 1 if len(options) <= 3 or self.sheet_width < 140 * self.mm else 2
        grid.clear_widgets()
        for option in options:
            button = _button(option)
            chosen = "on_held" if option.held else "on_tap"
            button.bind(**{chosen: lambda _button, key=option.key: self._choose(key), "words_height": self._even})
            grid.add_widget(button)
        self._put_back(back, grid if self.crowded and self.columns > 1 else self.ids.sheet)

    def _put_back(self, back: Any, onto: Any) -> None:
        if back.parent is not None:
            back.parent.remove_widget(back)
        back.least_mm = TARGET if onto is self.ids.grid.__self__ else SMALL
        onto.add_widget(back)

    def _even(self, *_: object) -> None:
        """Buttons side by side are as high as the one with the most words."""
        buttons, across = self.ids.grid.children[::-1], int(self.columns)
        for first in range(0, len(buttons), across):
            row = [each for each in buttons[first : first + across] if isinstance(each, BigButton | HoldButton)]
            high = max((button.words_height / self.mm for button in row), default=0.0) + 3.0
            for button in row:
                button.least_mm = max(HELD if isinstance(button, HoldButton) else TARGET, high)

    def _choose(self, key: Hashable) -> None:
        self.close()
        self.dispatch("on_choose", key)

    def dismiss(self) -> None:
        self.close()
        self.dispatch("on_cancel")

    def on_choose(self, key: Hashable) -> None: ...

    def on_cancel(self) -> None: ...
