"""Work done in a child process, which may be killed at any of its steps on the disk."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path

ON_THE_DISK = ("open", "os.", "shutil.")
"""Audit events of Python that tell of a step on the disk."""


def in_a_child(work: Callable[[], None], *, killed_at: int = 0) -> int:
    """Do some work in a copy of this process; 0 where it went well, else what ended it.

    killed_at: the step on the disk, from 1 on, just before which it is killed; 0 for never.
    """
    child = os.fork()
    if child == 0:
        code = 1
        try:
            if killed_at:
                sys.addaudithook(_killing(killed_at))
            work()
            code = 0
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _killing(step: int) -> Callable[[str, tuple[object, ...]], None]:
    left = step

    def hook(event: str, arguments: tuple[object, ...]) -> None:
        nonlocal left
        if event.startswith(ON_THE_DISK):
            left -= 1
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)

    return hook


def content(folder: Path) -> dict[str, bytes]:
    """What is in a folder, by the names in it, half-done files left out."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not any(part.startswith(".stackrain-") for part in path.parts)
    }
