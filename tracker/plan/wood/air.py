"""The air that wood lives in, and the wood's equilibrium moisture content in it."""

from __future__ import annotations

from tracker.words import say

WETTEST_AIR = 99.0
_HALVINGS = 60


def moisture_in(celsius: float, humidity: float) -> float:
    """Equilibrium moisture content of wood in air, in percent of its dry weight.

    `humidity` is the relative humidity in percent. Wood Handbook (USDA Forest Products Laboratory, FPL-GTR-190, 2010),
    equation 4-5 in °C. Raises ValueError outside -2 to 99 °C, or for a humidity outside 0 to 99 %.
    """
    if not -2 <= celsius <= 99:
        raise ValueError(say("the temperature lies between -2 and 99 °C"))
    if not 0 <= humidity <= WETTEST_AIR:
        raise ValueError(say("the humidity lies between 0 and 99 %"))
    h = humidity / 100
    w = 349 + 1.29 * celsius + 0.0135 * celsius**2
    k = 0.805 + 0.000736 * celsius - 0.00000273 * celsius**2
    k1 = 6.27 - 0.00938 * celsius - 0.000303 * celsius**2
    k2 = 1.91 + 0.0407 * celsius - 0.000293 * celsius**2
    kh = k * h
    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))


def humidity_for(celsius: float, moisture: float) -> float:
    """The relative humidity at which wood reaches `moisture` percent: the inverse of `moisture_in`, by bisection."""
    low, high = 0.0, WETTEST_AIR
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if moisture_in(celsius, middle) < moisture:
            low = middle
        else:
            high = middle
    return (low + high) / 2
