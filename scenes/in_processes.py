"""Independent pieces of work, spread over processes: most of the work on a detail holds Python's lock."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import TypeVar

from sim.threads import cores

Item = TypeVar("Item")
Answer = TypeVar("Answer")


def in_processes(
    work: Callable[[Item], Answer], items: Sequence[Item], processes: int | None = None
) -> Iterator[Answer]:
    """The answers to the items, in their order, as they come. Whoever does what never shows in them.

    work: a function of a module, for it goes to other processes by its name, and so do items and
    answers; processes: 1 or more; None: as many as there are cores. What work raises is raised here.
    """
    wanted = min(cores() if processes is None else processes, len(items))
    if wanted <= 1:
        yield from map(work, items)
        return
    # A process that is copied while threads run may stand still for ever: each begins anew.
    fresh = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(wanted, mp_context=fresh)
    try:
        yield from pool.map(work, items)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
