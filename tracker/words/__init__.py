"""All words that a person reads: written in English where they are used, said in the language of this process.

    say("Trim end {end}", end="A")
    say_many("{count} label", "{count} labels", count)
    say_as("of a saw", "tilt")
    REASONS = english("knot"), english("split")          # kept in English in the record, said where it is shown

The English words are the key of the catalogue, so English needs none. The language is chosen once, when the first words
are said: tables of a module may hold what `say` answers. Ids never go through here: what is written to the record, to a
build file, or as a key or code of JSON is the same in every language.
"""

from __future__ import annotations

from typing import Any, TypeVar

from tracker.words.catalogue import chosen

_CATALOGUE = chosen()
Word = TypeVar("Word", bound=str)


def say(words: str, /, **fields: Any) -> str:
    """The words in the language of this process, with the fields filled in: `{end}`, `{percent:g}`.

    Without fields nothing is filled in, so words with braces of their own are safe.
    """
    if _CATALOGUE is None:
        return words.format(**fields) if fields else words
    return _filled(_CATALOGUE.gettext(words) if words else words, words, fields)


def say_many(one: str, many: str, count: float, /, **fields: Any) -> str:
    """The same for a counted sentence, in the language's plural form for that count; `{count}` is a field, too."""
    english_form = one if count == 1 else many
    if _CATALOGUE is None:
        return english_form.format(count=count, **fields)
    # A fraction counts as a plural: one and a half boards.
    form = int(count) if count == int(count) else 2
    return _filled(_CATALOGUE.ngettext(one, many, form), english_form, {"count": count, **fields})


def say_as(context: str, words: str, /, **fields: Any) -> str:
    """Short words that mean several things, with a context for translators: `"of a saw"`."""
    if _CATALOGUE is None:
        return words.format(**fields) if fields else words
    return _filled(_CATALOGUE.pgettext(context, words), words, fields)


def speaks_english() -> bool:
    """Whether nothing is translated: rules of English, such as how a maker's name is made plural, hold only then."""
    return _CATALOGUE is None


def english(words: Word) -> Word:
    """Words that stay English where they are stored, but are in the catalogue: `say` is called where they are shown."""
    return words


def _filled(said: str, words: str, fields: dict[str, Any]) -> str:
    """If a translation names a field that doesn't exist, the English words are used: better than no card."""
    if not fields:
        return said
    try:
        return said.format(**fields)
    except (KeyError, IndexError, ValueError, AttributeError):
        return words.format(**fields)
