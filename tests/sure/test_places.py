"""Places and machines that are against it: a full disk, no permission, a terminal without letters."""

from __future__ import annotations

import errno
import json
import os
import resource
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from meshes.errors import SceneError
from scenes.folder import check_folder, fresh_folder, write_files
from tests.sure.children import content, in_a_child

Run = Callable[..., Result]
NOBODY = 65534
LETTERS = "Köln: Dach № 5 «屋根» 🌧"


def command(
    *args: str, largest: int | None = None, **environment: str
) -> subprocess.CompletedProcess:
    """Run `stackrain ARGS` as a process of its own, without what this one has in its environment."""

    def limit() -> None:
        if largest is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (largest, largest))

    kept = {
        name: os.environ[name] for name in ("PATH", "HOME", "NUMBA_CACHE_DIR") if name in os.environ
    }
    start = "from scenes.cli import main; main()"
    return subprocess.run(
        [sys.executable, "-c", start, *args], capture_output=True, check=False, timeout=300,
        env=kept | environment, preexec_fn=limit, cwd=Path(__file__).parents[2],
    )  # fmt: skip


def test_letters_in_titles_and_paths_where_the_terminal_has_none(
    tmp_path: Path, smallest: str
) -> None:
    """The issue: locale C, spaces and letters of all kinds; files keep them, the terminal shows what it
    can, and a second run without LANG writes the same bytes."""
    home = tmp_path / "ein Dach ü"
    home.mkdir()
    scene = home / "dach № 5.toml"
    scene.write_text(f'title = "{LETTERS}"\n{smallest}', encoding="utf-8")
    options = ("--drops", "300", "--threads", "1", "--no-picture", "--quiet")
    plain = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    got = command("run", str(scene), "-o", str(home / "aus ü"), *options, **plain)
    assert (got.returncode, got.stderr) == (0, b"")
    assert b"No water gets behind" in got.stdout
    found = json.loads((home / "aus ü" / "findings.json").read_bytes())
    assert found["scene"] == found["scene"] | {"title": LETTERS, "file": scene.name}
    again = command("run", str(scene), "-o", str(home / "again"), *options)
    assert again.returncode == 0
    assert content(home / "again") == content(home / "aus ü")


def test_a_disk_that_is_full_for_real(tmp_path: Path) -> None:
    """The issue: files may grow to 20 kB and no further: one line, exit 2, nothing left behind."""
    got = command(
        "run", "cottage", "-o", str(tmp_path / "out"), "--drops", "300", "--threads", "1",
        "--no-picture", "--quiet", largest=20_000,
    )  # fmt: skip
    assert got.returncode == 2
    assert len(got.stderr.splitlines()) == 1
    assert b"can't be written to" in got.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("there", [False, True])
@pytest.mark.parametrize("file", [1, 2, 3, 4, 5])
def test_the_disk_is_full_from_some_file_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, file: int, there: bool
) -> None:
    """The issue: whichever file no longer fits, what was there stays whole and nothing is added."""
    folder = tmp_path / "out"
    if there:
        folder.mkdir()
        (folder / "findings.json").write_bytes(b"old")
    before, left = content(tmp_path), [file]
    write = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        left[0] -= 1
        if left[0] <= 0:
            write(self, data[: len(data) // 2])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return write(self, data)

    def fill() -> None:
        with fresh_folder(folder, force=True) as new:
            write_files(
                new, {f"suspect-{number}.png": b"new" for number in (1, 2, 3)} | {"model.glb": b""}
            )

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(SceneError, match=r"out: can't be written to \(No space left on device\)"):
        fill()
    assert content(tmp_path) == before
    assert not list(tmp_path.rglob(".*"))


def test_a_writer_s_own_complaint_names_the_folder(tmp_path: Path) -> None:
    """Derived: who writes knows the temporary folder alone, which is gone when the line is read."""

    def complain() -> None:
        with fresh_folder(tmp_path / "out", force=False) as new:
            raise SceneError(f"picture {new / 'picture.png'} can't be written: no room")

    with pytest.raises(SceneError) as caught:
        complain()
    assert (
        str(caught.value) == f"picture {tmp_path / 'out' / 'picture.png'} can't be written: no room"
    )


def test_no_permission_is_found_out_before_the_work(tmp_path: Path) -> None:
    """The issue: a folder that may be looked into and not written to, by whoever is not root."""
    shut = tmp_path / "shut"
    (shut / "out").mkdir(parents=True)
    for folder in (shut / "out", shut):
        folder.chmod(0o555)
    for folder in (tmp_path, *tmp_path.parents):
        if not folder.stat().st_mode & 0o001:  # pytest's own, which others may not look into
            folder.chmod(folder.stat().st_mode | 0o055)

    def refused() -> None:
        if os.getuid() == 0:
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        for folder in (shut / "new", shut / "out"):
            with pytest.raises(SceneError, match=r"can't be written to .*permission"):
                check_folder(folder, force=True)

    assert in_a_child(refused) == 0


def test_the_folder_one_stands_in_stays_the_same(
    stackrain: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Derived: results written to "." are seen by whoever stands there: the folder is not swapped."""
    (tmp_path / "findings.json").write_bytes(b"old")
    before = tmp_path.stat().st_ino
    write = {"findings.json": b"new"}
    monkeypatch.chdir(tmp_path)
    with fresh_folder(Path(), force=True) as new:
        write_files(new, write)
    assert (tmp_path.stat().st_ino, content(tmp_path)) == (before, write)


def test_rights_and_strangers_stay_when_folders_are_swapped(tmp_path: Path) -> None:
    """Derived: the new folder has the old one's rights, and a file of somebody else's is the same file,
    a link to elsewhere the same link."""
    folder = tmp_path / "out"
    folder.mkdir(mode=0o750)
    (folder / "findings.json").write_bytes(b"old")
    (folder / "diary.txt").write_bytes(b"mine")
    (folder / "elsewhere").symlink_to(tmp_path / "none")
    before = (folder / "diary.txt").stat().st_ino, folder.stat().st_mode, folder.stat().st_ino
    with (folder / "diary.txt").open("ab") as diary:
        with fresh_folder(folder, force=True) as new:
            write_files(new, {"findings.json": b"new"})
        diary.write(b" still")
    now = (folder / "diary.txt").stat().st_ino, folder.stat().st_mode, folder.stat().st_ino
    assert now[:2] == before[:2]
    assert now[2] != before[2]
    assert content(folder) == {"diary.txt": b"mine still", "findings.json": b"new"}
    assert (folder / "elsewhere").readlink() == tmp_path / "none"


def test_a_link_to_a_folder_is_followed(tmp_path: Path) -> None:
    """Derived: results go where the link leads, and it stays a link."""
    (tmp_path / "real").mkdir()
    (tmp_path / "latest").symlink_to("real")
    with fresh_folder(tmp_path / "latest", force=False) as new:
        write_files(new, {"findings.json": b"new"})
    assert content(tmp_path / "real") == {"findings.json": b"new"}
    assert (tmp_path / "latest").is_symlink()
