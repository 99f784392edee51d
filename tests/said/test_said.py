"""What cards, commands and pages say of eleven builds is what they said when it was last read through.

`said.json` has a stamp of each heading. Whoever changes what is said on purpose looks at the difference and keeps it:

    PYTHONPATH=tests:. python -m said.test_said show > before.txt     (on the commit before)
    PYTHONPATH=tests:. python -m said.test_said show > now.txt
    PYTHONPATH=tests:. python -m said.test_said keep

That nothing changed does not say that it is right: sizes, angles and settings are judged in the other tests.
"""

from __future__ import annotations

import hashlib
import json
import sys
from itertools import chain
from pathlib import Path

import pytest
from said.whole_build import SECTIONS, told

HERE = Path(__file__).parent
KEPT = HERE / "said.json"
FILES = {
    file.stem: file
    for file in chain.from_iterable(sorted((HERE.parent / "samples" / folder).glob("*.toml"))
                                    for folder in ("kept", "pieces"))
}  # fmt: skip


def under_headings(file: str, section: str) -> dict[str, list[str]]:
    """The lines of a section by their heading."""
    found: dict[str, list[str]] = {}
    lines = found.setdefault(section, [])
    for line in told(FILES[file], section):
        if line.startswith("-- "):
            lines = found.setdefault(f"{section} {line[3:]}", [])
        else:
            lines.append(line)
    return found


def stamps(found: dict[str, list[str]]) -> dict[str, str]:
    return {
        heading: hashlib.sha256("\n".join(lines).encode()).hexdigest()[:12]
        for heading, lines in found.items() if lines
    }  # fmt: skip


@pytest.mark.parametrize("section", SECTIONS)
@pytest.mark.parametrize("file", FILES)
def test_it_says_what_it_said(file: str, section: str) -> None:
    found = under_headings(file, section)
    kept, now = json.loads(KEPT.read_text("utf-8"))[file][section], stamps(found)
    other = {heading: found.get(heading, [])[:40] for heading in kept | now if kept.get(heading) != now.get(heading)}
    assert not other, "\n".join(chain.from_iterable((f"== {name}", *lines) for name, lines in other.items()))


def main() -> None:
    """`show` writes all that is said, `keep` its stamps."""
    if sys.argv[1:] == ["show"]:
        for file in FILES:
            for section in SECTIONS:
                for heading, lines in under_headings(file, section).items():
                    print(f"== {file}: {heading}", *lines, sep="\n")
        return
    kept = {file: {section: stamps(under_headings(file, section)) for section in SECTIONS} for file in FILES}
    KEPT.write_text(json.dumps(kept, indent=0, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":
    main()
