"""The whole log as one file: taken over, refused if it was changed, and used to fill gaps."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from store.tablet import SAMPLE, Clock, opened, tap

from tracker.shop import Shop
from tracker.store.errors import CannotWriteError


@pytest.fixture
def exported(tmp_path: Path) -> Path:
    shop = opened(tmp_path / "one")
    for _ in range(4):
        tap(shop)
    shop.export_to(tmp_path / "log.jsonl")
    shop.close()
    return tmp_path / "log.jsonl"


def test_an_exported_log_is_taken_in_whole_and_twice_is_harmless(tmp_path: Path, exported: Path) -> None:
    shop = Shop(tmp_path / "two", Clock())
    taken = shop.import_from(exported)
    assert (len(taken.new), taken.problems) == (5, ())
    assert shop.import_from(exported).new == ()
    shop.export_to(tmp_path / "again.jsonl")
    assert (tmp_path / "again.jsonl").read_text() == exported.read_text()
    shop.close()


def lines_of(path: Path) -> list[str]:
    return path.read_text("utf-8").splitlines(keepends=True)


def changed(line: str, at: int, value: object) -> str:
    row = json.loads(line)
    row[at] = value
    return json.dumps(row) + "\n"


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda lines: lines[:2] + lines[3:], "is missing"),
        (lambda lines: lines[:-1], "isn't whole"),
        (lambda lines: [*lines[:-1], lines[-1][:-20]], "isn't whole"),
        (lambda lines: [*lines, lines[-1]], "is missing"),
        (lambda lines: [*lines[:2], changed(lines[2], 5, "{}"), *lines[3:]], "was changed"),
        (lambda lines: [*lines[:2], changed(lines[2], 1, True), *lines[3:]], "no entry"),
        (lambda lines: [*lines[:2], changed(lines[2], 0, "../../x"), *lines[3:]], "no entry"),
        (lambda lines: [*lines[:2], "[" * 100_000 + "\n"], "no entry"),
        (lambda lines: [*lines[:2], '"' + "x" * 2_000_000 + '"\n'], "no entry"),
        (lambda lines: ["[]\n"], "no record"),
        (lambda lines: ["\x00\n"], "no record"),
        (lambda lines: [], "no record"),
        (lambda lines: [lines[0].replace('"version": 1', '"version": 2')], "later version"),
        (lambda lines: [lines[0].replace('"entries": 5', '"entries": NaN'), *lines[1:]], "no record"),
    ],
)  # fmt: skip
def test_a_file_that_was_changed_cut_or_made_up_is_refused_in_words(
    tmp_path: Path, exported: Path, spoil: object, words: str
) -> None:
    exported.write_text("".join(spoil(lines_of(exported))), "utf-8")  # type: ignore[operator]
    shop = Shop(tmp_path / "two", Clock())
    taken = shop.import_from(exported)
    assert taken.new == ()
    assert shop.entries() == ()
    assert words in taken.problems[0].what
    shop.close()


def test_facts_that_a_damage_took_come_back_from_a_file_that_has_them(tmp_path: Path, exported: Path) -> None:
    path = tmp_path / "one" / "kerfcard.db"
    data = path.read_bytes()
    at = data.rindex(b'"step"', 0, data.rindex(b'"step"'))  # not the last fact: a page is filled from its end
    path.write_bytes(data[:at] + b'"stop"' + data[at + 6 :])
    shop = Shop(tmp_path / "one", Clock())
    assert "and 1 lost" in shop.notice
    assert tap(shop) == ""
    name, before = shop.tablet, shop.entries()
    taken = shop.import_from(exported)
    assert (len(taken.new), taken.problems) == (1, ())
    assert shop.tablet == name
    assert len(shop.entries()) == len(before)  # the lost entries are where the gap was
    assert tap(shop) == ""
    kept = shop.entries()
    assert shop.import_from(exported).new == ()
    shop.close()
    shop = Shop(tmp_path / "one", Clock())
    assert (shop.notice, shop.entries()) == ("", kept)
    assert not [entry for entry in kept if getattr(entry.fact, "kind", "") == "lost"]
    shop.close()


def test_two_histories_under_one_name_are_not_mixed(tmp_path: Path) -> None:
    clock = Clock()
    for place in ("one", "two"):
        shop = Shop(tmp_path / place, clock)
        shop.tablet = "same"
        shop.open(SAMPLE)
        clock.wait(1)
        tap(shop)
        shop.export_to(tmp_path / f"{place}.jsonl")
        shop.close()
    shop = Shop(tmp_path / "three", clock)
    assert shop.import_from(tmp_path / "one.jsonl").problems == ()
    taken = shop.import_from(tmp_path / "two.jsonl")
    assert "two tablets had one name" in taken.problems[0].what
    assert shop.import_from(tmp_path / "none.jsonl").problems[0].line == 0
    shop.close()


def test_an_export_that_does_not_fit_leaves_no_half_file(tmp_path: Path) -> None:
    shop = opened(tmp_path / "one")
    with pytest.raises(CannotWriteError):
        shop.export_to(tmp_path / "no folder" / "log.jsonl")
    shop.close()


def test_the_state_is_held_to_what_the_log_says(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    tap(shop)
    assert shop.refold()
    state = shop.state
    shop._replay = type(shop._replay)(shop.entries()[:1])
    assert not shop.refold()
    assert shop.state == state
    shop.close()
