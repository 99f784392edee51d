"""What can be set on this tablet: its hand and light, and what its saw and tape are where a build file doesn't say."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

STATIONS = ("saw", "drill", "bench", "sanding", "finishing")


class Choice(Struct, frozen=True):
    """A value as it is kept, and as a person reads it."""

    value: str
    word: str


class Setting(Struct, frozen=True, kw_only=True):
    """One thing to set. The first choice is what holds until a person chooses."""

    name: str
    title: str
    note: str
    choices: tuple[Choice, ...]

    def chosen(self, values: Mapping[str, str]) -> Choice:
        """What is set, among `values` by name of setting."""
        value = values.get(self.name, "")
        return next((choice for choice in self.choices if choice.value == value), self.choices[0])


def _choices(*pairs: tuple[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(value, word) for value, word in pairs)


_FILE = "Used when the build file doesn't say."
SETTINGS = (
    Setting(
        name="handed",
        title="Hand",
        note="Which hand taps? Cards and buttons move to that side.",
        choices=_choices(("right", "right hand"), ("left", "left hand")),
    ),
    Setting(
        name="theme",
        title="Screen light",
        note="For a bright day, or a dark shop.",
        choices=_choices(("day", "bright day"), ("shop", "dark shop")),
    ),
    Setting(
        name="sound",
        title="Sound",
        note="When a timer runs out. The screen flashes either way.",
        choices=_choices(("on", "on"), ("off", "off")),
    ),
    Setting(
        name="station",
        title="Station",
        note="Where this tablet is kept.",
        choices=_choices(*((name, name) for name in STATIONS)),
    ),
    Setting(
        name="tablet name",
        title="Tablet",
        note="What this tablet is called in the record.",
        choices=_choices(*((word, word) for word in ("Shop tablet", "Saw tablet", "Bench tablet", "Finishing tablet"))),
    ),
    Setting(
        name="units",
        title="Units",
        note="Lengths are shown in these, whatever the build file is written in.",
        choices=_choices(("", "as in the build"), ("in", "inches"), ("mm", "millimetres")),
    ),
    Setting(
        name="inch mark",
        title="Inch tape",
        note=f"The finest mark you cut to. {_FILE}",
        choices=_choices(("1/16 in", "1/16"), ("1/8 in", "1/8"), ("1/32 in", "1/32"), ("1/64 in", "1/64")),
    ),
    Setting(
        name="metric mark",
        title="Metric tape",
        note=f"The finest mark you cut to. {_FILE}",
        choices=_choices(("1 mm", "1 mm"), ("0.5 mm", "0.5 mm")),
    ),
    Setting(
        name="kerf",
        title="Blade kerf",
        note=f"Measure a cut: the width that the blade takes. {_FILE}",
        choices=_choices(
            ("", "ordinary: 1/8 in or 3 mm"),
            ("3/32 in", "thin: 3/32 in"),
            ("1/8 in", "1/8 in"),
            ("2.4 mm", "2.4 mm"),
            ("2.8 mm", "2.8 mm"),
            ("3.2 mm", "3.2 mm"),
        ),
    ),
    Setting(
        name="max miter",
        title="Largest swing",
        note=f"How far the scale reaches, each side. {_FILE}",
        choices=_choices(*((value, f"{value}°") for value in ("50", "45", "47", "52", "60"))),
    ),
    Setting(
        name="max bevel",
        title="Largest tilt",
        note=f"How far the blade tilts. {_FILE}",
        choices=_choices(*((value, f"{value}°") for value in ("45", "46", "47", "48"))),
    ),
    Setting(
        name="backups kept",
        title="Backups kept",
        note="One is made each day of work, and when a build is finished; the oldest goes.",
        choices=_choices(("14", "14"), ("7", "7"), ("30", "30"), ("90", "90")),
    ),
)
"""In the order of the screen. Common practice, no source: reaches of saws and kerfs of blades as they are sold."""


class SettingsCard(Struct, frozen=True, kw_only=True):
    """Every setting with what it is set to."""

    rows: tuple[tuple[Setting, Choice], ...]


def settings_card(values: Mapping[str, str]) -> SettingsCard:
    """The settings as they stand; `values` by name, as the tablet keeps them."""
    return SettingsCard(rows=tuple((setting, setting.chosen(values)) for setting in SETTINGS))


_SCREEN_SAID_BY = {
    "environment": "as KIVY_DPI says",
    "card": "measured with a bank card",
    "screen": "as the screen says",
    "guess": "a guess: measure it with a bank card",
}


def screen_words(dpi: float, source: str) -> str:
    """How many points of the screen make an inch, and who says so: `environment`, `card`, `screen` or `guess`."""
    return f"{dpi:.0f} points to an inch, {_SCREEN_SAID_BY[source]}"
