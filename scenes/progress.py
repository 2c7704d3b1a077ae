"""Remarks while a run takes its time: on standard error, and only for what takes over a second."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Timer
from time import perf_counter

SILENCE = 1.0
"""How long a step may take before it is worth a remark [s]."""


class Remarks:
    """Says what is being done when it takes over a second. Says nothing when `quiet`."""

    def __init__(self, *, quiet: bool = False) -> None:
        self._quiet = quiet

    def say(self, words: str) -> None:
        """One line on standard error, at once."""
        if not self._quiet:
            print(words, file=sys.stderr, flush=True)

    @contextmanager
    def step(self, words: str) -> Iterator[None]:
        """Around a piece of work: after a second say what it is, at its end how long it took."""
        told: list[str] = []

        def tell() -> None:
            told.append(words)
            self.say(f"{words} ...")

        timer = Timer(SILENCE, tell)
        timer.daemon = True
        started = perf_counter()
        timer.start()
        try:
            yield
        finally:
            timer.cancel()
        if told:
            self.say(f"{words}: {perf_counter() - started:.1f} s")
