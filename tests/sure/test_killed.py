"""Killed at any moment: results are the old ones whole or the new ones whole, and strangers' files stay."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from meshes.errors import SceneError
from scenes.folder import fresh_folder, write_files
from tests.sure.children import content, in_a_child

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")

OLD = {"findings.json": b"old", "picture.png": b"old", "patterns/a.svg": b"old"}
NEW = {"findings.json": b"new", "model.glb": b"new", "patterns/b.svg": b"new"}
MINE = {"diary.txt": b"mine"}
MINE_BELOW = {"photos/front.jpg": b"mine"}


def put(folder: Path, files: dict[str, bytes]) -> None:
    for name, what in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(what)


def write_new(folder: Path) -> None:
    with fresh_folder(folder, force=True) as new:
        put(new, NEW)


def refused(folder: Path) -> None:
    """A run that comes later and writes nothing: it only clears up."""
    with pytest.raises(RuntimeError), fresh_folder(folder, force=True):
        raise RuntimeError


def killed_at_each_step(
    home: Path, before: dict[str, bytes], after_kill: Callable[[Path], None]
) -> int:
    """Kill the writing of results before each of its steps; how many there are."""
    for step in range(1, 1000):
        folder = home / f"{step}" / "out"
        put(folder, before)
        ended = in_a_child(lambda folder=folder: write_new(folder), killed_at=step)
        if ended == 0:
            return step - 1
        assert ended == -signal.SIGKILL
        after_kill(folder)
    raise AssertionError("it never ends")


@pytest.mark.parametrize("strangers", [{}, MINE])
def test_old_whole_or_new_whole(tmp_path: Path, strangers: dict[str, bytes]) -> None:
    """The issue: at each step on the disk; what is there at once is one or the other, and the next run
    takes away what the killed one left."""
    seen = set()

    def check(folder: Path) -> None:
        there = content(folder)
        assert there in (OLD | strangers, NEW | strangers)
        seen.add(there["findings.json"])
        refused(folder)
        assert content(folder) == there
        assert [path.name for path in folder.parent.iterdir()] == ["out"]
        assert not list(folder.glob(".*"))

    assert killed_at_each_step(tmp_path, OLD | strangers, check) > 20
    assert seen == {b"old", b"new"}


def test_no_folder_or_a_whole_one(tmp_path: Path) -> None:
    """The issue: where there was none there is none, or a whole one."""

    def check(folder: Path) -> None:
        assert content(folder) in ({}, NEW)

    assert killed_at_each_step(tmp_path, {}, check) > 10


@pytest.mark.parametrize("way", ["a stranger's folder", "no exchange"])
def test_file_by_file_the_next_run_makes_it_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    """Where folders can't change places (a stranger's folder within, another system), a kill among the
    moves is mended by whatever run comes next, one that writes nothing too."""
    strangers = MINE_BELOW if way == "a stranger's folder" else MINE
    if way == "no exchange":
        monkeypatch.setattr("scenes.move_in.changed_places", lambda *_: False)
    seen = set()

    def check(folder: Path) -> None:
        assert strangers.items() <= content(folder).items()
        refused(folder)
        there = content(folder)
        assert there in (OLD | strangers, NEW | strangers)
        seen.add(there["findings.json"])
        assert not list(folder.glob(".*"))

    assert killed_at_each_step(tmp_path, OLD | strangers, check) > 20
    assert seen == {b"old", b"new"}


def test_a_kill_of_the_command_itself(tmp_path: Path) -> None:
    """The issue: `run` killed by the clock, at its start, at work and near its end."""
    folder = tmp_path / "out"
    put(folder, OLD)
    command = [
        sys.executable, "-c", "from scenes.cli import main; main()",
        "run", "cottage", "-o", str(folder), "--force", "--no-picture", "--quiet", "--drops", "500",
        "--threads", "1",
    ]  # fmt: skip
    for wait in (0.4, 1.5, 2.2):
        running = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        time.sleep(wait)
        running.kill()
        running.wait()
        there = content(folder)
        if there != OLD:
            assert b'"schema": 1' in there["findings.json"]
            assert {"report.pdf", "paths.vtp", "model.glb"} <= set(there)
            assert not {"picture.png", "patterns/a.svg"} & set(there)


def test_two_at_once_are_each_whole(tmp_path: Path) -> None:
    """The issue, two runs into one folder: with --force the last one's results, of one run alone."""
    folder = tmp_path / "out"
    children = []
    for number in range(8):
        child = os.fork()
        if child == 0:
            code = 1
            try:
                for _ in range(20):
                    with fresh_folder(folder, force=True) as new:
                        mark = b"%d" % number
                        write_files(
                            new, {"findings.json": mark, f"suspect-{number % 3 + 1}.png": mark}
                        )
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * len(children)
    there = content(folder)
    assert len(there) == 2
    assert len(set(there.values())) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_without_force_the_second_is_refused(tmp_path: Path) -> None:
    """Derived: both began while there was no folder; the first to end is kept, the other told so."""
    folder = tmp_path / "out"

    def slow_and_quick() -> None:
        with fresh_folder(folder, force=False) as slow:
            with fresh_folder(folder, force=False) as quick:
                write_files(quick, {"findings.json": b"quick"})
            write_files(slow, {"findings.json": b"slow"})

    with pytest.raises(SceneError, match="holds files already"):
        slow_and_quick()
    assert content(folder) == {"findings.json": b"quick"}
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_what_another_run_is_at_work_on_stays(tmp_path: Path) -> None:
    """Derived: only what a killed run left is taken away."""
    with fresh_folder(tmp_path / "one", force=False) as at_work:
        write_files(at_work, {"findings.json": b"one"})
        with fresh_folder(tmp_path / "other", force=False) as new:
            write_files(new, {"findings.json": b"other"})
        assert at_work.is_dir()
    assert content(tmp_path) == {"one/findings.json": b"one", "other/findings.json": b"other"}
