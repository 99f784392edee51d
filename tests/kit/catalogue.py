"""Generates the catalogue's template from the source, and an invented language from the template.

python -m tests.kit.catalogue          writes tracker/words/kerfcard.pot
"""

from __future__ import annotations

import ast
import io
import re
from collections.abc import Iterator
from pathlib import Path
from string import Formatter

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import write_po

ROOT = Path(__file__).resolve().parents[2]
MECHANISM = (ROOT / "tracker/words/__init__.py", ROOT / "tracker/words/catalogue.py")
"""The modules that define `say`: their own calls aren't words."""
POT = ROOT / "tracker" / "words" / "kerfcard.pot"
LITERALS = {"say": 1, "say_many": 2, "say_as": 2, "english": 1}
"""How many of a call's arguments are words."""
_IN_KV = re.compile(r"\b(?:say|say_many|say_as|english)\(")


class Said:
    """One call of `say` or its variants: where, which function, with which words and fields."""

    def __init__(self, path: Path, line: int, call: ast.Call) -> None:
        self.path, self.line = path, line
        self.function = call.func.id if isinstance(call.func, ast.Name) else ""
        self.call = call
        first = call.args[: LITERALS[self.function]]
        constants = (each.value for each in first if isinstance(each, ast.Constant))
        self.words = tuple(each for each in constants if isinstance(each, str))
        self.given = {each.arg for each in call.keywords if each.arg}
        self.literal = len(self.words) == LITERALS[self.function]

    @property
    def where(self) -> str:
        """`tracker/cards/history.py:50`."""
        return f"{self.path.relative_to(ROOT).as_posix()}:{self.line}"


def fields_of(words: str) -> set[str]:
    """The fields of a template, including those inside a field's format."""
    found = set()
    for _, name, form, _ in Formatter().parse(words):
        if name:
            found.add(name)
        if form:
            found |= fields_of(form)
    return found


def python_files() -> list[Path]:
    """Every module that may call `say`."""
    return sorted(path for path in (ROOT / "tracker").rglob("*.py") if path not in MECHANISM)


def kv_files() -> list[Path]:
    """Every layout."""
    return sorted((ROOT / "kv").glob("*.kv"))


def said_in_python(path: Path) -> Iterator[Said]:
    """The calls of a module."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in LITERALS:
            yield Said(path, node.lineno, node)


def said_in_kv(path: Path) -> Iterator[Said]:
    """The calls of a layout: Python expressions, each on one line."""
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        for found in _IN_KV.finditer("" if line.lstrip().startswith("#") else line):
            yield Said(path, number, _call_at(line[found.start() :]))


def _call_at(text: str) -> ast.Call:
    """The call at the beginning of a text."""
    for end in (at for at, sign in enumerate(text, start=1) if sign == ")"):
        try:
            call = ast.parse(text[:end], mode="eval").body
        except SyntaxError:
            continue
        if isinstance(call, ast.Call):
            return call
    raise SyntaxError(f"no call: {text}")


def all_said() -> Iterator[Said]:
    """Every call, in modules and layouts."""
    for path in python_files():
        yield from said_in_python(path)
    for path in kv_files():
        yield from said_in_kv(path)


def template() -> Catalog:
    """All words, each with the files that use it, in the order of the files."""
    catalog = Catalog(project="Kerfcard", charset="utf-8", fuzzy=False)
    seen: dict[tuple[str, ...], list[Said]] = {}
    for said in all_said():
        if said.literal and any(said.words):
            key = (said.function if said.function in ("say_many", "say_as") else "say", *said.words)
            seen.setdefault(key, []).append(said)
    for (function, *words), places in sorted(seen.items(), key=lambda each: (each[1][0].path, each[1][0].line)):
        files = sorted({(each.path.relative_to(ROOT).as_posix(), 0) for each in places})
        if function == "say_many":
            catalog.add((words[0], words[1]), locations=files)
        elif function == "say_as":
            catalog.add(words[1], locations=files, context=words[0])
        else:
            catalog.add(words[0], locations=files)
    return catalog


def pot() -> str:
    """The template as a file, without dates, so that the same words give the same file."""
    file = io.BytesIO()
    write_po(file, template(), width=100, omit_header=True, include_lineno=False)
    header = (
        "# The words of Kerfcard, for whoever translates them; made from the source by `.ci/words`.\n"
        'msgid ""\nmsgstr ""\n"Project-Id-Version: Kerfcard\\n"\n"MIME-Version: 1.0\\n"\n'
        '"Content-Type: text/plain; charset=utf-8\\n"\n"Content-Transfer-Encoding: 8bit\\n"\n'
        '"Plural-Forms: nplurals=INTEGER; plural=EXPRESSION;\\n"\n\n'
    )
    return header + file.getvalue().decode()


OPEN, CLOSE = "«", "»"
_ACCENTS = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ", "áƀćďéƒğĥíĵķĺɱñóƿʠŕşţúʋŵẋýźÁƁĆĎÉƑĞĤÍĴĶĹḾÑÓƤɊŔŞŢÚƲŴẊÝŹ"
)


def marked(words: str) -> str:
    """The words in the invented language: in brackets, with every letter replaced, fields unchanged."""
    parts = []
    for text, name, form, turned in Formatter().parse(words):
        parts.append(text.replace("{", "{{").replace("}", "}}").translate(_ACCENTS))
        if name is not None:
            parts.append(f"{{{name}{f'!{turned}' if turned else ''}{f':{form}' if form else ''}}}")
    return f"{OPEN}{''.join(parts)}{CLOSE}"


def write_invented(path: Path) -> None:
    """Write a catalogue in which every word is marked."""
    catalog = Catalog(locale="en", charset="utf-8", fuzzy=False)
    for message in template():
        if not message.id:
            continue
        said = tuple(_marked(each) for each in message.id) if isinstance(message.id, tuple) else _marked(message.id)
        catalog.add(message.id, said, context=message.context)
    with path.open("wb") as file:
        write_mo(file, catalog)


def _marked(words: str) -> str:
    try:
        return marked(words)
    except ValueError:  # braces of their own: such words have no fields
        return f"{OPEN}{words.translate(_ACCENTS)}{CLOSE}"


if __name__ == "__main__":
    POT.write_text(pot(), encoding="utf-8")
