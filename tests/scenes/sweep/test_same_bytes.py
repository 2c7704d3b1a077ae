"""The same bytes whoever works out the cases: one process or two, one that was killed, a cluster."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from time import monotonic, sleep

import pytest
from click.testing import Result

from scenes.progress import Remarks
from scenes.sweep.case import worked_out
from scenes.sweep.cluster import Cluster
from scenes.sweep.store import JOURNAL, RESULTS
from scenes.sweep.table import csv_bytes, parquet_bytes
from tests.scenes.sweep.small import ASKED, COUNT, small, to_work_out

ROOT = Path(__file__).parents[3]
PATIENCE = 60.0
COMMAND = (
    "sweep",
    "cottage",
    "--no-picture",
    "--measure",
    "cut-area",
    *(w for a in ASKED for w in ("--vary", a)),
)


def started(*command: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, *command], cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


def wait_until(done: Callable[[], bool]) -> None:
    end = monotonic() + PATIENCE
    while not done():
        assert monotonic() < end, "took too long"
        sleep(0.02)


def lines(folder: Path) -> list[bytes]:
    path = folder / JOURNAL
    return path.read_bytes().splitlines(keepends=True) if path.exists() else []


@pytest.fixture(scope="module")
def tables() -> tuple[bytes, bytes]:
    """CSV and Parquet of the cases worked out in this very process, the last one first."""
    sweep, cases = small(*ASKED, drops=20_000)
    rows = {case.number: worked_out(case) for case in reversed(to_work_out(sweep, cases))}
    return csv_bytes(sweep, rows), parquet_bytes(sweep, rows)


def test_killed_and_gone_on(
    tmp_path: Path, stackrain: Callable[..., Result], tables: tuple[bytes, bytes]
) -> None:
    """Contract: no finished case is lost or done twice; the tables are those of a sweep left alone."""
    command = ("-c", "from scenes.cli import main; main()", *COMMAND, "-o", str(tmp_path / "out"))
    process = started(*command, "--processes", "2")
    wait_until(lambda: len(lines(tmp_path / "out")) >= 2)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    kept = lines(tmp_path / "out")
    assert len(kept) < COUNT
    assert not any((tmp_path / "out" / name).exists() for name in RESULTS)
    got = stackrain(*COMMAND, "-o", "out", "--processes", "1")
    assert got.exit_code == 0, got.stderr
    now = lines(tmp_path / "out")
    whole = [line for line in kept if line.endswith(b"\n")]
    assert now[: len(whole)] == whole
    assert len(now) == COUNT
    assert tuple((tmp_path / "out" / name).read_bytes() for name in RESULTS[:2]) == tables
    again = stackrain(*COMMAND, "-o", "out")
    assert (again.stdout, f"{COUNT} of {COUNT} cases are there already" in again.stderr) == (
        got.stdout,
        True,
    )
    assert tuple((tmp_path / "out" / name).read_bytes() for name in RESULTS[:2]) == tables


@pytest.fixture
def cluster(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A scheduler and two workers, each a process of its own; its address and the workers."""
    # Where it would otherwise write its settings into the home of whoever runs the tests.
    monkeypatch.setenv("DASK_CONFIG", str(tmp_path / "dask"))
    file = tmp_path / "scheduler.json"
    with ExitStack() as running:

        def begin(*command: str) -> subprocess.Popen[bytes]:
            process = running.enter_context(
                started("-m", f"distributed.cli.{command[0]}", *command[1:])
            )
            running.callback(process.kill)
            return process

        here = ("--host", "127.0.0.1", "--no-dashboard", "--scheduler-file", str(file))
        begin("dask_scheduler", "--port", "0", *here)
        one = ("--nthreads", "1", "--no-nanny", "--local-directory", str(tmp_path))
        workers = [begin("dask_worker", *here, *one) for _ in range(2)]
        wait_until(lambda: file.exists() and b'"address"' in file.read_bytes())
        yield file.read_text().split('"address": "')[1].split('"')[0], workers


def test_a_cluster_that_loses_a_worker(
    cluster: tuple[str, list[subprocess.Popen[bytes]]], tables: tuple[bytes, bytes]
) -> None:
    """Contract: what the lost worker had goes to the other; nothing is lost, nothing differs."""
    address, workers = cluster
    sweep, cases = small(*ASKED, drops=20_000)
    hands = Cluster(address, Remarks(quiet=True))
    try:
        wait_until(lambda: hands.threads() == 2)
        rows = {}
        for number, row in enumerate(hands.rows(to_work_out(sweep, cases))):
            rows[row["case"]] = row
            if number == 1:
                workers[0].kill()
        assert len(rows) == COUNT
        assert hands.threads() == 1
    finally:
        hands.close()
    assert (csv_bytes(sweep, rows), parquet_bytes(sweep, rows)) == tables
