"""The calculated result beside a check: the sag under a load, the weight of the piece, the load that tips it.

Only what the line names is calculated. None of it is measured: "by arithmetic; try it".
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from tracker.cards.wood.words import POUND, WoodWords
from tracker.design.model import Build
from tracker.floor.floor import Floor
from tracker.floor.wood import found_in_shop
from tracker.plan.place import PlaceError, Placer
from tracker.plan.wood import Stand, assess, stands
from tracker.plan.wood.assessment import Sag
from tracker.plan.wood.bending import LIMIT
from tracker.plan.wood.stability import GRAVITY
from tracker.words import say
from tracker.words.sides import side

_WEIGHT = re.compile(r"(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>kg|lbs?|pounds?)\b", re.ASCII)
_STANDS = re.compile(r"\b(tips?|rocks?|stands?|steady|sit(s|ting)?|people|person)\b")


def proof_sums(floor: Floor, assembly_id: str, check: str) -> str:
    """`By arithmetic: Shelf sags 1⁄16″ at once, 1⁄8″ in years. Try it.`; empty where the line names nothing known."""
    build, said = floor.run.build, check.lower()
    words = WoodWords(build)
    sags = assess(build, found_in_shop(floor)).sags
    found = [_sags(words, sag, _times_the_load(sag, said)) for sag in sags if _names(build, sag, said)]
    if _STANDS.search(said):
        found += [
            _stands(words, each) for each in _standing(build) if each.assembly == build.assembly(assembly_id).name
        ]
    return say("By arithmetic: {found} Try it.", found=" ".join(found)) if found else ""


def _names(build: Build, sag: Sag, said: str) -> bool:
    """Whether a line mentions the loaded part, by its name or the last word of it."""
    name = build.part(sag.id).name.lower()
    return bool(re.search(rf"\b({re.escape(name)}|{re.escape(name.rpartition(' ')[2])})s?\b", said))


def _times_the_load(sag: Sag, said: str) -> float:
    """The weight in the line as a multiple of the file's load; 1 where it has none."""
    found = _WEIGHT.search(said)
    if found is None:
        return 1.0
    kilograms = float(found["number"]) * (1.0 if found["unit"] == "kg" else POUND)
    return kilograms / sag.kilograms


def _sags(words: WoodWords, sag: Sag, share: float) -> str:
    now, years = sag.now * share, sag.years * share
    usual = sag.span * LIMIT
    more = say(" ({length} is the usual most)", length=words.small(usual)) if years > usual else ""
    return say(
        "{on} sags {now} at once, {later} in years{more}.",
        on=sag.on,
        now=words.small(now),
        later=words.small(years),
        more=more,
    )


@lru_cache(maxsize=8)
def _standing(build: Build) -> tuple[Stand, ...]:
    try:
        return stands(build, Placer(build))
    except (PlaceError, ValueError):
        return ()


def _stands(words: WoodWords, each: Stand) -> str:
    return " ".join(_standing_words(words, each))


def _standing_words(words: WoodWords, each: Stand) -> Iterator[str]:
    yield say("It weighs {weight}.", weight=words.weight(each.mass.kg))
    if each.rocks:
        yield say("It rocks: fewer than three feet are level.")
    elif each.load is not None:
        yield say(
            "{weight} near its {edge} rim tips it.", weight=words.weight(each.load / GRAVITY), edge=side(each.edge)
        )
    else:
        yield say("No load near its rim tips it.")
