"""The toolkit that every screen is made of. Importing this module registers the widgets for kv; `load_toolkit()` loads
their looks, once a process, and must run before a screen's own kv file is loaded.

An app that uses it has a `theme`:

    class KerfcardApp(App):
        def __init__(self, **kwargs):
            super().__init__(**kwargs)
            self.theme = Theme(name="day")          # tracker.screens.theme

In kv every size is millimetres times `app.theme.mm`; paddings and gaps are multiples of `app.theme.grid` (3 mm); every
font size is one of `app.theme.` fine, note, task, lead, reading, reading_large, reading_huge (3.5, 4.7, 7, 9.5, 14, 18
and 24 mm of capital height); colours are `app.theme.` ink, soft, accent, accent_ink, ground, sunk, card, raised,
chosen, edge, hair, ready, done, waiting, caution, wood, ... `app.theme.name = 'shop'` turns the lights down while it
runs.

Surfaces (kv/theme.kv)
    Ground          the whole screen            Sheet   a card that is read
    Trough          lists and strips lie in it  Hairline

Words and marks
    Text            text, lines (1), font_size (note), halign, bold; lines_height for `height:`; truncated, broken
    ToneShape           tone: its shape alone
    Mark            word, tone, shape_mm
    MarksRow        marks: [(word, tone), ...]; wraps to even rows; height follows
    Icon            name (see icons.ICONS), ink
    BigReading      reading: a Reading, text ("15°") or None; sizes: [24, 18, 14] mm; halign; cap_mm, truncated (out)

Buttons             on_tap; on_refused (tapped while disabled); pressed, disabled, look accent|plain|quiet, chosen
    BigButton    text, sub_text, tone; 22 mm
    SmallButton     text, tone, lines; 15 mm
    RailButton      text, icon, chosen; 22 mm
    HoldButton      text; on_held after 1.0 s; 30 mm
    Key, KeyGrid    keys: ["7", ...]; on_key(key); side_mm (out): 20, or 15 where 20 has no room
    NumberPad       extra: [word, ...]; on_key(key), on_erase
    CodeKeypad      code; on_entered(code)

Lists
    QueueList       rows: [RowView(title=, subtitle=, tone=, key=, group=), ...]; selected: key; on_choose(key);
                    empty_text; show(key), page(+1 or -1)
    ListRow, GroupRow   its rows

Clocks
    ClockChip       title, time, share (1 to 0), tone; on_tap; 16 mm high, 52 mm wide
    ClockFace       title, time, note, share, tone, large; on_tap
    Ring            share, tone, thick_mm

Over and beside
    Banner          text ("" takes no room), tone, action, on_act
    Panel           title, note, options: [Option(key=, text=, sub_text=, tone=, possible=)], cancel; on_choose(key),
                    on_cancel; open_on(root), close()

The screen
    touch.GhostGuard    attach() at start, detach() at stop, screen_changed() at every change of screen
    device.keyboard_scanner.KeyboardScanner  attach(), detach(); read(text), answer(typed)
"""

from __future__ import annotations

from tracker.screens.display import load_kv_once
from tracker.screens.toolkit.buttons import BigButton, HoldButton, Plate, RailButton, Ring, SmallButton
from tracker.screens.toolkit.clock_face import ClockChip, ClockFace
from tracker.screens.toolkit.code_keypad import CodeKeypad
from tracker.screens.toolkit.fraction import BigReading
from tracker.screens.toolkit.icons import ICONS, Icon
from tracker.screens.toolkit.keypad import Key, KeyGrid, Letters, NumberPad
from tracker.screens.toolkit.list_rows import GroupRow, ListRow, RowView
from tracker.screens.toolkit.lists import QueueList
from tracker.screens.toolkit.marks import Mark, MarksRow, ToneShape
from tracker.screens.toolkit.prompts import Banner, Option, Panel
from tracker.screens.toolkit.text import Text, register_fonts
from tracker.screens.toolkit.theme import Theme

KV = ("theme.kv", "toolkit.kv", "marks.kv", "lists.kv", "clock_face.kv", "prompts.kv", "keypad.kv", "code_keypad.kv")


def load_toolkit() -> None:
    """Register the fonts and load the toolkit's kv files, each once a process."""
    register_fonts()
    load_kv_once(*KV)


__all__ = [
    "ICONS",
    "KV",
    "Banner",
    "BigButton",
    "BigReading",
    "ClockChip",
    "ClockFace",
    "CodeKeypad",
    "GroupRow",
    "HoldButton",
    "Icon",
    "Key",
    "KeyGrid",
    "Letters",
    "ListRow",
    "Mark",
    "MarksRow",
    "NumberPad",
    "Option",
    "Panel",
    "Plate",
    "QueueList",
    "RailButton",
    "Ring",
    "RowView",
    "SmallButton",
    "Text",
    "Theme",
    "ToneShape",
    "load_toolkit",
]  # fmt: skip
