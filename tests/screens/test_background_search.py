"""A search in a separate process: its answers come as they are found, and it ends at once on request."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator

import pytest

from tracker.screens.device.background_search import BackgroundSearch
from tracker.search_process import SearchError, SearchProcess


def counting(upto: int, keep_going: Callable[[], bool]) -> Iterator[int]:
    """Numbers, one every half second."""
    for number in range(upto):
        yield number
        until = time.monotonic() + 0.5
        while time.monotonic() < until and keep_going():
            time.sleep(0.01)


def deaf(keep_going: Callable[[], bool]) -> Iterator[int]:
    """A search that answers its process id and then computes forever without asking whether to go on."""
    yield os.getpid()
    while True:
        pass


def greedy(keep_going: Callable[[], bool]) -> Iterator[int]:
    """A search that gives one answer and then uses too much memory."""
    yield 1
    held = []
    while True:
        held.append(bytearray(8 << 20))


def broken(keep_going: Callable[[], bool]) -> Iterator[int]:
    """A search that fails without an answer."""
    raise ValueError("no wood")
    yield 0


def alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.fixture
def search() -> Iterator[BackgroundSearch]:
    search = BackgroundSearch(deliver=lambda call: call())
    yield search
    search.close()


def wait_for(true: Callable[[], object], seconds: float = 30.0) -> None:
    end = time.perf_counter() + seconds
    while not true():
        assert time.perf_counter() < end, "it never came"
        time.sleep(0.002)


def test_the_first_answer_is_there_while_better_ones_are_looked_for(search: BackgroundSearch) -> None:
    search.look_for("question", counting, 3)
    wait_for(lambda: search.answer == 0)
    assert search.searching
    wait_for(lambda: search.answer == 2)
    wait_for(lambda: not search.searching)
    assert search.trouble == ""


def test_stopped_it_keeps_what_it_has_though_the_search_asks_nobody(search: BackgroundSearch) -> None:
    search.look_for("question", deaf)
    wait_for(lambda: search.answer)
    process = search.answer
    before = time.perf_counter()
    search.stop()
    assert time.perf_counter() - before < 0.2, "nothing is waited for"
    assert search.answer == process
    assert not search.searching
    wait_for(lambda: not alive(process), 1.0)


def test_a_new_question_drops_the_answers_to_the_old_one(search: BackgroundSearch) -> None:
    search.look_for("old", deaf)
    wait_for(lambda: search.answer)
    old = search.answer
    search.look_for("new", counting, 1)
    wait_for(lambda: not alive(old), 1.0)
    wait_for(lambda: search.answer == 0)
    assert search.request == "new"


def test_one_that_breaks_off_says_why(search: BackgroundSearch) -> None:
    search.look_for("question", broken)
    wait_for(lambda: not search.searching)
    assert search.answer is None
    assert search.trouble == "ValueError: no wood"


def test_what_it_found_stands_when_its_time_is_over_and_it_goes_on() -> None:
    began = time.perf_counter()
    (answer,) = SearchProcess(deaf, seconds=0.5).answers()
    assert answer > 0
    assert time.perf_counter() - began < 20


@pytest.mark.skipif(os.name != "posix", reason="only there a process can be held to its share of memory")
def test_what_it_found_stands_when_it_takes_more_memory_than_it_may() -> None:
    assert list(SearchProcess(greedy, seconds=20).answers()) == [1]


def test_without_an_answer_there_is_an_error() -> None:
    with pytest.raises(SearchError, match="no wood"):
        list(SearchProcess(broken, seconds=1).answers())
