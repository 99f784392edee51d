"""The template of translations holds all words, and each call gives the fields that its words name."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from kit.catalogue import POT, Said, all_said, fields_of, pot


def test_the_template_is_up_to_date() -> None:
    assert POT.read_text(encoding="utf-8") == pot(), "run .ci/words"


def test_words_are_literals_or_come_from_a_table() -> None:
    """A sentence is never put together from parts: translators see whole sentences with named fields."""
    made = (ast.JoinedStr, ast.BinOp, ast.IfExp)
    wrong = [said.where for said in all_said() if any(isinstance(word, made) for word in said.call.args[:2])]
    assert not wrong, wrong


def test_every_call_gives_the_fields_of_its_words() -> None:
    wrong = [f"{said.where}: {problem}" for said in all_said() for problem in _fields_amiss(said)]
    assert not wrong, "\n".join(wrong)


def _fields_amiss(said: Said) -> Iterator[str]:
    if not said.literal:
        return
    words = said.words[1:] if said.function == "say_as" else said.words
    if said.function == "say_many":
        named = [fields_of(word) - {"count"} for word in words]
        if named[0] | named[1] != said.given:
            yield f"{words[1]!r} is given {sorted(said.given)}"
    elif said.given and fields_of(words[0]) != said.given:
        yield f"{words[0]!r} is given {sorted(said.given)}"


def test_no_words_hold_a_piece_of_the_program() -> None:
    """`cansay('t get back in`: an apostrophe had ended the words in the middle of a button."""
    assert not [line for line in pot().splitlines() if line.startswith("msgid") and "say(" in line]
