"""Build files with one mistake that somebody might make: a value, a key or a line."""

from __future__ import annotations

import random
import re

NUMBER = re.compile(r'"?\d+(?: \d+/\d+|/\d+|\.\d+)?(?: (?:mm|cm|ft|h|min|days|deg|m|kg|lb))?"?')
VALUES = (
    "0", "-1", "1", "2", "3", "64", "65", "90", "89", "180", "1000", "1e6", "0.001", "true", "[]", "{}", '""', '"x"',
    '"1/64"', '"= 5"', '"= 1/0"', '"12 mm"', '"3 ft"', '"45 deg"', '"1:8"', '"5 min"', '"30 days"', '"near"', '"A"',
    '"both"',
)  # fmt: skip


def spoilt(text: bytes, chance: random.Random) -> bytes:
    """The file with one change in a line that sets something."""
    lines = text.decode().split("\n")
    at = chance.choice([number for number, line in enumerate(lines) if " = " in line and not line.startswith("#")])
    line = lines[at]
    kind = chance.choice(("value", "number", "number", "key", "gone", "twice", "word"))
    if kind == "value":
        lines[at] = f"{line.partition(' = ')[0]} = {chance.choice(VALUES)}"
    elif kind == "number":
        found = list(NUMBER.finditer(line))
        if found:
            number = chance.choice(found)
            lines[at] = f"{line[: number.start()]}{chance.choice(VALUES)}{line[number.end() :]}"
    elif kind == "key":
        keys = list(re.finditer(r"[a-z_]+ =", line))
        if keys:
            key = chance.choice(keys)
            lines[at] = f"{line[: key.start()]}{line[key.start() + 1 :]}"
    elif kind == "word":
        words = list(re.finditer(r'"[a-z][a-z ]+"', line))
        if words:
            word = chance.choice(words)
            lines[at] = f"{line[: word.end() - 2]}{line[word.end() - 1 :]}"
    else:
        lines[at : at + 1] = [] if kind == "gone" else [line, line]
    return "\n".join(lines).encode()
