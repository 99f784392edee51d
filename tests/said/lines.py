"""Any value of the program as lines of text: readable words and numbers, and a hash for the numbers of a drawing."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from typing import Any

import msgspec

from tracker.cards.boards.bar import BoardBar
from tracker.cards.piece.drawing import Drawing
from tracker.cards.piece.feature_view import FeatureView
from tracker.cards.piece.saw_view import SawView
from tracker.cards.template.outline_card import OutlineDrawing
from tracker.cards.template.page import Page
from tracker.measure import Length, Reading

DRAWN = (Drawing, SawView, FeatureView, BoardBar, OutlineDrawing, Page)
"""The types that consist mostly of the numbers of a picture."""


def plain(value: Any) -> Any:
    """A value as in JSON, without empty fields, floats rounded to 1/1000."""
    if isinstance(value, bool | str | int) or value is None:
        return value
    if isinstance(value, float):
        return round(value, 3) + 0.0
    if isinstance(value, tuple | list):
        return [plain(each) for each in value]
    if isinstance(value, Fraction):
        return str(value)
    if isinstance(value, Reading):
        return value.plain
    if isinstance(value, Length):
        return f"{float(value):.3f} mm"
    if isinstance(value, msgspec.Struct):
        named = ((name, getattr(value, name)) for name in value.__struct_fields__)
        return {name: plain(each) for name, each in named if each not in ("", (), None, False)}
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items() if each not in ("", [], (), None)}
    if isinstance(value, set | frozenset):
        return sorted((plain(each) for each in value), key=str)
    return [plain(each) for each in value] if isinstance(value, Iterable) else str(value)


def stamp(value: Any) -> str:
    text = value if isinstance(value, str) else json.dumps(plain(value), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def lines_of(value: Any, name: str = "") -> Iterator[str]:
    """A card as lines, `name.of.field: text`."""
    if isinstance(value, DRAWN):
        yield f"{name}: drawn {stamp(value)}"
    elif isinstance(value, msgspec.Struct) and not isinstance(value, Reading | Length):
        for field in value.__struct_fields__:
            if (inner := getattr(value, field)) not in ("", (), None, False):
                yield from lines_of(inner, f"{name}.{field}" if name else field)
    elif isinstance(value, tuple | list) and any(isinstance(each, msgspec.Struct) for each in value):
        for number, each in enumerate(value, 1):
            yield from lines_of(each, f"{name} {number}")
    else:
        shown = plain(value)
        yield f"{name}: {shown if isinstance(shown, str) else json.dumps(shown, ensure_ascii=False)}"


def properties_of(value: Any, name: str = "") -> Iterator[str]:
    """What the values inside a card compute about themselves: the properties that screens read, `name.of.property`."""
    if isinstance(value, tuple | list):
        for number, each in enumerate(value, 1):
            yield from properties_of(each, f"{name} {number}")
    elif isinstance(value, msgspec.Struct) and not isinstance(value, (Reading, Length, *DRAWN)):
        for known, found in sorted(vars(type(value)).items()):
            if isinstance(found, property) and not known.startswith("_"):
                shown = plain(getattr(value, known))
                yield f"{name}.{known}: {shown if isinstance(shown, str) else json.dumps(shown, ensure_ascii=False)}"
        for field in value.__struct_fields__:
            yield from properties_of(getattr(value, field), f"{name}.{field}" if name else field)
