"""Cases worked out by processes of this machine, in whatever order they end."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from typing import Final

from meshes.errors import SceneError
from scenes.sweep.case import GOES_ON, Case, Row, worked_out
from scenes.sweep.worker import begin

AHEAD: Final = 4
"""Cases handed out for each process: enough that none is idle."""


def in_processes(cases: Sequence[Case], processes: int) -> Iterator[Row]:
    """The rows of the cases as they end, from so many processes (1 or more), never from this one.

    Each is started afresh: a process that is forked while its threads run may hang. Raises SceneError when
    one of them is ended from outside.
    """
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(processes, mp_context=context, initializer=begin)
    left = iter(cases)
    waiting: set[Future[Row]] = set()
    try:
        while True:
            more = islice(left, AHEAD * processes - len(waiting))
            waiting |= {pool.submit(worked_out, case) for case in more}
            if not waiting:
                break
            done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            for one in done:
                yield one.result()
    except BrokenProcessPool as error:
        ended = "a process was ended before its case was done (fewer --processes need less memory)"
        raise SceneError(f"{ended}; {GOES_ON}") from error
    finally:
        # Nobody waits for cases that nobody will keep: those at work end with their processes.
        at_work = [*(pool._processes or {}).values()] if waiting else []
        pool.shutdown(wait=not waiting, cancel_futures=True)
        for process in at_work:
            process.terminate()
