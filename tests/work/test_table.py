"""The rules as a table: every state of a piece and of an assembly, crossed with every intent, cell by cell.

The table was worked out once and is read by people: the usual answer to each intent, then for each state where its
answer is another one. `yes` is done; a refusal is given in its words, with a `+` when it can be done anyway.
"""

from __future__ import annotations

import pytest
from work.table import ASSEMBLY_STATES, INTENTS, PIECE_STATES, answer, bench_in

PIECE_USUALLY = {
    "next step": "yes",
    "next step, with a reason": "yes",
    "last step": "yes",
    "first step": "Rail 1 is cut already.",
    "sand over coat 1": "This build has no such step.",
    "no such step": "This build has no such step.",
    "this and the next piece together": "Rail 2: Not cut yet",
    "take back": "yes",
    "take back its first fact": "yes",
    "answer its clock": "That clock isn't running any more.",
    "label": "yes",
    "measure": "yes",
    "spoil": "yes",
    "put aside": "yes",
    "take up": "Rail 1 isn't set aside.",
    "swap": "yes",
    "swap within": "Both go into Frame.",
    "note": "yes",
    "check off a line": "The checklist has no such line.",
    "check off warmth": "The checklist has no such line.",
    "check in a part": "Rail 2 isn't for Rail 1: it goes into Frame.",
    "check in a stranger": "Rail 3 isn't for Rail 1: it goes into Other.",
    "overrule the clamp time": "Rail 1 has no such wait.",
    "a check passed": "Rail 1 has no such check.",
    "a check failed": "Rail 1 has no such check.",
}
PIECE: dict[str, dict[str, str]] = {
    "new": {
        "last step": "+ Not cut yet",
        "first step": "yes",
        "this and the next piece together": "yes",
        "take back": "There is nothing to take back.",
        "take back its first fact": "There is nothing to take back.",
        "measure": "Rail 1 isn't cut yet.",
        "spoil": "Nothing was done to Rail 1 yet.",
    },
    "cut": {},
    "whole route done": {
        "next step": "Rail 1 is trimmed at end B already.",
        "next step, with a reason": "Rail 1 is trimmed at end B already.",
        "last step": "Rail 1 is trimmed at end B already.",
        "this and the next piece together": "Rail 1 is trimmed at end B already.",
        "take back its first fact": "Rail 1: trimmed at end B since. Take that back first.",
    },
    "one end trimmed": {
        "take back its first fact": "Rail 1: trimmed at end A since. Take that back first.",
    },
    "the other end trimmed": {
        "last step": "Rail 1 is trimmed at end B already.",
        "take back its first fact": "Rail 1: trimmed at end B since. Take that back first.",
    },
    "cut by a hold": {
        "this and the next piece together": "yes",
    },
    "cut by a hold, another one trimmed since": {
        "this and the next piece together": "yes",
    },
    "trimmed without being cut": {
        "last step": "Rail 1 is trimmed at end B already.",
        "first step": "yes",
        "this and the next piece together": "yes",
    },
    "set aside": {
        "next step": "+ Set aside: knot",
        "last step": "+ Set aside: knot",
        "this and the next piece together": "Rail 1: Set aside: knot",
        "put aside": "Rail 1 is set aside already.",
        "take up": "yes",
    },
    "taken up again": {},
    "spoiled": {
        "last step": "+ Not cut yet",
        "first step": "yes",
        "this and the next piece together": "yes",
        "take back": "There is nothing to take back.",
        "take back its first fact": "Rail 1 was spoiled since: take that back first.",
        "measure": "Rail 1 isn't cut yet.",
        "spoil": "Nothing was done to Rail 1 yet.",
    },
    "made again": {
        "take back its first fact": "Rail 1 was spoiled since: take that back first.",
    },
    "swapped": {
        "swap": "Both go into Other.",
        "swap within": "yes",
        "check in a stranger": "Rail 3 isn't for Rail 1: it goes into Frame.",
    },
    "measured": {},
    "checked in": {
        "next step": "Rail 1 is trimmed at end B already.",
        "next step, with a reason": "Rail 1 is trimmed at end B already.",
        "last step": "Rail 1 is trimmed at end B already.",
        "this and the next piece together": "Rail 1 is trimmed at end B already.",
        "take back its first fact": "Rail 1: trimmed at end B since. Take that back first.",
    },
    "in a dry fit": {
        "next step": "Rail 1 is trimmed at end B already.",
        "next step, with a reason": "Rail 1 is trimmed at end B already.",
        "last step": "Rail 1 is trimmed at end B already.",
        "this and the next piece together": "Rail 1 is trimmed at end B already.",
        "take back its first fact": "Rail 1: trimmed at end B since. Take that back first.",
    },
    "in a glued frame": {
        "next step": "Rail 1 is trimmed at end B already.",
        "next step, with a reason": "Rail 1 is trimmed at end B already.",
        "last step": "Rail 1 is trimmed at end B already.",
        "this and the next piece together": "Rail 1 is trimmed at end B already.",
        "take back": "Rail 1 is in Frame: take that back first.",
        "take back its first fact": "Rail 1: trimmed at end B since. Take that back first.",
        "spoil": "Rail 1 is in Frame already.",
        "put aside": "Rail 1 is in Frame already.",
        "swap": "Rail 1 is in Frame already.",
    },
    "in a spoiled frame": {
        "last step": "+ Not cut yet",
        "first step": "yes",
        "this and the next piece together": "yes",
        "take back": "There is nothing to take back.",
        "take back its first fact": "Rail 1 was spoiled since: take that back first.",
        "measure": "Rail 1 isn't cut yet.",
        "spoil": "Nothing was done to Rail 1 yet.",
    },
}
ASSEMBLY_USUALLY = {
    "next step": "yes",
    "next step, with a reason": "yes",
    "last step": "+ Not spread with glue yet, and 5 more",
    "first step": "Frame is dry fitted already.",
    "sand over coat 1": "+ Not spread with glue yet, and 3 more",
    "no such step": "This build has no such step.",
    "this and the next piece together": "Tick those one by one.",
    "take back": "yes",
    "take back its first fact": "Frame: spread with glue since. Take that back first.",
    "answer its clock": "That clock isn't running any more.",
    "label": "yes",
    "measure": "Frame is no single piece.",
    "spoil": "yes",
    "put aside": "yes",
    "take up": "Frame isn't set aside.",
    "swap": "Frame can change places only with another piece of the same part and hand.",
    "swap within": "Frame can change places only with another piece of the same part and hand.",
    "note": "yes",
    "check off a line": "Frame is begun already.",
    "check off warmth": "Frame is begun already.",
    "check in a part": "Frame is begun already.",
    "check in a stranger": "Rail 3 isn't for Frame: it goes into Other.",
    "overrule the clamp time": "yes",
    "a check passed": "Not spread with glue yet, and 4 more",
    "a check failed": "Not spread with glue yet, and 4 more",
}
ASSEMBLY: dict[str, dict[str, str]] = {
    "a part is missing": {
        "next step": "+ Rail 2 still to cut",
        "last step": "+ Not dry fitted yet, and 7 more",
        "first step": "+ Rail 2 still to cut",
        "sand over coat 1": "+ Not dry fitted yet, and 5 more",
        "take back": "There is nothing to take back.",
        "take back its first fact": "There is nothing to take back.",
        "spoil": "Nothing was done to Frame yet.",
        "check off a line": "yes",
        "check off warmth": "yes",
        "check in a part": "yes",
        "a check passed": "Not dry fitted yet, and 6 more",
        "a check failed": "Not dry fitted yet, and 6 more",
    },
    "a part is set aside": {
        "next step": "+ Rail 2 set aside",
        "last step": "+ Not dry fitted yet, and 7 more",
        "first step": "+ Rail 2 set aside",
        "sand over coat 1": "+ Not dry fitted yet, and 5 more",
        "take back": "There is nothing to take back.",
        "take back its first fact": "There is nothing to take back.",
        "spoil": "Nothing was done to Frame yet.",
        "check off a line": "yes",
        "check off warmth": "yes",
        "check in a part": "Rail 2 is set aside: take it up first.",
        "a check passed": "Not dry fitted yet, and 6 more",
        "a check failed": "Not dry fitted yet, and 6 more",
    },
    "all parts ready": {
        "last step": "+ Not dry fitted yet, and 6 more",
        "first step": "yes",
        "sand over coat 1": "+ Not dry fitted yet, and 4 more",
        "take back": "There is nothing to take back.",
        "take back its first fact": "There is nothing to take back.",
        "spoil": "Nothing was done to Frame yet.",
        "check off a line": "yes",
        "check off warmth": "yes",
        "check in a part": "yes",
        "a check passed": "Not dry fitted yet, and 5 more",
        "a check failed": "Not dry fitted yet, and 5 more",
    },
    "itself set aside": {
        "next step": "+ Set aside: later",
        "last step": "+ Set aside: later, and 7 more",
        "first step": "+ Set aside: later",
        "sand over coat 1": "+ Set aside: later, and 5 more",
        "take back": "There is nothing to take back.",
        "take back its first fact": "yes",
        "spoil": "Nothing was done to Frame yet.",
        "put aside": "Frame is set aside already.",
        "take up": "yes",
        "check off a line": "yes",
        "check off warmth": "yes",
        "check in a part": "yes",
        "a check passed": "Set aside: later, and 6 more",
        "a check failed": "Set aside: later, and 6 more",
    },
    "dry fitted": {
        "next step": "+ Not checked: parts, clamps, pads, wax paper, glue, warmth, scraper",
        "take back its first fact": "yes",
        "check off a line": "yes",
        "check off warmth": "yes",
        "check in a part": "yes",
    },
    "dry fitted, all checked": {
        "take back its first fact": "yes",
        "check off a line": "That line is done already.",
        "check off warmth": "That line is done already.",
        "check in a part": "yes",
    },
    "dry fitted, the shop warm": {
        "next step": "+ Not checked: parts, clamps, pads, wax paper, glue, warmth, scraper",
        "take back its first fact": "yes",
        "check off a line": "yes",
        "check off warmth": "yes",
        "check in a part": "yes",
    },
    "dry fitted, the shop cold": {
        "next step": "+ The shop is at 6 °C: PVA, cross-linking needs 13 °C; check the label, and 1 more",
        "take back its first fact": "yes",
        "check off a line": "yes",
        "check off warmth": "Glue and wood 13 °C or warmer: the shop is at 6 °C.",
        "check in a part": "yes",
    },
    "checked off": {
        "next step": "+ Not checked: parts, clamps, wax paper, glue, warmth, scraper",
        "take back its first fact": "yes",
        "check off a line": "That line is done already.",
        "check off warmth": "yes",
        "check in a part": "Rail 2 is in already.",
    },
    "glue spread": {
        "last step": "+ Not clamped yet, and 4 more",
        "sand over coat 1": "+ Not clamped yet, and 2 more",
        "answer its clock": "Frame: 5 min of open time left.",
        "a check passed": "Not clamped yet, and 3 more",
        "a check failed": "Not clamped yet, and 3 more",
    },
    "glue spread, open time over": {
        "last step": "+ Not clamped yet, and 4 more",
        "sand over coat 1": "+ Not clamped yet, and 2 more",
        "answer its clock": "yes",
        "a check passed": "Not clamped yet, and 3 more",
        "a check failed": "Not clamped yet, and 3 more",
    },
    "in clamps": {
        "next step": "+ 1 h left in clamps",
        "last step": "+ Not glued yet, and 4 more",
        "sand over coat 1": "+ Not glued yet, and 2 more",
        "answer its clock": "Frame: 1 h left in clamps.",
        "a check passed": "Not glued yet, and 3 more",
        "a check failed": "Not glued yet, and 3 more",
    },
    "in clamps long enough": {
        "last step": "+ Not glued yet, and 3 more",
        "sand over coat 1": "+ Not glued yet, and 1 more",
        "answer its clock": "yes",
        "a check passed": "Not glued yet, and 2 more",
        "a check failed": "Not glued yet, and 2 more",
    },
    "taken off early": {
        "next step": "+ Glue cures for 1 day more",
        "last step": "+ Not given coat 1 yet, and 3 more",
        "sand over coat 1": "+ Not given coat 1 yet, and 1 more",
        "answer its clock": "Frame: glue cures for 1 day more.",
        "a check passed": "Not given coat 1 yet, and 2 more",
        "a check failed": "Not given coat 1 yet, and 2 more",
    },
    "curing": {
        "next step": "+ Glue cures for 1 day more",
        "last step": "+ Not given coat 1 yet, and 3 more",
        "sand over coat 1": "+ Not given coat 1 yet, and 1 more",
        "answer its clock": "Frame: glue cures for 1 day more.",
        "a check passed": "Not given coat 1 yet, and 2 more",
        "a check failed": "Not given coat 1 yet, and 2 more",
    },
    "cured": {
        "last step": "+ Not given coat 1 yet, and 2 more",
        "sand over coat 1": "+ Not given coat 1 yet",
        "answer its clock": "yes",
        "a check passed": "Not given coat 1 yet, and 1 more",
        "a check failed": "Not given coat 1 yet, and 1 more",
    },
    "cured and answered": {
        "last step": "+ Not given coat 1 yet, and 2 more",
        "sand over coat 1": "+ Not given coat 1 yet",
        "a check passed": "Not given coat 1 yet, and 1 more",
        "a check failed": "Not given coat 1 yet, and 1 more",
    },
    "first coat wet": {
        "next step": "+ Coat dries for 1 day more",
        "last step": "+ Not given coat 2 yet, and 2 more",
        "sand over coat 1": "+ Coat dries for 1 day more",
        "answer its clock": "Frame: coat dries for 1 day more.",
        "a check passed": "Not given coat 2 yet, and 1 more",
        "a check failed": "Not given coat 2 yet, and 1 more",
    },
    "first coat dry": {
        "last step": "+ Not given coat 2 yet, and 1 more",
        "sand over coat 1": "yes",
        "answer its clock": "yes",
        "a check passed": "Not given coat 2 yet",
        "a check failed": "Not given coat 2 yet",
    },
    "past the recoat window": {
        "next step": "+ Past its recoat window of 24 h: sand first",
        "last step": "+ Not given coat 2 yet, and 1 more",
        "sand over coat 1": "yes",
        "answer its clock": "yes",
        "a check passed": "Not given coat 2 yet",
        "a check failed": "Not given coat 2 yet",
    },
    "past the window and sanded": {
        "last step": "+ Not given coat 2 yet, and 1 more",
        "sand over coat 1": "Frame is scuffed over coat 1 already.",
        "a check passed": "Not given coat 2 yet",
        "a check failed": "Not given coat 2 yet",
    },
    "last coat wet": {
        "next step": "+ Finish cures for 30 days more, and 1 more",
        "last step": "+ Finish cures for 30 days more, and 1 more",
        "sand over coat 1": "Frame: coat 2 is on already.",
        "answer its clock": "Frame: finish cures for 30 days more.",
        "a check passed": "Finish cures for 30 days more",
        "a check failed": "Finish cures for 30 days more",
    },
    "finish cured": {
        "next step": "+ Not checked yet: stands flat",
        "last step": "+ Not checked yet: stands flat",
        "sand over coat 1": "Frame: coat 2 is on already.",
        "answer its clock": "yes",
        "a check passed": "yes",
        "a check failed": "yes",
    },
    "a check failed": {
        "next step": "Not passed: stands flat (rocks)",
        "next step, with a reason": "Not passed: stands flat (rocks)",
        "last step": "Not passed: stands flat (rocks)",
        "sand over coat 1": "Frame: coat 2 is on already.",
        "answer its clock": "yes",
        "a check passed": "yes",
        "a check failed": "yes",
    },
    "proven": {
        "next step": "Frame is checked already.",
        "next step, with a reason": "Frame is checked already.",
        "last step": "Frame is checked already.",
        "sand over coat 1": "Frame: coat 2 is on already.",
        "a check passed": "Frame is checked already.",
        "a check failed": "Frame is checked already.",
    },
    "spoiled": {
        "next step": "+ 2 rails still to cut",
        "last step": "+ Not dry fitted yet, and 8 more",
        "first step": "+ 2 rails still to cut",
        "sand over coat 1": "+ Not dry fitted yet, and 6 more",
        "take back": "There is nothing to take back.",
        "take back its first fact": "Frame was spoiled since: take that back first.",
        "spoil": "Nothing was done to Frame yet.",
        "check off a line": "yes",
        "check off warmth": "yes",
        "check in a part": "yes",
        "a check passed": "Not dry fitted yet, and 7 more",
        "a check failed": "Not dry fitted yet, and 7 more",
    },
}


CELLS = [
    (kind, state, intent)
    for kind, table in (("piece", PIECE), ("assembly", ASSEMBLY))
    for state in table
    for intent in INTENTS
]


@pytest.mark.parametrize(("kind", "state", "intent"), CELLS)
def test_every_cell_of_the_table(kind: str, state: str, intent: str) -> None:
    piece = kind == "piece"
    expected = ((PIECE if piece else ASSEMBLY)[state]).get(
        intent, (PIECE_USUALLY if piece else ASSEMBLY_USUALLY)[intent]
    )
    bench = bench_in((PIECE_STATES if piece else ASSEMBLY_STATES)[state])
    assert answer(bench, INTENTS[intent](bench, "rail:1" if piece else "frame:1")) == expected


def test_the_table_has_every_state_and_every_intent() -> None:
    assert set(PIECE) == set(PIECE_STATES)
    assert set(ASSEMBLY) == set(ASSEMBLY_STATES)
    assert set(PIECE_USUALLY) == set(ASSEMBLY_USUALLY) == set(INTENTS)
    assert len(CELLS) == (len(PIECE_STATES) + len(ASSEMBLY_STATES)) * len(INTENTS) > 900


def test_what_is_allowed_can_be_done_and_what_is_refused_writes_nothing() -> None:
    for kind, state, intent in CELLS:
        piece = kind == "piece"
        bench = bench_in((PIECE_STATES if piece else ASSEMBLY_STATES)[state])
        asked = INTENTS[intent](bench, "rail:1" if piece else "frame:1")
        allowed, before = answer(bench, asked) == "yes", len(bench.replay)
        bench.do(asked)
        assert (len(bench.replay) > before) == allowed, f"{kind}, {state}: {intent}"
