"""A results folder: the old one whole or the new one whole, and nobody else's files touched."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path

from meshes.errors import SceneError
from scenes.move_in import (
    FOR,
    NEW,
    OURS,
    PATTERNS,
    finish,
    is_left,
    may_swap,
    move_in,
)  # fmt: skip
from scenes.swap import alone_in

__all__ = ["OURS", "PATTERNS", "PREFIX", "check_folder", "fresh_folder", "write_files"]

PREFIX = ".stackrain-"
"""What the names of half-done files and folders begin with."""


def check_folder(folder: Path, *, force: bool) -> None:
    """Refuse, before the work, a folder that can't take the results. Changes nothing.

    Raises SceneError when it is a file, holds anything (unless `force`) or can't be written to.
    """
    try:
        if folder.is_dir():
            if not force and not all(path.name.startswith(PREFIX) for path in folder.iterdir()):
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
    was in `folder` stays or comes back, and nothing of the new is left; of a process that is killed a
    hidden folder may stay, which the next one takes away. Of two at once each is whole, and without
    `force` the second is refused. Raises SceneError when the disk says no, or as check_folder does.
    """
    check_folder(folder, force=force)
    made: list[Path] = []
    with ExitStack() as held:
        try:
            _make_parents(folder, made)
            beside = folder.resolve().parent
            with alone_in(beside) as alone:
                staging = _staging(folder, held, alone=alone)
        except OSError as error:
            _unmake(made)
            raise _unwritable(folder, error) from error
        try:
            yield staging / NEW
            with alone_in(beside):
                check_folder(folder, force=force)
                move_in(staging, folder)
            made = []
        except SceneError as error:
            # Who writes knows the temporary folder alone, which nobody else ever sees.
            raise SceneError(str(error).replace(str(staging / NEW), str(folder))) from error
        except OSError as error:
            raise _unwritable(folder, error) from error
        finally:
            shutil.rmtree(staging, ignore_errors=True)
            _unmake(made)


def _home(folder: Path) -> tuple[Path, str]:
    """Where the temporary folder is made: beside the results or, where they can't be swapped in one
    step, in their folder; and the results' name from there."""
    if not folder.is_dir():
        return folder.absolute().parent, folder.name
    if may_swap(folder):
        real = folder.resolve()
        return real.parent, real.name
    return folder, "."


def _staging(folder: Path, held: ExitStack, *, alone: bool) -> Path:
    """A new temporary folder, held as long as this process lives; alone: no other run begins or ends
    just now, so that those of killed ones can be told and are taken away."""
    home, name = _home(folder)
    if alone:
        for left in home.glob(f"{PREFIX}*/"):
            _clear_up(left)
    staging = Path(tempfile.mkdtemp(prefix=PREFIX, dir=home))
    held.enter_context(alone_in(staging))
    try:
        (staging / NEW).mkdir()
        (staging / FOR).write_bytes(os.fsencode(name))
    except OSError:
        shutil.rmtree(staging, ignore_errors=True)
        raise
    return staging


def _clear_up(left: Path) -> None:
    """Take a temporary folder away if nobody holds it any more."""
    try:
        with alone_in(left, wait=False) as dead:
            if dead and is_left(left):
                finish(left)
                shutil.rmtree(left, ignore_errors=True)
    except OSError:
        pass  # it went meanwhile, or another user's run left it


def write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files by name. Raises OSError."""
    for name, content in files.items():
        (folder / name).write_bytes(content)


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
