"""Spread runs of independent work over threads. The kernels let go of Python's lock."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from functools import cache
from itertools import pairwise

from meshes.errors import SceneError, require

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


def in_threads(work: Callable[[int, int], object], runs: int, threads: int | None) -> None:
    """Call work(first, last) so that together the calls cover 0 to runs, each run once.

    threads: at least 1; None: as many as there are cores. Which thread does what never shows in the
    result, since runs share nothing. Raises SceneError for fewer than one thread.
    """
    wanted = cores() if threads is None else threads
    require(wanted >= 1, "threads", wanted, "at least 1", SceneError)
    if wanted == 1 or runs < 2:
        work(0, runs)
        return
    shares = min(runs, wanted * SHARES)
    cuts = [runs * k // shares for k in range(shares + 1)]
    shared = [_pool(wanted).submit(work, a, b) for a, b in pairwise(cuts)]
    wait(shared)
    for done in shared:
        done.result()


@cache
def _pool(threads: int) -> ThreadPoolExecutor:
    """Threads that stay: to start them takes as long as a small share of work."""
    return ThreadPoolExecutor(threads, "stackrain")


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_pool.cache_clear)  # threads don't come along
