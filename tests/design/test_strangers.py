"""Loading any file returns values within a short time, never an exception."""

from __future__ import annotations

import random
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.design import Loaded, load_build
from tracker.design.toml.table import MOST_NOTES, MOST_PROBLEMS

SAMPLES = [path.read_text("utf-8") for path in sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))]
PIECES = sorted({word for text in SAMPLES for line in text.splitlines() for word in (line, *line.split())})
HEAD = '[build]\nname = "x"\nunits = "in"\n'
LONGEST = 10.0
"""Seconds of processor time: a guard against hours, far above the second that the worst file takes."""


def load(source: str | bytes) -> Loaded:
    started = time.process_time()
    loaded = load_build(source)
    assert time.process_time() - started < LONGEST
    assert (loaded.build is None) == any(each.kind == "problem" for each in loaded.problems)
    assert len(loaded.problems) <= MOST_PROBLEMS + MOST_NOTES + 20
    assert all(each.what and "\n" not in each.at("f") and each.line >= 0 for each in loaded.problems)
    return loaded


@given(st.one_of(st.text(max_size=300), st.binary(max_size=300)))
def test_any_text_and_any_bytes(source: str | bytes) -> None:
    assert load(source).build is None


@given(st.lists(st.sampled_from(PIECES), max_size=40), st.sampled_from([" ", "\n", ""]))
def test_pieces_of_good_files_in_any_order(pieces: list[str], between: str) -> None:
    load(between.join(pieces))


@settings(max_examples=150)
@given(st.sampled_from(SAMPLES), st.randoms(use_true_random=False))
def test_good_files_with_slips_of_the_hand(text: str, chance: random.Random) -> None:
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(text) + 1)
        until = at + chance.choice([0, 0, 1, 1, 2, 30, 400])
        text = (
            text[:at]
            + chance.choice(["", "", '"', "[", "]", "{", "}", "=", "-", "9", ",", "\n", "0x", "é", "\0", "."])
            + text[until:]
        )
    load(text)


@settings(max_examples=150)
@given(st.sampled_from(SAMPLES), st.randoms(use_true_random=False))
def test_good_files_with_a_line_lost_doubled_or_moved(text: str, chance: random.Random) -> None:
    lines = text.splitlines()
    line = lines.pop(chance.randrange(len(lines)))
    for _ in range(chance.randint(0, 2)):
        lines.insert(chance.randrange(len(lines)), line)
    load("\n".join(lines))


@settings(max_examples=200)
@given(st.sampled_from(SAMPLES), st.data())
def test_good_files_with_another_value(text: str, data: st.DataObject) -> None:
    """Every key is tried with every kind of value."""
    lines = text.splitlines()
    at = data.draw(st.sampled_from([index for index, line in enumerate(lines) if " = " in line]))
    value = data.draw(st.sampled_from(
        ["true", "-1", "0", "1e400", "1e-400", "nan", "inf", "-0.0", "9" * 40, "0x" + "f" * 60, '""', '" "', '"="',
         '"= 1/0"', '"= -5"', '"= 10 ** 12"', "[]", "[[]]", "[[[1]]]", "{}", "{ a = 1 }", "[{}]",
         '["", 1, true, {}]', "1979-05-27",
         "07:32:00", '"' + "x" * 3000 + '"', "'''\n\n'''", '"\\u0007"', '"½"', '"0 mm"', '"1:0"', '"0 min"', '"= pi"']
    ))  # fmt: skip
    lines[at] = f"{lines[at].split(' = ')[0]} = {value}"
    load("\n".join(lines))


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("a" * 260_000, "larger than 256 kB"),
        ("a = 1\n# " + "x" * 5_000, "longer than 4000"),
        (".".join("a" * 1_900) + " = 1\n", "more than 8 dots"),
        ("x = { " + ".".join("a" * 900) + " = 1 }", "more than 8 dots"),
        ("a = " + "[" * 3_000, "nested too deep"),
        ("a = " + "[\n" * 100_000, "nested too deep"),
        ("a = " + "{ a = " * 600, "nested too deep"),
        (HEAD + "x = 0x" + "f" * 3_900, "not known"),
        ('[build]\nname = "x"\nunits = 1e999999999999999999', "can't be"),
        (HEAD + "[shop]\nkerf = 1e999999999", "too large"),
        (HEAD + "[shop]\nkerf = 1e-999999999", "too large"),
        (HEAD + "[shop]\nkerf = " + "9" * 3_900, "too large"),
        (HEAD + "x = 1 2\n" * 20_000, "rest was not read"),
        (HEAD + "".join(f"k{i} = 1\n" for i in range(18_000)), "not known"),
        (HEAD + "[[parts]]\n" * 24_000, "more than 500 parts"),
        (HEAD + "[[assemblies]]\n" * 16_000, "more than 200 assemblies"),
        (HEAD + "[sizes]\n" + "".join(f'a{i} = "= a{i}"\n' for i in range(12_000)), "more than 200 sizes"),
        (HEAD + "[sizes]\n" + "".join(f'a{i} = "= a{(i + 1) % 200}"\n' for i in range(200)), "circle"),
        (HEAD + "".join(f"[woods.a{i}]\n" for i in range(15_000)), "species"),
        (HEAD + '[[parts]]\nid = "a"\nroute = [' + '"drilx",\n' * 25_000 + "]", "more than 500"),
        (HEAD + '[[parts]]\nid = "a"\nholes = [' + "{},\n" * 50_000 + "]", "more than 60"),
        ('a = """' + "x = 1\n" * 40_000, "quote mark"),
        ("a = '''" + "x = 1\n" * 40_000, "quote mark"),
        ("[a.b.c.d.e.f]\n[[a.b.c.d.e.g]]\n" * 7_000, "already given"),
        ('[build]\nname = "\\u0000"\nunits = "in"', "can't be in"),
        ('[build]\nname = "\\U00000000"\nunits = "in"', "can't be in"),
        ("\ud800 = 1", "can't read"),
        (b"\xff\xfe[\x00b\x00", "UTF-8"),
        (b'[build]\nname = "caf\xe9"', "UTF-8"),
        (b"\0\0\0\0", "can't read"),
    ],
    ids=range(30),
)  # fmt: skip
def test_hostile_files_are_refused_in_a_sentence(source: str | bytes, words: str) -> None:
    loaded = load(source)
    assert loaded.build is None
    assert any(words in each.at("f") for each in loaded.problems), [each.at("f") for each in loaded.problems[:9]]


def test_notes_never_crowd_out_a_problem() -> None:
    parts = "".join(f'[[parts]]\nid = "p{i}"\nwood = "w"\nlength = 1\n' for i in range(300))
    wood = '[woods.w]\nspecies = "pear"\nsection = "1x4"\nlengths = [96]\n'
    joined = '[[assemblies]]\nid = "a"\njoins = { p1 = 1 }\nby = "dry"\n'
    assert load(HEAD + wood + parts + joined).build is not None
    assert load(HEAD + wood + parts + joined + "[[hardware]]\n").build is None
