"""What a scan brings up: a card, an offer to open another build, or a sentence that says why not."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.work.codes import Code, grouped, parse_code
from tracker.work.run import Run


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanCard:
    """The answer to a scan. `key` is the item of the build in hand, or empty."""

    code: str
    said: str
    key: str = ""


def scanned(run: Run | None, text: str) -> ScanCard:
    """What `text`, as scanned or typed, stands for in the build in hand."""
    code: Code | None = parse_code(text)
    if code is None:
        return ScanCard(
            code=text[:40], said="That is not a code of ours: scan the label again, or type its ten characters."
        )
    key = run.by_code.get(code, "") if run else ""
    if run and key:
        return ScanCard(code=code, said=run.items[key].title, key=key)
    return ScanCard(code=code, said=f"{grouped(code)} is a good code, but of no piece in this build.")
