"""`say` without a catalogue and with one, and the places where a catalogue is looked for."""

from __future__ import annotations

from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from tracker import words
from tracker.words import catalogue, say, say_as, say_many


def test_english_needs_no_catalogue() -> None:
    assert say("Trim end {end}", end="A") == "Trim end A"
    assert say("{percent:.1f} % moisture", percent=8.25) == "8.2 % moisture"
    assert say("{name} is cut") == "{name} is cut", "without fields nothing is filled in"
    assert [say_many("{count} board", "{count} boards", count) for count in (0, 1, 2)] == [
        "0 boards",
        "1 board",
        "2 boards",
    ]
    assert say_as("of a saw", "tilt") == "tilt"


@pytest.fixture
def polish(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A language with three forms (gettext's manual, "Plural forms": Polish), in the place where one is looked for."""
    catalog = Catalog(locale="pl", charset="utf-8", fuzzy=False)
    catalog.add("Trim end {end}", "Przytnij koniec {end}")
    catalog.add(("{count} board", "{count} boards"), ("{count} deska", "{count} deski", "{count} desek"))
    catalog.add("tilt", "pochylenie", context="of a saw")
    catalog.add("Coat {number}", "Warstwa {nubmer}")
    path = tmp_path / "pl" / "LC_MESSAGES" / "kerfcard.mo"
    path.parent.mkdir(parents=True)
    with path.open("wb") as file:
        write_mo(file, catalog)
    monkeypatch.setattr(catalogue, "LOCALE", tmp_path)
    for name in catalogue.ASKED:
        monkeypatch.delenv(name, raising=False)
    return path


def test_a_catalogue_says_it_in_its_language(polish: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LANG", "pl_PL.UTF-8")
    monkeypatch.setattr(words, "_CATALOGUE", catalogue.chosen())
    assert say("Trim end {end}", end="A") == "Przytnij koniec A"
    said = [say_many("{count} board", "{count} boards", count) for count in (1, 3, 5, 22, 25)]
    assert said == ["1 deska", "3 deski", "5 desek", "22 deski", "25 desek"]
    assert say_as("of a saw", "tilt") == "pochylenie"
    assert say("tilt") == "tilt", "the same word in another sense has its own translation"
    assert say("Sand to {grit}", grit=120) == "Sand to 120", "what isn't translated stays English"
    assert say("Coat {number}", number=2) == "Coat 2", "a slip in a translation is no reason for no card"
    assert say("") == "", "not the catalogue's own heading"


@pytest.mark.parametrize(
    ("environment", "found"),
    [
        ({}, False),
        ({"LANG": "C.UTF-8"}, False),
        ({"LANG": "pl_PL.UTF-8"}, True),
        ({"LANG": "pl"}, True),
        ({"LANG": "sv_SE.UTF-8"}, False),
        ({"LANG": "pl_PL.UTF-8", "LC_ALL": "en_GB.UTF-8"}, False),
        ({"LANG": "en_US.UTF-8", "LANGUAGE": "sv:pl:en"}, True),
        ({"LANG": "en_US.UTF-8", "LANGUAGE": "sv:en:pl"}, False),
        ({"LANG": "en_US.UTF-8", "KERFCARD_LANGUAGE": "pl"}, True),
        ({"KERFCARD_LANGUAGE": "../pl"}, False),
    ],
)
def test_the_language_is_looked_for_as_gettext_does(
    polish: Path, monkeypatch: pytest.MonkeyPatch, environment: dict[str, str], found: bool
) -> None:
    """Order and forms of the names: GNU gettext's manual, "Locale Environment Variables", "The LANGUAGE variable"."""
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert (catalogue.chosen() is not None) == found


def test_a_translator_may_name_a_file(polish: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("KERFCARD_LANGUAGE", str(polish))
    assert catalogue.chosen() is not None
    broken = tmp_path / "broken.mo"
    broken.write_bytes(b"no catalogue")
    for bad in (broken, tmp_path / "none.mo"):
        monkeypatch.setenv("KERFCARD_LANGUAGE", str(bad))
        assert catalogue.chosen() is None, "it is said in English"
