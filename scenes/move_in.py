"""New results put in the place of the old ones: in one step where the system can, else file by file."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Final

from meshes.errors import SceneError
from scenes.swap import changed_places

OURS = (
    "findings.json", "paths.vtp", "model.glb", "picture.png", "page.html", "report.html",
    "report.pdf", "gust.json", "gust.png",
    "first-leak.png", "compare.json", "compare.png", "lesson.html",
    "diagnosis.json", "suspect-1.png", "suspect-2.png", "suspect-3.png", "cut-list.csv",
    "cut-list.pdf", "sweep.csv", "sweep.parquet", "map.png",
)  # fmt: skip
"""Files that a command writes, the only ones that it may replace or take away."""
PATTERNS = "patterns"
"""A folder that a command writes. It is replaced whole, as long as it holds drawings alone."""
DRAWINGS = (".dxf", ".svg")
NEW: Final = "new"
OLD: Final = "old"
"""Old results on their way out. As long as it is called so, some are still in their place."""
OUT: Final = "out"
"""What OLD is called once all of the old results lie in it."""
FOR: Final = "for"
"""A file with the name of the folder that the results are for."""


def may_swap(folder: Path) -> bool:
    """Whether a folder that is there may be put away and another put in its place: strangers' folders
    can't be in both, a disk's root can't be moved, and whoever stands in it would be left in the old."""
    try:
        if os.path.ismount(folder) or Path.cwd().is_relative_to(folder.resolve()):
            return False
        if not os.access(folder.resolve().parent, os.W_OK | os.X_OK):
            return False
        return not any(path.is_dir() and not path.is_symlink() for path in _strangers(folder))
    except OSError:
        return False


def move_in(staging: Path, folder: Path) -> None:
    """Put what `staging` has in NEW in the place of the folder's old results.

    A process that ends half-way leaves the old whole or the new whole; where file by file was the only
    way, once `finish` has been called. Raises SceneError and OSError, and then all is as it was.
    """
    new = staging / NEW
    if not folder.exists():
        new.rename(folder)
        return
    patterns = folder / PATTERNS
    if (new / PATTERNS).exists() and os.path.lexists(patterns) and not _drawings_alone(patterns):
        raise SceneError(f"{patterns}: holds more than drawings, so it can't be replaced")
    if not (may_swap(folder) and _in_one_step(new, folder.resolve())):
        _file_by_file(staging, folder)


def is_left(staging: Path) -> bool:
    """Whether a folder holds what a temporary one does, and nothing else."""
    if staging.is_symlink():
        return False
    return {path.name for path in staging.iterdir()} <= {NEW, OLD, OUT, FOR}


def finish(staging: Path) -> None:
    """What a process that was killed had begun file by file: brought to its end, or taken back."""
    try:
        folder = staging.parent / os.fsdecode((staging / FOR).read_bytes())
    except OSError:
        return
    going_on = (staging / OUT).is_dir()
    begun = staging / (NEW if going_on else OLD)
    if begun.is_dir() and (going_on or (staging / OLD).is_dir()):
        for path in begun.iterdir():
            if folder.is_dir() and not os.path.lexists(folder / path.name):
                path.rename(folder / path.name)


def _in_one_step(new: Path, folder: Path) -> bool:
    """Let the new folder, filled up with strangers' files, change places with the old one; False, and
    nothing done, where that can't be."""
    linked: list[Path] = []
    swapped = False
    try:
        for path in _strangers(folder):
            # The same file under both names: whoever is writing to it goes on doing so.
            os.link(path, new / path.name, follow_symlinks=False)
            linked.append(new / path.name)
        _like(new, folder)
        swapped = changed_places(new, folder)
    except OSError:
        pass
    finally:
        if not swapped:
            for path in linked:
                path.unlink()
    if swapped:
        for path in _strangers(new):  # now the old one: what somebody put there since
            if not os.path.lexists(folder / path.name):
                path.rename(folder / path.name)
    return swapped


def _like(new: Path, folder: Path) -> None:
    """Give the new folder the old one's rights and owner."""
    shutil.copystat(folder, new)
    os.utime(new)
    old, now = folder.stat(), new.stat()
    if (old.st_uid, old.st_gid) != (now.st_uid, now.st_gid):
        shutil.chown(new, old.st_uid, old.st_gid)


def _file_by_file(staging: Path, folder: Path) -> None:
    """The same in many steps, each of which can be gone on with or taken back."""
    new, old = staging / NEW, staging / OLD
    fresh = sorted(path.name for path in new.iterdir())
    old.mkdir()
    try:
        for name in (PATTERNS, *OURS):
            if _is_ours(folder / name):
                (folder / name).rename(old / name)
        old = old.rename(staging / OUT)
        for name in fresh:
            (new / name).rename(folder / name)
    except BaseException:
        for name in fresh:
            if not (new / name).exists() and (folder / name).exists():
                (folder / name).rename(new / name)
        for path in (staging / OUT if (staging / OUT).exists() else old).iterdir():
            path.rename(folder / path.name)
        raise


def _strangers(folder: Path) -> list[Path]:
    """What is in a results folder and is none of its results."""
    return [path for path in folder.iterdir() if not _is_ours(path)]


def _is_ours(path: Path) -> bool:
    """Whether it is a result: its name is one of ours and it is a file, or our folder of drawings."""
    if path.name == PATTERNS:
        return _drawings_alone(path)
    return path.name in OURS and (path.is_file() or path.is_symlink())


def _drawings_alone(folder: Path) -> bool:
    """Whether it is a folder, no link to one, in which every entry is a drawing as a command writes it."""
    if folder.is_symlink() or not folder.is_dir():
        return False
    return all(
        path.suffix in DRAWINGS and path.is_file() and not path.is_symlink()
        for path in folder.iterdir()
    )
