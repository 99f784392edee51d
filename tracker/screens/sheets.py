"""What comes over or beside a screen: a sentence that needs reading, and a choice that must be made."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

from kivy.input.motionevent import MotionEvent
from kivy.properties import ListProperty, NumericProperty, OptionProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.floatlayout import FloatLayout

from tracker.screens.buttons import BigButton
from tracker.screens.palette import TONES
from tracker.screens.theme import Themed


class Banner(Themed, BoxLayout):
    """One sentence with its shape. It takes its own room in the layout (none while `text` is empty), so it never
    covers a button.

    text, tone ("caution", or "waiting" for a notice), action (word of a small button, none when empty), on_action
    """

    __events__ = ("on_action",)
    text = StringProperty("")
    tone = OptionProperty("caution", options=list(TONES))
    action = StringProperty("")

    def on_action(self) -> None: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One thing to choose: `key` comes back."""

    key: Hashable
    text: str
    sub_text: str = ""
    tone: str = ""
    possible: bool = True


class Panel(Themed, FloatLayout):
    """A sheet over the screen for choosing one of up to six. Lay it over the root with `open_on(root)`.

    title     the question, a sentence
    note      one more sentence, small
    options   a sequence of Option
    cancel    word of the button that leaves all as it was
    on_choose(key), on_cancel
    """

    __events__ = ("on_choose", "on_cancel")
    title = StringProperty("")
    note = StringProperty("")
    options = ListProperty([])
    cancel = StringProperty("back")
    columns = NumericProperty(1)

    def on_options(self, *_: object) -> None:
        self._fill()

    def on_kv_post(self, base_widget: object) -> None:
        self._fill()

    def _fill(self) -> None:
        grid = self.ids.get("grid")
        if grid is None:
            return
        options: Sequence[Option] = self.options
        self.columns = 1 if len(options) <= 3 else 2
        grid.clear_widgets()
        for option in options:
            button = BigButton(
                text=option.text, sub_text=option.sub_text, tone=option.tone, look="plain", disabled=not option.possible
            )
            button.bind(on_tap=lambda _button, key=option.key: self._choose(key))
            grid.add_widget(button)

    def open_on(self, root: Any) -> None:
        """Over everything in `root`, a layout that fills the window."""
        root.add_widget(self)

    def close(self) -> None:
        if self.parent is not None:
            self.parent.remove_widget(self)

    def on_touch_down(self, touch: MotionEvent) -> bool:
        """Nothing below a sheet is touched; a touch beside it does nothing."""
        super().on_touch_down(touch)
        return True

    def on_touch_move(self, touch: MotionEvent) -> bool:
        super().on_touch_move(touch)
        return True

    def on_touch_up(self, touch: MotionEvent) -> bool:
        super().on_touch_up(touch)
        return True

    def _choose(self, key: Hashable) -> None:
        self.close()
        self.dispatch("on_choose", key)

    def dismiss(self) -> None:
        self.close()
        self.dispatch("on_cancel")

    def on_choose(self, key: Hashable) -> None: ...

    def on_cancel(self) -> None: ...
