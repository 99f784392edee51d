"""Where each key of a build file ends up: small files that have every key between them, and one with the fewest.

What `read/NAME.json` holds was compared with `NAME.toml` by eye; prices, milled sizes and tables were worked by hand.
Lengths are in millimetres. What is empty, zero or false is left out: a default that isn't would show.
"""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from msgspec import Struct

from tracker.design import load_build
from tracker.measure import Length, Span

FILES = Path(__file__).with_name("read")


def plain(value: Any) -> Any:
    match value:
        case Length() | Fraction():
            return float(value)
        case Decimal():
            return str(value)
        case Span():
            return f"{value.seconds} s"
        case Struct():
            found = {
                name: plain(getattr(value, name)) for name in value.__struct_fields__ if name not in ("line", "lines")
            }
            return {name: each for name, each in found.items() if each not in ([], {}, "", None, False)}
        case tuple() | list():
            return [plain(each) for each in value]
        case frozenset():
            return sorted(value)
    return value


@pytest.mark.parametrize("name", sorted(file.stem for file in FILES.glob("*.toml")))
def test_each_key_is_read_into_its_place(name: str) -> None:
    loaded = load_build((FILES / f"{name}.toml").read_bytes())
    assert loaded.build is not None, loaded.problems
    found, kept = plain(loaded.build), json.loads((FILES / f"{name}.json").read_text("utf-8"))
    for key in found | kept:
        assert found.get(key) == kept.get(key), key
