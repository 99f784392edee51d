"""The answers to every intent in every state of a piece: the usual answer, then the exceptions by state.

A rail that is cut and trimmed at both ends, and goes into a frame.
"""

from __future__ import annotations

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
    "answer its clock": "That timer isn't running any more.",
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
