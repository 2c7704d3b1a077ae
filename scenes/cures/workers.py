"""The same work done side by side in several processes, answers in the order asked."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterable
from concurrent.futures import Future, ProcessPoolExecutor
from types import TracebackType
from typing import Any

MOST_PROCESSES = 8
"""Each holds a detail and its charts: some hundred megabytes."""


def processes_for(threads: int | None) -> int:
    """How many processes to use where so many threads were asked for; None for all cores."""
    return max(1, min(threads or os.cpu_count() or 1, MOST_PROCESSES))


class Workers:
    """Processes that call functions of a module by their arguments; with one, it is done here.

    Each is started afresh: a process that is forked while its threads run may hang.
    """

    def __init__(self, processes: int) -> None:
        self._pool: ProcessPoolExecutor | None = None
        if processes > 1:
            context = multiprocessing.get_context("spawn")
            self._pool = ProcessPoolExecutor(max_workers=processes, mp_context=context)

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
