"""All words of a card or a screen go through `say`: each literal that looks like words is an argument of it, or a
listed id."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from kit.catalogue import LITERALS, ROOT, kv_files

IDS = {
    "dry fit": "an operation of the build file",
    "drive screws": "an operation of the build file",
    "take screws out": "an operation of the build file",
    "cut to length": "an operation of the build file",
    "own step": "a sheet of the glue-up, by its name",
    "next step": "where a card's button goes",
    "not looked up": "a marker of the program",
    "tablet name": "a setting, as it is stored",
    "inch mark": "a setting, as it is stored",
    "metric mark": "a setting, as it is stored",
    "max miter": "a setting, as it is stored",
    "max bevel": "a setting, as it is stored",
    "backups kept": "a setting, as it is stored",
    "template paper": "a setting, as it is stored",
    "take up": "an option, by its key",
    "give back": "an option, by its key",
    "narrow face ": "a line of a drawing, by its key",
    "all of the batch": "a row, by its key",
    "screen size": "a row, by its key",
    "first steps": "a tile, by its key",
    "build file": "where a time comes from, as a marker",
    "splayed leg": "a joint of the build file",
    "round over": "a shape of the build file",
    "choose first": "a notice, by its kind",
    "Letter": "a paper, by its name",
    "Tabloid": "a paper, by its name",
    "label sheet": "a setting, as it is stored",
    "Roboto": "a font, by its name",
    "Kerfcard": "the program's name",
    "MTDev is not supported": "what Kivy logs",
    "Cutbuffer: Unable to find": "what Kivy logs",
}
"""Literals that look like words but aren't, with their kinds: the same in every language."""
FILES = {
    "tracker/cards/template/drawing_files.py": "SVG and DXF",
    "tracker/cards/reports/cut_list.py": "the headings of a file that is read again",
}
"""Modules whose literals are a file's format."""
_QUIET_CALLS = frozenset(
    {
        "startswith", "endswith", "removeprefix", "removesuffix", "replace", "split", "partition", "compile", "search",
        "register", "TypeVar", "cast", "AttributeError",
    }
)  # fmt: skip
"""Calls whose literals are compared or taken apart, or tell a developer of a bug."""


def looks_like_words(text: str) -> bool:
    """Two words, or one with a capital, as on a button: `Trim end A`, `Save`; not `side:1`, `GroupRow`, `PDF`."""
    return bool(
        re.search(r"[A-Za-z]{2,}[^A-Za-z]* [^A-Za-z]*[A-Za-z]{2,}", text) or re.fullmatch(r"[A-Z][a-z]+…?", text)
    )


def modules(folder: str) -> list[Path]:
    return sorted((ROOT / "tracker" / folder).rglob("*.py"))


def unsaid(path: Path) -> Iterator[str]:
    """The literals of a module that look like words and are neither arguments of `say` nor in a place for ids only."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    above = {child: parent for parent in ast.walk(tree) for child in ast.iter_child_nodes(parent)}
    for node in ast.walk(tree):
        words = node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
        if looks_like_words(words) and words not in IDS and not _has_its_place(node, above):
            yield f"{path.relative_to(ROOT)}:{node.lineno}: {words!r}"


def _has_its_place(node: ast.AST, above: dict[ast.AST, ast.AST]) -> bool:
    """Said; or a docstring, a key, a type, or something to compare with."""
    parent = above[node]
    if isinstance(parent, ast.JoinedStr | ast.IfExp | ast.BoolOp | ast.Tuple | ast.List | ast.Starred):
        return _has_its_place(parent, above)
    if isinstance(parent, ast.Call):
        name = parent.func.attr if isinstance(parent.func, ast.Attribute) else getattr(parent.func, "id", "")
        return name in LITERALS or name in _QUIET_CALLS
    if isinstance(parent, ast.Dict):
        return node in parent.keys
    if isinstance(parent, ast.AnnAssign):
        return node is parent.annotation
    if isinstance(parent, ast.Assign):
        return any(isinstance(target, ast.Name) and target.id == "__all__" for target in parent.targets)
    return isinstance(parent, ast.Expr | ast.Subscript | ast.Compare | ast.MatchValue)


def test_every_literal_of_cards_and_screens_is_said() -> None:
    wrong = [
        each
        for folder in ("cards", "screens")
        for path in modules(folder)
        if path.relative_to(ROOT).as_posix() not in FILES
        for each in unsaid(path)
    ]
    assert not wrong, "\n".join(wrong)


_LITERAL = r"""(?:'[^']*'|"[^"]*")"""


def test_every_literal_of_a_layout_is_said() -> None:
    """In kv a literal that looks like words is an argument of `say`."""
    wrong = []
    for path in kv_files():
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            code = "" if line.lstrip().startswith("#") else line
            outside = re.sub(rf"\b(?:say|say_many|say_as|english)\((?:{_LITERAL}(?:, )?)+", "", code)
            found = (text[1:-1] for text in re.findall(_LITERAL, outside))
            wrong += [f"{path.name}:{number}: {text!r}" for text in found if looks_like_words(text)]
    assert not wrong, "\n".join(wrong)


def test_every_listed_id_is_one_that_is_used() -> None:
    texts = [path.read_text(encoding="utf-8") for folder in ("cards", "screens") for path in modules(folder)]
    assert not [each for each in IDS if not any(f'"{each}' in text for text in texts)]
