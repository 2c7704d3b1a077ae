"""A file that is written whole or not at all: until it is, the one that was there stays."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from meshes.errors import SceneError
from scenes.folder import PREFIX


@contextmanager
def whole_file(file: Path, *, force: bool, endings: Sequence[str] = (".png",)) -> Iterator[Path]:
    """A file to write to, which takes the place of `file` only if all went well. Raises SceneError where
    the disk says no, and as `check_file`, also if it came to be there meanwhile."""
    check_file(file, force=force, endings=endings)
    try:
        handle, name = tempfile.mkstemp(prefix=PREFIX, suffix=file.suffix, dir=file.parent)
    except OSError as error:
        raise _unwritable(file, error) from error
    os.close(handle)
    half = Path(name)
    try:
        yield half
        half.chmod(0o666 & ~_umask())
        _put(half, file, force=force)
    except OSError as error:
        raise _unwritable(file, error) from error
    finally:
        half.unlink(missing_ok=True)


def _put(half: Path, file: Path, *, force: bool) -> None:
    """Put a file in its place, never over one that came to be there meanwhile unless forced."""
    if not force:
        try:
            os.link(half, file)
            return
        except FileExistsError as error:
            raise SceneError(f"{file}: is there already; --force replaces it") from error
        except (OSError, NotImplementedError, AttributeError):
            pass  # a disk without links: between this look and the move another could still come
        check_file(file, force=force, endings=(file.suffix.lower(),))
    half.replace(file)


def check_file(file: Path, *, force: bool, endings: Sequence[str] = (".png",)) -> None:
    """Refuse, before the work, a file that can't be written. Raises SceneError."""
    if file.suffix.lower() not in endings:
        raise SceneError(f"{file}: must end in {' or '.join(endings)}")
    if "\0" in str(file):
        raise SceneError(f"{str(file)!r}: can't be written (no file can be called so)")
    if file.is_dir():
        raise SceneError(f"{file}: is a folder, so nothing can be written there")
    if os.path.lexists(file) and not force:
        raise SceneError(f"{file}: is there already; --force replaces it")
    if not file.absolute().parent.is_dir():
        raise SceneError(f"{file}: can't be written (no folder {file.parent})")


def _umask() -> int:
    """What a new file of this user is not allowed."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _unwritable(file: Path, error: OSError) -> SceneError:
    return SceneError(f"{file}: can't be written ({error.strerror or error})")
