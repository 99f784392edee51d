"""The checks of a finished piece, one line each, with the results and who measured."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from tracker.cards.marks import Tone
from tracker.cards.piece.action import Action, next_action
from tracker.cards.wood.at_proof import proof_sums
from tracker.floor.floor import Floor
from tracker.measure import Length, parse_length, read_length
from tracker.plan.placeable import has_places
from tracker.words import say
from tracker.work.decide.intents import Prove

Ask = Literal["lengths", "load", "nothing"]
"""What is measured for a line: lengths that should be equal, or a gap; a load and its duration; or it is inspected."""
LOAD_CAUTION = say(
    "Add weight slowly, close to the floor; keep hands and feet clear. A shop test is not a strength rating."
)
LIFT_CAUTION = say("Clamps off and glue cured first. Two people to lift; keep fingers clear.")
_WITHIN = re.compile(r"within (?P<length>[0-9][0-9 /.⁄⅛¼⅜½⅝¾⅞-]*(?:\"|″|in\b|mm\b)?)", re.ASCII)
_ALIKE = re.compile(r"\b(alike|diagonals?|square|equal|same)\b")
_LOAD = re.compile(r"\b(carr(y|ies)|holds?|bears?|load(s|ed)?|weigh(s|t)|kg|lbs?|sit(s|ting)?|stands? on it)\b")
_WAYS = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6}


class ProofLine(Struct, frozen=True, kw_only=True):
    """One check and its latest result."""

    check: str
    tone: Tone
    said: str
    """`passed: 1⁄32″ apart, by A. K.`, or empty while there is no result."""
    ask: Ask
    readings: int
    """How many lengths are measured: two diagonals, a ring three ways, one gap."""
    within: Length | None
    caution: str
    sums: str
    """The calculated result; empty where none can be calculated."""

    @property
    def notes(self) -> str:
        """The caution, and below it the calculation."""
        return "\n".join(words for words in (self.caution, self.sums) if words)


class ProveCard(Struct, frozen=True, kw_only=True):
    """All checks of an assembly."""

    key: str
    title: str
    lines: tuple[ProofLine, ...]
    open: int
    """How many lines still need a result."""
    names: tuple[str, ...]
    """Who measured before, the latest first."""
    placed: bool
    """Whether the build says how its pieces lie, so that it can be drawn."""
    action: Action

    @property
    def passed(self) -> int:
        """How many lines have passed."""
        return sum(line.tone == "done" for line in self.lines)

    @property
    def words(self) -> str:
        """`1 of 3 checked`."""
        return (
            say("{passed} of {count} checked", passed=self.passed, count=len(self.lines))
            if self.lines
            else say("nothing to check")
        )


def prove_card(floor: Floor, key: str) -> ProveCard:
    """The checks of an assembly, with their results."""
    item = floor.item(key)
    lines = tuple(_line(floor, key, check) for check in floor.run.build.assembly(item.id).prove)
    return ProveCard(
        key=key,
        title=item.title,
        lines=lines,
        open=sum(line.tone == "ready" for line in lines),
        names=known_names(floor),
        placed=has_places(floor.run.build, item.id),
        action=next_action(floor, item),
    )


def _line(floor: Floor, key: str, check: str) -> ProofLine:
    kept = floor.state.proofs(floor.run, floor.item(key)).get(check)
    ask, readings = question(check)
    said = ""
    if kept is not None:
        found = f": {kept.fact.result}" if kept.fact.result else ""
        by = say(", by {by}", by=kept.fact.by) if kept.fact.by else ""
        said = (
            say("passed{found}{by}", found=found, by=by)
            if kept.fact.passed
            else say("failed{found}{by}", found=found, by=by)
        )
    tone: Tone = "ready" if kept is None else "done" if kept.fact.passed else "caution"
    return ProofLine(
        check=check,
        tone=tone,
        said=said,
        ask=ask,
        readings=readings,
        within=tolerance(check, floor.run.build.units),
        caution=LOAD_CAUTION if ask == "load" else LIFT_CAUTION,
        sums=proof_sums(floor, floor.item(key).id, check),
    )


def question(check: str) -> tuple[Ask, int]:
    """What a line asks to be measured, from its words, and how many lengths."""
    words = check.lower()
    if _LOAD.search(words):
        return "load", 0
    if _ALIKE.search(words):
        ways = next((count for word, count in _WAYS.items() if f"{word} ways" in words), 2)
        return "lengths", ways
    return ("lengths", 1) if _WITHIN.search(words) else ("nothing", 0)


def tolerance(check: str, units: Literal["in", "mm"]) -> Length | None:
    """The length after `within`, in the build's units unless it has its own."""
    found = _WITHIN.search(check.lower())
    if found is None:
        return None
    try:
        return parse_length(found["length"].strip(), units)
    except ValueError:
        return None


def verdict(line: ProofLine, lengths: Sequence[Length]) -> bool | None:
    """Whether the measurements are within the line's tolerance; None while that isn't known."""
    if line.ask != "lengths" or line.within is None or len(lengths) < line.readings:
        return None
    return spread(lengths) <= line.within


def spread(lengths: Sequence[Length]) -> Length:
    """The difference between the longest and the shortest; for a single reading, the reading itself: it is the gap."""
    return max(lengths) - min(lengths) if len(lengths) > 1 else lengths[0]


def lengths_words(floor: Floor, lengths: Sequence[Length]) -> str:
    """`23 5⁄8″ and 23 11⁄16″: 1⁄16″ apart`."""
    if not lengths:
        return ""
    read = [floor.read(length).text for length in lengths]
    if len(lengths) == 1:
        return read[0]
    apart = read_length(spread(lengths), floor.run.build.shop.mark).text
    alike = say("alike") if not spread(lengths) else say("{apart} apart", apart=apart)
    return say("{lengths} and {last}: {alike}", lengths=", ".join(read[:-1]), last=read[-1], alike=alike)


def load_words(weight: int | None, minutes: int | None, units: Literal["in", "mm"]) -> str:
    """`80 kg for 10 min`."""
    unit = "kg" if units == "mm" else "lb"
    parts = (f"{weight} {unit}" if weight else "", say("for {minutes} min", minutes=minutes) if minutes else "")
    return " ".join(part for part in parts if part)


def known_names(floor: Floor) -> tuple[str, ...]:
    """Everybody who has measured in this shop, the latest first."""
    proofs = [
        proof
        for run in floor.state.runs.values()
        for item in run.items.values()
        for proof in item.proofs.values()
        if proof.fact.by
    ]
    proofs.sort(key=lambda proof: proof.entry.rank, reverse=True)
    return tuple(dict.fromkeys(proof.fact.by for proof in proofs))


def prove(run: str, key: str, line: ProofLine, passed: bool, result: str, by: str) -> Prove:
    """The result of a line, as an intent."""
    return Prove(key, line.check, passed, result, by, run=run)
