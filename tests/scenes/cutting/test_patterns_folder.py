"""The folder of patterns within a results folder: replaced whole, put back whole, no stranger's."""

from __future__ import annotations

from pathlib import Path

import pytest

from meshes.errors import SceneError
from scenes.folder import PATTERNS, fresh_folder, write_files


def fill(folder: Path, name: str = "new.svg") -> None:
    with fresh_folder(folder, force=True) as new:
        write_files(new, {"cut-list.csv": b"new"})
        (new / PATTERNS).mkdir()
        write_files(new / PATTERNS, {name: b"new"})


def content(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_it_is_replaced_whole(tmp_path: Path) -> None:
    """Derived: a pattern that the new cut list has not goes."""
    fill(tmp_path, "old.dxf")
    fill(tmp_path)
    assert content(tmp_path) == {"cut-list.csv": b"new", "patterns/new.svg": b"new"}


def test_other_results_take_it_away(tmp_path: Path) -> None:
    """Derived: as with files: patterns of an old scene would stand beside the new findings."""
    fill(tmp_path)
    with fresh_folder(tmp_path, force=True) as new:
        write_files(new, {"findings.json": b"new"})
    assert content(tmp_path) == {"findings.json": b"new"}


@pytest.mark.parametrize("fault", [RuntimeError, KeyboardInterrupt, OSError])
def test_it_comes_back_when_anything_goes_wrong(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: type[BaseException]
) -> None:
    """Contract: whatever goes wrong while files are moved in, what was there comes back whole."""
    fill(tmp_path, "old.dxf")
    before = content(tmp_path)
    rename = Path.rename

    def failing(self: Path, target: Path) -> Path:
        if self.name == PATTERNS and self.parent.name == "new":
            raise fault("stopped")
        return rename(self, target)

    monkeypatch.setattr("scenes.move_in.changed_places", lambda *_: False)
    monkeypatch.setattr(Path, "rename", failing)
    with pytest.raises((fault, SceneError)):
        fill(tmp_path)
    assert content(tmp_path) == before
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


@pytest.mark.parametrize("stranger", ["notes.txt", "sub/new.svg"])
def test_a_strangers_folder_is_not_touched(tmp_path: Path, stranger: str) -> None:
    """Safety: a folder of that name that holds anything else is refused, and left by other results."""
    path = tmp_path / PATTERNS / stranger
    path.parent.mkdir(parents=True)
    path.write_bytes(b"mine")
    with pytest.raises(SceneError, match="holds more than drawings"):
        fill(tmp_path)
    with fresh_folder(tmp_path, force=True) as new:
        write_files(new, {"findings.json": b"new"})
    assert content(tmp_path) == {"findings.json": b"new", f"patterns/{stranger}": b"mine"}


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    """Safety: a link of that name may lead anywhere."""
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "mine.svg").write_bytes(b"mine")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / PATTERNS).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(SceneError, match="holds more than drawings"):
        fill(tmp_path / "out")
    assert content(tmp_path / "elsewhere") == {"mine.svg": b"mine"}
