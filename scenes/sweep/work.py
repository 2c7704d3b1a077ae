"""All cases of a sweep worked out and kept, those that are there already left alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from time import perf_counter
from typing import Final

from scenes.progress import Remarks
from scenes.sweep.asked import Sweep
from scenes.sweep.case import Case, Row
from scenes.sweep.cases import Values
from scenes.sweep.store import Store
from sim.threads import cores

Workers = Callable[[Sequence[Case]], Iterator[Row]]
"""From cases to their rows, as they end."""
BETWEEN: Final = 5.0
"""Least time between two remarks [s]."""


@contextmanager
def workers(processes: int | None, scheduler: str | None, remarks: Remarks) -> Iterator[Workers]:
    """What works out cases: so many processes of this machine, None for one a core, or the workers of the
    Dask scheduler at that address. Raises SceneError with one line where none answers."""
    if scheduler is None:
        from scenes.sweep.pool import in_processes

        yield lambda some: in_processes(some, min(processes or cores(), len(some)))
        return
    from scenes.sweep.cluster import Cluster

    cluster = Cluster(scheduler, remarks)
    try:
        yield cluster.rows
    finally:
        cluster.close()


def work(
    sweep: Sweep, cases: Sequence[Values], store: Store, hands: Workers, remarks: Remarks
) -> None:
    """Work out the cases that the store lacks; each counts once the store has it.

    Raises SceneError with one line for what stops all; what the store has, it keeps.
    """
    lacking = [
        Case(number, values, sweep)
        for number, values in enumerate(cases, start=1)
        if number not in store.rows
    ]
    if len(lacking) < len(cases):
        remarks.say(f"{len(cases) - len(lacking):,} of {len(cases):,} cases are there already")
    if not lacking:
        return
    first = told = 0.0
    for done, row in enumerate(hands(lacking)):
        store.add(row)
        now = perf_counter()
        if not done:  # what came before it is mostly the start of the processes
            first = told = now
        elif done + 1 < len(lacking) and now - told > BETWEEN:
            told = now
            left = (now - first) / done * (len(lacking) - done - 1)
            remarks.say(f"{len(store.rows):,} of {len(cases):,} cases, {_time(left)} left")


def _time(seconds: float) -> str:
    """For people: `40 s`, `12 min`, `3 h 20 min`."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"
