"""Feed the app what strangers may send: build files, pictures, codes, logs and records, corrupted in every way.

    python tests/faults fuzzed [COUNT] [SEED]

COUNT build files, half of them chosen by hypothesis, half by a coverage-guided fuzzer (Atheris on libFuzzer, which
keeps what reaches new lines of our code), both seeded with the sample builds and the broken ones of tests/design; and a
twentieth as many pictures, codes and exchanged logs each, build files that go through `boards`, `setups` and `labels`,
and databases to restore. What can be read is processed as in the app: pieces laid out, saw settings planned, cards
made; a log is taken in and every card is drawn from it. Each kind has a separate process with 256 MB in addition to its
initial memory, and 2 s of its own time for each input; an audit hook stops and reports everything that reaches outside.
Failures are saved under $KERFCARD_FUZZED, if that is set.
"""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

from faults import fuzzed_commands, strangers
from faults.day import SAMPLES, HandClock, acts
from faults.guard import Fence, bounded_memory
from faults.shown import MORNING

from tracker.cards.reports.pieces import cards_report
from tracker.cards.reports.setups import setups_report
from tracker.design.model import Build
from tracker.design.name_lookup import nearest
from tracker.plan.setups import piece_by_piece_resets, plan_setups
from tracker.shop import Shop, read_build
from tracker.work.run import start_run
from tracker.work.state.state import State

Target = Callable[[bytes, random.Random], bool]


def work_on(build: Build) -> None:
    """Process a build that was read, as the commands do."""
    json.dumps(cards_report(start_run(build)))
    json.dumps(setups_report(build, plan_setups(build), piece_by_piece_resets(build)))


class Builds:
    """Reads build files within the fence."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "stranger.toml"
        nearest("lenght", ("length",))  # import what is imported late
        for sample in sorted(SAMPLES.glob("*.toml")):
            loaded = read_build(sample)
            assert loaded.build is not None
            work_on(loaded.build)
        self.fence = Fence()

    def __call__(self, data: bytes) -> None:
        self.path.write_bytes(data)
        self.fence.run(data, self._read, self.path)

    def _read(self) -> bool:
        loaded = read_build(self.path)
        assert (loaded.build is None) == any(problem.kind == "problem" for problem in loaded.problems)
        for problem in loaded.problems:
            assert problem.what
            assert "\n" not in problem.at("file")
        if loaded.build is not None:
            work_on(loaded.build)
        return loaded.build is not None


def by_hypothesis(count: int, seed: int, folder: Path) -> Fence:
    from hypothesis import HealthCheck, Phase, given, settings
    from hypothesis import seed as seeded
    from hypothesis import strategies as st

    builds = Builds(folder)

    @seeded(seed)
    @settings(
        max_examples=count,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(st.randoms(use_true_random=False))
    def one(chance: random.Random) -> None:
        if builds.fence.runs < count:
            builds(strangers.build_file(chance))

    with bounded_memory():
        one()
        chance = random.Random(seed)
        while builds.fence.runs < count:  # hypothesis may think that it has seen enough
            builds(strangers.build_file(chance))
    return builds.fence


def by_coverage(count: int, seed: int, folder: Path) -> Fence:
    """Ends the process, as libFuzzer does."""
    import atheris  # type: ignore[import-untyped]

    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 2)  # it reports every module that it instruments, and every input
    for name in [name for name in sys.modules if name.partition(".")[0] == "tracker" or name == "faults.fuzzed"]:
        del sys.modules[name]
    with atheris.instrument_imports(include=["tracker"], enable_loader_override=False):
        fuzzed = importlib.import_module("faults.fuzzed")
    builds: Builds = fuzzed.Builds(folder)
    corpus = folder / "corpus"
    corpus.mkdir()
    for number, data in enumerate(strangers.SEEDS):
        (corpus / f"seed-{number}").write_bytes(data)
    words = folder / "words"
    words.write_text(
        "".join(f'"{_escaped(word)}"\n' for word in (*strangers.VALUES, *strangers.HOSTILE_FORMULAS) if word)
    )

    def mutated(data: bytes, most: int, number: int) -> bytes:
        """Alternately our own changes and libFuzzer's."""
        chance = random.Random(number)
        if chance.random() < 0.5:
            return (strangers.changed(data, chance) if chance.random() < 0.5 else strangers.build_file(chance))[:most]
        return bytes(atheris.Mutate(data, most))

    def one(data: bytes) -> None:
        if builds.fence.runs < count:
            builds(data)
        if builds.fence.runs == count:
            _tell(builds.fence)
            os._exit(0)

    arguments = [
        "fuzzed",
        f"-seed={seed}",
        f"-dict={words}",
        "-max_len=16000",
        "-len_control=0",
        "-timeout=30",
        "-verbosity=0",
        f"{corpus}",
    ]
    with bounded_memory():
        atheris.Setup(arguments, one, custom_mutator=mutated)
        atheris.Fuzz()
    return builds.fence


def _escaped(word: str) -> str:
    return "".join(
        chr(byte) if 32 <= byte < 127 and byte not in b'"\\' else f"\\x{byte:02X}" for byte in word.encode("utf-8")
    )


def pictures(count: int, seed: int, folder: Path) -> Fence:
    from tracker.scan import look_at_picture, open_picture

    seeds = strangers.good_pictures()
    sizes = ((2828, 2828, 8, 2), (2830, 2830, 8, 2), (1, 8_000_000, 8, 0), (2828, 2828, 16, 6), (2828, 2828, 1, 0))
    bombs = [strangers.bomb(*size) for size in sizes]
    for data in seeds:
        look_at_picture(data)
    fence, chance = Fence(), random.Random(seed)
    with bounded_memory():
        for number in range(count):
            data = bombs[number] if number < len(bombs) else strangers.picture(chance, seeds)

            def read(data: bytes = data) -> bool:
                with contextlib.suppress(ValueError):
                    open_picture(data)
                    return True
                return False

            fence.run(data, read)
    return fence


def codes(count: int, seed: int, folder: Path) -> Fence:
    from tracker.cards.scan.code_meaning import ShowItem, scan_answer
    from tracker.floor.floor import Floor
    from tracker.scan.typed import read_keys

    loaded = read_build(SAMPLES / "planter.toml")
    assert loaded.build is not None
    run = start_run(loaded.build)
    known = list(run.codes.values())
    floor = Floor(run, State(), HandClock()())
    assert isinstance(scan_answer(known[0], floor), ShowItem)
    fence, chance = Fence(), random.Random(seed)
    with bounded_memory():
        for _ in range(count):
            text = strangers.code(chance, known)

            def read(text: str = text) -> bool:
                typed = read_keys(text, known)
                assert typed.code is None or typed.code in run.by_code or len(typed.code) == len(known[0])
                return isinstance(scan_answer(text, floor), ShowItem)

            fence.run(text.encode("utf-8", "surrogatepass"), read)
    return fence


def logs(count: int, seed: int, folder: Path) -> Fence:
    """Exchanged logs: with wrong lines, and with facts that are correctly chained but make no sense."""
    from faults.forged import draw_all, forged_log

    from tracker.store.exchange import Taken, export_log, look_into, take_in_export
    from tracker.store.log import Log
    from tracker.work.facts.written import KINDS as KINDS_OF_FACTS
    from tracker.work.facts.written import from_data

    home = folder / "home"
    shop = Shop(home, HandClock())
    for act in acts(shop, 30):
        act()
    shop.close()
    good = folder / "good.jsonl"
    log = Log(home / "kerfcard.db")
    export_log(log, good)
    rows = list(log.rows())
    log.close()
    assert shop.run is not None
    run, path = shop.run, folder / "stranger.jsonl"
    draw_all(run, (), MORNING)
    for kind in KINDS_OF_FACTS:  # the fields of a kind are looked up when it is first read
        from_data(kind, {})
    fence, chance = Fence(), random.Random(seed)
    with bounded_memory():
        for _ in range(count):
            data = forged_log(chance, good.read_bytes(), run)
            path.write_bytes(data)
            taken_in = Log.in_memory(chance.choice(([], rows)), "")

            def read(taken_in: Log = taken_in) -> bool:
                offer = look_into(taken_in, path, "mine")
                taken = Taken(problems=offer.problems) if offer.problems else take_in_export(taken_in, offer.rows)
                assert all(wrong.what for wrong in taken.problems)
                if not taken.problems:
                    draw_all(run, taken_in.entries(), MORNING + timedelta(hours=1))
                return not taken.problems

            fence.run(data, read, path)
            taken_in.close()
    return fence


KINDS: dict[str, Callable[[int, int, Path], Fence]] = {
    "build files by hypothesis": by_hypothesis,
    "build files by coverage": by_coverage,
    "pictures": pictures,
    "codes": codes,
    "logs": logs,
    **fuzzed_commands.KINDS,
}


def _tell(fence: Fence) -> None:
    folder = os.environ.get("KERFCARD_FUZZED")
    if folder:
        for number, data in enumerate(fence.inputs):
            Path(folder).mkdir(parents=True, exist_ok=True)
            (Path(folder) / f"{os.getpid()}-{number}").write_bytes(data)
    print(json.dumps(fence.report()), flush=True)


def fuzz(kind: str, count: int, seed: int) -> dict[str, Any]:
    """Run one kind in a separate process; returns its report. A process that dies counts as a crash."""
    command = [sys.executable, str(Path(__file__).parent), "fuzzed", "--worker", kind, str(count), str(seed)]
    run = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=False)
    lines = run.stdout.splitlines()
    if lines and lines[-1].startswith("{"):
        return dict(json.loads(lines[-1]))
    died = f"the process ended with {run.returncode}: {run.stdout[-500:]}"
    return {"runs": 0, "good": 0, "longest": 0.0, "crashes": [died], "escapes": [], "slow": []}


def main(words: list[str]) -> int:
    if words[:1] == ["--worker"]:
        with tempfile.TemporaryDirectory() as folder:
            _tell(KINDS[words[1]](int(words[2]), int(words[3]), Path(folder)))
        return 0
    count, seed = ([int(word) for word in words] + [1000, 20260302][len(words) :])[:2]
    wrong = 0
    for kind in KINDS:
        mine = max(1, count // 2 if kind.startswith("build") else count // 20)
        report = fuzz(kind, mine, seed)
        found = {name: report[name] for name in ("crashes", "escapes", "slow")}
        counts = ", ".join(f"{len(each)} {name}" for name, each in found.items())
        print(
            f"{report['runs']} {kind}: {report['good']} could be read; {counts}; longest {report['longest']} s",
            flush=True,
        )
        for each in found.values():
            wrong += len(each)
            for said in sorted(set(each))[:10]:
                print(said)
    return 1 if wrong else 0
