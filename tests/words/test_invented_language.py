"""The tour in an invented language: whatever is in view and isn't translated is a name, a number, a unit or a mistake.

It passes through every screen only if no id is translated: scans, settings, records and build files work all the same.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from kit.catalogue import ROOT, write_invented

from tracker.design.tables.finishes import FINISHES
from tracker.design.tables.glues import GLUES

NAMED = frozenset(
    {"name", "species", "section", "kind", "glue", "notes", "note", "checks", "prove", "do", "tool", "jig"}
)
"""Keys of a build file whose words are the maker's own, or a name of a table; screens show them as they are."""
NAMES = frozenset(
    {
        "Kerfcard", "kerfcard", "Stool for the workshop",  # the tour's own build
        "Tillerman", "Saw", "Bench", "Finishing", "Drill",  # its shop and the tablets in it
        "AK", "tray.toml", "shelf.toml", "shelf_long.toml", "~/kerfcard/builds", "~/kerfcard/labels",
        "~/kerfcard/pictures", "~/kerfcard/templates", "seat-edge", "oak", "walnut", "quantitty", "quantity",
    }
)  # fmt: skip
UNITS = frozenset({"mm", "in", "min", "kg", "lb", "ft"})
KEPT = ("splayed leg 425 mm high", "splayed leg 460 mm high")
"""What a piece was made to, as the record has it: the record is the same in every language."""


def names() -> list[str]:
    """All names that the tour may show, the longest first."""
    found = set(NAMES) | {each.name for each in (*GLUES, *FINISHES)} | set(KEPT)
    texts = [path.read_text(encoding="utf-8") for path in (ROOT / "sample_projects").glob("*.toml")]
    for module in ("shell", "wood"):
        source = (ROOT / "tracker" / "tour" / f"{module}.py").read_text(encoding="utf-8")
        texts += [text for text in re.findall(r'"""(.*?)"""', source, re.DOTALL) if "[build]" in text]
    for text in texts:
        found |= set(_named(tomllib.loads(text), ""))
    return sorted(found, key=len, reverse=True)


def _named(value: Any, key: str) -> Iterator[str]:
    if isinstance(value, dict):
        for each, inner in value.items():
            yield from _named(inner, each)
    elif isinstance(value, list):
        for inner in value:
            yield from _named(inner, key)
    elif isinstance(value, str) and key in NAMED:
        yield value


def english_left(text: str, known: list[str]) -> list[str]:
    """The words of a text that are neither said nor a name: with two plain letters or more."""
    text = text.replace("\N{NO-BREAK SPACE}", " ")
    for name in known:
        text = re.sub(rf"(?<![A-Za-z]){re.escape(name)}(?![A-Za-z])", " ", text, flags=re.IGNORECASE)
    return [word for word in re.findall(r"[A-Za-z]{2,}", text) if word not in UNITS]


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """All that was in view at each stop of the tour, in the invented language."""
    folder = tmp_path_factory.mktemp("language")
    write_invented(folder / "invented.mo")
    environment = os.environ | {
        "KERFCARD_LANGUAGE": str(folder / "invented.mo"),
        "PYTHONPATH": os.pathsep.join((str(ROOT), str(ROOT / "tests"))),
    }
    command = [sys.executable, "-m", "kit.said_on_tour", str(folder / "seen.json")]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False, cwd=folder)
    assert done.returncode == 0, done.stderr[-3000:]
    found: dict[str, list[str]] = json.loads((folder / "seen.json").read_text(encoding="utf-8"))
    return found


def test_the_tour_passes_and_says_everything_in_the_invented_language(seen: dict[str, list[str]]) -> None:
    known = names()
    assert len(seen) > 90, "every screen"
    assert sum("«" in text for texts in seen.values() for text in texts) > 1000
    first = {text: stop for stop, texts in reversed(seen.items()) for text in texts}
    wrong = [f"{stop}: {text!r}: {left}" for text, stop in first.items() if (left := english_left(text, known))]
    assert not wrong, "\n".join(wrong)


def test_it_would_notice_an_untranslated_word() -> None:
    assert english_left("«Ćúţ óƒƒ Leg 2» 24 mm", ["Leg"]) == []
    assert english_left("Cut off Leg 2", ["Leg"]) == ["Cut", "off"]
    assert english_left("«Ɓĺáďé left»", []) == ["left"]
