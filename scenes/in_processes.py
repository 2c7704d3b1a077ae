"""Independent pieces of work, spread over processes: most of the work on a detail holds Python's lock."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from types import TracebackType
from typing import Any, TypeVar

from sim.threads import LIMIT, cores

Item = TypeVar("Item")
Answer = TypeVar("Answer")

MOST_PROCESSES = 8
"""Each holds a detail and its charts: some hundred megabytes."""


def processes_for(threads: int | None) -> int:
    """How many processes to use where so many threads were asked for; None for all cores."""
    return max(1, min(threads or cores(), MOST_PROCESSES))


def in_processes(
    work: Callable[[Item], Answer], items: Sequence[Item], processes: int | None = None
) -> Iterator[Answer]:
    """The answers to the items, in their order, as they come. Whoever does what never shows in them.

    work: a function of a module, for it goes to other processes by its name, and so do items and
    answers; processes: 1 or more; None: as many as there are cores. What work raises is raised here.
    """
    with Workers(min(processes_for(processes), len(items))) as workers:
        waiting = [workers.begin(work, item) for item in items]
        for answer in waiting:
            yield answer()


def _begin(share: int) -> None:
    """Leave the other processes their cores."""
    os.environ[LIMIT] = str(share)


class Workers:
    """Processes that call functions of a module by their arguments; with one, it is done here.

    Each is started afresh: a process that is forked while its threads run may hang.
    """

    def __init__(self, processes: int) -> None:
        self._pool: ProcessPoolExecutor | None = None
        if processes > 1:
            context = multiprocessing.get_context("spawn")
            share = max(1, cores() // processes)
            self._pool = ProcessPoolExecutor(
                processes, mp_context=context, initializer=_begin, initargs=(share,)
            )

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=error is None, cancel_futures=True)

    def map(self, work: Callable[..., Any], rows: Iterable[tuple[Any, ...]]) -> list[Any]:
        """What `work` answers to each row of arguments, in their order."""
        if self._pool is None:
            return [work(*row) for row in rows]
        asked = [self._pool.submit(work, *row) for row in rows]
        return [one.result() for one in asked]

    def begin(self, work: Callable[..., Any], *row: Any) -> Callable[[], Any]:
        """Begin a piece of work; what is given back waits for its answer."""
        if self._pool is None:
            return lambda: work(*row)
        asked: Future[Any] = self._pool.submit(work, *row)
        return asked.result
