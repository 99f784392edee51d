"""Heavy build files through the real commands: seconds, memory, and whether a plan is there in time.

    python tests/faults heavy [NAME ...] [--write FOLDER]

Each file is within the limits that the build file's page states, and each is of a kind that a spreadsheet can make by
mistake: hundreds of boards with defects, hundreds of parts to be ripped, pieces by the thousand. `check` has 2 s and
256 MB, `boards` answers within 3 s of thinking and some seconds around it, within 512 MB, and stops within a second of
being asked. It prints processor seconds, and wall seconds in brackets, which grow on a busy machine. Exceeded budgets
are reported; only memory and a missing answer end the run with 1. With `--write` the files are left in a folder.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

CHECK_SECONDS, CHECK_MB = 2.0, 256
BOARDS_SECONDS, BOARDS_MB = 8.0, 512
"""`boards` searches for 3 s; the rest is for reading the file, the last step of the search, and writing the answer."""
STOP_SECONDS = 1.0
LONGEST = 240.0
"""A command that hasn't answered within this many seconds is ended."""

HEAD = '[build]\nname = "{name}"\nunits = "mm"\n\n[shop]\nkerf = 3.2\nend_trim = 10\n'


# -- the files ---------------------------------------------------------------------------------------------------------


def rack_with_defects() -> str:
    """500 boards on the rack with 25 defects each, and 500 parts that all could come from them."""
    dice = random.Random(1)
    rows = [HEAD.format(name="Rack"), _wood("pine", 145, [5000])]
    for n in range(500):
        defects = ", ".join(f"[{at * 100 + dice.randrange(40)}, {at * 100 + 60}]" for at in range(1, 26))
        rows.append(f'[[rack]]\nwood = "pine"\nname = "R{n}"\nlength = 4800\ndefects = [{defects}]\n')
    rows += [_part(n, "pine", 1, 300 + dice.randrange(400), 145) for n in range(500)]
    return "\n".join(rows)


def ripped() -> str:
    """500 parts, no two equal, from a wide board that is ripped."""
    dice = random.Random(2)
    rows = [HEAD.format(name="Ripped"), _wood("ash", 200, [2400, 3000], "rip = true\nprices = [31.0, 39.5]")]
    rows += [_part(n, "ash", 1, dice.randrange(200, 1800), dice.randrange(20, 190)) for n in range(500)]
    return "\n".join(rows)


def ripped_by_the_thousand() -> str:
    """5,000 pieces of 50 kinds, ripped."""
    dice = random.Random(3)
    rows = [HEAD.format(name="Ripped many"), _wood("ash", 200, [2400, 3000], "rip = true")]
    rows += [_part(n, "ash", 100, dice.randrange(200, 1800), dice.randrange(20, 190)) for n in range(50)]
    return "\n".join(rows)


def tiny() -> str:
    """5,000 pieces of a few millimetres each, from long boards."""
    dice = random.Random(4)
    rows = [HEAD.format(name="Tiny"), _wood("maple", 60, [2000, 4000, 6000], "prices = [9.1, 18.9, 27.7]")]
    rows += [_part(n, "maple", 10, 5 + dice.randrange(400) / 10, 60) for n in range(500)]
    return "\n".join(rows)


def tiny_alike() -> str:
    """4,995 pieces of 3 to 7 mm, in five sizes."""
    rows = [HEAD.format(name="Tiny alike"), _wood("maple", 60, [6000])]
    rows += [_part(n, "maple", 999, 3 + n, 60) for n in range(5)]
    return "\n".join(rows)


def tiny_ripped() -> str:
    """5,000 little squares, from a board that is ripped."""
    dice = random.Random(5)
    rows = [HEAD.format(name="Tiny ripped"), _wood("maple", 200, [3000], "rip = true")]
    rows += [_part(n, "maple", 50, 5 + dice.randrange(300) / 10, 5 + dice.randrange(300) / 10) for n in range(100)]
    return "\n".join(rows)


def sheets() -> str:
    """500 parts of MDF, which may lie either way on the sheet."""
    dice = random.Random(6)
    rows = [HEAD.format(name="Sheets"), _sheet("mdf", 'grain = "none"')]
    rows += [_part(n, "mdf", 1, dice.randrange(80, 1200), dice.randrange(80, 1100)) for n in range(500)]
    return "\n".join(rows)


def sheets_by_the_thousand() -> str:
    """5,000 pieces of plywood in 100 sizes."""
    dice = random.Random(7)
    rows = [HEAD.format(name="Sheets many"), _sheet("ply", "prices = [55.0]")]
    rows += [_part(n, "ply", 50, dice.randrange(80, 1200), dice.randrange(80, 1100)) for n in range(100)]
    return "\n".join(rows)


def all_different() -> str:
    """500 parts with all different lengths, 50 lengths at the dealer's, 500 boards on the rack."""
    dice = random.Random(8)
    lengths = [1000 + 100 * n for n in range(50)]
    prices = ", ".join(f"{length * 0.004 + dice.randrange(200) / 100:.2f}" for length in lengths)
    rows = [HEAD.format(name="All different"), _wood("oak", 90, lengths, f"prices = [{prices}]")]
    rows += [
        f'[[rack]]\nwood = "oak"\nname = "R{n}"\nlength = {dice.randrange(300, 3000)}\ndefects = [[200, 204]]\n'
        for n in range(500)
    ]
    rows += [_part(n, "oak", 10, dice.randrange(2000, 90000) / 100, 90) for n in range(500)]
    return "\n".join(rows)


def mitred() -> str:
    """4,000 mitred pieces that share their cuts."""
    dice = random.Random(9)
    rows = [
        HEAD.format(name="Mitred") + "nest_miters = true\n",
        _wood("beech", 60, [2000, 3000], "prices = [8.0, 13.5]"),
    ]
    for n in range(400):
        ends = f"end_a = {{ miter = {dice.choice((30, 45, 22.5))} }}\nend_b = {{ miter = {dice.choice((30, 45))} }}\n"
        rows.append(_part(n, "beech", 10, dice.randrange(150, 900), 60) + ends)
    return "\n".join(rows)


def sequences() -> str:
    """Sequences of hundreds of pieces, and many of them."""
    dice = random.Random(10)
    rows = [HEAD.format(name="Sequences"), _wood("elm", 80, [3000, 4000])]
    for n in range(250):
        rows.append(_part(n, "elm", 20, dice.randrange(40, 150), 80) + f'sequence = "row {n}"\n')
    return "\n".join(rows)


def narrow_strips() -> str:
    """Twelve strips of 20 mm side by side: a lane is narrower than the height of any type on the sheet."""
    rows = [HEAD.format(name="Strips"), _wood("pine", 280, [2000], "rip = true")]
    return "\n".join([*rows, _part(0, "pine", 12, 1900, 20)])


def thin_strips() -> str:
    """Sixty strips of 1 mm, which no tool would rip, side by side."""
    rows = [HEAD.format(name="Thin strips"), _wood("pine", 280, [2000], "rip = true")]
    return "\n".join([*rows, _part(0, "pine", 60, 1900, 1)])


def _wood(name: str, width: float, lengths: Sequence[float], more: str = "") -> str:
    return (
        f'[woods.{name}]\nspecies = "white ash"\nthickness = 20\nwidth = {width}\nlengths = {list(lengths)}\n{more}\n'
    )


def _sheet(name: str, more: str) -> str:
    return f'[woods.{name}]\nspecies = "white ash"\nthickness = 18\nsheets = [[1250, 2500]]\n{more}\n'


def _part(n: int, wood: str, quantity: int, length: float, width: float) -> str:
    return (
        f'[[parts]]\nid = "p{n}"\nname = "Part {n}"\nquantity = {quantity}\nwood = "{wood}"\n'
        f"length = {length}\nwidth = {width}\n"
    )


FILES: dict[str, Callable[[], str]] = {
    make.__name__: make
    for make in (
        rack_with_defects, ripped, ripped_by_the_thousand, tiny, tiny_alike, tiny_ripped, sheets,
        sheets_by_the_thousand, all_different, mitred, sequences, narrow_strips, thin_strips,
    )
}  # fmt: skip


# -- running -----------------------------------------------------------------------------------------------------------


@dataclass
class Ran:
    """One command: wall and processor seconds, peak memory in megabytes, its exit code and its output."""

    seconds: float
    busy: float
    mb: float
    exit: int
    out: bytes
    err: bytes


def run(words: Sequence[str], *, ask_to_stop_after: float | None = None) -> Ran:
    """Run `kerfcard` in a separate process; optionally ask it to stop after a while, as Control-C does."""
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        began = time.monotonic()
        process = subprocess.Popen([Path(sys.executable).with_name("kerfcard"), *words], stdout=out, stderr=err)
        asked, until = None, began + LONGEST
        if ask_to_stop_after is not None:
            time.sleep(ask_to_stop_after)
            asked = time.monotonic()
            process.send_signal(signal.SIGINT)
        while True:
            pid, status, usage = os.wait4(process.pid, os.WNOHANG)
            if pid:
                break
            if time.monotonic() > until:
                process.kill()
            time.sleep(0.01)
        process.returncode = os.waitstatus_to_exitcode(status)
        seconds = time.monotonic() - (asked or began)
        out.seek(0)
        err.seek(0)
        busy = usage.ru_utime + usage.ru_stime
        return Ran(seconds, busy, usage.ru_maxrss / 1024, process.returncode, out.read(), err.read())


def faults_of(path: Path, name: str) -> Iterator[str]:
    """The problems of the commands' answers for this file; prints a line of the table."""
    check = run(["check", str(path)])
    plan = run(["boards", "--json", str(path)])
    sheet = path.with_suffix(".pdf")
    paper = run(["boards", str(path), "-o", str(sheet)])
    stop = run(["boards", "--json", str(path)], ask_to_stop_after=2.5)
    cells = [f"{each.busy:5.1f} s ({each.seconds:5.1f}) {each.mb:4.0f} MB" for each in (check, plan, paper)]
    print(f"{name:24} {'  '.join(cells)}  stops {stop.seconds:5.2f} s", flush=True)
    if check.exit:
        yield f"check ends with {check.exit}: {check.err[-300:]!r}"
    if plan.exit or not json.loads(plan.out or b"{}").get("woods"):
        yield f"boards ends with {plan.exit}: {plan.err[-300:]!r}"
    if paper.exit or not sheet.read_bytes().rstrip().endswith(b"%%EOF"):
        yield f"boards -o ends with {paper.exit}: {paper.err[-300:]!r}"
    for said, ran, most in (("check", check, CHECK_MB), ("boards", plan, BOARDS_MB), ("boards -o", paper, BOARDS_MB)):
        if ran.mb > most:
            yield f"{said} takes {ran.mb:.0f} MB, and {most} are allowed"
    over = ((check.busy, CHECK_SECONDS, "check"), (plan.busy, BOARDS_SECONDS, "boards"))
    for seconds, most, said in (*over, (stop.seconds, STOP_SECONDS, "to stop")):
        if seconds > most:
            print(f"{'':24} {said} takes {seconds:.1f} s, and {most:g} are allowed")


def main(words: list[str]) -> int:
    folder = Path(words[words.index("--write") + 1]) if "--write" in words else None
    names = [word for word in words if word in FILES] or list(FILES)
    wrong = 0
    print(f"{'':24} {'check':>22}  {'boards --json':>22}  {'boards -o':>22}")
    with tempfile.TemporaryDirectory() as kept:
        for name in names:
            path = (folder or Path(kept)) / f"{name}.toml"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(FILES[name](), encoding="utf-8")
            for fault in faults_of(path, name):
                print(f"{'':24} {fault}")
                wrong += 1
    return 1 if wrong else 0
