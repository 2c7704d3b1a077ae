"""Two folders change places in one step, where the system can: nobody ever sees one half done."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Final

_HERE: Final = -100
"""AT_FDCWD of Linux: paths are relative to where the process is."""
_EXCHANGE: Final = 2
"""RENAME_EXCHANGE of Linux's renameat2, RENAME_SWAP of macOS's renamex_np: the same number."""


def changed_places(one: Path, other: Path) -> bool:
    """Let two entries of one disk change places, both or neither; False where that can't be done."""
    call = _call()
    return call is not None and call(os.fsencode(one), os.fsencode(other)) == 0


@cache
def _call() -> Callable[[bytes, bytes], int] | None:
    """The system's own call, if it has one: Linux with a C library of 2018 or later, and macOS."""
    try:
        library = ctypes.CDLL(None)
        if sys.platform == "darwin":
            swap = library.renamex_np
            return lambda one, other: int(swap(one, other, ctypes.c_uint(_EXCHANGE)))
        rename = library.renameat2
    except (OSError, TypeError, AttributeError):
        return None
    return lambda one, other: int(rename(_HERE, one, _HERE, other, ctypes.c_uint(_EXCHANGE)))


@contextmanager
def alone_in(folder: Path, *, wait: bool = True) -> Iterator[bool]:
    """Hold a folder against other runs, as long as this process lives; gives whether it is held.

    wait: for whoever holds it now. Where folders can't be held (Windows, some disks of other machines)
    nothing is held, and nobody waits.
    """
    handle = _held(folder, wait=wait)
    try:
        yield handle is not None
    finally:
        if handle is not None:
            os.close(handle)


def _held(folder: Path, *, wait: bool) -> int | None:
    try:
        import fcntl
    except ImportError:
        return None
    try:
        handle = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    except OSError:
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError:
        os.close(handle)
        return None
    return handle
