"""The results folder: old whole or new whole, nobody else's files touched."""

from __future__ import annotations

from pathlib import Path

import pytest

from meshes.errors import SceneError
from scenes.folder import OURS, check_folder, fresh_folder, write_files

NEW = {"findings.json": b"new", "model.glb": b"new"}


def fill(folder: Path, *, force: bool = False) -> None:
    with fresh_folder(folder, force=force) as new:
        write_files(new, NEW)


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def test_folders_are_made_as_needed(tmp_path: Path) -> None:
    """Derived: parents too; and the folder has the rights that any new folder has."""
    (tmp_path / "like").mkdir()
    fill(tmp_path / "a" / "b" / "out")
    assert content(tmp_path) == NEW
    mode = (tmp_path / "a" / "b" / "out").stat().st_mode
    assert mode == (tmp_path / "like").stat().st_mode


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    """Derived."""
    fill(tmp_path)
    assert content(tmp_path) == NEW


def test_files_that_are_there_are_kept_without_force(tmp_path: Path) -> None:
    """A results folder that holds files is not overwritten without --force."""
    (tmp_path / "diary.txt").write_bytes(b"mine")
    with pytest.raises(SceneError, match="holds files already; --force"):
        fill(tmp_path)
    assert content(tmp_path) == {"diary.txt": b"mine"}


def test_force_replaces_our_files_and_no_others(tmp_path: Path) -> None:
    """Derived: files of ours that the new run does not write go too, or a picture of the old run
    would stand beside the new findings."""
    for name in OURS:
        (tmp_path / name).write_bytes(b"old")
    (tmp_path / "diary.txt").write_bytes(b"mine")
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / "findings.json.txt").write_bytes(b"mine")
    fill(tmp_path, force=True)
    others = {"diary.txt": b"mine", "findings.json.txt": b"mine"}
    assert content(tmp_path) == NEW | others


@pytest.mark.parametrize("fault", [RuntimeError, KeyboardInterrupt, OSError])
@pytest.mark.parametrize("there", [True, False])
def test_a_fault_on_the_way_leaves_the_old(
    tmp_path: Path, fault: type[BaseException], there: bool
) -> None:
    """Nothing left behind."""
    folder = tmp_path / "deep" / "out"
    if there:
        folder.mkdir(parents=True)
        (folder / "findings.json").write_bytes(b"old")
    before = sorted(tmp_path.rglob("*"))

    def broken() -> None:
        with fresh_folder(folder, force=True) as new:
            write_files(new, {"findings.json": b"new"})
            raise fault("no more")

    with pytest.raises(SceneError if fault is OSError else fault, match="no more"):
        broken()
    assert sorted(tmp_path.rglob("*")) == before
    assert not there or (folder / "findings.json").read_bytes() == b"old"


def test_a_fault_between_two_files_puts_all_back(tmp_path: Path) -> None:
    """Derived: a folder of the user's is called model.glb, so the second file can't take its place;
    the first one, moved already, goes back."""
    (tmp_path / "findings.json").write_bytes(b"old")
    (tmp_path / "model.glb").mkdir()
    (tmp_path / "model.glb" / "own.txt").write_bytes(b"mine")
    with pytest.raises(SceneError, match="can't be written to"):
        fill(tmp_path, force=True)
    assert content(tmp_path) == {"findings.json": b"old", "own.txt": b"mine"}
    assert not list(tmp_path.glob(".stackrain*"))


def test_places_that_take_no_folder(tmp_path: Path) -> None:
    """A results folder that can't be written; found out before the work."""
    file = tmp_path / "file"
    file.write_bytes(b"mine")
    cases = {
        file: "is not a folder",
        file / "out": "is not a folder",
        Path("/proc/1/out"): "can't be written to",
        tmp_path / ("x" * 300): "can't be written to",
    }
    for folder, said in cases.items():
        with pytest.raises(SceneError) as caught:
            check_folder(folder, force=True)
        assert said in str(caught.value)
        with pytest.raises(SceneError):
            fill(folder, force=True)
    assert content(tmp_path) == {"file": b"mine"}
