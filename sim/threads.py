"""Spread runs of independent work over threads. The kernels let go of Python's lock."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from functools import cache
from itertools import pairwise
from typing import TypeVar

from meshes.errors import SceneError, require

Result = TypeVar("Result")

LIMIT = "NUMBA_NUM_THREADS"
"""The setting by which numba's users say how many threads a process may have."""
RUN = 128
"""Rows in a run: enough to forget the cost of starting it, few enough to share out evenly."""
SHARES = 8
"""Shares of work for each thread, so that one slow share keeps nobody waiting long."""


def cores() -> int:
    """Cores this process may use: those the system lets it have, and no more than LIMIT says."""
    limit = os.environ.get(LIMIT, "")
    own = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(own, int(limit)) if limit.isdecimal() and int(limit) > 0 else own


def in_threads(
    work: Callable[[int, int], object], runs: int, threads: int | None, *, least: int = 1
) -> None:
    """Call work(first, last) so that together the calls cover 0 to runs, each run once.

    threads: at least 1; None: as many as there are cores; least: runs in a call, where each thread has
    one: short runs cost less than to hand one over. Which thread does what never shows in the
    result, since runs share nothing. Raises SceneError for fewer than one thread.
    """
    wanted = cores() if threads is None else threads
    require(wanted >= 1, "threads", wanted, "at least 1", SceneError)
    if wanted == 1 or runs < 2:
        work(0, runs)
        return
    shares = min(runs, wanted * SHARES, max(wanted, runs // least))
    cuts = [runs * k // shares for k in range(shares + 1)]
    shared = [_pool(wanted).submit(work, a, b) for a, b in pairwise(cuts)]
    wait(shared)
    for done in shared:
        done.result()


def meanwhile(work: Callable[[], Result], threads: int | None = None) -> Callable[[], Result]:
    """Begin `work` beside what comes next; a call of what comes back waits for it, and gives its result
    or raises what it raised. With one thread it is done when it is first called for.
    """
    if (cores() if threads is None else threads) < 2:
        return cache(work)
    return _pool_beside().submit(work).result


@cache
def _pool_beside() -> ThreadPoolExecutor:
    """One that waits for threads of `_pool` must be none of them."""
    return ThreadPoolExecutor(1, "stackrain-beside")


@cache
def _pool(threads: int) -> ThreadPoolExecutor:
    """Threads that stay: to start them takes as long as a small share of work."""
    return ThreadPoolExecutor(threads, "stackrain")


if hasattr(os, "register_at_fork"):
    # Threads don't come along.
    os.register_at_fork(after_in_child=_pool.cache_clear)
    os.register_at_fork(after_in_child=_pool_beside.cache_clear)
