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
    "gust.json", "gust.png",
    "first-leak.png", "compare.json", "compare.png", "lesson.html",
    "diagnosis.json", "suspect-1.png", "suspect-2.png", "suspect-3.png",
)  # fmt: skip
"""Files that a command writes, the only ones that it may replace or take away."""
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
    try:
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
