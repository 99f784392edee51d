"""Every key that the standard library's TOML parser yields has a line number, and it is the right one.

The reference for the paths is tomllib; for the lines, a writer of TOML that counts the lines it writes.
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass, field
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.design.toml.positions import Path, Scan, TooDeepError


def paths(value: Any, at: Path = ()) -> set[Path]:
    """Every path in a document read by tomllib."""
    inside: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        inside = list(value.items())
    elif isinstance(value, list):
        inside = list(enumerate(value))
    return {at}.union(*(paths(each, (*at, key)) for key, each in inside))


@dataclass
class Writer:
    """Writes TOML in every style it knows, and remembers the line of each key."""

    choose: st.DataObject
    lines: dict[Path, int] = field(default_factory=dict)
    text: str = ""

    @property
    def line(self) -> int:
        return self.text.count("\n") + 1

    def pick(self, *options: str) -> str:
        return str(self.choose.draw(st.sampled_from(options)))

    def key(self, name: str) -> None:
        bare = bool(name) and all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in name)
        self.text += name if bare and self.pick("bare", "quoted") == "bare" else json.dumps(name)

    def value(self, value: Any, at: Path, inline: bool = False) -> None:
        if isinstance(value, dict):
            self.text += "{"
            for count, (key, each) in enumerate(value.items()):
                self.text += ", " if count else " "
                self.pair(key, each, at, inline=True)
            self.text += " }"
        elif isinstance(value, list):
            self.text += "["
            for index, each in enumerate(value):
                self.text += "" if inline else self.pick("", "\n", " # [\n\n", "\n  ")
                self.lines[(*at, index)] = self.line
                self.value(each, (*at, index), inline)
                self.text += "," if inline else self.pick(",", " ,", ", # a ] remark\n")
            self.text += "]"
        elif isinstance(value, str):
            self.string(value, inline)
        else:
            self.text += json.dumps(value)

    def string(self, value: str, inline: bool) -> None:
        style = self.pick('"', '"""', "'", "'''")
        if style == "'" and value.isprintable() and "'" not in value:
            self.text += f"'{value}'"
        elif style == "'''" and not inline and value.replace("\n", "").isprintable() and "'" not in value:
            self.text += f"'''\n{value}'''"
        elif style == '"""' and not inline:
            self.text += f'"""\n{json.dumps(value)[1:-1]}\\\n  "\n"""'
        else:
            self.text += json.dumps(value)

    def pair(self, key: str, value: Any, at: Path, inline: bool = False) -> None:
        self.lines[(*at, key)] = self.line
        self.key(key)
        self.text += self.pick(" = ", "=", "  =\t")
        self.value(value, (*at, key), inline)

    def document(self, plain: dict[str, Any], tables: dict[str, Any], lists: dict[str, list[Any]]) -> None:
        for key, value in plain.items():
            self.text += self.pick("", "\n", "# a remark = 1\n", "  ")
            self.pair(key, value, ())
            self.text += self.pick("\n", " # x = [\n", "\n\n")
        for name, table in tables.items():
            self.header(name, table, (name,), "[", "]")
        for name, rows in lists.items():
            for index, row in enumerate(rows):
                self.lines.setdefault((name,), self.line + 1)
                self.header(name, row, (name, index), "[[", "]]")

    def header(self, name: str, table: dict[str, Any], at: Path, opening: str, closing: str) -> None:
        self.text += "\n"
        self.lines[at] = self.line
        self.text += opening
        self.key(name)
        self.text += closing + self.pick("\n", " # remark\n")
        for key, value in table.items():
            self.pair(key, value, at)
            self.text += "\n"


NAMES = st.text(st.sampled_from("abcXYZ012_- .é\"'#=["), min_size=1, max_size=6)
WORDS = st.text(st.sampled_from("ab \n\"'\\#[]{},=é½"), max_size=12)
VALUES: st.SearchStrategy[Any] = st.recursive(
    st.one_of(st.integers(-999, 999), st.booleans(), WORDS, st.just(0.5)),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(NAMES, inner, max_size=3)),
    max_leaves=8,
)
TABLES = st.dictionaries(NAMES, VALUES, max_size=4)


@given(
    st.data(), TABLES, st.dictionaries(NAMES, TABLES, max_size=2), st.dictionaries(NAMES, st.lists(TABLES, max_size=3))
)
def test_every_key_has_the_line_it_was_written_on(
    data: st.DataObject, plain: dict[str, Any], tables: dict[str, Any], lists: dict[str, list[Any]]
) -> None:
    taken = plain.keys() | tables.keys()
    writer = Writer(data)
    writer.document(
        plain,
        {name: table for name, table in tables.items() if name not in plain},
        {name: rows for name, rows in lists.items() if name not in taken},
    )
    document = tomllib.loads(writer.text)
    found = Scan(writer.text).lines
    assert paths(document) - {()} == found.keys()
    assert found == writer.lines


def test_dotted_keys_and_nested_tables_have_lines() -> None:
    text = (
        'a.b.c = 1\na.b.d = 2\n[[parts]]\nid = "x"\n[parts.end_b]\nmiter = 3\n[[parts.holes]]\nend = "A"\n[[parts]]\n'
    )
    lines = Scan(text).lines
    assert paths(tomllib.loads(text)) - {()} == lines.keys()
    assert lines["a", "b"] == 1
    assert lines["a", "b", "d"] == 2
    assert lines["parts", 0, "end_b", "miter"] == 6
    assert lines["parts", 0, "holes", 0, "end"] == 8
    assert lines["parts", 1] == 9


@pytest.mark.parametrize("text", ["a = " + "[" * 40, "a = " + "{a=" * 40, ".".join("a" * 40) + " = 1"])
def test_nesting_is_bounded(text: str) -> None:
    with pytest.raises(TooDeepError):
        Scan(text)


@given(st.text(st.sampled_from("a=\"'[]{},.#\n\\ 1")))
def test_text_that_is_no_toml_ends_the_walk_quietly(text: str) -> None:
    try:
        Scan(text)
    except TooDeepError:
        assert len(text) > 20
