"""One way to compile the kernels, which also works where no cache can be written."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
import numpy as np
from numpy.typing import NDArray

Function = TypeVar("Function", bound=Callable[..., Any])

_KERNELS: list[Any] = []
_ON_DISK: set[Any] = set()


SOURCES = (
    "cast", "classes", "compiled", "contact_pairs", "curtains", "divide", "events", "fans", "fates",
    "laps_borders", "laps_table", "laps_ways", "level", "looks", "looks_along", "nearby", "pointers",
    "pond_levels", "tables", "tolerances", "trace", "tree", "walk",
)  # fmt: skip
"""Modules whose text goes into the compiled code."""


def compiled(function: Function) -> Function:
    """Compile `function` on its first call, float64 without fast math, and keep it on disk.

    The compiled function lets go of Python's lock, so that plain threads can share work.
    """
    kernel: Any
    try:
        kernel = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:
        # Neither beside the source nor in the user's own cache folder can anything be written.
        kernel = numba.njit(nogil=True, error_model="numpy")(function)
    _save_if_there_is_room(kernel)
    cache_file = _cache_file(kernel)
    if hasattr(cache_file, "_source_stamp"):
        # Numba looks at the kernel's own file only; kernels also hold what other files say.
        cache_file._source_stamp = _sources_stamp()
    _KERNELS.append(kernel)
    return cast(Function, kernel)


def _save_if_there_is_room(kernel: Any) -> None:
    """Let a full disk cost the next run its time to compile, and not this one its result."""
    kept: Any = getattr(kernel, "_cache", None)
    save = getattr(kept, "save_overload", None)
    if save is None:
        return

    def save_overload(signature: Any, data: Any) -> None:
        with suppress(OSError):
            save(signature, data)

    kept.save_overload = save_overload


@cache
def _sources_stamp() -> str:
    folder = Path(__file__).parent
    text = b"".join((folder / f"{name}.py").read_bytes() for name in SOURCES)
    return hashlib.sha256(text).hexdigest()


def _cache_file(kernel: Any) -> Any:
    return getattr(getattr(kernel, "_cache", None), "_cache_file", None)


def in_one_piece(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rows as kernels are compiled for them: of another layout, they would be compiled once more."""
    return np.ascontiguousarray(rows, dtype=np.float64)


def inlined(function: Function) -> Function:
    """For what is called at each hop with whole tables: written into its caller.

    A real call would count references to each array up and down again, atomically, which costs more
    than the hop and keeps two threads waiting for each other.
    """
    return cast(Function, numba.njit(inline="always", nogil=True, error_model="numpy")(function))


def is_compiled() -> bool:
    """Whether every kernel imported so far is in memory or on disk; if not, the next run compiles.

    Says False where numba's cache can't be looked into: then a remark is printed for nothing.
    """
    unknown = [kernel for kernel in _KERNELS if not kernel.signatures and kernel not in _ON_DISK]
    _ON_DISK.update(kernel for kernel in unknown if _is_on_disk(kernel))
    return _ON_DISK.issuperset(unknown)


def _is_on_disk(kernel: Any) -> bool:
    load_index = getattr(_cache_file(kernel), "_load_index", None)
    return bool(load_index()) if callable(load_index) else False
