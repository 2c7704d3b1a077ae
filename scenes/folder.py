"""A results folder: the old one whole or the new one whole, and nobody else's files touched."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from meshes.errors import SceneError

OURS = (
    "findings.json", "paths.vtp", "model.glb", "picture.png", "page.html", "report.html",
    "report.pdf", "gust.json", "gust.png",
    "first-leak.png", "compare.json", "compare.png", "lesson.html",
    "diagnosis.json", "suspect-1.png", "suspect-2.png", "suspect-3.png", "cut-list.csv",
    "cut-list.pdf",
)  # fmt: skip
"""Files that a command writes, the only ones that it may replace or take away."""
PATTERNS = "patterns"
"""A folder that a command writes. It is replaced whole, as long as it holds drawings alone."""
DRAWINGS = (".dxf", ".svg")
PREFIX = ".stackrain-"


def check_folder(folder: Path, *, force: bool) -> None:
    """Refuse, before the work, a folder that can't take the results. Changes nothing.

    Raises SceneError when it is a file, holds anything (unless `force`) or can't be written to.
    """
    try:
        if folder.is_dir():
            if any(folder.iterdir()) and not force:
                raise SceneError(f"{folder}: holds files already; --force replaces earlier results")
            nearest = folder
        elif os.path.lexists(folder):
            raise SceneError(f"{folder}: is not a folder, so no results can be written there")
        else:
            nearest = next(parent for parent in folder.absolute().parents if parent.exists())
    except OSError as error:
        raise _unwritable(folder, error) from error
    if not nearest.is_dir():
        raise SceneError(f"{folder}: can't be written to ({nearest} is not a folder)")
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise SceneError(f"{folder}: can't be written to (no permission in {nearest})")


@contextmanager
def fresh_folder(folder: Path, *, force: bool) -> Iterator[Path]:
    """A temporary folder to write results to; they are moved to `folder` only if all went well.

    Yields its path, on the same disk as `folder`. Whatever goes wrong, an interrupt included, what
    was in `folder` stays or comes back, and nothing of the new is left. Raises SceneError when the
    disk says no, or as check_folder does.
    """
    check_folder(folder, force=force)
    made: list[Path] = []
    try:
        _make_parents(folder, made)
        home = folder if folder.is_dir() else folder.absolute().parent
        staging = Path(tempfile.mkdtemp(prefix=PREFIX, dir=home))
    except OSError as error:
        _unmake(made)
        raise _unwritable(folder, error) from error
    try:
        new = staging / "new"
        new.mkdir()
        yield new
        _move_in(new, staging / "old", folder)
        made = []
    except OSError as error:
        raise _unwritable(folder, error) from error
    finally:
        shutil.rmtree(staging, ignore_errors=True)
        _unmake(made)


def write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files by name. Raises OSError."""
    for name, content in files.items():
        (folder / name).write_bytes(content)


def _move_in(new: Path, old: Path, folder: Path) -> None:
    """Put the new files in the place of the old ones, or put all back as it was."""
    if not folder.exists():
        new.rename(folder)
        return
    old.mkdir()
    fresh = sorted(path.name for path in new.iterdir())
    ours = _holds_drawings_alone(folder / PATTERNS)
    if PATTERNS in fresh and os.path.lexists(folder / PATTERNS) and not ours:
        raise SceneError(f"{folder / PATTERNS}: holds more than drawings, so it can't be replaced")
    try:
        if ours:
            (folder / PATTERNS).rename(old / PATTERNS)
        for name in OURS:
            if (folder / name).is_file() or (folder / name).is_symlink():
                (folder / name).rename(old / name)
        for name in fresh:
            (new / name).rename(folder / name)
    except BaseException:
        for name in fresh:
            if not (new / name).exists() and (folder / name).exists():
                (folder / name).rename(new / name)
        for path in old.iterdir():
            path.rename(folder / path.name)
        raise


def _holds_drawings_alone(folder: Path) -> bool:
    """Whether it is a folder, no link to one, in which every entry is a drawing as a command writes it."""
    if folder.is_symlink() or not folder.is_dir():
        return False
    return all(
        path.suffix in DRAWINGS and path.is_file() and not path.is_symlink()
        for path in folder.iterdir()
    )


def _make_parents(folder: Path, made: list[Path]) -> None:
    """Make the folders above `folder` that aren't there, and list them in `made`, last first."""
    missing = [parent for parent in folder.absolute().parents if not parent.exists()]
    for parent in reversed(missing):
        parent.mkdir()
        made.insert(0, parent)


def _unmake(folders: list[Path]) -> None:
    for folder in folders:
        if folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()


def _unwritable(folder: Path, error: OSError) -> SceneError:
    return SceneError(f"{folder}: can't be written to ({error.strerror or error})")
