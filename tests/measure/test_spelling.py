"""American spelling for inches, British for millimetres (Merriam-Webster, Oxford; from memory)."""

from __future__ import annotations

import ast
from pathlib import Path

import tracker
from tracker.words.spelling import AMERICAN, spelled


def test_a_build_in_inches_reads_the_american_way() -> None:
    assert spelled("Centre line of the mitred end", "in") == "Center line of the mitered end"
    assert spelled("Centre line of the mitred end", "mm") == "Centre line of the mitred end"
    assert spelled("permitted, centred", "in") == "permitted, centred", "whole words only"


def test_no_card_says_a_word_that_is_spelled_two_ways_without_choosing() -> None:
    """Every string of the cards and screens with such a word passes through `spelled`, or is for one unit only."""
    known = {"centre line", "mitre", "Type the millimetres.", "millimetres", "mitres", "Mitres"}
    found = set()
    for folder in ("cards", "screens"):
        for path in (Path(tracker.__file__).parent / folder).rglob("*.py"):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            documents = {
                id(node.body[0].value)
                for node in ast.walk(tree)
                if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
                and node.body
                and isinstance(node.body[0], ast.Expr)
            }
            after = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}
            for node in ast.walk(tree):
                if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in documents | after:
                    words = set(node.value.lower().replace(":", " ").replace(",", " ").split())
                    if words & set(AMERICAN):
                        found.add(node.value.strip())
    assert found <= known, found - known
