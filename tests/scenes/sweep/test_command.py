"""The command itself: what it refuses, in one line, before any work; and how it stops."""

from __future__ import annotations

import builtins
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from meshes.errors import SceneError
from scenes.sweep import pool
from scenes.sweep.case import Case, Row, worked_out
from scenes.sweep.store import JOURNAL, RESULTS

Run = Callable[..., Result]
METAL = ("sweep", "cottage", "--measure", "cut-area", "-o", "out")


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cases are worked out in this process, which spares its start."""

    def rows(cases: Sequence[Case], processes: int) -> Iterator[Row]:
        yield from map(worked_out, cases)

    monkeypatch.setattr(pool, "in_processes", rows)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--vary", "ptch=20:30:5"), "Did you mean roof.pitch_deg"),
        (("--vary", "pitch=20:30"), "a range needs a STEP"),
        (("--vary", "pitch=20:30:5", "--weather", "hail"), "weather must be one of"),
        (("--vary", "from=0:90:45", "--from", "3"), "is set by an option too"),
        (("--vary", "pitch=20:30:5", "--sample", "30000"), "at most 20,000 cases"),
        (("--vary", "pitch=20:30:5", "--scheduler", "x"), "must be as tcp://HOST:8786"),
        (("--vary", "pitch=20:30:5", "--scheduler", "x:1", "--processes", "2"), "for others"),
        (("--vary", "pitch=20:30:5", "--fault", "bad luck"), "no such fault"),
        ((), "Missing option '--vary'"),
    ],
)
def test_what_is_refused(
    stackrain: Run, tmp_path: Path, options: Sequence[str], words: str
) -> None:
    """Contract: exit 2, one line, nothing written."""
    got = stackrain(*METAL, *options)
    assert got.exit_code == 2
    assert words in got.stderr
    assert got.stderr.count("\n") == 1
    assert not [*tmp_path.iterdir()]


def test_without_the_extra_a_scheduler_is_refused(
    stackrain: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Contract: one line that says what to install."""
    real = builtins.__import__

    def without(name: str, *args: Any, **kwargs: Any) -> Any:
        if name == "distributed":
            raise ModuleNotFoundError(name)
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", without)
    got = stackrain(*METAL, "--vary", "pitch=20:30:5", "--scheduler", "tcp://127.0.0.1:1")
    assert got.exit_code == 2
    assert got.stderr.strip().endswith('pip install "stackrain[cluster]"')
    assert not [*tmp_path.iterdir()]


@pytest.mark.usefixtures("here")
def test_a_sweep_and_what_it_writes(stackrain: Run, tmp_path: Path) -> None:
    """Contract: the headline printed, a row for what can't be built too, the files."""
    got = stackrain(*METAL, "--vary", "pitch=12,30,40", "--units", "imperial")
    assert got.exit_code == 0, got.stderr
    assert "Least sheet metal" in got.stdout
    assert "1 case: gutter leg must be shorter" in got.stdout
    assert {path.name for path in (tmp_path / "out").iterdir()} == {*RESULTS, JOURNAL, "sweep.json"}
    rows = (tmp_path / "out" / "sweep.csv").read_text().splitlines()
    assert [row.split(",")[1:3] for row in rows[1:]] == [
        ["12.0", "refused"], ["30.0", "done"], ["40.0", "done"],
    ]  # fmt: skip
    other = stackrain(*METAL, "--vary", "pitch=12,30")
    assert (other.exit_code, "holds another sweep" in other.stderr) == (2, True)
    assert stackrain(*METAL, "--vary", "pitch=30", "--force", "--no-picture").exit_code == 0
    assert not (tmp_path / "out" / "map.png").exists()


def test_ctrl_c_keeps_what_is_done(
    stackrain: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Contract: exit 130, the finished cases kept, and so said."""

    def stopped(cases: Sequence[Case], processes: int) -> Iterator[Row]:
        yield worked_out(cases[0])
        raise KeyboardInterrupt

    monkeypatch.setattr(pool, "in_processes", stopped)
    got = stackrain(*METAL, "--vary", "pitch=30,40")
    assert got.exit_code == 130
    assert "1 of 2 cases are kept, the same command goes on" in got.stderr
    assert len((tmp_path / "out" / JOURNAL).read_bytes().splitlines()) == 1


def test_a_process_that_is_ended_from_outside_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: as when memory runs out; the work that ends its process stands for it."""
    monkeypatch.setattr(pool, "worked_out", _end)
    with pytest.raises(
        SceneError, match=r"ended before its case was done.*the same command goes on"
    ):
        next(pool.in_processes([1], 1))  # type: ignore[list-item]


def _end(case: object) -> None:
    import os

    os._exit(9)
