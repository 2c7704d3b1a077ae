"""How a process that works out cases begins. Loads nothing: its settings must stand before libraries load."""

from __future__ import annotations

import multiprocessing
import os
import signal
from threading import Thread
from typing import Final

ONE_THREAD: Final = (
    "NUMBA_NUM_THREADS",
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
)
"""Settings that libraries read as they are loaded. The cases share the cores already; and sums that are
shared out otherwise are rounded otherwise."""


def begin() -> None:
    """Use one core, leave Ctrl-C to the process that started this one, and end when that is gone."""
    for name in ONE_THREAD:
        os.environ[name] = "1"
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
