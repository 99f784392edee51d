"""The shop's air as a person entered it, in °C or °F by the build's units, and how long ago."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.keypad.number import NumberEntry
from tracker.floor.floor import Floor
from tracker.measure import Units
from tracker.measure.span import rough
from tracker.words import say
from tracker.work.clocks.waits import degrees

STALE = 12 * 3600
"""Seconds after which the air is requested again before spreading glue: a shop cools overnight. Common practice."""
HUMIDITY = NumberEntry(least=1, most=100)
_CELSIUS = NumberEntry(least=-30, most=60)
_FAHRENHEIT = NumberEntry(least=-22, most=140)


class AirCard(Struct, frozen=True, kw_only=True):
    """What is known about the shop's air. `temperature` and `humidity` are empty while nobody has entered them."""

    temperature: str
    humidity: str
    said: str
    stale: bool

    @property
    def words(self) -> str:
        """`19 °C, 50 %`; empty while it isn't known."""
        return f"{self.temperature}, {self.humidity}" if self.temperature else ""


def air_card(floor: Floor) -> AirCard:
    """The air as last entered."""
    kept = floor.state.air
    if kept is None:
        return AirCard(temperature="", humidity="", said=say("Not entered yet."), stale=True)
    age = (floor.now.wall - kept.entry.at).total_seconds()
    return AirCard(
        temperature=degrees(kept.fact.celsius, floor.run.build.units),
        humidity=f"{kept.fact.humidity:.0f} %",
        said=say("just now") if age < 60 else say("{time} ago", time=rough(age)),
        stale=age > STALE,
    )


def temperature_entry(units: Units) -> NumberEntry:
    """An empty entry for the temperature, in the build's units."""
    return _CELSIUS if units == "mm" else _FAHRENHEIT


def to_celsius(number: int, units: Units) -> float:
    """The number that was typed, in °C."""
    return float(number) if units == "mm" else round((number - 32) * 5 / 9, 1)
