"""Files that are written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from meshes.errors import SceneError
from scenes.whole_file import check_file, whole_file


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), SceneError("no")])
def test_what_goes_wrong_half_way_leaves_what_was_there(tmp_path: Path, error: Exception) -> None:
    """Contract: the old file whole, and nothing beside it."""
    (tmp_path / "a.png").write_bytes(b"old")

    def write() -> None:
        with whole_file(tmp_path / "a.png", force=True) as half:
            half.write_bytes(b"new, half of it")
            raise error

    with pytest.raises(SceneError):
        write()
    assert files(tmp_path) == {"a.png": b"old"}


def test_a_file_that_came_meanwhile_is_not_lost(tmp_path: Path) -> None:
    """Contract: without force nothing is ever written over."""

    def write() -> None:
        with whole_file(tmp_path / "a.png", force=False) as half:
            half.write_bytes(b"new")
            (tmp_path / "a.png").write_bytes(b"theirs")

    with pytest.raises(SceneError, match="is there already; --force replaces it"):
        write()
    assert files(tmp_path) == {"a.png": b"theirs"}


@pytest.mark.parametrize("force", [True, False])
def test_what_goes_well_is_there_with_the_usual_rights(tmp_path: Path, force: bool) -> None:
    """Contract: as any new file of this user."""
    with whole_file(tmp_path / "a.png", force=force) as half:
        half.write_bytes(b"new")
    (tmp_path / "b.png").write_bytes(b"")
    assert files(tmp_path)["a.png"] == b"new"
    assert len(files(tmp_path)) == 2
    assert (tmp_path / "a.png").stat().st_mode == (tmp_path / "b.png").stat().st_mode


def test_a_disk_without_links_is_written_to_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Contract; such disks refuse links with one error or another."""

    def refuses(*_: object) -> None:
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuses)
    with whole_file(tmp_path / "a.png", force=False) as half:
        half.write_bytes(b"new")
    assert files(tmp_path) == {"a.png": b"new"}


@pytest.mark.parametrize("name", ["a.txt", "a\0.png", "none/a.png"])
def test_names_that_no_picture_can_have(tmp_path: Path, name: str) -> None:
    """Contract: one line, before any work."""
    with pytest.raises(SceneError, match=r"must end in|can't be written"):
        check_file(tmp_path / name, force=False)
