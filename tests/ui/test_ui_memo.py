"""What is remembered between runs: bounded, last used stays, made once under many threads."""

from __future__ import annotations

import random
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, Event

import pytest

from blendlab.ui import memo


def test_what_was_used_last_stays():
    kept = memo.Kept(2)
    kept.get_or_make("a", lambda: 1)
    kept.get_or_make("b", lambda: 2)
    kept.get_or_make("a", lambda: pytest.fail("a is there"))
    kept.get_or_make("c", lambda: 3)
    assert (kept.get("a"), kept.get("b"), kept.get("c")) == (1, None, 3)


def test_many_windows_asking_at_once_have_it_made_once():
    kept, start, made = memo.Kept(4), Barrier(8), []

    def ask() -> int:
        start.wait(10)
        return kept.get_or_make("jar", lambda: made.append(1) or len(made))

    with ThreadPoolExecutor(8) as windows:
        answers = [asked.result(10) for asked in [windows.submit(ask) for _ in range(8)]]
    assert answers == [1] * 8


def test_one_window_at_work_does_not_hold_up_another_key():
    kept, begun, go_on = memo.Kept(4), Event(), Event()

    def slow() -> str:
        begun.set()
        assert go_on.wait(10)
        return "slow"

    with ThreadPoolExecutor(1) as window:
        waiting = window.submit(kept.get_or_make, "slow", slow)
        assert begun.wait(10)
        assert kept.get_or_make("quick", lambda: "quick") == "quick"
        go_on.set()
        assert waiting.result(10) == "slow"


def test_what_could_not_be_made_is_asked_for_again():
    kept = memo.Kept(2)
    with pytest.raises(ZeroDivisionError):
        kept.get_or_make("a", lambda: 1 / 0)
    assert kept.get_or_make("a", lambda: 1) == 1


def test_a_crowd_of_windows_and_keys_gets_the_right_things():
    kept = memo.Kept(3)

    def ask(seed: int) -> None:
        drawn = random.Random(seed)
        for _ in range(500):
            key = drawn.randrange(8)
            assert kept.get_or_make(key, lambda key=key: key * key) == key * key

    with ThreadPoolExecutor(8) as windows:
        for asked in [windows.submit(ask, seed) for seed in range(8)]:
            asked.result(60)
