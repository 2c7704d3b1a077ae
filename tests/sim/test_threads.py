"""Runs shared out over threads: each once, whatever the number of them, and errors come through."""

from __future__ import annotations

import os
from threading import Lock

import pytest

from meshes.errors import SceneError
from scenes.in_processes import Workers
from sim.threads import LIMIT, cores, in_threads, meanwhile


@pytest.mark.parametrize("threads", [1, 2, 5, None])
@pytest.mark.parametrize("runs", [0, 1, 2, 7, 100])
def test_every_run_is_done_once(threads: int | None, runs: int) -> None:
    """Exact."""
    done, lock = [0] * runs, Lock()

    def work(first: int, last: int) -> None:
        with lock:
            for run in range(first, last):
                done[run] += 1

    in_threads(work, runs, threads)
    assert done == [1] * runs


def test_what_work_raises_is_raised_when_all_have_ended() -> None:
    """Contract: no share is still at work when the caller goes on."""
    ended: list[int] = []

    def work(first: int, last: int) -> None:
        ended.append(first)
        if first == 0:
            raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        in_threads(work, 40, 2)
    assert len(ended) == 16
    with pytest.raises(SceneError, match="threads"):
        in_threads(work, 4, 0)


def test_a_process_may_be_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    """Contract: never more than the system lets it have; nonsense limits nothing."""
    monkeypatch.delenv(LIMIT, raising=False)
    own = cores()
    for said, expected in (("1", 1), ("9999", own), ("0", own), ("many", own)):
        monkeypatch.setenv(LIMIT, said)
        assert cores() == expected


def test_processes_share_the_cores() -> None:
    """Derived: as many processes as cores, and one more, have one each."""
    with Workers(max(2, cores())) as workers:
        assert set(workers.map(os.getenv, [(LIMIT,)] * 3)) == {"1"}


@pytest.mark.parametrize("threads", [1, 2])
def test_work_beside_is_done_once_and_its_error_raised(threads: int) -> None:
    """Contract: asked twice, the same result; what it raised comes when it is asked for, not before."""
    done: list[int] = []

    def work() -> int:
        in_threads(lambda first, last: done.extend(range(first, last)), 9, threads)
        return len(done)

    asked = meanwhile(work, threads)
    assert (asked(), asked(), sorted(done)) == (9, 9, list(range(9)))

    def fails() -> int:
        raise ValueError("no")

    wrong = meanwhile(fails, threads)
    with pytest.raises(ValueError, match="no"):
        wrong()
