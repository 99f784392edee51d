"""How much is read of a file from a stranger, and how much is said about it."""

from __future__ import annotations

import pytest

from tracker.design import load_build
from tracker.design.toml.document import LARGEST_FILE, read_document

HEAD = (
    '[build]\nname = "x"\nunits = "mm"\n[woods.oak]\nspecies = "white oak"\n'
    'thickness = 40\nwidth = 200\nlengths = ["3 m"]\n'
)
PART = '[[parts]]\nid = "p{}"\nwood = "oak"\nlength = 9\n'


@pytest.mark.parametrize(("keys", "said"), [(199, 199), (200, 200), (201, 200), (260, 200)])
def test_two_hundred_problems_are_said(keys: int, said: int) -> None:
    text = f"{HEAD}{PART.format(1)}[air]\n" + "".join(f"zz{at} = 1\n" for at in range(keys))
    found = [each for each in load_build(text).problems if each.kind == "problem"]
    assert len(found) == said
    assert [each.line for each in found] == [HEAD.count("\n") + 6 + at for at in range(said)]
    assert all(each.hint for each in found[:199])


@pytest.mark.parametrize(("parts", "said"), [(99, 99), (100, 100), (130, 100)])
def test_a_hundred_notes_are_said(parts: int, said: int) -> None:
    text = HEAD + "".join(PART.format(at) for at in range(parts + 1))
    text += '[[assemblies]]\nid = "a"\nby = "dry"\njoins = { p0 = 1 }\n'
    found = load_build(text).problems
    assert [each.what for each in found] == [f"no assembly joins 'p{at}'" for at in range(1, said + 1)]


@pytest.mark.parametrize(("values", "words"), [(500, None), (501, "'blades' has more than 500 values")])
def test_a_list_has_five_hundred_values(values: int, words: str | None) -> None:
    text = f"{HEAD}{PART.format(1)}[shop]\nblades = [{', '.join(['3'] * values)}]\n"
    assert [each.what for each in load_build(text).problems if each.kind == "problem"] == ([words] if words else [])


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("k" * 177, "is not known here"),
        ("k" * 182, "…"),
        ("a\\u0007b", "\N{REPLACEMENT CHARACTER}b' is not known here"),
    ],
)
def test_sentences_are_clipped_and_control_characters_replaced(key: str, said: str) -> None:
    """`'KEY' is not known here` has 20 characters more than the key; a sentence has 200 at most."""
    found = load_build(f'{HEAD}{PART.format(1)}[air]\n"{key}" = 1\n').problems
    (what,) = [each.what for each in found if each.kind == "problem"]
    assert what.endswith(said)
    assert len(what) <= 200
    assert len(what) == 200 or not what.endswith("…")


def test_a_file_is_read_up_to_its_largest_size() -> None:
    assert LARGEST_FILE == 256_000
    for size, readable in ((256_000, True), (256_001, False)):
        text = HEAD + "# x\n" * ((size - len(HEAD)) // 4) + "#" * ((size - len(HEAD)) % 4)
        assert len(text) == size
        found = read_document(text)
        assert found.readable is readable
        assert [each.what for each in found.problems] == ([] if readable else ["the file is larger than 256 kB"])
        assert [each.hint for each in found.problems] == ([] if readable else ["is it a build file?"])


@pytest.mark.parametrize(
    ("raw", "line", "what", "hint"),
    [
        (b"a = 1\nb = '\xff'\n", 2, "this line has characters that can't be read", "save the file as UTF-8"),
        (b"\xef\xbb\xbfa = 1\r\nb = 2\r\n", None, "", ""),
    ],
)
def test_what_is_no_text(raw: bytes, line: int | None, what: str, hint: str) -> None:
    found = read_document(raw)
    assert [(each.line, each.what, each.hint) for each in found.problems] == ([(line, what, hint)] if line else [])
    assert found.data == ({} if line else {"a": 1, "b": 2})
    assert found.lines == ({} if line else {("a",): 1, ("b",): 2})


def test_twenty_lines_that_are_not_toml_are_said() -> None:
    found = read_document("".join(f"k{at} = a\n" for at in range(25)))
    assert [each.line for each in found.problems] == [*range(1, 21), 0]
    assert found.problems[-1].kind == "note"
    whole = read_document("".join(f"k{at} = a\n" for at in range(19)))
    assert (len(whole.problems), whole.readable) == (19, True)
    long = read_document("".join(f"k{at} = {'1' * 3990}.\n" for at in range(25)))
    assert len(long.problems) == 7, "of 100 kB, what comes after half a million characters parsed again isn't read"
