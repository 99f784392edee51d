"""The settings of this tablet: its hand and light, and its saw and tape where a build file doesn't give them."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from tracker.words import english, say

STATIONS = (english("saw"), english("drill"), english("bench"), english("sanding"), english("finishing"))


class Choice(Struct, frozen=True):
    """A value as it is stored, and its words."""

    value: str
    word: str


class Setting(Struct, frozen=True, kw_only=True):
    """One setting. The first choice is the default."""

    name: str
    title: str
    note: str
    choices: tuple[Choice, ...]

    def chosen(self, values: Mapping[str, str]) -> Choice:
        """The chosen value, from `values` by name of setting."""
        value = values.get(self.name, "")
        return next((choice for choice in self.choices if choice.value == value), self.choices[0])


def _choices(*pairs: tuple[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(value, word) for value, word in pairs)


_FILE = say("Used when the build file doesn't say.")
SETTINGS = (
    Setting(
        name="handed",
        title=say("Hand"),
        note=say("Which hand taps? Cards and buttons move to that side."),
        choices=_choices(("right", say("right hand")), ("left", say("left hand"))),
    ),
    Setting(
        name="theme",
        title=say("Screen light"),
        note=say("For a bright day, or a dark shop."),
        choices=_choices(("day", say("bright day")), ("shop", say("dark shop"))),
    ),
    Setting(
        name="sound",
        title=say("Sound"),
        note=say("When a timer runs out. The screen flashes either way."),
        choices=_choices(("on", say("on")), ("off", say("off"))),
    ),
    Setting(
        name="station",
        title=say("Station"),
        note=say("Where this tablet is kept."),
        choices=_choices(*((name, say(name)) for name in STATIONS)),
    ),
    Setting(
        name="tablet name",
        title=say("Tablet"),
        note=say("What this tablet is called in the record."),
        choices=_choices(
            *(
                (word, word)
                for word in (say("Shop tablet"), say("Saw tablet"), say("Bench tablet"), say("Finishing tablet"))
            )
        ),
    ),
    Setting(
        name="units",
        title=say("Units"),
        note=say("Lengths are shown in these, whatever the build file is written in."),
        choices=_choices(("", say("as in the build")), ("in", say("inches")), ("mm", say("millimetres"))),
    ),
    Setting(
        name="inch mark",
        title=say("Inch tape"),
        note=say("The finest mark you cut to. {file}", file=_FILE),
        choices=_choices(("1/16 in", "1/16"), ("1/8 in", "1/8"), ("1/32 in", "1/32"), ("1/64 in", "1/64")),
    ),
    Setting(
        name="metric mark",
        title=say("Metric tape"),
        note=say("The finest mark you cut to. {file}", file=_FILE),
        choices=_choices(("1 mm", say("1 mm")), ("0.5 mm", say("0.5 mm"))),
    ),
    Setting(
        name="kerf",
        title=say("Blade kerf"),
        note=say("Measure a cut: the width that the blade takes. {file}", file=_FILE),
        choices=_choices(
            ("", say("ordinary: 1/8 in or 3 mm")),
            ("3/32 in", say("thin: 3/32 in")),
            ("1/8 in", say("1/8 in")),
            ("2.4 mm", say("2.4 mm")),
            ("2.8 mm", say("2.8 mm")),
            ("3.2 mm", say("3.2 mm")),
        ),
    ),
    Setting(
        name="max miter",
        title=say("Largest swing"),
        note=say("How far the scale reaches, each side. {file}", file=_FILE),
        choices=_choices(*((value, f"{value}°") for value in ("50", "45", "47", "52", "60"))),
    ),
    Setting(
        name="max bevel",
        title=say("Largest tilt"),
        note=say("How far the blade tilts. {file}", file=_FILE),
        choices=_choices(*((value, f"{value}°") for value in ("45", "46", "47", "48"))),
    ),
    Setting(
        name="backups kept",
        title=say("Backups kept"),
        note=say("One is made each day of work, and when a build is finished; the oldest goes."),
        choices=_choices(("14", "14"), ("7", "7"), ("30", "30"), ("90", "90")),
    ),
)
"""In the order of the screen. Common practice, no source: reaches of saws and kerfs of blades as they are sold."""


class SettingsCard(Struct, frozen=True, kw_only=True):
    """Every setting with its present value."""

    rows: tuple[tuple[Setting, Choice], ...]


def settings_card(values: Mapping[str, str]) -> SettingsCard:
    """The present settings; `values` by name, as the tablet stores them."""
    return SettingsCard(rows=tuple((setting, setting.chosen(values)) for setting in SETTINGS))


_SCREEN_SAID_BY = {
    "environment": say("as KIVY_DPI says"),
    "card": say("measured with a bank card"),
    "screen": say("as the screen says"),
    "guess": say("a guess: measure it with a bank card"),
}


def screen_words(dpi: float, source: str) -> str:
    """How many pixels of the screen make an inch, and the source of that: `environment`, `card`, `screen` or
    `guess`."""
    return say("{dpi:.0f} points to an inch, {source}", dpi=dpi, source=_SCREEN_SAID_BY[source])
